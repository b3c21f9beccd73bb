"""A band of one width inside an outline without corners, such as an oval, followed all round.

Places in the band are told as in :class:`border_band.BorderBand`, of which it is the plain case of
one side without corners.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import Floats, Points, arc_lengths
from quiltpath.geometry.free_curves.border_band import (
    BorderBand,
    band_of,
    turns_of,
)

LEAST_CORNER_DEG = 25.0  # a smaller turn is part of a curve
CURVED = 0.4  # of all turning: an outline that turns so much by curves is followed as one
EASE = 0.75  # of the width: the least radius of the middle line
SAME_WIDTH = 0.02
STEP_MM = 0.5
TANGENT_MM = 1.5


@dataclass(frozen=True)
class SmoothBand:
    """A line that comes back to where it starts, at its rightmost point, anticlockwise.

    ``middle`` (n, 2) its points, the last like the first; ``way_mm`` (n,) how far along each lies;
    ``half_mm`` (1,) half the width of the band.
    """

    middle: Points
    way_mm: Floats
    half_mm: Floats

    whole = 2.0
    """repeats come in twos, so that what is alike at both ends of the outline stays so"""

    def side_lengths_mm(self) -> Floats:
        """(1,) length of the middle line."""
        return self.way_mm[-1:]

    def repeats_mm(self, repeat_mm: float) -> Floats:
        """(1,) how many repeats of that length it holds, not yet whole."""
        return self.way_mm[-1:] / repeat_mm

    def places(self, repeats: Floats, along: Floats, off: Floats) -> Points:
        """Points (n, 2) in mm for places along (in repeats) and off."""
        way = np.mod(along / repeats.sum(), 1.0) * self.way_mm[-1]
        ahead, behind = self._at(way + TANGENT_MM), self._at(way - TANGENT_MM)
        tangent = ahead - behind
        tangent /= np.hypot(*tangent.T)[:, None]
        outward = np.stack([tangent[:, 1], -tangent[:, 0]], axis=1)
        return self._at(way) + outward * (off * self.half_mm[0])[:, None]

    def _at(self, way: Floats) -> Points:
        way = np.mod(way, self.way_mm[-1])
        return np.stack([np.interp(way, self.way_mm, part) for part in self.middle.T], axis=1)


def any_band_of(
    border: Polygon, fullest: float, *, filled: bool = False
) -> BorderBand | SmoothBand:
    """The band of a border with true corners, or of one that has the same width all round.

    Raises ``ValueError`` for other shapes.
    """
    outer = Polygon(border.exterior)
    turns = np.abs(np.degrees(turns_of(outer)))
    curved = turns[turns < LEAST_CORNER_DEG].sum() > CURVED * turns.sum()
    if curved and len(border.interiors) == 1:
        inner = Polygon(border.interiors[0])
        width = float(shapely.distance(outer.exterior, inner))
        even = shapely.buffer(outer, -width, join_style="mitre")
        if even.symmetric_difference(inner).area < SAME_WIDTH * border.area:
            return smooth_band_of(outer, width)
    return band_of(border, fullest, filled=filled)


def smooth_band_of(outer: Polygon, width_mm: float) -> SmoothBand:
    """The band of that width inside ``outer``, corners rounded and hollows eased.

    Raises ``ValueError`` where the outline has narrow places that hold no such band.
    """
    ease = EASE * width_mm
    middle = shapely.buffer(outer, -width_mm / 2 - ease, quad_segs=32, join_style="mitre")
    middle = shapely.buffer(shapely.buffer(middle, 2 * ease, quad_segs=32), -ease, quad_segs=32)
    if not isinstance(middle, Polygon) or middle.is_empty:
        raise ValueError("the band is too wide for this outline")
    ring = shapely.segmentize(shapely.orient_polygons(middle).exterior, STEP_MM)
    points = shapely.get_coordinates(ring)[:-1]
    low, high = points[:, 1].min(), points[:, 1].max()
    first = np.lexsort((np.abs(points[:, 1] - (low + high) / 2), -np.round(points[:, 0], 3)))[0]
    points = np.roll(points, -int(first), axis=0)
    points = np.vstack([points, points[:1]])
    way = arc_lengths(points)
    return SmoothBand(points, way, np.array([width_mm / 2]))
