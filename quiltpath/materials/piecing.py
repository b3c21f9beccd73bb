"""Backing or wadding from cloth that may be too narrow: pieces, direction, seams, least cloth.

The layer is a rectangle in the runner's own coordinates. Its seams are parallel and run across
one of the two axes. A piece lies on the cloth with the seam either across the cloth (the pieces
follow each other along its length, in as many columns as fit side by side) or along it (each
piece is a full width, or part of one, cut from selvedge to selvedge).

Both come down to one question, answered exactly: with n pieces, how long must the longest be so
that every seam can fall on an allowed place? Two neighbouring pieces that fit into one width are
one piece, and in the columns one piece goes to a column; a further seam that would save a few
centimetres is not counted as a gain. The search is :func:`seams_for`; :func:`piecings` puts every
way that it finds in order.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from quiltpath.errors import InputError
from quiltpath.materials.shopping import Cloth
from quiltpath.units import MM_PER_INCH, both_units, tenths_of_a_metre

SEAM_WORTH_MM = 200.0
"""Cloth that a seam must save before it is worth sewing and pressing."""

KEEP_CLEAR_MM = 2 * MM_PER_INCH
"""Seams of backing, wadding and top keep this far from each other (common practice)."""

MOST_PIECES, MOST_WIDTHS = 12, 48
_TOUCH = 1e-7


@dataclass(frozen=True)
class LayerSize:
    """A layer's rectangle in the runner's coordinates, mm."""

    low_x: float
    low_y: float
    high_x: float
    high_y: float

    def span(self, axis: int) -> tuple[float, float]:
        """Low and high along an axis."""
        return (self.low_x, self.high_x) if axis == 0 else (self.low_y, self.high_y)

    def extent(self, axis: int) -> float:
        """Size along an axis."""
        low, high = self.span(axis)
        return high - low

    @property
    def length_mm(self) -> float:
        """Size along the runner."""
        return self.extent(0)

    @property
    def width_mm(self) -> float:
        """Size across the runner."""
        return self.extent(1)


@dataclass(frozen=True)
class CutPiece:
    """One piece to cut: ``on_length_mm`` along the cloth's length, ``on_width_mm`` across it.

    ``may_turn`` is true where it may lie the other way on a cloth without a direction.
    ``holds`` counts equal pieces, side by side across the cloth, that are cut from it.
    """

    name: str
    on_length_mm: float
    on_width_mm: float
    may_turn: bool = False
    holds: int = 1

    @property
    def turned(self) -> CutPiece:
        """The piece the other way round on the cloth."""
        return replace(self, on_length_mm=self.on_width_mm, on_width_mm=self.on_length_mm)


@dataclass(frozen=True)
class LineToAvoid:
    """A line that seams should keep away from: across ``axis`` 0 (x) or 1 (y) at ``at_mm``.

    ``rank`` orders what is given up first where not all can be kept: the highest.
    """

    name: str
    at_mm: float
    clear_mm: float = KEEP_CLEAR_MM
    rank: int = 1
    axis: int = 0


@dataclass(frozen=True)
class Piecing:
    """One way to make a layer.

    ``seams_mm``   where seams fall, in the runner's coordinates along ``axis``
    ``widths``     cloth widths (rows or columns) that are joined, 1 for an unjoined layer
    ``cloth_mm``   length of cloth that goes in
    ``grain_along_runner``  true where the cloth's length lies along the runner
    ``near``       the lines that a seam could not keep clear of
    """

    size: LayerSize
    cloth: Cloth
    axis: int
    seams_mm: tuple[float, ...]
    pieces: tuple[CutPiece, ...]
    cloth_mm: float
    grain_along_runner: bool
    seam_allowance_mm: float
    near: tuple[str, ...] = ()

    @property
    def widths(self) -> int:
        """Pieces that make the layer."""
        return len(self.pieces)

    @property
    def join_mm(self) -> float:
        """Length of all joins together."""
        return len(self.seams_mm) * self.size.extent(1 - self.axis)

    def seams_across(self, rollers: int | None) -> int:
        """Seams that lie across rollers along that axis: wound up, each builds up in one place."""
        return len(self.seams_mm) if self.axis == rollers else 0


def piecings(
    size: LayerSize,
    cloth: Cloth,
    seam_mm: float,
    avoid: Sequence[LineToAvoid] = (),
    seam_worth_mm: float = SEAM_WORTH_MM,
    rollers: int | None = None,
) -> tuple[Piecing, ...]:
    """Every way to make the layer, the best first.

    Fewest lines touched that were to be avoided, then fewest seams across the rollers that it is
    wound on, where ``rollers`` says which axis they lie along, then least cloth as shops sell it
    (0.1 m), then fewest seams, then least cloth. Without any cloth wide enough the pieces are
    joined from more widths. A seam must save ``seam_worth_mm`` of cloth to be worth sewing; 0 asks
    for the very least cloth, however many seams it takes.
    """
    found = [p for axis in (0, 1) for p in _along_axis(size, cloth, seam_mm, avoid, axis)]
    if not found:
        raise InputError(
            "", "cloth.width",
            f"{cloth.name} of {both_units(cloth.usable_mm)} is too narrow for a layer of"
            f" {both_units(size.length_mm)} by {both_units(size.width_mm)}", "take a wider cloth",
        )  # fmt: skip
    return tuple(
        sorted(found, key=lambda own: rank_piecing(own, avoid, seam_worth_mm, rollers=rollers))
    )


def rank_piecing(
    piecing: Piecing,
    avoid: Sequence[LineToAvoid],
    seam_worth_mm: float,
    cloth_mm: float | None = None,
    copies: int = 1,
    rollers: int | None = None,
) -> tuple[float, int, float, int, float, int, bool]:
    """What the order of piecings goes by, the best lowest; for ``copies`` that are cut together.

    ``cloth_mm`` is what all of them take, what one takes where it is left out.
    """
    rank = {line.name: line.rank for line in avoid}
    worst = sum(10.0 ** -rank[name] for name in piecing.near)
    cloth, seams = piecing.cloth_mm if cloth_mm is None else cloth_mm, len(piecing.seams_mm)
    bought = tenths_of_a_metre(cloth) + seams * copies * seam_worth_mm / 1000
    built_up = piecing.seams_across(rollers)
    return (worst, built_up, bought, seams, cloth, piecing.axis, not piecing.grain_along_runner)


def _along_axis(
    size: LayerSize, cloth: Cloth, seam_mm: float, avoid: Sequence[LineToAvoid], axis: int
) -> Iterator[Piecing]:
    """Ways whose seams run across ``axis``."""
    lines = sorted((line for line in avoid if line.axis == axis), key=lambda line: line.rank)
    for kept in range(len(lines), -1, -1):
        allowed = SeamRange(*size.span(axis), tuple(lines[:kept]), seam_mm)
        ways = [*_columns(size, cloth, axis, allowed), *_full_widths(size, cloth, axis, allowed)]
        for on_length, seams in ways:
            near = tuple(line.name for line in lines if _is_near(line, seams))
            yield _piecing(size, cloth, axis, seams, seam_mm, on_length, near)
        if ways:
            return


def _is_near(line: LineToAvoid, seams: Sequence[float]) -> bool:
    return any(abs(seam - line.at_mm) < line.clear_mm - 10 * _TOUCH for seam in seams)


def _columns(
    size: LayerSize, cloth: Cloth, axis: int, allowed: SeamRange
) -> Iterator[tuple[bool, tuple[float, ...]]]:
    """Pieces with the seam across the cloth: as many columns as fit side by side."""
    cross = size.extent(1 - axis)
    side_by_side = int(cloth.usable_mm / cross + _TOUCH)
    for count in range(1, min(side_by_side, MOST_PIECES) + 1):
        seams = seams_for(count, allowed, math.inf)
        if seams is not None:
            yield True, seams


def _full_widths(
    size: LayerSize, cloth: Cloth, axis: int, allowed: SeamRange
) -> Iterator[tuple[bool, tuple[float, ...]]]:
    """Pieces with the seam along the cloth: the fewest widths that can be joined."""
    fewest = max(1, int(size.extent(axis) / cloth.usable_mm))
    for count in range(fewest, MOST_WIDTHS + 1):
        seams = seams_for(count, allowed, cloth.usable_mm)
        if seams is not None:
            yield False, seams
            return


def _piecing(
    size: LayerSize,
    cloth: Cloth,
    axis: int,
    seams: tuple[float, ...],
    seam_mm: float,
    on_length: bool,
    near: tuple[str, ...],
) -> Piecing:
    """The piecing with these seams; ``on_length`` where pieces lie along the cloth's length."""
    cross = size.extent(1 - axis)
    low, high = size.span(axis)
    spans = [b - a for a, b in pairwise((low, *seams, high))]
    allowances = [seam_mm * ((i > 0) + (i < len(seams))) for i in range(len(spans))]
    along = [span + extra for span, extra in zip(spans, allowances, strict=True)]
    pieces = tuple(
        CutPiece(f"piece {i + 1}" if seams else "whole", *((p, cross) if on_length else (cross, p)))
        for i, p in enumerate(along)
    )
    cloth_mm = max(along) if on_length else len(along) * cross
    grain_along = (axis == 0) == on_length
    return Piecing(size, cloth, axis, seams, pieces, cloth_mm, grain_along, seam_mm, near)


@dataclass(frozen=True)
class SeamRange:
    """Where seams may fall between ``low`` and ``high``."""

    low: float
    high: float
    lines: tuple[LineToAvoid, ...]
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


@lru_cache(maxsize=256)
def seams_for(count: int, allowed: SeamRange, most_mm: float) -> tuple[float, ...] | None:
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


def _reaches(count: int, allowed: SeamRange, longest: float) -> list[Intervals]:
    """Places that each seam can have, counted from the low end; none if the far end is not met."""
    free, reached = allowed.intervals(), [[(allowed.low, allowed.low)]]
    for number in range(1, count):
        step = longest - allowed.seam * (1 if number == 1 else 2)
        spread = _merge([(a + _TOUCH, b + step) for a, b in reached[-1]])
        reached.append(_overlaps(spread, free))
        if step <= 0 or not reached[-1]:
            return []
    need = [(allowed.high - (longest - allowed.seam), allowed.high - _TOUCH)]
    return reached[1:] if _overlaps(reached[-1], need) else []


def _merge(intervals: Intervals) -> Intervals:
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


def _nearest_to_even(count: int, allowed: SeamRange, longest: float) -> tuple[float, ...]:
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
