"""Corners of the outline: where binding is mitred, how far before them the seam stops."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import arc_lengths
from quiltpath.materials.edge_bends import Bends, bends_of

CORNER_DEG = 15.0
"""A turn sharper than this is a corner to mitre; less is part of a curve."""


@dataclass(frozen=True)
class Corner:
    """A corner: place in mm, distance along the edge from the outline's start, inner angle."""

    at_mm: tuple[float, float]
    along_mm: float
    angle_deg: float

    @property
    def is_inner(self) -> bool:
        """True where the outline turns inwards: clipped to the seam line, not mitred over."""
        return self.angle_deg > 180

    @property
    def fold_deg(self) -> float:
        """Angle between the edge and the first fold of the mitre: half the inner angle."""
        return self.angle_deg / 2

    def stop_mm(self, seam_mm: float) -> float:
        """How far before the corner the seam stops: seam / tan(angle / 2).

        There the two seam lines meet; at 90 degrees it is one seam allowance.
        """
        return abs(seam_mm / math.tan(math.radians(self.angle_deg / 2)))


@dataclass(frozen=True)
class Edge:
    """The edge to bind: a ring of points counter-clockwise, its length and its corners.

    ``curve_share`` is the part of the edge that bends without a corner; it asks for bias.
    """

    ring: NDArray[np.float64]
    length_mm: float
    corners: tuple[Corner, ...]
    curve_share: float

    @property
    def is_curved(self) -> bool:
        """True where part of the edge is a curve, however gentle."""
        return self.curve_share > 0.02

    @cached_property
    def bends(self) -> Bends:
        """How the edge bends between its corners."""
        steps = np.diff(self.ring, axis=0)
        return bends_of(np.hypot(*steps.T), _turns(steps), CORNER_DEG)

    def point_at(self, along_mm: float) -> tuple[float, float]:
        """The place so far along the edge, in mm."""
        along = arc_lengths(self.ring)
        at = along_mm % self.length_mm
        x, y = (float(np.interp(at, along, self.ring[:, axis])) for axis in (0, 1))
        return x, y

    def longest_side_middle_mm(self) -> float:
        """Middle of the longest straight stretch, or between two corners where all is curved."""
        if self.bends.any and len(self.bends.straight_stretches()):
            return self.bends.longest_straight_middle_mm()
        places = [corner.along_mm for corner in self.corners] or [0.0]
        ends = [*places[1:], places[0] + self.length_mm]
        start, end = max(zip(places, ends, strict=True), key=lambda s: round(s[1] - s[0], 6))
        return ((start + end) / 2) % self.length_mm


def edge_of(outline: Polygon, corner_deg: float = CORNER_DEG) -> Edge:
    """The outer edge of ``outline`` as binding goes round it."""
    ring = _without_repeats(np.asarray(outline.exterior.coords, dtype=float))
    if _signed_area(ring) < 0:
        ring = ring[::-1]
    steps = np.diff(ring, axis=0)
    length = np.hypot(*steps.T)
    along = np.concatenate([[0.0], np.cumsum(length)])
    turn = _turns(steps)
    sharp = np.abs(turn) > corner_deg
    corners = tuple(
        Corner((float(ring[i, 0]), float(ring[i, 1])), float(along[i]), 180.0 - float(turn[i]))
        for i in np.flatnonzero(sharp)
    )
    bends = (np.abs(turn) > 1e-6) & ~sharp
    bent = float((length * (bends | np.roll(bends, -1))).sum())
    return Edge(ring, float(along[-1]), corners, bent / float(along[-1]))


def _without_repeats(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    keep = np.concatenate([[True], np.hypot(*np.diff(ring, axis=0).T) > 1e-9])
    return ring[keep]


def _signed_area(ring: NDArray[np.float64]) -> float:
    x, y = ring[:-1].T
    u, v = ring[1:].T
    return float((x * v - u * y).sum()) / 2


def _turns(steps: NDArray[np.float64]) -> NDArray[np.float64]:
    """(n,) turn at the start of each step, degrees, positive to the left."""
    before = np.roll(steps, 1, axis=0)
    cross = before[:, 0] * steps[:, 1] - before[:, 1] * steps[:, 0]
    return np.degrees(np.arctan2(cross, (before * steps).sum(axis=1)))
