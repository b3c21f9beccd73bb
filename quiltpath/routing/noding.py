"""Junctions on lines that may be retraced, so that a second pass can turn off at each of them."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.distinct import distinct
from quiltpath.routing.strands import Strands, cut


def noded_for_retracing(
    strands: Strands, retraceable: NDArray[np.bool_], tolerance_mm: float
) -> Strands:
    """The strands, those that may be retraced cut where others end on them or cross them.

    ``retraceable`` (s,). Only crossings of two retraceable strands count, and ends of any strand:
    over all else the needle goes straight on.
    """
    tracks = np.flatnonzero(retraceable)
    if not len(tracks):
        return strands
    shapes = strands.shapes()[tracks]
    tree = shapely.STRtree(shapes)
    ending = _ends_on(strands, shapes, tree, tolerance_mm)
    crossing = _crossings(strands.take(tracks), shapes, tree)
    track = np.concatenate([ending[0], crossing[0]])
    point = np.concatenate([ending[1], crossing[1]])
    at = shapely.line_locate_point(shapes[track], shapely.points(point))
    length = shapely.length(shapes[track])
    inner = (at > tolerance_mm) & (at < length - tolerance_mm)
    return cut(strands, tracks[track[inner]], at[inner], point[inner])


def noded_in_margin(strands: Strands, finished: Polygon, margin_mm: float) -> Strands:
    """The strands, those that go farther into the margin than they end in it cut there once.

    Lines that end in the margin have their node there; a ring that overhangs the edge has none,
    and without a cut nothing would tie it to the way along the margin. The cut is at the vertex
    that lies farthest out in the margin, or else half way across it.
    """
    if not len(strands) or margin_mm <= 0:
        return strands
    owner = np.repeat(np.arange(len(strands)), np.diff(strands.start))
    away = shapely.distance(finished, shapely.points(strands.coordinates))
    beyond = np.maximum.reduceat(away, strands.start[:-1]) > margin_mm
    away[away > margin_mm] = 0.0
    farthest = np.maximum.reduceat(away, strands.start[:-1])
    ending = np.maximum(away[strands.start[:-1]], away[strands.start[1:] - 1])
    vertex = np.flatnonzero(
        (away == farthest[owner]) & ((farthest > 0) & (ending < farthest))[owner]
    )
    vertex = vertex[np.unique(owner[vertex], return_index=True)[1]]
    along = strands.along_mm
    at = along[vertex] - along[strands.start[owner[vertex]]]
    across, where, spot = _half_way(
        strands, np.flatnonzero(beyond & (farthest <= 0)), finished, margin_mm
    )
    return cut(
        strands,
        np.concatenate([owner[vertex], across]),
        np.concatenate([at, where]),
        np.concatenate([strands.coordinates[vertex], spot]),
    )


def _half_way(
    strands: Strands, chosen: NDArray[np.intp], finished: Polygon, margin_mm: float
) -> tuple[NDArray[np.intp], NDArray[np.float64], NDArray[np.float64]]:
    """Strands that cross the middle of the margin, and where: arc length and point."""
    shapes = strands.shapes()[chosen]
    shared = shapely.intersection(shapes, finished.buffer(margin_mm / 2).exterior)
    point, which = shapely.get_coordinates(shared, return_index=True)
    which, first = np.unique(which, return_index=True)
    at = shapely.line_locate_point(shapes[which], shapely.points(point[first]))
    return chosen[which], at, point[first]


def _ends_on(
    strands: Strands, shapes: NDArray[np.object_], tree: shapely.STRtree, tolerance_mm: float
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Tracks and the ends of strands that lie on them."""
    ends = distinct(strands.ends.reshape(-1, 2), axis=0)
    which, track = tree.query(
        shapely.points(ends), predicate="dwithin", distance=max(tolerance_mm, 1e-6)
    )
    return track.astype(np.intp), ends[which]


def _crossings(
    tracks: Strands, shapes: NDArray[np.object_], tree: shapely.STRtree
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Tracks and the points where they cross each other, each crossing once for either track.

    Two straight tracks that share an end cannot meet again, so those are passed over.
    """
    one, two = tree.query(shapes, predicate="intersects")
    one, two = one[one < two], two[one < two]
    node = tracks.nodes()
    straight = np.diff(tracks.start) == 2
    shared = (node[one][:, :, None] == node[two][:, None, :]).any(axis=(1, 2))
    open_pair = ~(shared & straight[one] & straight[two])
    one, two = one[open_pair], two[open_pair]
    meeting = shapely.intersection(shapes[one], shapes[two])
    point, pair = shapely.get_coordinates(meeting, return_index=True)
    return np.concatenate([one[pair], two[pair]]).astype(np.intp), np.concatenate([point, point])
