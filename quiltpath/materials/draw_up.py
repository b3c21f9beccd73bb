"""Quilting and washing draw a piece up: allowance beforehand, squaring-up afterwards.

What the user's own quilted samples say of drawing up and shrinking, in place of the usual.

A swatch is measured before quilting, after quilting and after washing. Samples of clearly
different densities give a straight line of share against density by least squares; one, or several
of one density, move the usual curve up or down. How far apart the samples lie is the range.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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


Floats = NDArray[np.float64]
Size = tuple[float, float]

CLEARLY_DENSER = 1.25
"""Densities further apart than this ratio make a line; nearer ones would only make noise."""

MOST = 0.3


@dataclass(frozen=True)
class Swatch:
    """A sample: metres of seam on a square metre, and its size (along, across) in mm each time.

    ``washed_mm`` is None for a sample that was not washed.
    """

    density_m_per_m2: float
    before_mm: Size
    quilted_mm: Size
    washed_mm: Size | None = None

    @property
    def taken_up(self) -> Floats:
        """(2,) share that quilting drew it up, along and across."""
        return 1.0 - np.array(self.quilted_mm) / np.array(self.before_mm)

    @property
    def shrunk(self) -> Floats:
        """(2,) share that washing took after that, or (0,) where it was not washed."""
        if self.washed_mm is None:
            return np.zeros(0)
        return 1.0 - np.array(self.washed_mm) / np.array(self.quilted_mm)


@dataclass(frozen=True)
class Share:
    """A share with the range in which the samples lie about it."""

    likely: float
    low: float
    high: float


@dataclass(frozen=True)
class Learned:
    """What the swatches say.

    ``level``, ``slope``  share drawn up is level + slope x density, or else ``usual_times`` the
    usual curve
    ``strays``  (k,) how far each measure lies from that
    ``washing`` share that washing takes, None where no sample was washed
    """

    level: float
    slope: float
    usual_times: float | None
    strays: Floats
    washing: Share | None

    def quilting(self, density_m_per_m2: float) -> Share:
        """Share that quilting of a density draws up."""
        if self.usual_times is not None:
            likely = self.usual_times * quilting_share(density_m_per_m2)
        else:
            likely = self.level + self.slope * density_m_per_m2
        low, high = likely + float(self.strays.min()), likely + float(self.strays.max())
        return Share(_bounded(likely), _bounded(low), _bounded(high))

    def cut_mm(self, finished_mm: float, density_m_per_m2: float) -> Share:
        """Size to cut, in mm: finished / ((1 - q)(1 - w)), likely, least and greatest."""
        q, w = self.quilting(density_m_per_m2), self.washing or Share(0.0, 0.0, 0.0)
        sizes = [
            finished_mm / ((1 - a) * (1 - b))
            for a, b in ((q.likely, w.likely), (q.low, w.low), (q.high, w.high))
        ]
        return Share(sizes[0], sizes[1], sizes[2])


def _bounded(share: float) -> float:
    return min(max(share, 0.0), MOST)


def learn(swatches: Sequence[Swatch]) -> Learned:
    """The fit to one or more swatches."""
    density = np.repeat([swatch.density_m_per_m2 for swatch in swatches], 2)
    taken = np.concatenate([swatch.taken_up for swatch in swatches])
    level, slope, times = _curve(density, taken)
    usual = np.array([quilting_share(float(d)) for d in density])
    fitted = level + slope * density if times is None else times * usual
    return Learned(level, slope, times, taken - fitted, _washing(swatches))


def _curve(density: Floats, taken: Floats) -> tuple[float, float, float | None]:
    """Level and slope of a line, or the factor on the usual curve."""
    if density.max() >= CLEARLY_DENSER * density.min():
        slope, level = np.polyfit(density, taken, 1)
        # Denser quilting never draws up less: a falling line is noise.
        return (float(level), float(slope), None) if slope > 0 else (float(taken.mean()), 0.0, None)
    usual = np.array([quilting_share(float(d)) for d in density])
    return 0.0, 0.0, float((taken * usual).sum() / (usual**2).sum())


def _washing(swatches: Sequence[Swatch]) -> Share | None:
    shrunk = np.concatenate([swatch.shrunk for swatch in swatches])
    if not len(shrunk):
        return None
    return Share(*(_bounded(float(x)) for x in (shrunk.mean(), shrunk.min(), shrunk.max())))
