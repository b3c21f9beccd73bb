"""The area that closed paths fill, by SVG's two fill rules."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

Points = NDArray[np.float64]


def filled(rings: Sequence[Points], rule: str) -> BaseGeometry:
    """Union of the faces that ``rings`` fill under ``"nonzero"`` or ``"evenodd"``.

    Rings are (n, 2), closed. Faces are cut out by all rings together and each is judged by the
    winding number of a point inside it (SVG 2, section 13.4.2, fill-rule; from memory).
    """
    if not rings:
        return Polygon()
    edges = shapely.union_all([shapely.linestrings(ring) for ring in rings])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(edges)))
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    number = np.sum([winding_number(inside, ring) for ring in rings], axis=0)
    chosen = number % 2 != 0 if rule == "evenodd" else number != 0
    return shapely.union_all(faces[chosen])


def winding_number(points: Points, ring: Points) -> NDArray[np.int64]:
    """(n,) times that the closed ``ring`` goes round each of (n, 2) points, anticlockwise."""
    x, y = points[:, :1], points[:, 1:]
    (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
    left = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)
    up = (y0 <= y) & (y1 > y) & (left > 0)
    down = (y0 > y) & (y1 <= y) & (left < 0)
    return up.sum(axis=1) - down.sum(axis=1)
