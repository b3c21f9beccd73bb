"""Where the seams of a pieced layer may fall, and how short its longest piece can then be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from quiltpath.units import MM_PER_INCH

KEEP_CLEAR_MM = 2 * MM_PER_INCH
"""Seams of backing, wadding and top keep this far from each other (common practice)."""

_TOUCH = 1e-7


@dataclass(frozen=True)
class Avoid:
    """A line that seams should keep away from: across ``axis`` 0 (x) or 1 (y) at ``at_mm``.

    ``rank`` orders what is given up first where not all can be kept: the highest.
    """

    name: str
    at_mm: float
    clear_mm: float = KEEP_CLEAR_MM
    rank: int = 1
    axis: int = 0


@dataclass(frozen=True)
class Allowed:
    """Where seams may fall between ``low`` and ``high``."""

    low: float
    high: float
    lines: tuple[Avoid, ...]
    seam: float

    def intervals(self) -> list[tuple[float, float]]:
        """Closed stretches that keep clear of every line."""
        free = [(self.low, self.high)]
        for line in self.lines:
            bad = (line.at_mm - line.clear_mm, line.at_mm + line.clear_mm)
            free = [part for stretch in free for part in _without(stretch, bad)]
        return free


def _without(
    stretch: tuple[float, float], bad: tuple[float, float]
) -> Iterator[tuple[float, float]]:
    low, high = stretch
    if bad[1] <= low or bad[0] >= high:
        yield stretch
        return
    if low <= bad[0]:
        yield low, bad[0]
    if bad[1] <= high:
        yield bad[1], high


def seams_for(count: int, allowed: Allowed, most_mm: float) -> tuple[float, ...] | None:
    """Seam places for ``count`` pieces, the longest piece as short as can be; None if over most.

    A piece has one seam allowance at each of its seams. Bisection on the longest piece, with the
    reach of each seam in turn as a set of intervals.
    """
    extent = allowed.high - allowed.low
    if count == 1:
        return () if extent <= most_mm + _TOUCH else None
    high = min(most_mm, extent + 2 * allowed.seam)
    if not _reaches(count, allowed, high + _TOUCH):
        return None
    low = extent / count
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if _reaches(count, allowed, middle) else (middle, high)
    return _nearest_to_even(count, allowed, high + _TOUCH)


Intervals = list[tuple[float, float]]


def _reaches(count: int, allowed: Allowed, longest: float) -> list[Intervals]:
    """Places that each seam can have, counted from the low end; none if the far end is not met."""
    free, reached = allowed.intervals(), [[(allowed.low, allowed.low)]]
    for number in range(1, count):
        step = longest - allowed.seam * (1 if number == 1 else 2)
        spread = _merged([(a + _TOUCH, b + step) for a, b in reached[-1]])
        reached.append(_overlaps(spread, free))
        if step <= 0 or not reached[-1]:
            return []
    need = [(allowed.high - (longest - allowed.seam), allowed.high - _TOUCH)]
    return reached[1:] if _overlaps(reached[-1], need) else []


def _merged(intervals: Intervals) -> Intervals:
    """Sorted intervals with those that touch made one, so that their number stays small."""
    merged: Intervals = []
    for a, b in intervals:
        if merged and a <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(b, merged[-1][1]))
        else:
            merged.append((a, b))
    return merged


def _overlaps(first: Intervals, second: Intervals) -> Intervals:
    found = [(max(a, c), min(b, d)) for a, b in first for c, d in second]
    return sorted((a, b) for a, b in found if a <= b)


def _nearest_to_even(count: int, allowed: Allowed, longest: float) -> tuple[float, ...]:
    """From the last seam back: the place nearest to even division from which all can be met."""
    reached = _reaches(count, allowed, longest)
    seams: list[float] = []
    high, step = allowed.high, longest - allowed.seam
    for number in range(count - 1, 0, -1):
        even = allowed.low + (allowed.high - allowed.low) * number / count
        window = [(high - step - _TOUCH, high)]
        places = _overlaps(window, reached[number - 1])
        seams.append(min((min(max(even, a), b) for a, b in places), key=lambda s: abs(s - even)))
        high, step = seams[-1], longest - 2 * allowed.seam
    return tuple(reversed(seams))
