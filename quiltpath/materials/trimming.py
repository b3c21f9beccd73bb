"""Squaring up any outline: what is measured, from which line, so that the edge can be drawn on.

Everything is measured from two lines that a person can draw on the quilted piece: the centre line
along it, and the line across at its left end. A rectangle is checked by its diagonals; any other
outline by the two halves of its centre line, which lie alike where it is symmetrical.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from quiltpath.geometry.arrays import Floats, Points
from quiltpath.materials.edge_bends import STRAIGHT_DEG
from quiltpath.materials.edge_corners import Edge

STATIONS = 8
"""Offsets told along one curve: as many as a ruler is patient for."""

ALIKE_MM = 0.5
"""What a ruler does not tell apart."""

MOST_CORNERS, MOST_ARCS = 12, 8
"""More are traced from a template."""

SHORT_STRAIGHT_MM = 12.0
"""Two curves with less straight edge between them are one curve."""


@dataclass(frozen=True)
class TrimCorner:
    """A corner: from the left end, and from the centre line (above it is positive), in mm."""

    along_mm: float
    off_mm: float
    angle_deg: float

    @property
    def is_inner(self) -> bool:
        """True where the outline turns inwards."""
        return self.angle_deg > 180


@dataclass(frozen=True)
class TrimArc:
    """Equal arcs of circles; ``centre_mm`` of the first, from the left end and the centre line."""

    count: int
    radius_mm: float
    turn_deg: float
    centre_mm: tuple[float, float]


@dataclass(frozen=True)
class TrimOffset:
    """Where the edge lies so far from the left end: above the centre line, and below it, in mm."""

    along_mm: float
    above_mm: float
    below_mm: float


@dataclass(frozen=True)
class Trimming:
    """How an outline is drawn on the quilted piece; lengths in mm.

    ``mirrored_along``  true where the left half is the right half turned over
    ``mirrored_across`` true where the half above the centre line is the half below it turned over
    ``diagonals_mm``    of a true rectangle, else None
    ``offsets``         for curves that are no arcs; of a mirrored outline those of its left half
    """

    length_mm: float
    width_mm: float
    corners: tuple[TrimCorner, ...]
    arcs: tuple[TrimArc, ...]
    offsets: tuple[TrimOffset, ...]
    mirrored_along: bool
    mirrored_across: bool
    diagonals_mm: float | None

    @property
    def inner_corners(self) -> tuple[TrimCorner, ...]:
        """Corners that turn inwards."""
        return tuple(corner for corner in self.corners if corner.is_inner)

    @property
    def wants_template(self) -> bool:
        """True where there are more corners and arcs than anybody draws by measures."""
        return len(self.corners) > MOST_CORNERS or sum(arc.count for arc in self.arcs) > MOST_ARCS

    @property
    def is_curved(self) -> bool:
        """True where part of the edge is a curve."""
        return bool(self.arcs or self.offsets)


def trimming(edge: Edge) -> Trimming:
    """What is measured to trim to ``edge``."""
    low, high = edge.ring.min(axis=0), edge.ring.max(axis=0)
    length, width = (float(side) for side in high - low)
    ring = edge.ring - (low[0], (low[1] + high[1]) / 2)
    shape = Polygon(ring)
    corners = tuple(
        TrimCorner(
            c.at_mm[0] - float(low[0]), c.at_mm[1] - float(low[1] + high[1]) / 2, c.angle_deg
        )
        for c in edge.corners
    )
    along = _is_mirrored(shape, (length, 0), (-1.0, 1.0))
    arcs, rest = _arcs_and_others(_curves(edge, ring))
    square = len(corners) == 4 and not edge.bends.any
    square = square and all(abs(c.angle_deg - 90) < 0.1 for c in corners)
    return Trimming(
        length_mm=length,
        width_mm=width,
        corners=corners,
        arcs=arcs,
        offsets=_offsets(shape, rest, along),
        mirrored_along=along,
        mirrored_across=_is_mirrored(shape, (0, 0), (1.0, -1.0)),
        diagonals_mm=float(np.hypot(length, width)) if square else None,
    )


def _is_mirrored(shape: Polygon, shift: tuple[float, float], turn: tuple[float, float]) -> bool:
    """Whether the outline turned over lies on itself, to what a ruler tells apart."""
    other = shapely.transform(shape, lambda points: points * turn + shift)
    return float(shapely.hausdorff_distance(shape.exterior, other.exterior)) < ALIKE_MM


def _curves(edge: Edge, ring: Points) -> Iterator[Points]:
    """Points of each stretch of the edge that bends, corners and straight sides between them."""
    line, length = LineString(ring), edge.length_mm
    sharp = np.array([corner.along_mm for corner in edge.corners])
    if not edge.bends.any:
        return
    straight = [s for s in edge.bends.straight_stretches() if s[1] - s[0] >= SHORT_STRAIGHT_MM]
    cuts = sorted({float(at % length) for s in straight for at in s} | set(sharp.tolist()))
    bounds = [*cuts, cuts[0] + length] if cuts else [0.0, length]
    for low, high in pairwise(bounds):
        middle = np.array([(low + high) / 2])
        if high - low < 1.0 or edge.bends.turn_deg(middle, (high - low) / 2)[0] < STRAIGHT_DEG:
            continue
        steps = np.linspace(low, high, max(9, int((high - low) / 5)))
        yield shapely.get_coordinates(shapely.line_interpolate_point(line, steps % length))


def _arcs_and_others(curves: Iterator[Points]) -> tuple[tuple[TrimArc, ...], list[Points]]:
    """Equal arcs counted together, largest first, and the curves that are none."""
    arcs, others = [], []
    for points in curves:
        arc = _arc(points)
        if arc is None:
            others.append(points)
        else:
            arcs.append(arc)
    alike = sorted(arcs, key=lambda a: (-round(a.radius_mm), -round(a.turn_deg), a.centre_mm))
    groups = groupby(alike, key=lambda a: (round(a.radius_mm), round(a.turn_deg)))
    counted = [(list(group)) for _, group in groups]
    return tuple(
        TrimArc(len(g), g[0].radius_mm, g[0].turn_deg, g[0].centre_mm) for g in counted
    ), others


def _arc(points: Points) -> TrimArc | None:
    """The circle through the points by least squares (Coope 1993), where they lie on one."""
    a = np.column_stack([2 * points, np.ones(len(points))])
    (x, y, c), *_ = np.linalg.lstsq(a, (points**2).sum(axis=1), rcond=None)
    radius = float(np.sqrt(max(c + x * x + y * y, 0.0)))
    off = np.abs(np.hypot(*(points - (x, y)).T) - radius)
    if off.max() > ALIKE_MM:
        return None
    turn = float(np.degrees(np.hypot(*np.diff(points, axis=0).T).sum() / radius))
    return TrimArc(1, radius, turn, (float(x), float(y)))


def _offsets(shape: Polygon, curves: list[Points], mirrored: bool) -> tuple[TrimOffset, ...]:
    """Places of the edge at even distances along the curves, from the left end."""
    if not curves:
        return ()
    low, _, high, _ = shape.bounds
    x = np.concatenate([points[:, 0] for points in curves])
    start, end = float(x.min()), float(x.max())
    end = min(end, (low + high) / 2) if mirrored else end
    # Closer together towards the start, where an end rounds off and the edge runs across.
    share = np.linspace(0, 1, STATIONS + 1)
    return tuple(
        _offset(shape, float(at)) for at in start + (end - start) * _bunch_stations(share, mirrored)
    )


def _bunch_stations(share: Floats, mirrored: bool) -> Floats:
    """Stations of a semicircle seen from the side: even in angle."""
    return 1 - np.cos(share * np.pi / 2) if mirrored else (1 - np.cos(share * np.pi)) / 2


def _offset(shape: Polygon, at: float) -> TrimOffset:
    _, low, _, high = shape.bounds
    low_x, _, high_x, _ = shape.bounds
    inside = min(max(at, low_x + 1e-6), high_x - 1e-6)
    _, below, _, above = shape.intersection(LineString([(inside, low), (inside, high)])).bounds
    return TrimOffset(at, above, -below)
