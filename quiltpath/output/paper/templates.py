"""Which lines are marked together with one template, and how often it is used."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quiltpath.distinct import distinct
from quiltpath.output.paper.choice import Marking
from quiltpath.output.paper.repeats import repeat_along
from quiltpath.quilting.lines import Lines as QuiltingLines
from quiltpath.runner.runner import Runner

Box = tuple[float, float, float, float]

JOINED_MM = 4.0
"""Lines whose boxes come nearer than this are marked with one template."""

ALIKE_MM = 0.1
LONG_MM = 250.0
"""A template longer than this is searched for a repeat."""

REPEATS_MM = 180.0
"""As many repeats as fit into this go on one template: about an A4 or Letter page."""


@dataclass(frozen=True)
class Template:
    """Lines that are marked together, the same in every one of ``places``.

    ``chosen`` (k,) indices of the lines as they lie at the first place; ``box`` around them, mm;
    ``centres`` where the middle of the lines lies at each place. Where the lines repeat along the
    runner, ``window`` is the part that is printed and moved on.
    """

    name: str
    chosen: NDArray[np.intp]
    box: Box
    places: tuple[str, ...]
    centres: tuple[tuple[float, float], ...]
    window: Box | None = None


def templates(
    runner: Runner, lines: QuiltingLines, ways: Iterable[Marking]
) -> tuple[Template, ...]:
    """The templates for everything that the markings leave to templates."""
    chosen = np.concatenate([np.zeros(0, dtype=np.intp), *(way.templated for way in ways)])
    motifs = [shapely.box(*motif.shape.bounds) for motif in runner.motifs]
    clusters = _clusters(lines.geometry, chosen.astype(np.intp), motifs)
    return tuple(_with_repeat(lines, found) for found in _alike(runner, lines, clusters))


def _with_repeat(lines: QuiltingLines, whole: Template) -> Template:
    """The template cut down to its repeats, where it is long and has one."""
    x0, y0, x1, y1 = whole.box
    repeat = repeat_along(lines.geometry[whole.chosen]) if x1 - x0 > LONG_MM else None
    if repeat is None:
        return whole
    step = repeat * max(1, int(REPEATS_MM // repeat))
    middle = (x0 + x1) / 2
    window = (middle - step / 2, y0, middle + step / 2, y1)
    times = math.ceil((x1 - x0) / step - 1e-6)
    places = tuple(f"{place}, {times} times along" for place in whole.places)
    return replace(whole, box=window, places=places, window=window)


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
    groups = [chosen[distinct(line[cluster == number])] for number in range(len(joined))]
    return sorted(groups, key=lambda g: tuple(shapely.total_bounds(geometry[g]).tolist()))


def _grown(by: float) -> NDArray[np.float64]:
    return np.array([-by, -by, by, by])


def _alike(
    runner: Runner, lines: QuiltingLines, clusters: Sequence[NDArray[np.intp]]
) -> list[Template]:
    """Clusters that are moved copies of one another, once with all their places."""
    kept: list[tuple[NDArray[np.float64], Template]] = []
    for chosen in clusters:
        box = _box(lines.geometry[chosen])
        shape = _at_origin(lines, chosen, box)
        place, centre = _place(runner, box), ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        for number, (known, template) in enumerate(kept):
            if _same(known, shape):
                more = (*template.places, place), (*template.centres, centre)
                kept[number] = known, Template(template.name, template.chosen, template.box, *more)
                break
        else:
            name = _name(lines, chosen)
            kept.append((shape, Template(name, chosen, box, (place,), (centre,))))
    return [template for _, template in kept]


def _box(geometry: NDArray[np.object_]) -> Box:
    x0, y0, x1, y1 = shapely.total_bounds(geometry).tolist()
    return x0, y0, x1, y1


def _at_origin(lines: QuiltingLines, chosen: NDArray[np.intp], box: Box) -> NDArray[np.float64]:
    """(n, 2) vertices moved to the origin, in an order that depends on the shapes alone."""
    moved = shapely.transform(
        lines.geometry[chosen], lambda points: np.round(points - box[:2], 2) + 0.0
    )
    return shapely.get_coordinates(shapely.normalize(shapely.multilinestrings(moved)))


def _same(one: NDArray[np.float64], other: NDArray[np.float64]) -> bool:
    """Every vertex of each within a tenth of a mm of the other's."""
    return one.shape == other.shape and bool(np.abs(one - other).max(initial=0.0) <= ALIKE_MM)


def _place(runner: Runner, box: Box) -> str:
    """Where a template goes: the block that holds its middle, or its distance along the runner."""
    middle = shapely.Point((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    for block in runner.blocks:
        if block.shape.covers(middle):
            return block.name
    if box[2] - box[0] > 0.8 * runner.length_mm:
        return "whole runner"
    return f"{middle.x - runner.outline.bounds[0]:.0f} mm from the left end"


def _name(lines: QuiltingLines, chosen: NDArray[np.intp]) -> str:
    layers = [lines.layers[index] for index in distinct(lines.layer[chosen]).tolist()]
    return ", ".join(dict.fromkeys(layers))
