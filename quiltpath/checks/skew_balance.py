"""Lines that mostly run along one diagonal pull a piece out of square.

Stitching draws the cloth up along the thread. A line of length L at the angle t from the runner's
length pulls askew in proportion to L sin 2t: nothing for lines along and across, most at 45
degrees, and the other way for the mirrored line. Where the sum is nought the pulls cancel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.findings import Finding
from quiltpath.geometry.arrays import Floats
from quiltpath.patterns import Lines
from quiltpath.routing import Runs

UNBALANCED_SHARE = 0.25
"""A quarter of all stitching, as if it ran at 45 degrees one way, is left over: our own figure."""

WORTH_AN_ORDER = 0.35
"""Share that sewing may be out of balance on the way before another order is offered."""


@dataclass(frozen=True)
class SkewForecast:
    """Pulls in mm of line at 45 degrees; positive ones run from lower left to upper right.

    ``sewn_mm``     all stitching
    ``pull_mm``     sum of length x sin 2t over all lines
    ``lean_deg``    slope at which most of the stronger pull lies, 0 where the sum is nought
    ``partner_mm``  length of mirrored lines, at minus ``lean_deg``, that brings the sum to nought
    ``peak_mm``     greatest sum at the end of a run, in the sewing order as it is
    ``by_turns_mm`` the same where runs of both leanings are sewn by turns
    """

    sewn_mm: float
    pull_mm: float
    lean_deg: float
    partner_mm: float
    peak_mm: float
    by_turns_mm: float

    @property
    def share(self) -> float:
        """Pull as a share of all stitching, -1 to 1."""
        return self.pull_mm / self.sewn_mm if self.sewn_mm > 0 else 0.0

    def end_shift_mm(self, width_mm: float, draw_up_share: float) -> float:
        """About how far the upper edge moves along the lower one, at one draw-up share.

        Where cloth gives along the thread alone and the lines draw it up by q on average, its
        shear strain is 2 q x share; over the width that is the shift.
        """
        return 2 * draw_up_share * self.share * width_mm


def pulls_mm(steps: Floats) -> Floats:
    """(n,) length x sin 2t of (n, 2) steps: 2 dx dy / length."""
    length = np.hypot(*steps.T)
    pulls: Floats = 2 * steps[:, 0] * steps[:, 1] / np.where(length > 0, length, 1.0)
    return pulls


def skew_forecast(lines: Lines, runs: Runs) -> SkewForecast:
    """The balance of ``lines``, and on the way through ``runs``."""
    points, owner = shapely.get_coordinates(lines.geometry, return_index=True)
    steps = np.diff(points, axis=0)[owner[1:] == owner[:-1]]
    pull, length = pulls_mm(steps), np.hypot(*steps.T)
    total = float(pull.sum())
    lean = _lean(steps, pull, total)
    weight = math.sin(2 * math.radians(abs(lean)))
    by_run = _of_runs(runs)
    return SkewForecast(
        sewn_mm=float(length.sum()),
        pull_mm=total,
        lean_deg=lean,
        partner_mm=abs(total) / weight if weight > 1e-6 else 0.0,
        peak_mm=float(np.abs(np.cumsum(by_run)).max(initial=0.0)),
        by_turns_mm=float(np.abs(np.cumsum(by_run[by_turns(by_run)])).max(initial=0.0)),
    )


def _lean(steps: Floats, pull: Floats, total: float) -> float:
    """The slope in whole degrees that pulls most the way of ``total``; 0 where none does."""
    way = pull * np.sign(total) > 1e-9
    if not way.any():
        return 0.0
    slope = np.degrees(np.arctan2(steps[way, 1], steps[way, 0]))
    degree = np.round((slope + 90) % 180).astype(np.intp)
    return float(np.bincount(degree, weights=np.abs(pull[way])).argmax()) - 90.0


def _of_runs(runs: Runs) -> Floats:
    """(r,) pull of each run."""
    steps = np.diff(runs.coordinates, axis=0)
    steps[runs.vertex_start[1:-1] - 1] = 0.0
    summed: Floats = np.add.reduceat(pulls_mm(steps), runs.vertex_start[:-1])
    return summed


def by_turns(pull: Floats) -> NDArray[np.intp]:
    """(r,) runs in an order that keeps the sum small: the next one always pulls back.

    Runs of one leaning keep their order. While there are runs of both leanings the sum stays
    within the largest single pull; afterwards it goes straight to the total.
    """
    forwards, back = np.flatnonzero(pull > 0).tolist(), np.flatnonzero(pull <= 0).tolist()
    order: list[int] = []
    total, i, j = 0.0, 0, 0
    while i < len(forwards) or j < len(back):
        ahead = j == len(back) or (i < len(forwards) and total <= 0)
        order.append(forwards[i] if ahead else back[j])
        i, j = i + ahead, j + (not ahead)
        total += float(pull[order[-1]])
    return np.array(order, dtype=np.intp)


SEEN_SHARE = 0.4
"""Less pull one way is squared up without being seen (common practice)."""


def skew_findings(forecast: SkewForecast) -> tuple[Finding, ...]:
    """One finding where the pulls do not cancel, or where they build up far on the way."""
    if abs(forecast.share) > UNBALANCED_SHARE:
        return (_balance_findings(forecast),)
    gain = forecast.by_turns_mm < forecast.peak_mm / 2
    if forecast.peak_mm > WORTH_AN_ORDER * forecast.sewn_mm and gain:
        return (_out_of_turn(forecast),)
    return ()


def _balance_findings(forecast: SkewForecast) -> Finding:
    diagonal = "lower left to upper right" if forecast.pull_mm > 0 else "upper left to lower right"
    message = (
        f"{abs(forecast.share):.0%} of the stitching pulls one way, along the diagonal from"
        f" {diagonal}, which comes out shorter than the other"
    )
    remedy = (
        f"{forecast.partner_mm / 1000:.1f} m of lines at {-forecast.lean_deg:.0f} degrees balance"
        " it, or square the piece up after quilting"
    )
    slight = abs(forecast.share) < SEEN_SHARE
    return Finding("pulls-askew", message, remedy, mild=slight)


def _out_of_turn(forecast: SkewForecast) -> Finding:
    message = (
        "nearly all lines of one leaning are sewn before the other:"
        f" {forecast.peak_mm / 1000:.1f} m pull one way before they are balanced"
    )
    remedy = (
        'baste firmly, or sew one of each leaning by turns (order = "alternate-leanings" in the'
        f" settings of [sewing]), which keeps it within {forecast.by_turns_mm / 1000:.1f} m"
    )
    return Finding("pulls-askew-on-the-way", message, remedy)
