"""The user's own drawing: repeated in rows that are one path each, or fitted once into each patch.

Rows join repeat to repeat where a path of the drawing leads on, and may be set off, mirrored or
nested. A fitted drawing is stretched and bent until its rectangle fills the shape.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import ClassVar, Literal, Self

import numpy as np
import shapely
from pydantic import Field, PrivateAttr, model_validator
from shapely.geometry import LineString, MultiLineString
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.geometry.curves import Points, chain_paths
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.border_runs import band_in, no_border
from quiltpath.patterns.drawn_repeat import Repeat, ends_remark, paths_of, repeat_of
from quiltpath.patterns.frame import Frame, frame_of, repeats
from quiltpath.patterns.kind import EITHER, Kind
from quiltpath.patterns.layer import INCH, QUARTER_INCH, RepertoireLayer, about, check_amount
from quiltpath.patterns.lines import Remark
from quiltpath.patterns.own_spine import Spine, check_spine
from quiltpath.patterns.strokes import Strokes, join_strokes, strokes
from quiltpath.schema import Length, LengthOrZero, Spacing, fault

LEAST_LENGTH_MM = 0.01
"""A drawing that is shorter than a curve may stray has no length to repeat."""

NESTING_STEPS = 24

Arrangement = Literal[
    "rows", "brick", "half drop", "mirrored", "mirrored rows", "nested", "border", "spine", "fitted"
]


class DrawingLayer(RepertoireLayer):
    """A drawing from an SVG file, repeated edge to edge, or warped to fill each block.

    ``rows``           one repeat after the other, row over row
    ``brick``          every second row set off by half a repeat
    ``half drop``      every second repeat half a row lower
    ``mirrored``       every second repeat turned round, so that each end meets its own mirror
    ``mirrored rows``  every second row upside down
    ``nested``         rows set off and moved together until they are ``apart`` from each other
    ``border``         round a border, as many repeats to each side as fit, turned with its corners
    ``spine``          once along a curve of one's own, bent with it
    ``fitted``         once in each region, stretched and bent into its shape
    """

    amount_key: ClassVar[str] = "size"
    kind: Literal["drawing"]
    file: str = Field(min_length=1)
    """the SVG file, beside the project file or the pattern that names it"""
    arrangement: Arrangement = "rows"
    """how the drawing repeats over the region"""
    size: Spacing = about(6 * INCH)
    """length of one repeat along the row"""
    row: Spacing | None = None
    """from one row to the next; the drawing's own height where it is left out"""
    apart: LengthOrZero = QUARTER_INCH
    """what nested rows keep free between them"""
    width: Length = 2 * INCH
    """of the band round a border, where the region has no inner edge"""
    spine: Spine = ()
    """points that the curve goes through, each as a share of the region's length and its width"""
    inset: LengthOrZero = QUARTER_INCH
    """kept free beside the outermost rows; rows themselves run from end to end"""

    _svg: bytes = PrivateAttr(default=b"")

    @model_validator(mode="after")
    def _keys_that_matter(self) -> Self:
        if self.row is not None and self.arrangement in ("nested", "border", "spine", "fitted"):
            raise fault(
                f"{self.arrangement} drawings find their rows by themselves", "take row out"
            )
        if "width" in self.model_fields_set and self.arrangement != "border":
            raise fault("width is that of a border's band", 'add arrangement = "border"')
        check_spine(self.spine, self.arrangement == "spine", "a drawing is led", "arrangement")
        return self

    @property
    def svg(self) -> bytes:
        """The file's content, read when the project was loaded."""
        return self._svg

    def with_svg(self, content: bytes) -> Self:
        """The same layer, holding the file that it names so that later floors touch no disk."""
        whole = self.model_copy()
        whole._svg = content
        return whole


def drawing(layer: DrawingLayer, patches: Sequence[Patch]) -> Strokes:
    """The layer's drawing over every patch."""
    paths = _paths(layer)
    area = sum(patch.shape.area for patch in patches)
    size = float(np.ptp(np.concatenate(paths)[:, 0]))
    if size < LEAST_LENGTH_MM:
        raise InputError("", "file", "the drawing goes only upwards", "draw it along the row")
    inked = sum(LineString(path).length for path in paths) / size
    check_amount(area / layer.size.mm * max(1.0, inked), layer.size.mm, "size")
    if layer.arrangement == "fitted":
        return join_strokes([stretch_over_patch(layer, patch, paths) for patch in patches])
    lay = _LAID.get(layer.arrangement, _repeat)
    return join_strokes([lay(layer, patch, repeat_of(paths)) for patch in patches])


def _paths(layer: DrawingLayer) -> list[Points]:
    return paths_of(layer.svg, layer.file, layer.size.mm)


def ends_of(layer: DrawingLayer, patches: Sequence[Patch], count: int) -> Remark | None:
    """How its repeats join; nothing to be said where the drawing is fitted once into each patch."""
    if not count or layer.arrangement == "fitted":
        return None
    return ends_remark(repeat_of(_paths(layer)), layer.file, layer.arrangement)


def _round_border(layer: DrawingLayer, patch: Patch, drawn: Repeat) -> Strokes:
    """Whole repeats round the band, the drawing's upper side outwards, its top in each corner."""
    from quiltpath.geometry.free_curves.border_repeat import repeat_round

    band = band_in(patch, layer.inset, layer.width)
    if band is None:
        return strokes([], patch.shape, patch.name)
    try:
        lines = repeat_round(
            band, drawn.parts, drawn.advance, layer.size.mm, drawn.path is not None
        )
    except ValueError as error:
        raise no_border(patch, error) from None
    return strokes([shapely.linestrings(line) for line in lines], patch.shape, patch.name)


def _along_spine(layer: DrawingLayer, patch: Patch, drawn: Repeat) -> Strokes:
    """Whole repeats from end to end of a curve through the layer's points, the middle of the
    drawing's height on it."""
    from quiltpath.geometry.free_curves.repeat_along import repeat_along

    frame = frame_of(patch, 0.0, layer.turned)
    if frame is None:
        return strokes([], patch.shape, patch.name)
    spine = np.array(layer.spine) * (frame.length, frame.width)
    level = [part - (0.0, sum(drawn.bounds) / 2) for part in drawn.parts]
    try:
        lines = repeat_along(
            spine, level, drawn.advance, layer.size.mm, joined=drawn.path is not None
        )
    except ValueError as error:
        raise InputError.parted("spine", error) from None
    placed = [shapely.linestrings(frame.placed(line)) for line in lines]
    return strokes(placed, patch.shape, patch.name)


def _repeat(layer: DrawingLayer, patch: Patch, drawn: Repeat) -> Strokes:
    frame = frame_of(patch, 0.0, layer.turned)
    if frame is None or frame.width <= 2 * layer.inset + 1.0:
        return strokes([], patch.shape, patch.name)
    tallest = (frame.width - 2 * layer.inset) / max(_height(layer, drawn) / drawn.advance, 1e-9)
    wanted = Spacing(mm=min(layer.size.mm, tallest), about=layer.size.about)
    count, advance = repeats(wanted, frame.length)
    if layer.size.about and advance > tallest:
        count, advance = count + 1, frame.length / (count + 1)
    repeat = drawn.scaled(advance / drawn.advance)
    start = (frame.length - count * advance) / 2
    shift, heights = _rows(layer, repeat, frame)
    lines: list[Points] = []
    for row, height in enumerate(heights.tolist()):
        upside_down = row % 2 == 1 and layer.arrangement == "mirrored rows"
        one = repeat.upside_down() if upside_down else repeat
        lines += _row(layer, one, _places(count, row, shift), (start, height))
    placed = [shapely.linestrings(frame.placed(line)) for line in lines]
    return strokes(placed, patch.shape, patch.name)


_LAID = {"border": _round_border, "spine": _along_spine}


def _height(layer: DrawingLayer, repeat: Repeat) -> float:
    """Of one row, dropped repeats and all."""
    low, high = repeat.bounds
    return (high - low) * (1.5 if layer.arrangement == "half drop" else 1.0)


def _rows(layer: DrawingLayer, repeat: Repeat, frame: Frame) -> tuple[float, Points]:
    """How far each row is set off from the last, in repeats, and the heights of the base lines.

    Rows are whole, with the same free border below and above.
    """
    low, high = repeat.bounds
    height = _height(layer, repeat)
    room = frame.width - 2 * layer.inset - height
    shift = 0.5 if layer.arrangement == "brick" else 0.0
    # Rows come closer than their height only where the user says how far apart they are.
    least = 0.0 if layer.row else high - low
    pitch = layer.row or Spacing(mm=max(high - low, repeat.advance / 8), about=True)
    if layer.arrangement == "nested":
        shift, least = nest_rows(repeat, layer.apart)
        pitch = Spacing(mm=least, about=True)
    number = max(0, math.floor(room / pitch.mm + (0.5 if pitch.about else 1e-9)))
    if number and room / number < least:
        number -= 1
    step = room / number if number and pitch.about else pitch.mm
    first = (frame.width - number * step - height) / 2 - low + height - (high - low)
    return shift, first + step * np.arange(number + 1, dtype=np.float64)


def nest_rows(repeat: Repeat, apart_mm: float) -> tuple[float, float]:
    """How far, as a share of a repeat, each row is best set off from the last, and their distance.

    The least distance that leaves ``apart_mm`` free, over eighths of a repeat.
    """
    pitches = [_nested_pitch(repeat, apart_mm, eighth / 8) for eighth in range(8)]
    best = min(range(8), key=lambda eighth: round(pitches[eighth], 6))
    return best / 8, pitches[best]


def _nested_pitch(repeat: Repeat, apart_mm: float, shift: float) -> float:
    """Found by halving: rows that are a height and the gap apart are surely free."""
    below = _union(repeat, (-1.0, 0.0, 1.0, 2.0))
    above = _union(repeat, (-shift, 1.0 - shift))
    low, high = 0.0, float(np.diff(repeat.bounds)[0]) + apart_mm
    for _ in range(NESTING_STEPS):
        middle = (low + high) / 2
        moved = shapely.transform(above, lambda p, by=middle: p + np.array([0.0, by]))
        if shapely.distance(below, moved) >= apart_mm:
            high = middle
        else:
            low = middle
    return max(high, 1.0)


def _union(repeat: Repeat, shifts: Sequence[float]) -> BaseGeometry:
    lines = [
        part + np.array([shift * repeat.advance, 0.0]) for shift in shifts for part in repeat.parts
    ]
    return MultiLineString([LineString(line) for line in lines])


def _row(
    layer: DrawingLayer, repeat: Repeat, places: Points, base: tuple[float, float]
) -> list[Points]:
    """One row, a repeat at each of ``places``: its joined path, and the drawing's other paths."""
    joined: list[Points] = []
    others: list[Points] = []
    low, high = repeat.bounds
    for index, place in enumerate(places):
        odd = index % 2 == 1
        drop = (high - low) / 2 if odd and layer.arrangement == "half drop" else 0.0
        one = repeat.turned_round() if odd and layer.arrangement == "mirrored" else repeat
        at = np.array([base[0] + place * repeat.advance, base[1] - drop])
        if one.path is not None:
            joined.append(one.path + at)
        others += [part + at for part in one.others]
    if layer.arrangement == "half drop" or not joined:
        return joined + others
    return [chain_paths(joined), *others]


def _places(count: int, row: int, shift: float) -> Points:
    """Where the repeats of a row begin, in repeats; a row that is set off gets one more."""
    off = (row * shift) % 1.0
    return np.arange(count + (off > 0), dtype=np.float64) - off


def less_inset(shape: BaseGeometry, inset_mm: float) -> BaseGeometry:
    """The shape without a border of that width."""
    return shapely.buffer(shape, -inset_mm, join_style="mitre") if inset_mm else shape


def stretch_over_patch(layer: DrawingLayer, patch: Patch, paths: Sequence[Points]) -> Strokes:
    """The drawing once, its rectangle stretched over the patch.

    Along the patch it is stretched evenly; across, it fills the patch from edge to edge at every
    place, so that it follows pointed, rounded and skewed shapes.
    """
    shape = less_inset(patch.shape, layer.inset)
    if shape.is_empty:
        return strokes([], patch.shape, patch.name)
    points = np.concatenate(paths)
    low, span = points.min(axis=0), np.maximum(np.ptp(points, axis=0), 1e-9)
    turned = _upright(shape) != layer.turned
    lines = []
    for path in paths:
        dense = shapely.get_coordinates(
            shapely.segmentize(LineString(path), float(span.max()) / 200)
        )
        share = (dense - low) / span
        share = np.column_stack([1 - share[:, 1], share[:, 0]]) if turned else share
        lines.append(shapely.linestrings(_into(shape, share, crosswise=turned)))
    return strokes(lines, patch.shape, patch.name)


def _upright(shape: BaseGeometry) -> bool:
    low_x, low_y, high_x, high_y = shape.bounds
    return (high_y - low_y) > (high_x - low_x) * (1 + 1e-9)


def _into(shape: BaseGeometry, share: Points, *, crosswise: bool) -> Points:
    """(n, 2) points of the shape for shares of its length and of its width at that place."""
    low_x, low_y, high_x, high_y = shape.bounds
    if crosswise:
        y = low_y + share[:, 1] * (high_y - low_y)
        left, right = _chords(shape, y, crosswise=True)
        return np.column_stack([left + share[:, 0] * (right - left), y])
    x = low_x + share[:, 0] * (high_x - low_x)
    below, above = _chords(shape, x, crosswise=False)
    return np.column_stack([x, below + share[:, 1] * (above - below)])


def _chords(shape: BaseGeometry, at: Points, *, crosswise: bool) -> tuple[Points, Points]:
    """Where straight cuts through the shape begin and end."""
    low_x, low_y, high_x, high_y = shape.bounds
    ends = np.empty((len(at), 2, 2))
    along, across = (1, 0) if crosswise else (0, 1)
    lows, highs = (low_x, low_y), (high_x, high_y)
    slack = 1e-9 * (highs[along] - lows[along])
    ends[:, :, along] = np.clip(at, lows[along] + slack, highs[along] - slack)[:, None]
    ends[:, 0, across], ends[:, 1, across] = lows[across] - 1.0, highs[across] + 1.0
    cut = shapely.bounds(shapely.intersection(shapely.linestrings(ends), shape))
    return cut[:, across], cut[:, across + 2]


KINDS = (Kind(DrawingLayer, EITHER, over_patches=drawing, remark=ends_of),)
