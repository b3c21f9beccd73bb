"""Junctions on lines that may be retraced, so that a second pass can turn off at each of them."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

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
    crossing = _crossings(shapes, tree)
    track = np.concatenate([ending[0], crossing[0]])
    point = np.concatenate([ending[1], crossing[1]])
    at = shapely.line_locate_point(shapes[track], shapely.points(point))
    length = shapely.length(shapes[track])
    inner = (at > tolerance_mm) & (at < length - tolerance_mm)
    return cut(strands, tracks[track[inner]], at[inner], point[inner])


def _ends_on(
    strands: Strands, shapes: NDArray[np.object_], tree: shapely.STRtree, tolerance_mm: float
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Tracks and the ends of strands that lie on them."""
    ends = np.unique(strands.ends.reshape(-1, 2), axis=0)
    which, track = tree.query(
        shapely.points(ends), predicate="dwithin", distance=max(tolerance_mm, 1e-6)
    )
    return track.astype(np.intp), ends[which]


def _crossings(
    shapes: NDArray[np.object_], tree: shapely.STRtree
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Tracks and the points where they cross each other, each crossing once for either track."""
    one, two = tree.query(shapes, predicate="intersects")
    one, two = one[one < two], two[one < two]
    shared = shapely.intersection(shapes[one], shapes[two])
    point, pair = shapely.get_coordinates(shared, return_index=True)
    return np.concatenate([one[pair], two[pair]]).astype(np.intp), np.concatenate([point, point])
