"""Cables, plaits and leaf vines: figures laid along a strip, or round a border with its corners.

A spine is the middle line of the band; figures are drawn along it by arc length and to its side, so
that they turn with it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, ClassVar, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from pydantic import Field

from quiltpath.geometry.arrays import distinct
from quiltpath.geometry.curves import Points
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.kind import EITHER, FREE, Kind
from quiltpath.patterns.layer import INCH, RepertoireLayer, about
from quiltpath.patterns.spacing import even_number
from quiltpath.schema import Spacing

Array = NDArray[np.float64]

SHORTEST_MM = 10.0
"""A strip that is shorter than this less its inset holds no figure."""

STEP_MM = 0.6
"""Bends of 3 mm and wider stay within 0.02 mm of their chords of this length."""


class _Bands(RepertoireLayer):
    """Figures along a strip of sashing, or round a border with its corners."""

    amount_key: ClassVar[str] = "repeat"
    lines_in_it: ClassVar[float] = 4.0
    repeat: Spacing = about(2 * INCH)


class CableLayer(_Bands):
    """Two or more strands that twine along a strip; at a border's corners they turn with it."""

    kind: Literal["cable"]
    region: str | tuple[str, ...] = "sashing"
    repeat: Spacing = about(4 * INCH)
    """one full wave of a strand"""
    strands: Annotated[int, Field(ge=2, le=4)] = 2
    """two for a cable, three for a plait"""


class VineLayer(_Bands):
    """A waving stem with leaves to either side by turns: one path."""

    kind: Literal["leaf-vine"]
    region: str | tuple[str, ...] = "sashing"
    repeat: Spacing = about(4 * INCH)
    """one wave of the stem, with a leaf on each side"""


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


def cable(layer: CableLayer, patch: Patch) -> list[Points]:
    """Strands that swing from side to side, evenly out of step with each other.

    Between the ends of a strip lie whole half waves. The strands look the same again after one
    wave over their number; whole parts of that kind lie between the corners of a border, so that
    all corners are alike, and a corner's middle is where the strands mirror themselves.
    """
    spine = spine_of(patch, layer.inset, layer.turned)
    if spine is None:
        return []
    number = layer.strands if spine.closed else 2
    along, phase = _phases(spine, layer.repeat.mm / number, 2 * math.pi / number)
    shifts = 2 * math.pi * np.arange(layer.strands) / layer.strands
    if spine.closed and layer.strands == 3:
        shifts = shifts + math.pi / 2
    strands = [spine.at(along, spine.half_width * np.sin(phase + shift)) for shift in shifts]
    return strands if spine.closed or layer.strands == 2 else strands + _caps(spine, along, shifts)


def _phases(spine: Spine, part_mm: float, part_rad: float) -> tuple[Array, Array]:
    """Arc lengths along the spine and the phase at each: whole parts between two marks."""
    along, phase = [], []
    reached = 0.0
    for low, high in pairwise(spine.marks):
        parts = even_number(high - low, part_mm)
        steps = math.ceil((high - low) / STEP_MM)
        share = np.arange(steps) / steps
        along.append(low + share * (high - low))
        phase.append(reached + share * parts * part_rad)
        reached += parts * part_rad
    return np.append(np.concatenate(along), spine.marks[-1]), np.append(
        np.concatenate(phase), reached
    )


def _caps(spine: Spine, along: Array, shifts: Array) -> list[Points]:
    """A line across each end that ties three or four strands together, so that they are one path.

    The ends of the strands are points of it.
    """
    heights = distinct(np.round(spine.half_width * np.sin(shifts), 9))
    return [spine.at(np.full(len(heights), end), heights) for end in (along[0], along[-1])]


def leaf_vine(layer: VineLayer, patch: Patch) -> list[Points]:
    """A stem in gentle waves with a leaf on each crest, to either side by turns.

    Each leaf is sewn out and back in passing, so that stem and leaves are one path. None stands
    where it would pass the end of a strip or lie in a corner.
    """
    spine = spine_of(patch, layer.inset, layer.turned)
    if spine is None:
        return []
    along, phase = _phases(spine, layer.repeat.mm, 2 * math.pi)
    swing = spine.half_width * 0.25
    stem = np.column_stack([along, swing * np.sin(phase)])
    half = np.floor((phase - math.pi / 2) / math.pi + 1e-9)
    tops = np.flatnonzero(np.diff(half) > 0.5) + 1
    parts, sewn = [], 0
    for place in tops.tolist():
        reach = _leaf_reach(along, phase, place)
        parts.append(stem[sewn : place + 1])
        if spine.on_a_straight(along[place], along[place] + reach):
            parts.append(_leaf(stem[place], reach, spine.half_width))
        sewn = place + 1
    parts.append(stem[sewn:])
    path = np.concatenate(parts)
    return [spine.at(path[:, 0], path[:, 1])]


def _leaf_reach(along: Array, phase: Array, place: int) -> float:
    """How far a leaf reaches along: 40 percent of a wave where it stands."""
    rate = (phase[place] - phase[place - 1]) / (along[place] - along[place - 1])
    return 0.4 * 2 * math.pi / rate


def _leaf(base: Points, reach: float, half_width: float) -> Points:
    """Out along one side of a leaf and back along the other, outwards from a crest of the stem.

    The stem has been to the crest: the first point is the one after it, the last is the crest.
    """
    side = np.sign(base[1])
    tip = np.array([base[0] + reach, side * half_width])
    axis = tip - base
    # Up to 0.239 of the room for its height, no point of a leaf stands higher than its tip.
    across = np.array([-axis[1], axis[0]]) * min(0.22, 0.23 * half_width / reach)
    t = np.linspace(0, 1, max(8, math.ceil(np.hypot(*axis) / STEP_MM)))
    bulge = np.sin(math.pi * t)[:, None] * across
    out = base + t[:, None] * axis
    return np.concatenate([(out + bulge)[1:], (out - bulge)[-2::-1]])


KINDS = (
    Kind(CableLayer, EITHER, in_patch=cable, one_path=True),
    Kind(VineLayer, FREE, in_patch=leaf_vine, one_path=True),
)
