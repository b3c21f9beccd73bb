"""Steps of colour that run straight across a flat panel: where along it they stand."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from quiltpath.photo.colours import Lab
from quiltpath.photo.reading import Points
from quiltpath.photo.vision import vision

BAND_MM = 6.0
"""Height of the bands that are looked at by themselves; small print evens out within one."""

BESIDE_MM = 9.0
"""On each side of a step; about as wide as narrow sashing."""

BAND_GROUPS = 8
"""of bands, each asked by itself where a step is"""

BLUR_MM = 0.7

LEAST_STEP = 1.6
"""L*a*b*; a fainter step is no line that anybody would sew along."""

CLEAR_STEP = 4.0
"""L*a*b*; one that nobody overlooks."""

MOST_STEPS = 30

ROOT_OF_TAU = float(np.sqrt(2 * np.pi))


@dataclass(frozen=True)
class Slopes:
    """``of`` (bands, columns, 3): how colour changes along each band, as L*a*b* of a step there.

    ``means``  the same size: the colour itself, mean of the band
    ``apart``  the same size: mean colour just after less that just before, some mm each
    ``at_mm``  (bands,) middle of each band, from the row 0 of the picture
    """

    of: NDArray[np.float64]
    means: Lab
    apart: NDArray[np.float64]
    at_mm: Points
    px_per_mm: float

    def within(self, ranges: list[tuple[float, float]]) -> Slopes:
        """Those bands only whose middle lies in one of the ranges."""
        kept = np.zeros(len(self.at_mm), dtype=bool)
        for low, high in ranges:
            kept |= (self.at_mm > low) & (self.at_mm < high)
        return Slopes(
            self.of[kept], self.means[kept], self.apart[kept], self.at_mm[kept], self.px_per_mm
        )


def slopes(colours: Lab, px_per_mm: float) -> Slopes:
    """Changes along the rows of ``colours`` (rows, columns, 3), band by band."""
    high = colours.shape[0]
    bands = max(4, round(high / px_per_mm / BAND_MM))
    ends = np.linspace(0, high, bands + 1).round().astype(int)
    means = np.stack([colours[a:b].mean(axis=0) for a, b in pairwise(ends)])
    sigma = max(0.8, BLUR_MM * px_per_mm)
    smooth = vision().GaussianBlur(
        means, (0, 0), sigmaX=sigma, sigmaY=1e-3, borderType=vision().BORDER_REPLICATE
    )
    rise = np.gradient(smooth.astype(np.float64), axis=1) * sigma * ROOT_OF_TAU
    middles = (ends[1:] + ends[:-1]) / 2 / px_per_mm
    return Slopes(rise, means, _apart_by(means, px_per_mm), middles, px_per_mm)


def _apart_by(means: Lab, px_per_mm: float) -> NDArray[np.float64]:
    """Mean over :data:`BESIDE_MM` on one side less that on the other, the millimetre next to the
    place left out."""
    gap, reach = max(1, round(px_per_mm)), max(2, round(BESIDE_MM * px_per_mm))
    wide = np.pad(means.astype(np.float64), ((0, 0), (reach + gap, reach + gap), (0, 0)), "edge")
    total = np.concatenate([np.zeros_like(wide[:, :1]), np.cumsum(wide, axis=1)], axis=1)
    sums = (total[:, reach:] - total[:, :-reach]) / reach
    n = means.shape[1]
    after: NDArray[np.float64] = sums[:, reach + 2 * gap :][:, :n] - sums[:, :n]
    return after


def profile(seen: Slopes) -> Points:
    """(columns,) the step that half of the bands show at least, less what is usual around it.

    A step counts as far as colour also differs on both sides of it: a row of small print or a
    crease is a step up and one down again.
    """
    power = np.minimum(
        np.sqrt((seen.of**2).sum(axis=2)), 1.3 * np.sqrt((seen.apart**2).sum(axis=2))
    )
    half: Points = np.median(power, axis=0)
    return np.maximum(half - 1.5 * float(np.median(half)), 0)


def find_steps(line: Points, px_per_mm: float) -> tuple[Points, Points]:
    """Places, mm, of the steps in a profile that stand out, and how strong: L*a*b*."""
    middle = line[1:-1]
    top = np.flatnonzero((middle > line[:-2]) & (middle >= line[2:]) & (middle > LEAST_STEP)) + 1
    at = _apart(top, line, max(2.0, 2.5 * px_per_mm))
    strongest = at[np.argsort(-line[at], kind="stable")][:MOST_STEPS]
    at = np.sort(strongest)
    return (at + 0.5 + _vertex(line, at)) / px_per_mm, line[at]


def _apart(top: NDArray[np.intp], line: Points, least_px: float) -> NDArray[np.intp]:
    """The stronger of two that are nearer to one another than that."""
    kept: list[int] = []
    for i in top[np.argsort(-line[top], kind="stable")]:
        if all(abs(i - j) >= least_px for j in kept):
            kept.append(int(i))
    return np.array(sorted(kept), dtype=np.intp)


def _vertex(line: Points, at: NDArray[np.intp]) -> Points:
    """Where the parabola through a top and its neighbours is highest, in columns from it."""
    before, top, after = line[at - 1], line[at], line[at + 1]
    shift: Points = 0.5 * (before - after) / np.minimum(before - 2 * top + after, -1e-9)
    return np.clip(shift, -0.5, 0.5)


@dataclass(frozen=True)
class ColourStep:
    """One step, measured: where, how far its parts disagree (standard error), how clear, 0 to 1."""

    at_mm: float
    error_mm: float
    clear: float


def measure_step(seen: Slopes, near_mm: float, reach_mm: float) -> ColourStep | None:
    """The step near a place, from groups of bands each by itself; None where fewer than a third
    of them show it."""
    s = seen.px_per_mm
    low = max(1, round((near_mm - reach_mm) * s - 0.5))
    high = min(seen.of.shape[1] - 1, round((near_mm + reach_mm) * s - 0.5) + 1)
    parts = np.array_split(np.arange(len(seen.at_mm)), min(BAND_GROUPS, len(seen.at_mm)))
    found, tops = [], []
    for part in parts:
        power = np.sqrt((seen.of[part].mean(axis=0)[low - 1 : high + 1] ** 2).sum(axis=1))
        top = int(np.argmax(power[1:-1])) + 1
        inside = power[top] >= power[top - 1] and power[top] >= power[top + 1]
        if inside and power[top] > LEAST_STEP:
            shift = float(_vertex(power, np.array([top]))[0])
            found.append((low - 1 + top + 0.5 + shift) / s)
            tops.append(power[top])
    if len(found) < max(2, len(parts) / 3):
        return None
    middle = float(np.median(found))
    agreed = np.abs(np.array(found) - middle) < 1.5
    if agreed.sum() < 2:
        return None
    at = float(np.mean(np.array(found)[agreed]))
    spread = float(np.std(np.array(found)[agreed])) / max(1, agreed.sum()) ** 0.5
    clear = float(agreed.sum() / len(parts) * min(1.0, np.median(tops) / CLEAR_STEP))
    return ColourStep(at, max(0.1 / s, spread), clear)


def beside(seen: Slopes, at_mm: float, before_mm: float, after_mm: float) -> float:
    """L*a*b* distance, in the median band, of the mean colours before and after a step, over so
    many mm each: what two cloths differ by, and a crease does not."""
    s = seen.px_per_mm
    last = seen.means.shape[1] - 1
    gap = min(1.5, 0.2 * before_mm, 0.2 * after_mm)
    cuts = [at_mm - before_mm, at_mm - gap, at_mm + gap, at_mm + after_mm]
    a, b, c, d = (int(np.clip(round(cut * s), 0, last)) for cut in cuts)
    one = np.median(seen.means[:, a : max(b, a + 1)], axis=1)
    other = np.median(seen.means[:, c : max(d, c + 1)], axis=1)
    return float(np.median(np.sqrt(((one - other) ** 2).sum(axis=1))))
