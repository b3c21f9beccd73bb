"""Lines that nearly meet a seam: a miss of a millimetre or two looks like a mistake."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats, Geometries, distinct
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines

NEAR_MISS_MM = 3.0
"""Under about 1/8 in beside a seam reads as a slip of the hand (common practice)."""

HIT_MM = 0.3
"""A needle cannot be held nearer to a seam."""

SAME_WAY = 0.02
"""sine of the angle up to which two lines run alongside each other"""


@dataclass(frozen=True)
class Seams:
    """Seams and printed lines of the top, and the points where they cross.

    ``lines``      (k,) LineStrings, straight
    ``crossings``  (j, 2) mm, each once
    """

    lines: Geometries
    crossings: Floats

    @property
    def directions(self) -> Floats:
        """(k, 2) unit vectors."""
        return unit_vectors(self.lines)


@dataclass(frozen=True)
class NearMiss:
    """A quilting line that runs beside a seam, or past a crossing of seams, close but not on it."""

    line: int
    miss_mm: float
    at_mm: tuple[float, float]
    crossing: bool


def seams_of(runner: Runner) -> Seams:
    """Printed sashing lines and sewn seams of the runner."""
    drawn = [*runner.printed, *(seam.line for seam in runner.seams)]
    lines = np.empty(len(drawn), dtype=object)
    lines[:] = drawn
    return Seams(lines, _crossings(lines))


def unit_vectors(lines: Geometries) -> Floats:
    """(n, 2) directions from the first to the last point of each line."""
    first = shapely.get_coordinates(shapely.get_point(lines, 0))
    ahead = shapely.get_coordinates(shapely.get_point(lines, -1)) - first
    return ahead / np.hypot(*ahead.T)[:, None]


def _crossings(lines: Geometries) -> Floats:
    one, other = shapely.STRtree(lines).query(lines, predicate="intersects")
    once = one < other
    met = shapely.intersection(lines[one[once]], lines[other[once]])
    points = shapely.get_coordinates(met[shapely.get_type_id(met) == shapely.GeometryType.POINT])
    kept: Floats = distinct(np.round(points, 3), axis=0)
    return kept


def near_misses(
    lines: Lines, layers: Sequence[int], seams: Seams, near_mm: float = NEAR_MISS_MM
) -> tuple[NearMiss, ...]:
    """Near misses of the straight lines in ``layers``.

    A line that runs the way of a seam counts once for each seam it lies beside, unless it lies in
    the ditch of one; a slanting one counts once for each crossing that it passes.
    """
    straight = shapely.get_num_coordinates(lines.geometry) == 2
    chosen = np.flatnonzero(np.isin(lines.layer, list(layers)) & straight)
    drawn = lines.geometry[chosen]
    way = unit_vectors(drawn)
    beside = _pairs(drawn, seams.lines, near_mm)
    beside = beside.take(_alongside(way[beside.line], seams.directions[beside.other]))
    in_the_ditch = distinct(beside.line[beside.miss <= HIT_MM])
    beside = beside.take(~np.isin(beside.line, in_the_ditch))
    slanting = _alongside(way[:, None], seams.directions[None]).sum(axis=1) == 0
    passed = _pairs(drawn, shapely.points(seams.crossings), near_mm)
    passed = passed.take(slanting[passed.line] & (passed.miss > HIT_MM))
    found = [*_as_misses(beside, drawn, False), *_as_misses(passed, drawn, True)]
    return tuple(
        NearMiss(int(chosen[miss.line]), miss.miss_mm, miss.at_mm, miss.crossing) for miss in found
    )


@dataclass(frozen=True)
class _Pairs:
    """Lines and what they come near: parallel arrays."""

    line: NDArray[np.intp]
    other: NDArray[np.intp]
    miss: Floats
    shapes: Geometries

    def take(self, chosen: NDArray[np.bool_]) -> _Pairs:
        return _Pairs(self.line[chosen], self.other[chosen], self.miss[chosen], self.shapes)


def _pairs(drawn: Geometries, shapes: Geometries, near_mm: float) -> _Pairs:
    line, other = shapely.STRtree(shapes).query(drawn, predicate="dwithin", distance=near_mm)
    return _Pairs(line, other, shapely.distance(drawn[line], shapes[other]), shapes)


def _alongside(one: Floats, other: Floats) -> NDArray[np.bool_]:
    cross: Floats = one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]
    return np.abs(cross) < SAME_WAY


def _as_misses(pairs: _Pairs, drawn: Geometries, crossing: bool) -> list[NearMiss]:
    nearest = shapely.shortest_line(pairs.shapes[pairs.other], drawn[pairs.line])
    at = shapely.get_coordinates(shapely.get_point(nearest, 0))
    return [
        NearMiss(int(line), float(miss), (float(x), float(y)), crossing)
        for line, miss, (x, y) in zip(pairs.line, pairs.miss, at.tolist(), strict=True)
    ]
