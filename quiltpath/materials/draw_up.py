"""How much quilting and washing draw a piece up: the usual, by one's own swatches, as measured.

Beforehand the top is cut larger by a share that depends on the density of the quilting. Swatches
of the user's own come before the usual figures: each is measured before quilting, after it and
after washing. Samples of clearly different densities give a straight line of share against density
by least squares; one, or several of one density, move the usual curve up or down. How far apart
the samples lie is the range. Afterwards what was measured on the piece says what it is trimmed to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from quiltpath.geometry.arrays import Floats
from quiltpath.project.materials_sections import QuiltedSection, SwatchSection
from quiltpath.runner.states import By, Share

SPARSE_M_PER_M2, SPARSE_SHARE = 20.0, 0.01
DENSE_M_PER_M2, DENSE_SHARE = 80.0, 0.03
MOST_USUAL_SHARE = 0.05
MOST_USUAL_M_PER_M2 = 140.0
"""Density at which the usual curve has come to its end."""


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
    return min(max(share, SPARSE_SHARE), MOST_USUAL_SHARE)


CLEARLY_DENSER = 1.25
"""Densities further apart than this ratio make a line; nearer ones would only make noise."""

MOST = 0.3
"""No share is larger, as none that a project may give."""


def shares_taken_up(swatch: SwatchSection) -> Floats:
    """(2,) share that quilting drew a sample up, along and across."""
    return 1.0 - np.array(swatch.quilted) / np.array(swatch.before)


def shares_shrunk(swatch: SwatchSection) -> Floats:
    """(2,) share that washing took after that, or (0,) where the sample was not washed."""
    if swatch.washed is None:
        return np.zeros(0)
    return 1.0 - np.array(swatch.washed) / np.array(swatch.quilted)


@dataclass(frozen=True)
class SwatchFit:
    """What the swatches say: a line or the usual curve through them, and how far they stray.

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


def _bounded(share: float) -> float:
    return min(max(share, 0.0), MOST)


def fit_swatches(swatches: Sequence[SwatchSection]) -> SwatchFit:
    """The fit to one or more swatches."""
    density = np.repeat([swatch.m_per_m2 for swatch in swatches], 2)
    taken = np.concatenate([shares_taken_up(swatch) for swatch in swatches])
    level, slope, times = _curve(density, taken)
    usual = np.array([quilting_share(float(d)) for d in density])
    fitted = level + slope * density if times is None else times * usual
    return SwatchFit(level, slope, times, taken - fitted, _washing(swatches))


def _curve(density: Floats, taken: Floats) -> tuple[float, float, float | None]:
    """Level and slope of a line, or the factor on the usual curve."""
    if density.max() >= CLEARLY_DENSER * density.min():
        slope, level = np.polyfit(density, taken, 1)
        # Denser quilting never draws up less: a falling line is noise.
        return (float(level), float(slope), None) if slope > 0 else (float(taken.mean()), 0.0, None)
    usual = np.array([quilting_share(float(d)) for d in density])
    return 0.0, 0.0, float((taken * usual).sum() / (usual**2).sum())


def _washing(swatches: Sequence[SwatchSection]) -> Share | None:
    shares = np.concatenate([shares_shrunk(swatch) for swatch in swatches])
    if not len(shares):
        return None
    return Share(*(_bounded(float(x)) for x in (shares.mean(), shares.min(), shares.max())))


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


@dataclass(frozen=True)
class DrawUpSetting:
    """What quilting and washing take from one project: its own figures, and what swatches teach.

    ``quilting_share``  as the project gives it; None leaves it to the swatches or the density
    ``washing_share``   what washing takes after that
    ``lengths_mm``, ``widths_mm``  what was measured after quilting; empty before that
    ``swatches``        what the user's own swatches say, which comes before the usual figures
    """

    quilting_share: float | None = None
    washing_share: float = 0.0
    lengths_mm: tuple[float, ...] = ()
    widths_mm: tuple[float, ...] = ()
    swatches: SwatchFit | None = None

    def quilting(self, density_m_per_m2: float) -> Share:
        """Share that quilting draws up; the usual curve to a tenth of a percent: it is no finer."""
        if self.quilting_share is not None:
            return Share.exactly(self.quilting_share)
        if self.swatches is not None:
            return self.swatches.quilting(density_m_per_m2)
        return Share.exactly(round(quilting_share(density_m_per_m2), 3))

    def alone(self, m_per_m2: Floats, overall_m_per_m2: float) -> Floats:
        """Share that cloth of each density would be drawn up by, were all of it quilted so.

        The same curve, but that cloth with less quilting than the sparsest it knows is drawn up in
        proportion to that, and by nothing where there is none. A share that the project gives for
        its ``overall_m_per_m2`` makes the usual shares as much larger or smaller.
        """
        curve = replace(self, quilting_share=None)
        knots = (SPARSE_M_PER_M2, MOST_USUAL_M_PER_M2)
        shares = [curve.quilting(density).likely for density in knots]
        usual = curve.quilting(overall_m_per_m2).likely
        if self.quilting_share is not None and usual > 0:
            shares = [self.quilting_share / usual * share for share in shares]
        return np.interp(m_per_m2, (0.0, *knots), (0.0, *shares))

    @property
    def washing(self) -> Share:
        """Share that washing takes after that, with the range of the swatches."""
        if self.swatches is not None and self.swatches.washing is not None:
            return self.swatches.washing
        return Share.exactly(self.washing_share)

    @property
    def by(self) -> By:
        """Where the shares come from."""
        if self.quilting_share is not None:
            return "given figure"
        return "usual curve" if self.swatches is None else "swatches"

    @property
    def squared(self) -> SquaringUp | None:
        """What the measurements leave; None before they are there."""
        return squaring_up(self.lengths_mm, self.widths_mm) if self.lengths_mm else None


def draw_up_setting(quilted: QuiltedSection, swatches: Sequence[SwatchSection]) -> DrawUpSetting:
    """The project's own figures first, then what its swatches say."""
    fit = _fit_where_asked(quilted, swatches)
    washing = fit.washing.likely if fit and fit.washing else quilted.wash
    return DrawUpSetting(quilted.taken_up, washing, quilted.lengths, quilted.widths, fit)


def _fit_where_asked(
    quilted: QuiltedSection, swatches: Sequence[SwatchSection]
) -> SwatchFit | None:
    """What the swatches say, where the project does not itself give the figure."""
    if not swatches or quilted.taken_up is not None:
        return None
    fit = fit_swatches(swatches)
    if "wash" in quilted.model_fields_set or fit.washing is None:
        return replace(fit, washing=Share.exactly(quilted.wash))
    return fit
