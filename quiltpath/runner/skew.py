"""Off-square panels: how far out of square one is, and the largest true rectangle in it.

Four sides and two diagonals fix a quadrilateral and leave one figure over, which shows slips of
the tape: the corners are those whose six distances come nearest the measured ones in the sense of
least squares (Gauss and Newton's iteration).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Floats, Points

SLIP_MM = 5.0
"""A tape read with care misses by less; beyond it the figures should be taken again."""

CONTRADICTION = 0.02
"""Figures that miss by this share of the longest describe no panel at all."""

_PAIRS = np.array([(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)])

_FIRST_ANGLES, _ANGLES, _FINER = 33, 9, 7
_CELLS, _ZOOMS = 16, 11


@dataclass(frozen=True)
class PanelMeasures:
    """Four sides and two diagonals as the panel lies, in mm.

    ``rising`` runs from lower left to upper right, ``falling`` from upper left to lower right.
    """

    lower: float
    right: float
    upper: float
    left: float
    rising: float
    falling: float

    @property
    def distances(self) -> Floats:
        """(6,) in the order lower, right, upper, left, rising, falling."""
        return np.array(
            [self.lower, self.right, self.upper, self.left, self.rising, self.falling], float
        )


@dataclass(frozen=True)
class Skew:
    """What the measurements say; ``corners`` (4, 2) mm anticlockwise from the lower left.

    The lower side lies along x. ``misfit_mm`` is the most by which a distance between the corners
    misses its measured figure.
    """

    corners: Points
    misfit_mm: float

    @property
    def corner_angles_deg(self) -> Floats:
        """(4,) inner angles."""
        back = np.roll(self.corners, 1, axis=0) - self.corners
        ahead = np.roll(self.corners, -1, axis=0) - self.corners
        cross = ahead[:, 0] * back[:, 1] - ahead[:, 1] * back[:, 0]
        return np.degrees(np.arctan2(cross, (ahead * back).sum(axis=1)))

    @property
    def out_of_square_deg(self) -> float:
        """Most by which a corner misses a right angle."""
        return float(np.abs(self.corner_angles_deg - 90.0).max())

    @property
    def end_shift_mm(self) -> float:
        """How far the upper side is shifted along the lower one, in the mean; signed."""
        lower_mid = self.corners[:2, 0].mean()
        return float(self.corners[2:, 0].mean() - lower_mid)

    @property
    def skew_deg(self) -> float:
        """Lean of the ends in the mean; positive leans to the right."""
        height = self.corners[2:, 1].mean()
        return math.degrees(math.atan2(self.end_shift_mm, height))

    @property
    def length_taper_mm(self) -> float:
        """Upper side less lower side."""
        upper = np.hypot(*(self.corners[2] - self.corners[3]))
        return float(upper - np.hypot(*(self.corners[1] - self.corners[0])))

    @property
    def width_taper_mm(self) -> float:
        """Right side less left side."""
        right = np.hypot(*(self.corners[2] - self.corners[1]))
        return float(right - np.hypot(*(self.corners[3] - self.corners[0])))


def skew_of(measured: PanelMeasures) -> Skew:
    """The quadrilateral that fits best; raises :class:`InputError` where none comes near."""
    wanted = measured.distances
    corners = _first_guess(measured)
    for _ in range(50):
        change = _newton_step(corners, wanted)
        corners = corners + change
        if np.abs(change).max() < 1e-10 * wanted.max():
            break
    misfit = float(np.abs(_lengths(corners) - wanted).max())
    if not misfit <= CONTRADICTION * wanted.max():
        raise InputError(
            "", "print.diagonals", "the four sides and two diagonals contradict each other",
            "measure again, the diagonals first",
        )  # fmt: skip
    return Skew(corners, misfit)


def _first_guess(measured: PanelMeasures) -> Points:
    """The lower side and both triangles on it, from the law of cosines."""
    m = measured
    right = _apex(m.lower, m.rising, m.right)
    left = _apex(m.lower, m.left, m.falling)
    return np.array([(0.0, 0.0), (m.lower, 0.0), right, left])


def _apex(base: float, from_start: float, from_end: float) -> tuple[float, float]:
    """Point above a base at the two distances from its ends."""
    x = (base**2 + from_start**2 - from_end**2) / (2 * base)
    return x, math.sqrt(max(from_start**2 - x**2, 1.0))


def _lengths(corners: Points) -> Floats:
    return np.hypot(*(corners[_PAIRS[:, 1]] - corners[_PAIRS[:, 0]]).T)


def _newton_step(corners: Points, wanted: Floats) -> Points:
    """Least-squares change of five coordinates; the first corner and the second's y stay."""
    along = corners[_PAIRS[:, 1]] - corners[_PAIRS[:, 0]]
    lengths = np.hypot(*along.T)
    unit = along / lengths[:, None]
    slope = np.zeros((6, 4, 2))
    rows = np.arange(6)
    slope[rows, _PAIRS[:, 1]] = unit
    slope[rows, _PAIRS[:, 0]] = -unit
    free = [2, 4, 5, 6, 7]
    solved = np.linalg.lstsq(slope.reshape(6, 8)[:, free], wanted - lengths, rcond=None)[0]
    change = np.zeros(8)
    change[free] = solved
    return change.reshape(4, 2)


@dataclass(frozen=True)
class TrueRectangle:
    """A rectangle in the panel: ``origin`` is its lower left corner, ``angle_deg`` its tilt."""

    origin: tuple[float, float]
    angle_deg: float
    length_mm: float
    width_mm: float

    @property
    def area_mm2(self) -> float:
        """Length times width."""
        return self.length_mm * self.width_mm

    @property
    def corners(self) -> Points:
        """(4, 2) anticlockwise from the lower left, in the panel's coordinates."""
        size = np.array([self.length_mm, self.width_mm])
        unit = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * size
        return _turn(unit, self.angle_deg) + self.origin


def largest_rectangle(skew: Skew) -> TrueRectangle:
    """The largest-area rectangle inside the quadrilateral.

    Tilts from side to side of the panel's own are tried, then the best neighbourhood is searched
    again and again, more finely. For a given tilt log(length x width) is concave in the places of
    the two ends, so that zooming in on the best of a raster finds the maximum.
    """
    low, high = _tilts(skew)
    for count in (_FIRST_ANGLES, *[_ANGLES] * _FINER):
        angles = np.linspace(low, high, count)
        found = [_upright(_turn(skew.corners, -angle)) for angle in angles]
        best = int(np.argmax([area for area, _ in found]))
        step = (high - low) / (count - 1)
        low, high = angles[best] - step, angles[best] + step
    angle, (x0, x1, y0, y1) = float(angles[best]), found[best][1]
    origin = _turn(np.array([[x0, y0]]), angle)[0]
    return TrueRectangle((float(origin[0]), float(origin[1])), angle, x1 - x0, y1 - y0)


def _tilts(skew: Skew) -> tuple[float, float]:
    """From the least to the most that any side leans from its own axis."""
    sides = np.roll(skew.corners, -1, axis=0) - skew.corners
    leans = np.degrees(np.arctan2(sides[:, 1], sides[:, 0])) - np.array([0, 90, 180, -90])
    leans = (leans + 180) % 360 - 180
    return float(leans.min()), float(leans.max())


def _turn(points: Points, degrees: float) -> Points:
    """Points turned anticlockwise about the origin."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return points @ np.array([[c, s], [-s, c]])


def _upright(corners: Points) -> tuple[float, tuple[float, float, float, float]]:
    """Area and (x0, x1, y0, y1) of the largest upright rectangle in the quadrilateral."""
    low0, high0 = float(corners[:, 0].min()), float(corners[:, 0].max())
    low1, high1 = low0, high0
    for _ in range(_ZOOMS):
        x0, x1 = np.linspace(low0, high0, _CELLS), np.linspace(low1, high1, _CELLS)
        area = _areas(corners, x0, x1)
        i, j = np.unravel_index(int(np.argmax(area)), area.shape)
        low0, high0 = _zoom(x0, int(i))
        low1, high1 = _zoom(x1, int(j))
    a, b = float(x0[i]), float(x1[j])
    lower, upper = _heights(corners, np.array([a, b]))
    return float(area[i, j]), (a, b, float(lower.max()), float(upper.min()))


def _zoom(raster: Floats, best: int) -> tuple[float, float]:
    """Two cells on each side of the best place."""
    return float(raster[max(best - 2, 0)]), float(raster[min(best + 2, _CELLS - 1)])


def _areas(corners: Points, x0: Floats, x1: Floats) -> Floats:
    """(a, b) area between each left and each right end; below 0 where there is none."""
    lower0, upper0 = _heights(corners, x0)
    lower1, upper1 = _heights(corners, x1)
    height = np.minimum.outer(upper0, upper1) - np.maximum.outer(lower0, lower1)
    length = np.subtract.outer(x1, x0).T
    return np.where((height > 0) & (length > 0), height * length, np.minimum(height, length))


def _heights(corners: Points, x: Floats) -> tuple[Floats, Floats]:
    """Lower and upper edge of the quadrilateral above each x; empty (lower > upper) outside."""
    ends = np.roll(corners, -1, axis=0)
    crossing = np.full((4, len(x)), np.nan)
    for side, (a, b) in enumerate(zip(corners, ends, strict=True)):
        share = (x - a[0]) / (b[0] - a[0]) if b[0] != a[0] else np.full(len(x), np.nan)
        inside = (share >= -1e-12) & (share <= 1 + 1e-12)
        crossing[side] = np.where(inside, a[1] + share * (b[1] - a[1]), np.nan)
    lower = np.min(np.where(np.isnan(crossing), np.inf, crossing), axis=0)
    upper = np.max(np.where(np.isnan(crossing), -np.inf, crossing), axis=0)
    return lower, upper
