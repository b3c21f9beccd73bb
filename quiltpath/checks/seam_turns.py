"""How far lines should turn, and into how many gaps, so that they meet or halve all crossings.

The greatest miss m of the best offset changes with the turn t no faster than L = D + (D + h) d /
2w: places p <= D move by at most D a radian, and k half gaps of h = w / 2n by k h |w'| / w, where
the width w of the first patch changes by at most its diameter d. So an interval of turns of
half-width r about t holds no miss below m(t) - L r, and halving those intervals that could still
hold a better one finds the least miss of all turns, not only of those tried (a branch and bound
after Piyavskii, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.checks.seam_touching import Crossings, widths
from quiltpath.geometry.arrays import Floats

Numbers = NDArray[np.int64]

GAP_SHARE = (0.75, 1.34)
"""a gap may leave the one wished for by a quarter less or a third more"""

GOOD_MM = 1.0
"""A seam this near a line or a middle looks met or halved."""

SAME_MM = 0.05
"""Misses no further apart than this are alike; then the figures nearest to the wish win."""

TURN_DEG = 7.5
STEP_DEG = 0.25
FINEST_DEG = 0.001
MOST_CELLS = 4_000_000
"""Places looked at in one round: of far more crossings or gaps the finest search is not made."""


def best_offset(places: Floats, gaps: Floats) -> tuple[Floats, Floats]:
    """(g,) offsets in 0 .. gap / 2 and (g,) greatest misses for (g,) gaps.

    ``places`` are (f,), the same for all gaps, or (g, f).
    """
    half = gaps / 2
    folded = np.sort(places % half[:, None], axis=1)
    onward = np.concatenate([folded[:, 1:], folded[:, :1] + half[:, None]], axis=1)
    empty = onward - folded
    widest = empty.argmax(axis=1)
    rows = np.arange(len(gaps))
    worst = (half - empty[rows, widest]) / 2
    return (onward[rows, widest] + worst) % half, worst


@dataclass(frozen=True)
class Wish:
    """What lines should be like: a gap and slopes, over the hull of the first patch.

    With two slopes the second turns the other way, so that a grid stays a mirror image.
    """

    gap_mm: float
    angles_deg: tuple[float, ...]
    hull: Floats

    def width(self, turn_deg: Floats) -> Floats:
        """(a,) of the first patch, square to the lines."""
        return widths(self.hull, self.angles_deg[0] + turn_deg)

    def places(self, crossings: Crossings, turn_deg: Floats) -> Floats:
        """(a, f) places of all crossings along the normals of all slopes."""
        ways = zip(self.angles_deg, (1.0, -1.0), strict=False)
        return np.concatenate([crossings.along(a + way * turn_deg) for a, way in ways], axis=1)

    def numbers(self, low_mm: float, high_mm: float) -> Numbers:
        """Numbers of gaps whose size may be wished for at some width between the two."""
        first = max(1, int(np.ceil(low_mm / (self.gap_mm * GAP_SHARE[1]) - 1e-9)))
        last = max(first, int(np.floor(high_mm / (self.gap_mm * GAP_SHARE[0]) + 1e-9)))
        return np.arange(first, last + 1)


@dataclass(frozen=True)
class _Trials:
    """Turns with numbers of gaps, each the middle of an interval of turns; parallel arrays.

    ``away`` is the distance from the wish, log of the gap's ratio and radians of the turn added
    up; ``least_miss`` and ``least_away`` hold for the whole interval.
    """

    turn: Floats
    number: Numbers
    reach: Floats
    miss: Floats
    away: Floats
    least_miss: Floats
    least_away: Floats
    allowed: NDArray[np.bool_]
    may: NDArray[np.bool_]

    def take(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> _Trials:
        return _Trials(*(getattr(self, name)[chosen] for name in self.__dataclass_fields__))

    def and_(self, other: _Trials) -> _Trials:
        names = self.__dataclass_fields__
        return _Trials(*(np.concatenate([getattr(self, n), getattr(other, n)]) for n in names))


def best_turn(wish: Wish, crossings: Crossings, directions_deg: Floats, barred: Floats) -> float:
    """Degrees by which the first slope turns for the least miss, alike ones by the wish.

    ``directions_deg`` are turns worth trying by themselves; turns nearer than ``barred`` (k, 2),
    a turn and how near, are left out, as lines there lean on a seam.
    """
    grid = np.arange(-TURN_DEG, TURN_DEG + STEP_DEG / 2, STEP_DEG)
    first = _grow(wish, grid, np.full(len(grid), STEP_DEG / 2))
    alone = _grow(wish, directions_deg, np.zeros(len(directions_deg)))
    tried = _measure(wish, crossings, *first, barred)
    pool = tried.and_(_measure(wish, crossings, *alone, barred))
    if not pool.allowed.any():
        return 0.0
    while len(tried.turn):
        tried = tried.take(_live(tried, pool))
        if tried.turn.size * crossings.points.size > MOST_CELLS:
            break
        tried = _measure(wish, crossings, *_halve(tried), barred)
        pool = pool.and_(tried)
    return _polish(wish, crossings, pool.take(np.array([_chosen(pool)])))


def _grow(wish: Wish, turn: Floats, reach: Floats) -> tuple[Floats, Numbers, Floats]:
    """Each turn with each number of gaps that any turn of its interval may be divided into."""
    slack = float(np.hypot(*np.ptp(wish.hull, axis=0))) * np.radians(reach)
    width = wish.width(turn)
    spans = zip(width - slack, width + slack, strict=True)
    numbers = [wish.numbers(float(low), float(high)) for low, high in spans]
    count = [len(own) for own in numbers]
    return np.repeat(turn, count), np.concatenate(numbers), np.repeat(reach, count)


def _halve(tried: _Trials) -> tuple[Floats, Numbers, Floats]:
    half = tried.reach / 2
    turn = np.concatenate([tried.turn - half, tried.turn + half])
    return turn, np.tile(tried.number, 2), np.tile(half, 2)


def _measure(
    wish: Wish, crossings: Crossings, turn: Floats, number: Numbers, reach: Floats, barred: Floats
) -> _Trials:
    """Misses and bounds; ``barred`` as for :func:`best_turn`."""
    width, radians = wish.width(turn), np.radians(reach)
    gap = width / number
    _, miss = best_offset(wish.places(crossings, turn), gap)
    diameter = float(np.hypot(*np.ptp(wish.hull, axis=0)))
    steepest = crossings.reach_mm + (crossings.reach_mm + gap / 2) * diameter / (2 * width)
    ratio, slack = np.log(gap / wish.gap_mm), 2 * diameter / width * radians
    off, turned = np.abs(ratio), np.abs(np.radians(turn))
    low, high = np.log(GAP_SHARE)
    free = (np.abs(turn[:, None] - barred[:, 0]) >= barred[:, 1]).all(axis=1)
    inside = np.abs(turn) <= TURN_DEG + 1e-9
    return _Trials(
        turn,
        number,
        reach,
        miss,
        off + turned,
        np.maximum(miss - steepest * radians, 0.0),
        np.maximum(off - slack, 0.0) + np.maximum(turned - radians, 0.0),
        free & inside & (ratio >= low - 1e-9) & (ratio <= high + 1e-9),
        (ratio >= low - slack) & (ratio <= high + slack),
    )


def _chosen(pool: _Trials) -> int:
    """Of the allowed ones with the least miss, or alike, the nearest to the wish."""
    least = pool.miss[pool.allowed].min()
    alike = np.flatnonzero(pool.allowed & (pool.miss <= least + SAME_MM))
    return int(alike[np.lexsort([pool.turn[alike], np.round(pool.away[alike], 9)])[0]])


def _live(tried: _Trials, pool: _Trials) -> NDArray[np.bool_]:
    """Intervals that may hold a lesser miss, or one alike nearer to the wish."""
    least = float(pool.miss[pool.allowed].min())
    below = least - SAME_MM if least <= GOOD_MM else GOOD_MM
    nearest = float(pool.away[_chosen(pool)])
    alike = (tried.least_miss <= min(least + SAME_MM, GOOD_MM)) & (tried.least_away < nearest)
    fine = tried.reach > FINEST_DEG
    live: NDArray[np.bool_] = tried.may & fine & ((tried.least_miss < below) | alike)
    return live


def _polish(wish: Wish, crossings: Crossings, one: _Trials) -> float:
    """The turn nearby at which the same number of gaps misses least."""
    turn, miss, reach = float(one.turn[0]), float(one.miss[0]), 0.05
    for _ in range(9):
        around = np.clip(turn + np.linspace(-reach, reach, 21), -TURN_DEG, TURN_DEG)
        gap = wish.width(around) / one.number[0]
        _, misses = best_offset(wish.places(crossings, around), gap)
        at = int(misses.argmin())
        if misses[at] < miss - 1e-6:
            turn, miss = float(around[at]), float(misses[at])
        reach /= 5
    return turn
