"""What to count before the piece is unloaded, so that a patch left out is noticed in time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box

from quiltpath.geometry.arrays import Floats, distinct
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines
from quiltpath.stitching import PointKind, Stitches

SECTION_MM = 400.0
"""About what is seen at once under a frame's throat."""

COUNTED_MM = 3.0
"""A line with less than a stitch of itself in a place is not counted there."""

STRAIGHT_MM = 0.01
"""Needle points this near a straight line are left out before crossings are sought."""

GRID_MM = 0.001

MOST_VERTICES = 60_000
"""Crossings of a drawing finer than this are not counted: nobody would."""


def find_crossings(geometry: NDArray[np.object_]) -> Floats:
    """(k, 2) points where stitched lines cross: four ways or more lead away from them."""
    # On a grid: without one, lines that nearly lie on each other may never come apart.
    noded = shapely.get_parts(shapely.union_all(geometry, grid_size=GRID_MM))
    ends = [shapely.get_coordinates(shapely.get_point(noded, end)) for end in (0, -1)]
    points, ways = np.unique(np.concatenate(ends), axis=0, return_counts=True)
    crossed: Floats = points[ways >= 4]
    return crossed


@dataclass(frozen=True)
class ToCount:
    """One place with the lines that run through it and the points where lines cross in it.

    ``crossings`` is None where there are too many lines to count them.
    """

    place: str
    lines: int
    crossings: int | None


def count_lines_and_crossings(runner: Runner, lines: Lines) -> tuple[ToCount, ...]:
    """Lines and crossings in each block, or in each section of a runner without blocks."""
    named = places_of(runner)
    shapes = np.empty(len(named), dtype=object)
    shapes[:] = [shape for _, shape in named]
    count = _lines_in(lines, shapes)
    crossings = _crossings_in(lines, shapes)
    return tuple(
        ToCount(name, int(count[i]), None if crossings is None else int(crossings[i]))
        for i, (name, _) in enumerate(named)
    )


def places_of(runner: Runner) -> list[tuple[str, Polygon]]:
    """The blocks, or even sections along a runner that has none."""
    if runner.blocks:
        return [(block.name, block.shape) for block in runner.blocks]
    low, below, high, above = runner.outline.bounds
    number = max(1, round((high - low) / SECTION_MM))
    ends = np.linspace(low, high, number + 1)
    return [
        (f"section {i + 1} from the left", box(ends[i], below, ends[i + 1], above))
        for i in range(number)
    ]


def _lines_in(lines: Lines, shapes: NDArray[np.object_]) -> NDArray[np.intp]:
    shapely.prepare(shapes)
    place, line = shapely.STRtree(lines.geometry).query(shapes, predicate="intersects")
    inside = shapely.length(lines.geometry[line])
    cut = np.flatnonzero(~shapely.covers(shapes[place], lines.geometry[line]))
    inside[cut] = shapely.length(
        shapely.intersection(lines.geometry[line[cut]], shapes[place[cut]])
    )
    return np.bincount(place[inside >= COUNTED_MM], minlength=len(shapes))


def _crossings_in(lines: Lines, shapes: NDArray[np.object_]) -> NDArray[np.intp] | None:
    if shapely.get_num_coordinates(lines.geometry).sum() > MOST_VERTICES:
        return None
    points = find_crossings(lines.geometry)
    tree = shapely.STRtree(shapely.points(points))
    place, _ = tree.query(shapes, predicate="contains")
    return np.bincount(place, minlength=len(shapes))


def count_in_part(name: str, stitches: Stitches) -> ToCount:
    """Lines and crossings of what one part of a machine's work sews by itself."""
    sewn = (stitches.stretch >= 0) | (stitches.kind == PointKind.SECURING)
    line = stitches.line[sewn & (stitches.line >= 0)]
    holes = stitches.hole_indices
    ends = np.flatnonzero(np.diff(stitches.run[holes])) + 1
    paths = [part for part in np.split(stitches.points[holes], ends) if len(part) > 1]
    straightened = shapely.simplify([shapely.linestrings(path) for path in paths], STRAIGHT_MM)
    return ToCount(name, len(distinct(line)), len(find_crossings(straightened)))
