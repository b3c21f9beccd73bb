"""Quilting and washing draw a piece up: allowance beforehand, squaring-up afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

SPARSE_M_PER_M2, SPARSE_SHARE = 20.0, 0.01
DENSE_M_PER_M2, DENSE_SHARE = 80.0, 0.03
MOST_SHARE = 0.05


def quilting_share(density_m_per_m2: float) -> float:
    """Share of its size that quilting of a density draws a piece up: 1 to 3 percent, then more.

    Common practice says 1 to 3 percent and more when dense. Lines 2 in apart make about 20 m of
    seam a square metre and stand for the 1, lines 1/2 in apart about 80 m and stand for the 3;
    straight between them and on beyond, up to 5. A measured sample is better than this.
    """
    if density_m_per_m2 <= 0:
        return 0.0
    slope = (DENSE_SHARE - SPARSE_SHARE) / (DENSE_M_PER_M2 - SPARSE_M_PER_M2)
    share = SPARSE_SHARE + slope * (density_m_per_m2 - SPARSE_M_PER_M2)
    return min(max(share, SPARSE_SHARE), MOST_SHARE)


def measured_share(before_mm: float, after_mm: float) -> float:
    """Share drawn up on a sample that was measured before and after."""
    if not 0 < after_mm <= before_mm:
        raise ValueError("a sample does not grow; give its size before and after")
    return 1.0 - after_mm / before_mm


@dataclass(frozen=True)
class SquaringUp:
    """The true rectangle that measurements after quilting leave, in mm.

    ``length_off_mm`` and ``width_off_mm`` are what comes off in all at the widest place.
    """

    length_mm: float
    width_mm: float
    length_off_mm: float
    width_off_mm: float

    def scale_from(self, length_mm: float, width_mm: float) -> tuple[float, float]:
        """Factors along and across that turn the planned outline into the one that is there."""
        return self.length_mm / length_mm, self.width_mm / width_mm


def squaring_up(lengths_mm: Sequence[float], widths_mm: Sequence[float]) -> SquaringUp:
    """Trim to the shortest of the measured lengths and the narrowest of the widths.

    Give each two or three times: at both edges and the middle.
    """
    if not lengths_mm or not widths_mm or min(*lengths_mm, *widths_mm) <= 0:
        raise ValueError("give at least one length and one width, above 0")
    length, width = min(lengths_mm), min(widths_mm)
    return SquaringUp(length, width, max(lengths_mm) - length, max(widths_mm) - width)
