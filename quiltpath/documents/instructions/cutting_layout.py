"""Drawings for cutting: each cloth with its pieces, and the edge with the joins of its binding."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely

from quiltpath.drawing.page_model import (
    INK,
    WHITE,
    Box,
    Drawing,
    Group,
    Item,
    Line,
    Page,
    Style,
    Text,
)
from quiltpath.drawing.sketch import (
    CLOTH,
    DASHED,
    EDGE,
    Picture,
    PictureRoom,
    View,
    across,
    along,
    arrow,
    polyline,
    rectangle,
)
from quiltpath.drawing.text_width import text_width
from quiltpath.language import message, say, say_known
from quiltpath.materials import CuttingPlan
from quiltpath.materials.binding_plan import BindingPlan
from quiltpath.materials.piecing import CutPiece
from quiltpath.materials.strip_packing import ClothLayout, PlacedPiece
from quiltpath.runner.states import CLOTH_WORDS, QUILTED_WORDS
from quiltpath.units import Measures, count

SELVEDGE = Style(INK, 0.7, (1, 0.8))
PAPER = Style(INK, 0.3, (), WHITE)

NARROW_MM = 150.0
"""Strips narrower than this, and pieces of a top, are cut to the finest mark of the ruler."""


def layout_picture(layout: ClothLayout, room: PictureRoom, words: Measures) -> Picture:
    """One cloth as it lies: selvedges dashed, grain, every piece with its size.

    The longer of the cloth's two sides lies along the picture; no piece crosses a selvedge.
    """
    letter = room.letter_mm
    lying = _ClothAxes(layout.length_mm < layout.cloth.usable_mm)
    length, usable = layout.length_mm, layout.cloth.usable_mm
    box = lying.box(0.0, 0.0, length, usable)
    view = room.view(box, pad_mm=2.6 * letter, foot_mm=2.6 * letter)
    items: list[Item] = [rectangle(view, box, PAPER)]
    for placed in layout.placed:
        items += _piece(placed, view, lying, letter, words)
    foot = view.at(0, 0)[1] - 0.9 * letter
    items += along(view, 0, box[2], foot, words.short(box[2]), letter)
    right = view.at(box[2], 0)[0] + 0.9 * letter
    items += across(view, 0, box[3], right, words.short(box[3]), letter)
    if layout.cloth.grain:
        items += _grain(layout, view, lying, letter)
    shows = say(
        "{name}: {pieces} on {length} of cloth",
        name=cloth_words(layout),
        pieces=_pieces(layout),
        length=words.cut(layout.length_mm),
    )
    name = f"cloth {layout.name}"
    return Picture(name, room.width_mm, view.height_mm, tuple(items), shows, CLOTH_WORDS, True)


def cloths_picture(plan: CuttingPlan, room: PictureRoom) -> Picture:
    """Every cloth side by side to one scale, as much as is used of it."""
    letter = room.letter_mm
    wide = max(layout.cloth.usable_mm for layout in plan.layouts)
    gap = 0.12 * wide
    whole = sum(layout.length_mm + gap for layout in plan.layouts) - gap
    view = room.view((0, 0, max(whole, 1.6 * wide), wide), foot_mm=2.6 * letter)
    items: list[Item] = []
    x = max(0.0, (1.6 * wide - whole) / 2)
    for number, layout in enumerate(plan.layouts, 1):
        end = x + layout.length_mm
        items.append(rectangle(view, (x, 0, end, layout.cloth.usable_mm), CLOTH))
        middle = view.at((x + end) / 2, 0)
        items.append(Text((middle[0], middle[1] - 1.2 * letter), str(number), letter, "middle"))
        x = end + gap
    names = [f"{n} {cloth_words(layout)}" for n, layout in enumerate(plan.layouts, 1)]
    foot = (room.width_mm / 2, 0.2 * letter)
    items.append(
        Text(foot, say("{names}: all to one scale", names=", ".join(names)), letter, "middle")
    )
    shows = say("as much as is used of each cloth, all to one scale")
    return Picture("cloths", room.width_mm, view.height_mm, tuple(items), shows, CLOTH_WORDS)


@dataclass(frozen=True)
class _ClothAxes:
    """Whether the cloth's length lies up the picture instead of along it."""

    upright: bool

    def box(self, along_0: float, across_0: float, along_1: float, across_1: float) -> Box:
        """A box on the cloth in the picture's own directions."""
        if self.upright:
            return across_0, along_0, across_1, along_1
        return along_0, across_0, along_1, across_1


SHARES = {"at hand": message("at hand"), "to buy": message("to buy")}


def cloth_words(layout: ClothLayout) -> str:
    """The cloth, and which part of it."""
    name = say_known(layout.cloth.name)
    return f"{name}, {say_known(SHARES[layout.share])}" if layout.share else name


def _pieces(layout: ClothLayout) -> str:
    return count(layout.piece_count, "piece")


def _piece(
    placed: PlacedPiece, view: View, lying: _ClothAxes, letter: float, words: Measures
) -> list[Item]:
    """The piece, named where there is room: along it, or up it where it is narrow."""
    across_0, along_0, across_1, along_1 = placed.box
    box = lying.box(along_0, across_0, along_1, across_1)
    (a, b), (c, d) = view.at(box[0], box[1]), view.at(box[2], box[3])
    piece = placed.piece
    size = " x ".join(_side(mm, piece, words) for mm in (piece.on_length_mm, piece.on_width_mm))
    times, by, own = piece.name.rpartition(" x ")
    name = f"{times}{by}{say_known(own)}"
    wishes = (f"{name}: {size}", name, name.split()[-1])
    return [rectangle(view, box, CLOTH), *_label((a, b, c, d), wishes, letter)]


def _side(mm: float, piece: CutPiece, words: Measures) -> str:
    """One side, in the first of the units: as finely as the list gives it."""
    is_fine = piece.may_turn or min(piece.on_length_mm, piece.on_width_mm) < NARROW_MM
    return words.fine(mm).split(" (")[0] if is_fine else words.short(mm)


def _label(box: Box, wishes: tuple[str, ...], letter: float) -> list[Item]:
    """The longest of the wishes that fits into the box, lying or upright."""
    a, b, c, d = box
    middle = (a + c) / 2, (b + d) / 2
    for text in wishes:
        for size in (letter, 0.8 * letter):
            long = 0.55 * size * len(text)
            if c - a > long + 0.4 * size and d - b > 1.1 * size:
                return [Text((middle[0], middle[1] - 0.35 * size), text, size, "middle")]
            if d - b > long and c - a > 1.1 * size:
                place = (middle[0] + 0.35 * size, middle[1])
                return [Text(place, text, size, "middle", angle_deg=90)]
    return []


def _grain(layout: ClothLayout, view: View, lying: _ClothAxes, letter: float) -> list[Item]:
    """The selvedges, and an arrow along the cloth's length at its upper left."""
    length, usable = layout.length_mm, layout.cloth.usable_mm
    items: list[Item] = []
    for edge in (0.0, usable):
        x0, y0, x1, y1 = lying.box(0.0, edge, length, edge)
        items.append(polyline([view.at(x0, y0), view.at(x1, y1)], SELVEDGE))
    x, y = view.at(0, lying.box(0, 0, length, usable)[3])
    start, end = (x, y + 0.6 * letter), (x + 6 * letter, y + 0.6 * letter)
    if lying.upright:
        start = (x - letter, view.at(0, 0)[1])
        end = (start[0], min(y, start[1] + 6 * letter))
    words_at = (view.at(lying.box(0, 0, length, usable)[2] / 2, 0)[0], y + 1.2 * letter)
    told = say("grain along the arrow, selvedges dashed")
    return [*items, *arrow(start, end), Text(words_at, told, letter, "middle")]


def perimeter_picture(binding: BindingPlan, room: PictureRoom, words: Measures) -> Picture:
    """The edge to bind: corners with their angles, joins numbered, start, panel join."""
    edge, letter = binding.edge, room.letter_mm
    low, high = edge.ring.min(axis=0), edge.ring.max(axis=0)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    view = room.view(box, pad_mm=3.4 * letter, foot_mm=3.4 * letter)
    ring = edge.ring if len(edge.ring) < 400 else _thin_out(edge.ring)
    items: list[Item] = [Line(view.points(ring[:-1]), EDGE, closed=True)]
    items += _panel_joins(binding, view)
    marks = [_mark(binding, view, binding.joins.start_mm, say("START"), letter, bold=True)]
    for number, at in enumerate(binding.joins.joins_mm, 1):
        marks.append(_mark(binding, view, at, say("join {number}", number=number), letter))
    for tick, name in _apart(marks, view.at(*((low + high) / 2).tolist())[1]):
        items += [tick, name]
    items += _corner_angles(binding, view, letter)
    shows = say(
        "the edge, {length} round, with the start and {joins}",
        length=words.cut(edge.length_mm),
        joins=count(len(binding.joins.joins_mm), "join"),
    )
    return Picture(
        "edge to bind", room.width_mm, view.height_mm, tuple(items), shows, QUILTED_WORDS
    )


def _thin_out(ring: np.ndarray) -> np.ndarray:
    return shapely.get_coordinates(shapely.simplify(shapely.LineString(ring), 0.5))


def _panel_joins(binding: BindingPlan, view: View) -> list[Item]:
    places = [view.at(*binding.edge.point_at(at)) for at in binding.panel_joins_mm]
    pairs = zip(places[::2], places[1::2], strict=False)
    return [polyline([a, b], DASHED) for a, b in pairs]


def _mark(
    binding: BindingPlan, view: View, at: float, name: str, letter: float, bold: bool = False
) -> tuple[Item, Text]:
    """A tick across the edge, slanting like the join, with its name outside."""
    x, y = view.at(*binding.edge.point_at(at))
    out = _outward(binding, at)
    slant = np.array([out[0] - out[1], out[1] + out[0]]) * letter * 0.5
    tick = polyline([(x - slant[0], y - slant[1]), (x + slant[0], y + slant[1])], EDGE)
    place = (x + out[0] * 1.5 * letter, y + out[1] * 1.5 * letter - 0.35 * letter)
    if abs(out[1]) < 0.4:
        upright = (x + out[0] * 1.5 * letter + 0.35 * letter, y)
        return tick, Text(upright, name, letter, "middle", 90.0, bold=bold)
    anchor = "middle" if abs(out[0]) < 0.4 else ("start" if out[0] > 0 else "end")
    return tick, Text(place, name, letter, anchor, bold=bold)


def _apart(marks: list[tuple[Item, Text]], middle: float) -> Iterator[tuple[Item, Text]]:
    """Names that would lie on an earlier one stand a row further out."""
    told: list[Text] = []
    for tick, name in marks:
        (x, y), out = name.at, 1.0 if name.at[1] > middle else -1.0
        while not name.angle_deg and any(_overlap(name, other) for other in told):
            y += 1.15 * name.size_mm * out
            name = replace(name, at=(x, y))
        told.append(name)
        yield tick, name


def _overlap(one: Text, other: Text) -> bool:
    """Whether two names that lie across the picture touch."""
    if other.angle_deg or abs(one.at[1] - other.at[1]) >= one.size_mm:
        return False
    low, high = _reach(one)
    other_low, other_high = _reach(other)
    return low < other_high and other_low < high


def _reach(name: Text) -> tuple[float, float]:
    wide = text_width(f"{name.text} ", name.size_mm, bold=name.bold)
    left = name.at[0] - {"middle": wide / 2, "end": wide}.get(name.anchor, 0.0)
    return left, left + wide


def _outward(binding: BindingPlan, at: float) -> tuple[float, float]:
    """Unit vector out of the runner; the edge runs counter-clockwise."""
    (x0, y0), (x1, y1) = binding.edge.point_at(at - 0.5), binding.edge.point_at(at + 0.5)
    length = max(float(np.hypot(x1 - x0, y1 - y0)), 1e-9)
    return (y1 - y0) / length, -(x1 - x0) / length


def _corner_angles(binding: BindingPlan, view: View, letter: float) -> list[Item]:
    """The angle inside each corner, where there are few enough to read."""
    corners, ring = binding.edge.corners, view.points(binding.edge.ring)
    if len(corners) > 16 or np.ptp(ring, axis=0).min() < 5 * letter:
        return []
    middle = binding.edge.ring[:-1].mean(axis=0)
    items: list[Item] = []
    for corner in corners:
        place = np.array(view.at(*corner.at_mm))
        way = np.array(view.at(float(middle[0]), float(middle[1]))) - place
        inside = place + np.sign(way) * (2.6 * letter, 1.5 * letter)
        text = f"{corner.angle_deg:.0f}\u00b0"
        items.append(
            Text((float(inside[0]), float(inside[1]) - 0.35 * letter), text, letter, "middle")
        )
    return items


def cutting_drawing(plan: CuttingPlan, words: Measures, title: str) -> Drawing:
    """Every cloth and the edge to bind on one page, one under the other."""
    room = PictureRoom(250.0, 110.0, 4.0)
    pictures = [layout_picture(layout, room, words) for layout in plan.layouts]
    pictures.append(perimeter_picture(plan.binding, room, words))
    groups: list[Group] = []
    y = 12.0
    for picture in reversed(pictures):
        caption = Text((0.0, picture.height_mm + 2.0), picture.shows, 5.0, bold=True)
        foot = Text((0.0, -5.0), say_known(picture.state), 3.6)
        groups.append(Group(picture.name, (*picture.items, foot, caption), shift_mm=(12.0, y)))
        y += picture.height_mm + 18.0
    heading = Group(
        "title", (Text((12.0, y), say("{title}: cutting", title=title), 7.0, bold=True),)
    )
    page = Page(274.0, y + 16.0, (heading, *reversed(groups)), say("{title}: cutting", title=title))
    return Drawing(page.title, (page,))
