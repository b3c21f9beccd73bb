"""The area that closed paths fill by SVG's two fill rules, and how often drawn lines cross.

Crossings are estimated before anything is cut at them: a scribble could fill the memory.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.arrays import Points

AT_ONCE = 2_000_000
"""Pairs of a point and an edge that are judged in one go, to bound the memory."""

SAMPLE = 128
LONGEST = 3
"""So many of the sample are left out: an edge round the whole meets much that does not meet."""


def fill_rings(rings: Sequence[Points], rule: str) -> BaseGeometry:
    """Union of the faces that ``rings`` fill under ``"nonzero"`` or ``"evenodd"``.

    Rings are (n, 2), closed. Faces are cut out by all rings together and each is judged by the
    winding number of a point inside it (SVG 2, section 13.4.2, fill-rule; from memory). Rings
    that do not cross themselves are asked through a spatial index: n log n in the rings.
    """
    if not rings:
        return Polygon()
    shapes = np.array([Polygon(ring) for ring in rings], dtype=object)
    simple = shapely.is_valid(shapes)
    if len(rings) == 1 and simple[0]:
        return shapes[0]
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(_cut_at_nodes(rings))))
    inside = shapely.point_on_surface(faces)
    number = _nesting(inside, shapes[simple])
    for ring in itertools.compress(rings, ~simple):
        number += winding_number(shapely.get_coordinates(inside), ring)
    chosen = number % 2 != 0 if rule == "evenodd" else number != 0
    return shapely.union_all(faces[chosen])


def _cut_at_nodes(rings: Sequence[Points]) -> BaseGeometry:
    """All edges, cut where they meet."""
    return shapely.union_all([shapely.linestrings(ring) for ring in rings])


def _nesting(points: NDArray[np.object_], shapes: NDArray[np.object_]) -> NDArray[np.int64]:
    """(n,) rings around each point, clockwise ones taken off."""
    if not len(shapes) or not len(points):
        return np.zeros(len(points), dtype=np.int64)
    sign = np.where(shapely.is_ccw(shapely.get_exterior_ring(shapes)), 1, -1)
    point, shape = shapely.STRtree(shapes).query(points, predicate="within")
    return np.bincount(point, weights=sign[shape], minlength=len(points)).astype(np.int64)


def winding_number(points: Points, ring: Points) -> NDArray[np.int64]:
    """(n,) times that the closed ``ring`` goes round each of (n, 2) points, anticlockwise."""
    size = max(AT_ONCE // len(ring), 1)
    parts = [_winding(points[i : i + size], ring) for i in range(0, len(points), size)]
    return np.concatenate([np.zeros(0, dtype=np.int64), *parts])


def _winding(points: Points, ring: Points) -> NDArray[np.int64]:
    x, y = points[:, :1], points[:, 1:]
    (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
    left = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)
    up = (y0 <= y) & (y1 > y) & (left > 0)
    down = (y0 > y) & (y1 <= y) & (left < 0)
    return up.sum(axis=1) - down.sum(axis=1)


def estimated_crossings(lines: NDArray[np.object_]) -> float:
    """Crossings among all segments of ``lines``, from evenly spaced samples of them.

    A scribble of n segments can cross itself n squared / 2 times, and cutting it there takes
    that much memory. n log n in the segments, plus the sample's own crossings.
    """
    points, line = shapely.get_coordinates(lines, return_index=True)
    within = line[1:] == line[:-1]
    ends = np.stack([points[:-1][within], points[1:][within]], axis=1)
    segments = shapely.linestrings(ends)
    if len(segments) < 3:
        return 0.0
    chosen = segments[:: max(len(segments) // SAMPLE, 1)]
    found = shapely.STRtree(segments).query(chosen, predicate="intersects")
    # Each segment meets itself and its two neighbours.
    crossing = np.maximum(np.bincount(found[0], minlength=len(chosen)) - 3, 0)
    usual = np.sort(crossing)[:-LONGEST]
    return float(usual.mean() * len(segments) / 2) if len(usual) else 0.0
