"""The fewest vertices that keep polylines within a tolerance: exact, and for all lines at once.

A shortcut from one vertex to a later one is good where every vertex between lies within the
tolerance of it. The fewest vertices are a shortest path over good shortcuts (Imai and Iri,
"Computational-geometric methods for polygonal approximations of a curve", Computer Vision,
Graphics and Image Processing 36, 1986). A segment comes that near to a vertex if the rays from
both of its ends do, and the rays from one vertex that come near to all of the next ones fill a
wedge that only gets narrower (Chan and Chin, "Approximation of polygonal curves with minimum
number of line segments or minimum error", International Journal of Computational Geometry and
Applications 6, 1996). So shortcuts over 1, 2, 3, ... vertices are tried for all starts together,
until every wedge is closed.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats

ROUNDING = 1e-9
"""Radians and millimetres: as much as rounding may add."""

_Indices = NDArray[np.intp]


def simplify_polylines(points: Floats, start: _Indices, tolerance_mm: float) -> NDArray[np.bool_]:
    """(n,) which of (n, 2) ``points`` to keep; line k is ``points[start[k]:start[k + 1]]``.

    Both ends of each line stay. No line of fewer of its own vertices is within the tolerance of all
    the others. Work is in line with the vertices of curves times their longest good shortcut;
    straight stretches between corners cost nothing.
    """
    stops = np.flatnonzero(_sure(points, start, tolerance_mm))
    side = np.zeros(len(points), dtype=bool)
    side[stops] = True
    stretch = np.cumsum(side) - 1
    direct = _direct(points, stops, stretch, tolerance_mm)
    within_line = np.ones(len(points), dtype=bool)
    within_line[start[1:] - 1] = False
    straight = stops[:-1][direct & within_line[stops[:-1]]]
    found = [(straight, stops[stretch[straight] + 1])]
    winding = within_line & ~np.append(direct, True)[stretch]
    for step, begin in _shortcuts(points, tolerance_mm, winding):
        found.append((begin, begin + step))
    return _on_shortest_paths(start, *(np.concatenate(part) for part in zip(*found, strict=True)))


def _sure(points: Floats, start: _Indices, tolerance_mm: float) -> NDArray[np.bool_]:
    """(n,) vertices that stay in any case: the ends of lines, and plain corners.

    A shortcut over a vertex comes near to its two neighbours as well, so the triangle of the three
    fits between parallels two tolerances apart. Where its least height is more, there is none.
    """
    sure = np.zeros(len(points), dtype=bool)
    before, after = points[1:-1] - points[:-2], points[2:] - points[1:-1]
    area = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    sides = [np.hypot(*way.T) for way in (before, after, points[2:] - points[:-2])]
    longest = np.max(sides, axis=0) if len(points) > 2 else np.zeros(0)
    sure[1:-1] = area > (2 * tolerance_mm + ROUNDING) * longest
    sure[start[:-1]] = sure[start[1:] - 1] = True
    return sure


def _direct(
    points: Floats, stops: _Indices, stretch: _Indices, tolerance_mm: float
) -> NDArray[np.bool_]:
    """(stops - 1,) stretches all of whose vertices are near the segment from end to end."""
    if len(stops) < 2:
        return np.zeros(0, dtype=bool)
    own = np.minimum(stretch, len(stops) - 2)
    first, way = points[stops[own]], points[stops[own + 1]] - points[stops[own]]
    size = (way**2).sum(axis=1)
    share = ((points - first) * way).sum(axis=1) / np.where(size > 0, size, 1.0)
    foot = first + np.clip(share, 0.0, 1.0)[:, None] * way
    away = np.hypot(*(points - foot).T)
    near: NDArray[np.bool_] = np.maximum.reduceat(away, stops[:-1]) <= tolerance_mm + ROUNDING
    return near


def _shortcuts(
    points: Floats, tolerance_mm: float, passable: NDArray[np.bool_]
) -> Iterator[tuple[int, _Indices]]:
    """How many vertices on, and from which ones, shortcuts are good.

    ``passable`` (n,) says whether the side from a vertex to the next one is looked at.
    """
    onwards, back = _Wedges(points, tolerance_mm), _Wedges(points, tolerance_mm)
    begin = np.flatnonzero(passable)
    end = begin + 1
    step = 1
    while len(begin) and len(end):
        both = begin[back.open[begin + step]]
        good = onwards.hold(both, both + step) & back.hold(both + step, both)
        if good.any():
            yield step, both[good]
        onwards.narrow(begin, begin + step)
        back.narrow(end, end - step)
        begin = begin[onwards.open[begin] & passable[begin + step]]
        end = end[back.open[end] & (end > step)]
        end = end[passable[end - step - 1]]
        step += 1


class _Wedges:
    """From each vertex, the directions that come within the tolerance of all vertices seen."""

    def __init__(self, points: Floats, tolerance_mm: float) -> None:
        self._points, self._tolerance = points, tolerance_mm
        self._axis = np.zeros((len(points), 2))
        self._low = np.full(len(points), -np.inf)
        self._high = np.full(len(points), np.inf)
        self.open = np.ones(len(points), dtype=bool)

    def hold(self, apex: _Indices, other: _Indices) -> NDArray[np.bool_]:
        """Whether the direction from each apex to the other vertex lies in its wedge."""
        _, turn = self._seen(apex, other)
        free = np.isinf(self._low[apex])
        within = (turn >= self._low[apex] - ROUNDING) & (turn <= self._high[apex] + ROUNDING)
        return self.open[apex] & (free | within)

    def narrow(self, apex: _Indices, other: _Indices) -> None:
        """Keep only directions that also come near the other vertex; a near one hinders none."""
        away, _ = self._seen(apex, other)
        hinders = away > self._tolerance
        apex, other, away = apex[hinders], other[hinders], away[hinders]
        first = np.isinf(self._low[apex])
        axis = (self._points[other] - self._points[apex]) / away[:, None]
        self._axis[apex[first]] = axis[first]
        half = np.arcsin(np.minimum(self._tolerance / away, 1.0))
        _, turn = self._seen(apex, other)
        self._low[apex] = np.maximum(self._low[apex], turn - half)
        self._high[apex] = np.minimum(self._high[apex], turn + half)
        self.open[apex] = self._low[apex] <= self._high[apex] + 2 * ROUNDING

    def _seen(self, apex: _Indices, other: _Indices) -> tuple[Floats, Floats]:
        """Distance, and turn from the wedge's axis; a vertex on the apex lies in no direction."""
        way, axis = self._points[other] - self._points[apex], self._axis[apex]
        away = np.hypot(way[:, 0], way[:, 1])
        cross = axis[:, 0] * way[:, 1] - axis[:, 1] * way[:, 0]
        turn = np.arctan2(cross, (axis * way).sum(axis=1))
        return away, np.where(away > ROUNDING, turn, np.inf)


def _on_shortest_paths(start: _Indices, begin: _Indices, end: _Indices) -> NDArray[np.bool_]:
    """(n,) vertices on a path with the fewest shortcuts from the start of each line to its end.

    All lines are followed together, one shortcut further at a time.
    """
    count = int(start[-1])
    order = np.lexsort((end, begin))
    begin, end = begin[order], end[order]
    offset = np.searchsorted(begin, np.arange(count + 1))
    parent = np.full(count, -1, dtype=np.intp)
    front = start[:-1]
    while len(front):
        number = offset[front + 1] - offset[front]
        source = np.repeat(front, number)
        place = np.arange(len(source)) - np.repeat(np.cumsum(number) - number, number)
        target = end[offset[source] + place]
        fresh = parent[target] < 0
        target, first = np.unique(target[fresh], return_index=True)
        parent[target] = source[fresh][first]
        front = target
    kept = np.zeros(count, dtype=bool)
    at = start[1:] - 1
    while len(at):
        kept[at] = True
        at = parent[at]
        at = at[at >= 0]
    return kept
