"""How an edge bends between its corners: turning along it, radius, straight stretches.

A drawn curve is a chain of chords that turn a little at each of their ends. Each turn is spread
over half of either chord, so that equal chords of a circle of radius r give r everywhere, and a
straight side that runs into an arc stays straight but for half a chord. The radius of a stretch is
its length over what it turns in all (curvature = turning over length, plane geometry).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from quiltpath.geometry.arrays import Floats

LONGEST_SPREAD_MM = 50.0
"""A turn between long sides is a kink, not a curve as long as they are: one strip width."""

STRAIGHT_DEG = 1.0
"""A stretch that turns by less in all is straight to anybody who pins a strip on it."""

TIP_MM = 20.0
"""The tightest radius is taken over so much of the edge."""


@dataclass(frozen=True)
class Bends:
    """Turning of a closed edge without its corners; lengths in mm along the edge.

    ``at_mm``      (n,) places in order, from less than 0 to more than the length
    ``turned_deg`` (n,) what the edge has turned up to there, added up whichever way it turns
    ``length_mm``  once round
    ``breaks_mm``  (k, 2) stretches that bend, and corners, in order; between them it is straight
    """

    at_mm: Floats
    turned_deg: Floats
    length_mm: float
    breaks_mm: Floats

    @property
    def any(self) -> bool:
        """True where the edge bends at all."""
        return bool(self.turned_deg[-1] > self.turned_deg[0])

    def turn_deg(self, at_mm: Floats, reach_mm: float) -> Floats:
        """(n,) what the edge turns within ``reach_mm`` of each place, at most half way round."""
        reach = min(reach_mm, self.length_mm / 2)
        at = np.asarray(at_mm, dtype=float) % self.length_mm
        ends = [np.interp(at + way * reach, self.at_mm, self.turned_deg) for way in (1, -1)]
        return np.asarray(ends[0] - ends[1])

    def radius_mm(self, at_mm: float, reach_mm: float) -> float:
        """Mean radius within ``reach_mm`` of a place; infinite where it is straight."""
        turn = float(self.turn_deg(np.array([at_mm]), reach_mm)[0])
        return _radius_mm(2 * min(reach_mm, self.length_mm / 2), turn)

    @property
    def tightest_mm(self) -> float:
        """Least radius anywhere; infinite for an edge of straight sides."""
        places = np.concatenate([self.at_mm, (self.at_mm[1:] + self.at_mm[:-1]) / 2])
        return _radius_mm(TIP_MM, float(self.turn_deg(places, TIP_MM / 2).max()))

    def straight_stretches(self) -> Floats:
        """(k, 2) from where to where the edge is straight; an end may lie beyond the length."""
        if not len(self.breaks_mm):
            return np.array([[0.0, self.length_mm]])
        low = self.breaks_mm[:, 1]
        high = np.append(self.breaks_mm[1:, 0], self.breaks_mm[0, 0] + self.length_mm)
        return np.stack([low, high], axis=1)[high - low > 1e-6]

    def longest_straight_middle_mm(self) -> float:
        """Middle of the longest straight stretch, the first of equals."""
        stretches = self.straight_stretches()
        if not len(stretches):
            return 0.0
        longest = stretches[np.argmax(np.round(stretches[:, 1] - stretches[:, 0], 6))]
        return float(longest.mean() % self.length_mm)


def _radius_mm(length_mm: float, turn_deg: float) -> float:
    if turn_deg < STRAIGHT_DEG:
        return math.inf
    return length_mm / math.radians(turn_deg)


def bends_of(steps_mm: Floats, turns_deg: Floats, corner_deg: float) -> Bends:
    """The bends of a ring whose ``steps_mm`` (n,) each begin with a turn (n,), in degrees."""
    along = np.concatenate([[0.0], np.cumsum(steps_mm)])
    length = float(along[-1])
    sharp = np.abs(turns_deg) > corner_deg
    bent = (np.abs(turns_deg) > 1e-6) & ~sharp
    spread = np.minimum(np.minimum(steps_mm, np.roll(steps_mm, 1)), LONGEST_SPREAD_MM)
    spread[sharp] = 0.0
    marked = bent | sharp
    places = along[:-1][marked]
    breaks = np.stack([places - spread[marked] / 2, places + spread[marked] / 2], axis=1)
    low, high = ((along[:-1] + way * spread / 2)[bent] for way in (-1, 1))
    at, turned = _add_up(low, high, np.abs(turns_deg[bent]), length)
    return Bends(at, turned, length, breaks)


def _add_up(low: Floats, high: Floats, turn: Floats, length: float) -> tuple[Floats, Floats]:
    """Places and turning up to them, over three rounds, so that a stretch may cross the start."""
    if not len(turn):
        return np.array([-length, 2 * length]), np.zeros(2)
    one, before = float(turn.sum()), np.cumsum(turn) - turn
    at = np.stack([low, high], axis=1).ravel()
    turned = np.stack([before, before + turn], axis=1).ravel()
    rounds = (-1, 0, 1)
    return (
        np.concatenate([at + n * length for n in rounds]),
        np.concatenate([turned + n * one for n in rounds]),
    )
