"""The middle line of a strip or of a border: patterns are laid along it and turn with it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.quilting.curves import Points
from quiltpath.quilting.region import Patch

Array = NDArray[np.float64]


SHORTEST_MM = 10.0
"""A strip that is shorter than this less its inset holds no figure."""


@dataclass(frozen=True)
class Spine:
    """A path of straights and arcs, measured by arc length.

    ``start``     (k, 2) where each piece begins
    ``heading``   (k,) its direction there, radians
    ``bend``      (k,) its curvature, 1/mm, positive to the left
    ``arc``       (k + 1,) arc length at the pieces' ends
    ``marks``     arc lengths between which whole repeats are fitted: both ends of a strip, or the
                  middles of a border's corners
    ``half_width`` of the band, mm
    """

    start: Points
    heading: Array
    bend: Array
    arc: Array
    marks: Array
    half_width: float

    @property
    def closed(self) -> bool:
        """True for a border, whose spine comes back to its start."""
        return len(self.marks) > 2

    def on_a_straight(self, low: float, high: float) -> bool:
        """True where the stretch lies on the spine and meets no bend."""
        total = float(self.arc[-1])
        if not self.closed:
            return low >= 0 and high <= total
        at = np.mod(np.linspace(low, high, 9), total)
        piece = np.clip(np.searchsorted(self.arc, at, side="right") - 1, 0, len(self.bend) - 1)
        return bool((self.bend[piece] == 0).all())

    def at(self, along: Array, aside: Array) -> Points:
        """(n, 2) points at arc lengths ``along``, moved ``aside`` to the left."""
        total = self.arc[-1]
        along = np.mod(along, total) if self.closed else along
        piece = np.clip(np.searchsorted(self.arc, along, side="right") - 1, 0, len(self.bend) - 1)
        run = along - self.arc[piece]
        bend, heading = self.bend[piece], self.heading[piece]
        turned = heading + bend * run
        straight = np.abs(bend) < 1e-12
        safe = np.where(straight, 1.0, bend)
        dx = np.where(straight, run * np.cos(heading), (np.sin(turned) - np.sin(heading)) / safe)
        dy = np.where(straight, run * np.sin(heading), (np.cos(heading) - np.cos(turned)) / safe)
        normal = np.column_stack([-np.sin(turned), np.cos(turned)])
        return self.start[piece] + np.column_stack([dx, dy]) + aside[:, None] * normal


def spine_of(patch: Patch, inset_mm: float, turned: bool) -> Spine | None:
    """The spine of a strip or a border; None where nothing is left of its width."""
    holes = shapely.get_num_interior_rings(patch.shape)
    spine = _border(patch, inset_mm) if holes == 1 else _strip(patch, inset_mm, turned)
    half = spine.half_width - inset_mm
    if half <= 1.0 or float(spine.arc[-1]) < SHORTEST_MM:
        return None
    return Spine(spine.start, spine.heading, spine.bend, spine.arc, spine.marks, half)


def _strip(patch: Patch, inset_mm: float, turned: bool) -> Spine:
    low_x, low_y, high_x, high_y = patch.shape.bounds
    wide, high = high_x - low_x, high_y - low_y
    upright = (high > wide * (1 + 1e-9)) != turned
    length, width = (high, wide) if upright else (wide, high)
    start = (
        (low_x + wide / 2, low_y + inset_mm) if upright else (low_x + inset_mm, low_y + high / 2)
    )
    ends = np.array([0.0, length - 2 * inset_mm])
    heading = np.array([math.pi / 2 if upright else 0.0])
    return Spine(np.array([start]), heading, np.zeros(1), ends, ends, width / 2)


def _border(patch: Patch, inset_mm: float) -> Spine:
    """A rectangle with rounded corners, midway between the border's edges.

    Corners are as round as the band allows: with the half width h and the radius r, the inner edge
    of what is drawn, r - (h - inset) from the bend's middle, must stay outside the border's inner
    corner, (r - h) sqrt 2 from it. So r is h + inset / (sqrt 2 - 1) at most; h + 2 inset is less.
    """
    outer = np.array(patch.shape.bounds)
    inner = np.array(shapely.bounds(shapely.get_interior_ring(patch.shape, 0)))
    half = float(np.abs(outer - inner).min()) / 2
    low_x, low_y, high_x, high_y = (outer + inner) / 2
    radius = min(half + 2 * inset_mm, (high_x - low_x) / 2, (high_y - low_y) / 2)
    wide, high = high_x - low_x - 2 * radius, high_y - low_y - 2 * radius
    quarter = math.pi / 2 * radius
    starts = [
        (low_x + radius, low_y), (high_x - radius, low_y),
        (high_x, low_y + radius), (high_x, high_y - radius),
        (high_x - radius, high_y), (low_x + radius, high_y),
        (low_x, high_y - radius), (low_x, low_y + radius),
    ]  # fmt: skip
    lengths = np.array([wide, quarter, high, quarter, wide, quarter, high, quarter])
    arc = np.concatenate([[0.0], np.cumsum(lengths)])
    heading = np.repeat(np.arange(4), 2) * math.pi / 2
    bend = np.tile([0.0, 1 / radius], 4)
    middles = (arc[1:-1:2] + arc[2::2]) / 2
    marks = np.concatenate([middles, [middles[0] + arc[-1]]])
    return Spine(np.array(starts), heading, bend, arc, marks, half)
