"""Off-square panels: how far out of square, the largest true rectangle, where the print lies.

Four sides and two diagonals fix a quadrilateral and leave one figure over, which shows slips of
the tape: the corners are those whose six distances come nearest the measured ones in the sense of
least squares (Gauss and Newton's iteration).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.errors import InputError

Points = NDArray[np.float64]

SLIP_MM = 5.0
"""A tape read with care misses by less; beyond it the figures should be taken again."""

CONTRADICTION = 0.02
"""Figures that miss by this share of the longest describe no panel at all."""

_PAIRS = np.array([(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)])


@dataclass(frozen=True)
class Measured:
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
    def distances(self) -> NDArray[np.float64]:
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
    def corner_angles_deg(self) -> NDArray[np.float64]:
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


def skew_of(measured: Measured) -> Skew:
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


def _first_guess(measured: Measured) -> Points:
    """The lower side and both triangles on it, from the law of cosines."""
    m = measured
    right = _apex(m.lower, m.rising, m.right)
    left = _apex(m.lower, m.left, m.falling)
    return np.array([(0.0, 0.0), (m.lower, 0.0), right, left])


def _apex(base: float, from_start: float, from_end: float) -> tuple[float, float]:
    """Point above a base at the two distances from its ends."""
    x = (base**2 + from_start**2 - from_end**2) / (2 * base)
    return x, math.sqrt(max(from_start**2 - x**2, 1.0))


def _lengths(corners: Points) -> NDArray[np.float64]:
    return np.hypot(*(corners[_PAIRS[:, 1]] - corners[_PAIRS[:, 0]]).T)


def _newton_step(corners: Points, wanted: NDArray[np.float64]) -> Points:
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
