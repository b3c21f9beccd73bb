"""The wadding margin as a way round: thread may run there, to be trimmed off with the wadding."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LinearRing, Polygon

from quiltpath.distinct import distinct
from quiltpath.routing.assembly import EDGE_MM
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.strands import Strands, cut

LEAST_DEPTH_MM = 3.0
SAME_MM = 1e-3


def margin_strands(
    points: NDArray[np.float64], finished: Polygon, margin_mm: float
) -> tuple[Strands, Strands] | None:
    """Ways along the margin between those of (n, 2) ``points`` that lie in it, where two do.

    Returns the pieces of the track in their order round it, and the stubs from the points to it.

    The track is the boundary of ``finished`` grown by the usual overrun of the lines, so never
    over the finished cloth and never beyond ``margin_mm``. Each end in the margin is tied to it by
    the shortest stub; an end whose stub would cross the cloth (deep in a notch) takes no part.
    """
    points = distinct(points, axis=0)
    spots = shapely.points(points)
    away = shapely.distance(finished, spots)
    limit = np.where(away > 0, margin_mm, 0.0) + EDGE_MM
    outside = shapely.distance(finished.boundary, spots) <= limit
    if margin_mm < LEAST_DEPTH_MM or np.count_nonzero(outside) < 2:
        return None
    track = _track(finished, away[outside], margin_mm)
    points, spots = points[outside], spots[outside]
    at = shapely.line_locate_point(track, spots)
    foot = shapely.get_coordinates(shapely.line_interpolate_point(track, at))
    foot = np.where(np.hypot(*(foot - points).T)[:, None] <= SAME_MM, points, foot)
    clear = _clear_of(finished, points, foot)
    return _ring_and_stubs(track, points[clear], foot[clear], at[clear])


def _track(finished: Polygon, away: NDArray[np.float64], margin_mm: float) -> LinearRing:
    """The outline's offset at the depth at which most lines end, or half way out."""
    depth = float(np.median(away))
    depth = margin_mm / 2 if depth < LEAST_DEPTH_MM else min(depth, margin_mm)
    return shapely.force_2d(finished.buffer(depth, quad_segs=16).exterior)


def _clear_of(
    finished: Polygon, points: NDArray[np.float64], foot: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """(n,) whether the straight stub from each point to its foot stays off the finished cloth."""
    stubs = shapely.linestrings(np.stack([points, foot], axis=1))
    cloth = finished.buffer(-2 * EDGE_MM)
    shapely.prepare(cloth)
    return ~shapely.intersects(cloth, stubs)


def _ring_and_stubs(
    track: LinearRing,
    points: NDArray[np.float64],
    foot: NDArray[np.float64],
    at: NDArray[np.float64],
) -> tuple[Strands, Strands] | None:
    """The track cut at the feet, beginning at the first, with the stubs after it."""
    if len(points) < 2:
        return None
    order = np.argsort(at, kind="stable")
    points, foot, at = points[order], foot[order], at[order]
    first = np.ones(len(at), dtype=bool)
    first[1:] = np.diff(at) > SAME_MM
    foot = foot[np.flatnonzero(first)[np.cumsum(first) - 1]]
    ring = _ring_from(track, foot[first], at[first])
    apart = (points != foot).any(axis=1)
    ends = np.stack([points[apart], foot[apart]], axis=1)
    return ring, _strands(ends.reshape(-1, 2), np.full(len(ends), 2))


def _ring_from(track: LinearRing, foot: NDArray[np.float64], at: NDArray[np.float64]) -> Strands:
    """The ring as one closed strand from the first foot, cut at the others."""
    vertices = shapely.get_coordinates(track)
    inner = vertices[1:-1]
    after = np.cumsum(np.hypot(*np.diff(vertices, axis=0).T))[:-1] > at[0]
    rest = [inner[after], vertices[:1], inner[~after]]
    closed = np.concatenate([foot[:1], *rest, foot[:1]])
    repeats = np.concatenate([[False], (np.diff(closed, axis=0) == 0).all(axis=1)])
    ring = _strands(closed[~repeats], np.array([np.count_nonzero(~repeats)]))
    return cut(ring, np.zeros(len(at) - 1, dtype=np.intp), at[1:] - at[0], foot[1:])


def _strands(coordinates: NDArray[np.float64], count: NDArray[np.intp]) -> Strands:
    start = np.concatenate([[0], np.cumsum(count)]).astype(np.intp)
    line = np.full(len(count), -1, dtype=np.int32)
    return Strands(coordinates, start, line, np.full(len(count), PieceKind.MARGIN, dtype=np.int8))
