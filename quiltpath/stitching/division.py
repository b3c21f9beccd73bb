"""A path into stitches: cut into stretches at needle points that must be, each divided evenly.

Even means by arc length and, on curves too tight for that, by chord.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Scalar, distinct
from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import Runs
from quiltpath.stitching.path import Path, corner_arcs, securing_zones

ROUNDS = 12
"""Equalising chords gains about a digit a round on curves wider than a stitch."""

WITHIN_MM = 1e-6


@dataclass(frozen=True)
class Stretches:
    """Parts of the path between corners, ends and securing, in sewing order.

    ``low``, ``high``  (t,) arc lengths where each starts and ends, mm
    ``run``            (t,) its run
    ``securing``       (t,) true where the stitches are the tiny ones of a secured end
    ``corners``        how many of the cuts are corners
    """

    low: NDArray[np.float64]
    high: NDArray[np.float64]
    run: NDArray[np.int32]
    securing: NDArray[np.bool_]
    corners: int

    def __len__(self) -> int:
        return len(self.low)

    @property
    def length(self) -> NDArray[np.float64]:
        """(t,) in mm."""
        return self.high - self.low

    def take(self, chosen: NDArray[np.bool_]) -> Stretches:
        """The chosen stretches."""
        return Stretches(
            self.low[chosen],
            self.high[chosen],
            self.run[chosen],
            self.securing[chosen],
            self.corners,
        )


def stretches(path: Path, runs: Runs, stitch: StitchSection) -> Stretches:
    """Cut the path at run ends, at corners and where securing gives way to sewing."""
    corners = corner_arcs(path, stitch.corner)
    zone_low, zone_high = securing_zones(path.run_arc, corners, runs.secured, stitch)
    breaks = distinct(np.concatenate([path.run_arc, corners, zone_low, zone_high]))
    low, high = breaks[:-1], breaks[1:]
    middle = (low + high) / 2
    run = (np.searchsorted(path.run_arc, middle) - 1).astype(np.int32)
    securing = (middle < zone_low[run]) | (middle > zone_high[run])
    return Stretches(low, high, run, securing, len(corners))


def stitch_numbers(
    length: NDArray[np.float64], securing: NDArray[np.bool_], stitch: StitchSection
) -> NDArray[np.int64]:
    """(t,) stitches for each length: nearest the set length, never above the upper bound.

    Where a whole number of stitches fits the bounds, one that does is taken; a length of
    n * low .. n * high has one, and from 18 mm up (3.0 to 3.5 mm) every length has.
    """
    fewest = np.maximum(np.ceil(length / stitch.longest - 1e-9), 1)
    most = np.floor(length / stitch.shortest + 1e-9)
    nearest = _nearest_number(length, stitch.length)
    number = np.maximum(np.minimum(nearest, most), fewest)
    tiny = np.maximum(np.round(length / stitch.securing_length), 1)
    return np.where(securing, tiny, number).astype(np.int64)


def _nearest_number(length: NDArray[np.float64], wanted: float) -> NDArray[np.float64]:
    """The number of equal parts whose size comes nearest ``wanted``."""
    fewer = np.maximum(np.floor(length / wanted), 1)
    more = fewer + 1
    return np.where(length / fewer - wanted <= wanted - length / more, fewer, more)


@dataclass(frozen=True)
class Division:
    """Stitch ends on the path, in sewing order.

    ``number``   (t,) stitches of each stretch
    ``part``     (n,) stretch of each stitch
    ``arcs``     (n,) arc length at which each stitch ends, mm
    ``points``   (n, 2) where it ends, mm
    ``segment``  (n,) the path's segment that holds the point
    ``chord``    (n,) length of each stitch, mm
    """

    number: NDArray[np.int64]
    part: NDArray[np.intp]
    arcs: NDArray[np.float64]
    points: NDArray[np.float64]
    segment: NDArray[np.intp]
    chord: NDArray[np.float64]

    @property
    def first(self) -> NDArray[np.intp]:
        """(t,) index of each stretch's first stitch."""
        return (np.cumsum(self.number) - self.number).astype(np.intp)

    @property
    def shortest(self) -> NDArray[np.float64]:
        """(t,) shortest stitch of each stretch, mm."""
        return np.minimum.reduceat(self.chord, self.first)

    @property
    def longest(self) -> NDArray[np.float64]:
        """(t,) longest stitch of each stretch, mm."""
        return np.maximum.reduceat(self.chord, self.first)

    @property
    def chords_mm(self) -> NDArray[np.float64]:
        """(t,) sum of the stitches of each stretch, mm."""
        return np.add.reduceat(self.chord, self.first)


def divide_stretches(path: Path, parts: Stretches, stitch: StitchSection) -> Division:
    """Every stretch divided evenly.

    Even means by arc length. A stitch is a chord, though, shorter than its arc: where one falls
    below the lower bound on a tight curve, the stretch is divided into equal chords if that
    brings all of them within the bounds.
    """
    number = stitch_numbers(parts.length, parts.securing, stitch)
    division = _divide_at(path, parts, number, _even_arcs(parts, number))
    tight = _too_tight(parts, division, stitch)
    if not tight.any():
        return division
    return _with_equal_chords(path, parts, division, tight, stitch)


def _too_tight(parts: Stretches, division: Division, stitch: StitchSection) -> NDArray[np.bool_]:
    curved = parts.length - division.chords_mm > WITHIN_MM
    return curved & ~parts.securing & (division.shortest < stitch.shortest - WITHIN_MM)


def _with_equal_chords(
    path: Path,
    parts: Stretches,
    even: Division,
    tight: NDArray[np.bool_],
    stitch: StitchSection,
) -> Division:
    some = parts.take(tight)
    number = stitch_numbers(even.chords_mm[tight], some.securing, stitch)
    equal = _equal_chords(path, some, number)
    # The chords' sum grows with their number, so a first guess can be one too many.
    fewer = (equal.shortest < stitch.shortest - WITHIN_MM) & (number > 1)
    if fewer.any():
        fewer &= _equal_chords(path, some, number - fewer).longest <= stitch.longest
        number = number - fewer
        equal = _equal_chords(path, some, number)
    better = (equal.longest <= stitch.longest) & (equal.shortest > even.shortest[tight])
    return _replaced(even, tight, equal, better)


def _replaced(
    division: Division, some: NDArray[np.bool_], other: Division, better: NDArray[np.bool_]
) -> Division:
    """The division with those of ``some`` stretches (t,) from the other where that is ``better``,
    (t,) of ``some``."""
    changed = some.copy()
    changed[some] = better
    number, begin = division.number.copy(), division.first
    number[changed] = other.number[better]
    begin[changed] = len(division.part) + other.first[better]
    part = np.repeat(np.arange(len(number)), number)
    at = np.arange(len(part)) + np.repeat(begin - (np.cumsum(number) - number), number)

    def both(mine: NDArray[Scalar], others: NDArray[Scalar]) -> NDArray[Scalar]:
        return np.concatenate([mine, others]).take(at, axis=0)

    return Division(
        number,
        part,
        both(division.arcs, other.arcs),
        both(division.points, other.points),
        both(division.segment, other.segment),
        both(division.chord, other.chord),
    )


def _equal_chords(path: Path, parts: Stretches, number: NDArray[np.int64]) -> Division:
    """Arc lengths moved until all stitches of a stretch are equally long.

    The arc over a chord exceeds it by an amount that changes slowly along a curve. Each round
    gives every stitch the same chord plus the excess found in the round before.
    """
    division = _divide_at(path, parts, number, _even_arcs(parts, number))
    for _ in range(ROUNDS):
        before = np.roll(division.arcs, 1)
        before[division.first] = parts.low
        excess = division.arcs - before - division.chord
        chord = (parts.length - np.add.reduceat(excess, division.first)) / number
        step = np.maximum(chord[division.part] + excess, 0.0)
        division = _divide_at(path, parts, number, _running(parts, division, step))
    return division


def _running(
    parts: Stretches, division: Division, step: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Arc lengths after each step; the last of a stretch is its end, exactly."""
    total = np.cumsum(step)
    offset = parts.low - (total[division.first] - step[division.first])
    arcs = np.minimum(total + offset[division.part], parts.high[division.part])
    arcs[division.first + division.number - 1] = parts.high
    return arcs


def _even_arcs(parts: Stretches, number: NDArray[np.int64]) -> NDArray[np.float64]:
    """(n,) arc lengths that divide every stretch into equal parts."""
    part = np.repeat(np.arange(len(number)), number)
    end = np.cumsum(number)
    step = np.arange(len(part)) - np.repeat(end - number, number) + 1
    arcs = parts.low[part] + step * (parts.length / number)[part]
    arcs[end - 1] = parts.high
    return arcs


def _divide_at(
    path: Path, parts: Stretches, number: NDArray[np.int64], arcs: NDArray[np.float64]
) -> Division:
    """The division at ``arcs``, with its points and chords."""
    part = np.repeat(np.arange(len(number)), number)
    segment = path.segment_at(arcs, parts.run[part])
    points = path.points_at(arcs, segment)
    first = np.cumsum(number) - number
    before = np.roll(points, 1, axis=0)
    before[first] = path.points_at(parts.low, path.segment_at(parts.low, parts.run))
    chord = np.hypot(*(points - before).T)
    return Division(number, part, arcs, points, segment, chord)
