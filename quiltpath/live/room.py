"""How far a motif may go before it reaches past the finished edge."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.runner import Runner

Numbers = NDArray[np.float64]
Room = tuple[float, float]

KEPT_MM = 25.4 / 32
"""Half a sixteenth of an inch: what writing the other measure down may move it by."""


def rooms(runner: Runner) -> list[tuple[Room, Room]]:
    """How far each motif of ``runner`` may move along x and along y, back and forth, in mm.

    Two shapes that move towards each other without turning meet first where a corner of one meets
    a side of the other, so the least way from corners to sides is exact for any outline.
    """
    edge = _corners(runner.outline)
    found = []
    for motif in runner.motifs:
        hull = motif.shape.convex_hull.buffer(KEPT_MM, join_style="mitre")
        corners = _corners(hull)
        found.append((_along(corners, edge), _along(corners[:, ::-1], edge[:, ::-1])))
    return found


def _corners(shape: Polygon) -> Numbers:
    return shapely.get_coordinates(shape.exterior)


def _along(inner: Numbers, outer: Numbers) -> Room:
    """How far ``inner``, a closed ring, may go back and forth along the first axis."""
    back, forth = -1.0, 1.0
    return back * _way(inner, outer, back), forth * _way(inner, outer, forth)


def _way(inner: Numbers, outer: Numbers, sign: float) -> float:
    return min(_least(inner, outer, sign), _least(outer, inner, -sign))


def _least(points: Numbers, ring: Numbers, sign: float) -> float:
    """The least way along the first axis from any of ``points`` to a side of ``ring``, if any."""
    x, y = points[:, :1], points[:, 1:]
    (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
    spans = (np.minimum(y0, y1) <= y) & (y <= np.maximum(y0, y1)) & (y0 != y1)
    share = (y - y0) / np.where(y0 == y1, 1.0, y1 - y0)
    ways = sign * (x0 + share * (x1 - x0) - x)
    ahead = spans & (ways >= 0)
    return float(ways[ahead].min()) if ahead.any() else math.inf
