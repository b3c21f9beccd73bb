"""Medallions: spirals that lead in and out again, squares in squares, and lines that radiate.

Each fills a near-square part of its region, from the edge to the middle.
"""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from quiltpath.geometry.curves import STRAY_MM, Points, arc, chain_paths
from quiltpath.patterns.frame import Frame
from quiltpath.patterns.kind import EITHER, WALKING, Kind
from quiltpath.patterns.layer import INCH, RepertoireLayer, about
from quiltpath.patterns.spacing import gap_of
from quiltpath.schema import Length, LengthOrZero, Spacing


class MedallionLayer(RepertoireLayer):
    """A figure in the middle of each block; a long region gets several, side by side."""

    spacing: Spacing = about(INCH / 2)
    """between neighbouring lines"""

    @property
    def between_cells_mm(self) -> float:
        """Neighbours stand as far apart as the lines of one of them."""
        return self.spacing.mm


class SpiralLayer(MedallionLayer):
    """A round spiral in and out again, at one distance everywhere, with both ends outside."""

    kind: Literal["spiral"]


class SquareSpiralLayer(MedallionLayer):
    """A square spiral in and out again, at one distance everywhere, with both ends outside."""

    kind: Literal["square-spiral"]


class ConcentricLayer(MedallionLayer):
    """Squares or diamonds one inside the other."""

    kind: Literal["concentric"]
    shape: Literal["squares", "diamonds"] = "squares"
    """what lies inside one another"""


class RadiatingLayer(RepertoireLayer):
    """Lines from the edge towards the middle, joined in pairs round a small circle."""

    amount_key: ClassVar[str] = "middle"
    kind: Literal["radiating"]
    inset: LengthOrZero = 0.0
    rays: Annotated[int, Field(ge=4, le=96, multiple_of=2)] = 24
    """how many lines radiate, an even number"""
    middle: Length = INCH
    """radius of the circle where the lines turn back"""


def spiral(layer: SpiralLayer, cell: Frame) -> list[Points]:
    """Two arms of one path, both involutes of the same small circle.

    Involutes of one circle are parallel curves: a turn lies 2 pi a beyond the last, measured
    square to both (a: the circle's radius), so two arms on opposite sides lie pi a apart
    everywhere. Their inner ends point straight at each other and are joined by a straight stitch
    or two, so both ends of the path are outside. Each arm is a t^2 / 2 long.
    """
    reach = min(cell.length, cell.width) / 2
    base = gap_of(layer.spacing, reach) / math.pi
    end = math.sqrt(max((reach / base) ** 2 - 1, 0.0))
    arm = involute(base, end)
    centre = np.array([cell.length / 2, cell.width / 2])
    return [np.concatenate([-arm[::-1], arm]) + centre]


def involute(base_mm: float, end_rad: float) -> Points:
    """(k, 2) points of the involute of a circle about the origin, from its start on the circle.

    Its radius of curvature after a turn of t is a t, so steps grow with the square root of it.
    """
    turn, at = [0.0], 0.0
    while at < end_rad:
        at += math.sqrt(8 * STRAY_MM / max(base_mm * at, base_mm * 0.05))
        turn.append(min(at, end_rad))
    t = np.array(turn)
    return base_mm * np.column_stack([np.cos(t) + t * np.sin(t), np.sin(t) - t * np.cos(t)])


def square_spiral(layer: SquareSpiralLayer, cell: Frame) -> list[Points]:
    """One path in and out, every line one gap from the next.

    Two arms that are each other's half turn, joined by a line through the middle. The turns lie
    at heights 0, gap, 2 gap ... and at widths core, core + gap, ...
    """
    half_length, half_width = cell.length / 2, cell.width / 2
    gap = gap_of(layer.spacing, half_width)
    number = math.floor(min(half_width / gap, half_length / gap + 0.5) + 1e-9)
    if number < 1:
        return []
    core = half_length - (number - 1) * gap
    arm = _square_arm(core, gap, number)
    return [np.concatenate([-arm[::-1], arm]) + np.array([half_length, half_width])]


def _square_arm(core: float, gap: float, number: int) -> Points:
    """Corners of one arm, from the middle line outwards, turning left."""
    points = [(core, 0.0)]
    side = 1.0
    for turn in range(1, number + 1):
        x, y = points[-1]
        points.append((x, side * turn * gap))
        if turn < number:
            points.append((-side * (core + turn * gap), side * turn * gap))
        side = -side
    x, y = points[-1]
    points.append((-x, y))
    return np.array(points)


def concentric(layer: ConcentricLayer, cell: Frame) -> list[Points]:
    """Squares or diamonds at even distances, from the edge of the cell to its middle.

    The innermost ring lies as far from its own other side as from the next ring.
    """
    length, width = cell.length, cell.width
    # Distance of a diamond's side from its middle: half the height of a right-angled triangle.
    depth = min(length, width) / 2
    if layer.shape == "diamonds":
        depth = length * width / (2 * math.hypot(length, width))
    number = round(depth / layer.spacing.mm + 0.5)
    gap = depth / (number - 0.5) if layer.spacing.about else layer.spacing.mm
    distances = np.arange(0, depth - 1e-6, gap)
    middle = np.array([length / 2, width / 2])
    return [middle + _ring(layer, cell, distance, depth) for distance in distances]


def _ring(layer: ConcentricLayer, cell: Frame, distance: float, depth: float) -> Points:
    if layer.shape == "diamonds":
        share = 1 - distance / depth
        a, b = cell.length / 2 * share, cell.width / 2 * share
        return np.array([[a, 0], [0, b], [-a, 0], [0, -b], [a, 0]])
    a, b = cell.length / 2 - distance, cell.width / 2 - distance
    return np.array([[-a, -b], [a, -b], [a, b], [-a, b], [-a, -b]])


def radiating(layer: RadiatingLayer, cell: Frame) -> list[Points]:
    """Rays at even angles from the edge to a small circle, joined there two by two."""
    middle = (cell.length / 2, cell.width / 2)
    inner = min(layer.middle, min(middle) / 2)
    step = 360.0 / layer.rays
    pairs = []
    for index in range(0, layer.rays, 2):
        first, second = (index + 0.5) * step, (index + 1.5) * step
        turn = arc(middle, inner, first, second)
        ends = [_edge_point(middle, angle) for angle in (first, second)]
        pairs.append(chain_paths([ends[0][None], turn, ends[1][None]]))
    return pairs


def _edge_point(middle: tuple[float, float], angle_deg: float) -> Points:
    """Where a ray from the middle meets the sides of the cell."""
    ray = np.array([math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))])
    with np.errstate(divide="ignore"):
        reach = np.min(np.array(middle) / np.abs(ray))
    return np.array(middle) + reach * ray


KINDS = (
    Kind(SpiralLayer, EITHER, in_frame=spiral, cells=True, one_path=True),
    Kind(SquareSpiralLayer, WALKING, in_frame=square_spiral, cells=True, one_path=True),
    Kind(ConcentricLayer, WALKING, in_frame=concentric, cells=True),
    Kind(RadiatingLayer, WALKING, in_frame=radiating, cells=True),
)
