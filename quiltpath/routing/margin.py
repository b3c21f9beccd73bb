"""The wadding margin as optional edges: thread may run there, to be trimmed off with the wadding.

Common practice: the quilter turns round in the wadding beyond the edge and comes back on the next
line without cutting the thread. ``margin_edges`` offers the curve to the postman; where the policy
fixes the order of runs, ``join_along_margin`` joins those that follow one another. O(n log n) in
the number of line ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LinearRing, Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.edges import Edges, concatenate_edges, cut_edges
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.nodes import nodes_of
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import EDGE_MM, PieceKind

LEAST_DEPTH_MM = 3.0
UNDER_BINDING_MM = 6.35
"""Ends no farther inside than this, 1/4 in, are run out over the edge: a binding is sewn
there at least and covers the stitches (common practice: 1/4 to 1/2 in)."""
SAME_MM = 1e-3


def margin_edges(
    points: NDArray[np.float64], finished: Polygon, margin_mm: float
) -> tuple[Edges, Edges] | None:
    """Edges along the margin between those of (n, 2) ``points`` that lie in it, where two do.

    Returns the parts of the curve in their order round it, and the stubs from the points to it.

    The curve is the boundary of ``finished`` grown by the usual overrun of the lines, so never
    over the finished cloth and never beyond ``margin_mm``. Each end in the margin is tied to it by
    the shortest stub; an end whose stub would cross the cloth (deep in a notch) takes no part.
    """
    points = distinct(points, axis=0)
    away, outside = _in_the_margin(points, finished, margin_mm)
    depth = _depth(away[outside], margin_mm)
    outside |= shapely.distance(finished.boundary, shapely.points(points)) <= (
        np.where(away > 0, 0.0, UNDER_BINDING_MM) + EDGE_MM
    )
    if margin_mm < LEAST_DEPTH_MM or np.count_nonzero(outside) < 2:
        return None
    curve = shapely.force_2d(finished.buffer(depth, quad_segs=16).exterior)
    points = points[outside]
    spots = shapely.points(points)
    at = shapely.line_locate_point(curve, spots)
    foot = shapely.get_coordinates(shapely.line_interpolate_point(curve, at))
    foot = np.where(np.hypot(*(foot - points).T)[:, None] <= SAME_MM, points, foot)
    clear = _clear_of(finished, points, foot)
    return _ring_and_stubs(curve, points[clear], foot[clear], at[clear])


def margin_depth(points: NDArray[np.float64], finished: Polygon, margin_mm: float) -> float:
    """How far beyond the edge, in mm, the curve lies along which those of (n, 2) ``points`` that
    are in the margin are joined; 0 where no two are."""
    away, outside = _in_the_margin(distinct(points, axis=0), finished, margin_mm)
    if margin_mm < LEAST_DEPTH_MM or np.count_nonzero(outside) < 2:
        return 0.0
    return _depth(away[outside], margin_mm)


def _in_the_margin(
    points: NDArray[np.float64], finished: Polygon, margin_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """(n,) mm beyond the edge, and which of the points lie in the margin."""
    spots = shapely.points(points)
    away: NDArray[np.float64] = shapely.distance(finished, spots)
    limit = np.where(away > 0, margin_mm, 0.0) + EDGE_MM
    return away, shapely.distance(finished.boundary, spots) <= limit


def _depth(away: NDArray[np.float64], margin_mm: float) -> float:
    """The depth at which most lines end, or half the margin."""
    depth = float(np.median(away)) if len(away) else 0.0
    return margin_mm / 2 if depth < LEAST_DEPTH_MM else min(depth, margin_mm)


def _clear_of(
    finished: Polygon, points: NDArray[np.float64], foot: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """(n,) whether the straight stub from each point to its foot stays off the finished cloth, or
    leaves it at once, where the binding will lie."""
    stubs = shapely.linestrings(np.stack([points, foot], axis=1))
    cloth = finished.buffer(-2 * EDGE_MM)
    inside = shapely.contains_properly(cloth, shapely.points(points))
    shapely.prepare(cloth)
    clear: NDArray[np.bool_] = ~shapely.intersects(cloth, stubs)
    on_cloth = shapely.length(shapely.intersection(finished, stubs[inside]))
    clear[inside] = on_cloth <= UNDER_BINDING_MM + EDGE_MM
    return clear


def _ring_and_stubs(
    curve: LinearRing,
    points: NDArray[np.float64],
    foot: NDArray[np.float64],
    at: NDArray[np.float64],
) -> tuple[Edges, Edges] | None:
    """The curve cut at the feet, beginning at the first, with the stubs after it."""
    if len(points) < 2:
        return None
    order = np.argsort(at, kind="stable")
    points, foot, at = points[order], foot[order], at[order]
    first = np.ones(len(at), dtype=bool)
    first[1:] = np.diff(at) > SAME_MM
    foot = foot[np.flatnonzero(first)[np.cumsum(first) - 1]]
    ring = _ring_from(curve, foot[first], at[first])
    apart = (points != foot).any(axis=1)
    ends = np.stack([points[apart], foot[apart]], axis=1)
    return ring, _edges(ends.reshape(-1, 2), np.full(len(ends), 2))


def _ring_from(curve: LinearRing, foot: NDArray[np.float64], at: NDArray[np.float64]) -> Edges:
    """The ring as one closed edge from the first foot, cut at the others."""
    vertices = shapely.get_coordinates(curve)
    inner = vertices[1:-1]
    after = np.cumsum(np.hypot(*np.diff(vertices, axis=0).T))[:-1] > at[0]
    rest = [inner[after], vertices[:1], inner[~after]]
    closed = np.concatenate([foot[:1], *rest, foot[:1]])
    repeats = np.concatenate([[False], (np.diff(closed, axis=0) == 0).all(axis=1)])
    ring = _edges(closed[~repeats], np.array([np.count_nonzero(~repeats)]))
    return cut_edges(ring, np.zeros(len(at) - 1, dtype=np.intp), at[1:] - at[0], foot[1:])


def _edges(coordinates: NDArray[np.float64], count: NDArray[np.intp]) -> Edges:
    start = np.concatenate([[0], np.cumsum(count)]).astype(np.intp)
    line = np.full(len(count), -1, dtype=np.int32)
    return Edges(coordinates, start, line, np.full(len(count), PieceKind.MARGIN, dtype=np.int8))


def join_along_margin(
    edges: Edges,
    trails: Trails,
    key: NDArray[np.intp],
    policy: Policy,
    finished: Polygon,
    margin_mm: float,
) -> tuple[Edges, Trails, NDArray[np.intp]]:
    """The trails in the same order, neighbours made one where the margin joins them cheaply.

    A join is made where the end of one trail and the start of the next lie in the margin and the
    shorter way between them costs less than a jump, never between trails of different ``key`` (t,).
    The third value names the first of the trails in each of the new ones.
    """
    spots = edges.ends.reshape(-1, 2)
    first = spots[trails.half[trails.start[:-1]]]
    last = spots[trails.half[trails.start[1:] - 1] ^ 1]
    found = margin_edges(np.concatenate([first, last]), finished, margin_mm)
    if found is None:
        return edges, trails, np.arange(len(trails))
    ring = _margin_ring(found, np.concatenate([first, last]), 2 * len(edges))
    may_join = ~(trails.closed[:-1] | trails.closed[1:]) & (key[:-1] == key[1:])
    halves: list[int] = []
    start, closed, begun = [0], [], [0]
    for trail in range(len(trails)):
        halves += trails.half[trails.start[trail] : trails.start[trail + 1]].tolist()
        path = None
        if trail + 1 < len(trails) and may_join[trail]:
            path = ring.path(len(trails) + trail, trail + 1, policy)
        if path is None:
            start.append(len(halves))
            closed.append(trails.closed[trail])
            begun.append(trail + 1)
        else:
            halves += path
    longer = Trails(
        np.array(halves, dtype=np.intp),
        np.array(start, dtype=np.intp),
        np.array(closed, dtype=np.bool_),
    )
    return concatenate_edges([edges, *found]), longer, np.array(begun[:-1], dtype=np.intp)


@dataclass(frozen=True)
class _MarginRing:
    """The curve round the margin, and where (n,) points stand on it.

    ``foot`` (n,) place of each point on the curve or -1, ``stub`` (n,) half-edge from the point
    to it or -1, ``stub_mm`` (n,) its length, ``along`` (k + 1,) length round the curve, ``base``
    the first half-edge of the curve.
    """

    foot: NDArray[np.intp]
    stub: NDArray[np.intp]
    stub_mm: NDArray[np.float64]
    along: NDArray[np.float64]
    base: int

    def path(self, here: int, there: int, policy: Policy) -> list[int] | None:
        """Half-edges from one point to another the shorter way round, if that beats a jump."""
        a, b = int(self.foot[here]), int(self.foot[there])
        if a < 0 or b < 0:
            return None
        parts, total = len(self.along) - 1, float(self.along[-1])
        onward = float(self.along[b] - self.along[a]) % total
        length = min(onward, total - onward) + float(self.stub_mm[here] + self.stub_mm[there])
        if length * policy.margin_cost >= policy.jump_cost:
            return None
        if onward <= total - onward:
            round_it = [self.base + 2 * ((a + k) % parts) for k in range((b - a) % parts)]
        else:
            round_it = [self.base + 2 * ((a - k - 1) % parts) + 1 for k in range((a - b) % parts)]
        out = [int(self.stub[here])] if self.stub[here] >= 0 else []
        back = [int(self.stub[there]) ^ 1] if self.stub[there] >= 0 else []
        return out + round_it + back


def _margin_ring(found: tuple[Edges, Edges], points: NDArray[np.float64], base: int) -> _MarginRing:
    ring, stubs = found
    ends = np.concatenate([points, ring.ends.reshape(-1, 2), stubs.ends.reshape(-1, 2)])
    node = nodes_of(ends)
    of_point = node[: len(points)]
    of_ring = node[len(points) : len(points) + 2 * len(ring)].reshape(-1, 2)
    of_stub = node[len(points) + 2 * len(ring) :].reshape(-1, 2)
    place = np.full(int(node.max()) + 1, -1, dtype=np.intp)
    place[of_ring[:, 0]] = np.arange(len(ring))
    stub = np.full(len(place), -1, dtype=np.intp)
    stub[of_stub[:, 0]] = base + 2 * (len(ring) + np.arange(len(stubs)))
    length = np.zeros(len(place))
    length[of_stub[:, 0]] = stubs.length_mm
    place[of_stub[:, 0]] = place[of_stub[:, 1]]
    along = np.concatenate([[0.0], np.cumsum(ring.length_mm)])
    return _MarginRing(place[of_point], stub[of_point], length[of_point], along, base)
