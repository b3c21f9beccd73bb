"""Which lines are marked together with one template, and how often it is used.

A long template is searched for a repeat along the runner, so that one repeat is printed and moved
on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quiltpath.drawing.page_model import Box
from quiltpath.geometry.arrays import Floats, Points, distinct, members
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import say
from quiltpath.patterns import Lines
from quiltpath.result.marking_ways import Marking
from quiltpath.runner.layer_names import layer_words
from quiltpath.runner.places import region_words
from quiltpath.units import both_units

JOINED_MM = 4.0
"""Lines whose boxes come nearer than this are marked with one template."""

ALIKE_MM = 0.1
LONG_MM = 250.0
"""A template longer than this is searched for a repeat."""

REPEATS_MM = 180.0
"""As many repeats as fit into this go on one template: about an A4 or Letter page."""

WORTH_IT = 0.6
"""Share of the whole's paper: parts that take more are not worth being told apart."""

LEAST_PART_MM = 1.0
SAME_MM = 0.1
LEAST_MM = 8.0
FEWEST = 3
"""A repeat that comes fewer times is not worth moving a template for."""

EDGE_MM = 30.0
"""Near its ends a pattern is cut off and need not repeat."""

SAMPLES = 40
MOST_TRIALS = 200
MOSTLY = 0.9
"""Share of the vertices that must meet a vertex; the rest need only lie on a line."""


@dataclass(frozen=True)
class Template:
    """Lines that are marked together, the same in every one of ``places``.

    ``chosen`` (k,) indices of the lines as they lie at the first place; ``box`` around them, mm;
    ``centres`` where the middle of the lines lies at each place. Where a part stands for the
    whole, ``window`` is what is printed of it: a repeat that is ``moved_on``, or a block.
    """

    name: str
    chosen: NDArray[np.intp]
    box: Box
    places: tuple[str, ...]
    centres: tuple[tuple[float, float], ...]
    window: Box | None = None
    moved_on: bool = False


def templates(runner: Runner, lines: Lines, ways: Iterable[Marking]) -> tuple[Template, ...]:
    """The templates for everything that the markings leave to templates."""
    chosen = np.concatenate([np.zeros(0, dtype=np.intp), *(way.templated for way in ways)])
    motifs = [shapely.box(*motif.shape.bounds) for motif in runner.motifs]
    clusters = _clusters(lines.geometry, chosen.astype(np.intp), motifs)
    return tuple(
        part
        for whole in _alike(runner, lines, clusters)
        for part in _as_parts(runner, lines, whole)
    )


def _as_parts(runner: Runner, lines: Lines, whole: Template) -> tuple[Template, ...]:
    """A repeat of a long template, or one of each kind of block; else the whole."""
    repeated = _with_repeat(lines, whole)
    if repeated.window is not None or _is_short(whole):
        return (repeated,)
    parts = _by_regions(runner, lines, whole)
    return parts if 0.0 < sum(map(_area, parts)) < WORTH_IT * _area(whole) else (whole,)


def _is_short(template: Template) -> bool:
    x0, y0, x1, y1 = template.box
    return max(x1 - x0, y1 - y0) <= LONG_MM


def _area(template: Template) -> float:
    x0, y0, x1, y1 = template.box
    return (x1 - x0) * (y1 - y0)


def _with_repeat(lines: Lines, whole: Template) -> Template:
    """The template cut down to its repeats along and across, where it is long and has them."""
    drawn = lines.geometry[whole.chosen]
    box, told = list(whole.box), ""
    for axis, way in enumerate(("along", "across")):
        low, high = whole.box[axis], whole.box[axis + 2]
        repeat = repeat_along(_turned(drawn) if axis else drawn) if high - low > LONG_MM else None
        if repeat is None:
            continue
        step = repeat * max(1, int(REPEATS_MM // repeat))
        box[axis], box[axis + 2] = (low + high - step) / 2, (low + high + step) / 2
        told += _as_often(way, math.ceil((high - low) / step - 1e-6))
    if not told:
        return whole
    window = (box[0], box[1], box[2], box[3])
    places = tuple(f"{place}{told}" for place in whole.places)
    return replace(whole, box=window, places=places, window=window, moved_on=True)


def _as_often(way: str, times: int) -> str:
    if way == "along":
        return say(", {times} times along", times=times)
    return say(", {times} times across", times=times)


def sample_of(runner: Runner, lines: Lines, whole: Template) -> Template:
    """The first block of a template that nobody would tape together, or as large a piece of it."""
    drawn = shapely.multilinestrings(list(lines.geometry[whole.chosen]))
    boxes = {block.name: _box(np.array([block.shape], dtype=object)) for block in runner.blocks}
    x, y = (whole.box[0] + whole.box[2]) / 2, (whole.box[1] + whole.box[3]) / 2
    half = REPEATS_MM / 2
    middle = (say("the middle"), (x - half, y - half, x + half, y + half))
    here = (named for named in boxes.items() if shapely.intersects(drawn, shapely.box(*named[1])))
    name, box = next(here, middle)
    centre = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return Template(whole.name, whole.chosen, box, (name,), (centre,), window=box)


def _turned(geometry: NDArray[np.object_]) -> NDArray[np.object_]:
    """Lines with along and across changed over."""
    turned: NDArray[np.object_] = shapely.transform(geometry, lambda points: points[:, ::-1])
    return turned


def _by_regions(runner: Runner, lines: Lines, whole: Template) -> tuple[Template, ...]:
    """The template as the parts that lie in blocks, strips and borders, those alike but once."""
    drawn = lines.geometry[whole.chosen]
    kept: list[tuple[Floats, Template]] = []
    for region in runner.regions:
        x0, y0, x1, y1 = box = _box(np.array([region.shape], dtype=object))
        parts = shapely.get_parts(shapely.intersection(drawn, region.shape))
        parts = parts[shapely.length(parts) > LEAST_PART_MM]
        if not len(parts):
            continue
        size = np.array([(x1 - x0, y1 - y0)])
        shape = np.vstack([size, _moved(parts, (x0, y0))])
        centre = (x0 + x1) / 2, (y0 + y1) / 2
        for number, (known, template) in enumerate(kept):
            if _same(known, shape):
                more = (*template.places, region_words(region.name)), (*template.centres, centre)
                kept[number] = known, Template(*_start(template), *more, window=template.window)
                break
        else:
            named = (region_words(region.name),)
            made = Template(whole.name, whole.chosen, box, named, (centre,), window=box)
            kept.append((shape, made))
    return tuple(template for _, template in kept)


def _start(template: Template) -> tuple[str, NDArray[np.intp], Box]:
    return template.name, template.chosen, template.box


def _clusters(
    geometry: NDArray[np.object_], chosen: NDArray[np.intp], motifs: Sequence[BaseGeometry]
) -> list[NDArray[np.intp]]:
    """Lines whose boxes touch, directly or through others or a motif, from left to right."""
    if not len(chosen):
        return []
    around = shapely.box(*(shapely.bounds(geometry[chosen]) + _grown(JOINED_MM / 2)).T)
    touched = [box for box in motifs if shapely.intersects(box, around).any()]
    joined = shapely.get_parts(shapely.union_all([*around, *touched]))
    while len(joined) > 1:
        whole = shapely.get_parts(shapely.union_all(shapely.box(*shapely.bounds(joined).T)))
        if len(whole) == len(joined):
            break
        joined = whole
    tree = shapely.STRtree(joined)
    line, cluster = tree.query(around, predicate="intersects")
    groups = [chosen[distinct(line[mine])] for mine in members(cluster, len(joined))]
    return sorted(groups, key=lambda g: tuple(shapely.total_bounds(geometry[g]).tolist()))


def _grown(by: float) -> Floats:
    return np.array([-by, -by, by, by])


def _alike(runner: Runner, lines: Lines, clusters: Sequence[NDArray[np.intp]]) -> list[Template]:
    """Clusters that are moved copies of one another, once with all their places."""
    kept: list[tuple[Floats, Template]] = []
    for chosen in clusters:
        box = _box(lines.geometry[chosen])
        shape = _at_origin(lines, chosen, box)
        place, centre = _place(runner, box), ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        for number, (known, template) in enumerate(kept):
            if _same(known, shape):
                more = (*template.places, place), (*template.centres, centre)
                kept[number] = known, Template(*_start(template), *more)
                break
        else:
            name = _name(lines, chosen)
            kept.append((shape, Template(name, chosen, box, (place,), (centre,))))
    return [template for _, template in kept]


def _box(geometry: NDArray[np.object_]) -> Box:
    x0, y0, x1, y1 = shapely.total_bounds(geometry).tolist()
    return x0, y0, x1, y1


def _at_origin(lines: Lines, chosen: NDArray[np.intp], box: Box) -> Floats:
    """(n, 2) vertices moved to the origin, in an order that depends on the shapes alone."""
    return _moved(lines.geometry[chosen], box[:2])


def _moved(geometry: NDArray[np.object_], corner: tuple[float, float]) -> Floats:
    moved = shapely.transform(geometry, lambda points: np.round(points - corner, 2) + 0.0)
    return shapely.get_coordinates(shapely.normalize(shapely.multilinestrings(moved)))


def _same(one: Floats, other: Floats) -> bool:
    """Every vertex of each within a tenth of a mm of the other's."""
    return one.shape == other.shape and bool(np.abs(one - other).max(initial=0.0) <= ALIKE_MM)


def _place(runner: Runner, box: Box) -> str:
    """Where a template goes: the whole runner, the block that holds its middle, or its distance
    along the runner."""
    is_whole = box[2] - box[0] > 0.8 * runner.length_mm
    if is_whole and len(runner.blocks) > 1:
        return say("whole runner")
    middle = shapely.Point((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    for block in runner.blocks:
        if block.shape.covers(middle):
            return block.name
    if is_whole:
        return say("whole runner")
    return say("{far} from the left end", far=both_units(middle.x - runner.outline.bounds[0]))


def _name(lines: Lines, chosen: NDArray[np.intp]) -> str:
    layers = [lines.layers[index] for index in distinct(lines.layer[chosen]).tolist()]
    return ", ".join(dict.fromkeys(map(layer_words, layers)))


def repeat_along(geometry: NDArray[np.object_]) -> float | None:
    """The least distance along x by which the lines, moved, fall on themselves; None without one.

    Judged by its vertices, to a tenth of a mm, everywhere but near the pattern's ends.
    """
    points = shapely.get_coordinates(geometry)
    low, high = float(points[:, 0].min()), float(points[:, 0].max())
    if high - low < FEWEST * LEAST_MM + 2 * EDGE_MM:
        return None
    vertices, drawn = _Lattice(points), _segments(geometry)
    for shift in _trials(points, low, high):
        inner = (points[:, 0] > low + EDGE_MM) & (points[:, 0] < high - EDGE_MM - shift)
        moved = points[inner] + np.array([shift, 0.0])
        few = moved[:: max(1, len(moved) // SAMPLES)]
        if len(few) and np.mean(vertices.near(few)) > MOSTLY:
            missed = moved[~vertices.near(moved)]
            if len(missed) < (1 - MOSTLY) * len(moved) and _on_lines(missed, drawn):
                return shift
    return None


def _segments(geometry: NDArray[np.object_]) -> shapely.STRtree:
    """The lines in short straight parts, which a tree tells apart well."""
    points, index = shapely.get_coordinates(geometry, return_index=True)
    pairs = np.stack([points[:-1], points[1:]], axis=1)[np.diff(index) == 0]
    return shapely.STRtree(shapely.linestrings(pairs))


def _on_lines(points: Points, drawn: shapely.STRtree) -> bool:
    """Whether every point lies on a line: near its ends a curve may be divided another way."""
    found, _ = drawn.query(shapely.points(points), predicate="dwithin", distance=SAME_MM)
    return len(distinct(found)) == len(points)


def _trials(points: Points, low: float, high: float) -> list[float]:
    """Distances from one inner vertex to those at its own height, the least first."""
    inner = points[points[:, 0] > low + 0.3 * (high - low)]
    if not len(inner):
        return []
    pivot = inner[np.lexsort((inner[:, 1], inner[:, 0]))[0]]
    level = points[np.abs(points[:, 1] - pivot[1]) < SAME_MM / 2, 0] - pivot[0]
    fits = (level >= LEAST_MM) & (level <= (high - low) / FEWEST)
    return distinct(np.round(level[fits], 3))[:MOST_TRIALS].tolist()


class _Lattice:
    """The vertices on a grid of a tenth of a mm, to ask whether there is one near a point."""

    def __init__(self, points: Points) -> None:
        self.keys = distinct(_keys(points))

    def near(self, asked: Points) -> NDArray[np.bool_]:
        """(n,) whether each point has a vertex in its own cell of the grid or beside it."""
        found = np.zeros(len(asked), dtype=np.bool_)
        for x in (-SAME_MM, 0.0, SAME_MM):
            for y in (-SAME_MM, 0.0, SAME_MM):
                wanted = _keys(asked + np.array([x, y]))
                at = np.minimum(np.searchsorted(self.keys, wanted), len(self.keys) - 1)
                found |= self.keys[at] == wanted
        return found


def _keys(points: Points) -> NDArray[np.int64]:
    cells = np.round(points / SAME_MM).astype(np.int64)
    return cells[:, 0] * 2**32 + cells[:, 1]
