"""A piecer on paper: cut pieces, sewn to rows, joined and bordered as the plan says.

It knows seams and raw edges, not runners: a seam takes its allowance from both pieces, edges that
are sewn together must be level, and what lies under a seam is seen no more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box

from quiltpath.geometry.runner_shapes import RegionKind
from quiltpath.materials.border_strips import BorderJoins
from quiltpath.materials.pieced_top import CutCount, PiecedTop, TopBorder

Shapes = NDArray[np.object_]

TENTH_MM = 0.1
"""Pieces are cut to a tenth of a millimetre: edges that are sewn together are as level as that."""


@dataclass(frozen=True)
class Work:
    """Cloth that was sewn together, from raw edge to raw edge; its lower left corner is (0, 0)."""

    long: float
    high: float
    kinds: tuple[RegionKind, ...]
    shapes: Shapes

    @classmethod
    def cut(cls, piece: CutCount) -> Work:
        shape = box(0, 0, piece.along_mm, piece.across_mm)
        return cls(piece.along_mm, piece.across_mm, (piece.kind,), np.array([shape], dtype=object))

    def clipped(self, x: float, y: float, long: float, high: float) -> Shapes:
        return np.asarray(shapely.clip_by_rect(self.shapes, x, y, long, high))


def _moved(shapes: Shapes, x: float, y: float) -> Shapes:
    return np.asarray(shapely.transform(shapes, lambda points: points + np.array((x, y))))


def beside(first: Work, second: Work, seam: float, pieces: int) -> Work:
    """Right sides together, sewn, opened: the second lies to the right."""
    assert abs(first.high - second.high) < TENTH_MM * pieces, (first.high, second.high)
    at = first.long - seam
    left = first.clipped(0, 0, at, first.high)
    right = _moved(second.clipped(seam, 0, second.long, second.high), at - seam, 0)
    long = first.long + second.long - 2 * seam
    return Work(long, first.high, (*first.kinds, *second.kinds), np.concatenate([left, right]))


def turned(work: Work) -> Work:
    """Length and height changed for each other."""
    shapes = shapely.transform(work.shapes, lambda points: points[:, ::-1])
    return Work(work.high, work.long, work.kinds, np.asarray(shapes))


def in_a_row(works: Sequence[Work], seam: float, pieces: int) -> Work:
    """All in order, each to the right of those before it."""
    row = works[0]
    for work in works[1:]:
        row = beside(row, work, seam, pieces)
    return row


def in_a_column(works: Sequence[Work], seam: float, pieces: int) -> Work:
    """All in order, each above those before it."""
    return turned(in_a_row([turned(work) for work in works], seam, pieces))


def sewn_top(top: PiecedTop, pieces: dict[str, int]) -> Work:
    """The top, of pieces that are taken by their letters; those that are not there fail."""
    cuts = {cut.letter: cut for cut in top.cuts}

    def taken(letter: str) -> Work:
        pieces[letter] -= 1
        assert pieces[letter] >= 0, f"there is no piece {letter} left"
        return Work.cut(cuts[letter])

    units: dict[int, Work] = {}
    slack = sum(len(unit.letters) for unit in top.units) + 2
    first, then = (in_a_row, in_a_column) if top.by == "row" else (in_a_column, in_a_row)
    for unit in top.units:
        for number in unit.numbers:
            made = first([taken(letter) for letter in unit.letters], top.seam_mm, slack)
            assert abs(made.long - unit.along_mm) < TENTH_MM * slack
            assert abs(made.high - unit.across_mm) < TENTH_MM * slack
            units[number] = made
    assert sorted(units) == list(range(1, len(units) + 1))
    middle = then([units[number] for number in sorted(units)], top.seam_mm, slack)
    if top.border is None:
        return middle
    sides = [taken(top.border.sides.letter) for _ in range(2)]
    ends = [taken(top.border.ends.letter) for _ in range(2)]
    return _bordered(middle, sides, ends, top.border, top.seam_mm)


def _bordered(
    middle: Work, sides: list[Work], ends: list[Work], border: TopBorder, seam: float
) -> Work:
    assert abs(middle.long - border.middle_mm[0]) < TENTH_MM * len(middle.kinds)
    assert abs(middle.high - border.middle_mm[1]) < TENTH_MM * len(middle.kinds)
    if border.corners == "mitred":
        return _mitred(middle, sides, ends, border, seam)
    tall = _lengthwise(middle, sides, border.side_at_mm, seam)
    return turned(_lengthwise(turned(tall), [turned(e) for e in ends], border.end_at_mm, seam))


def _lengthwise(middle: Work, strips: list[Work], at: float, seam: float) -> Work:
    """A strip sewn on below and one above, each beginning so far from the left end."""
    lower, upper = strips
    for strip in strips:
        assert at + strip.long <= middle.long + TENTH_MM * len(middle.kinds), "it stands over"
    up = lower.high - seam
    shown = middle.clipped(0, seam, middle.long, middle.high - seam)
    low = _moved(lower.clipped(0, 0, lower.long, up), at, 0)
    over = upper.clipped(0, seam, upper.long, upper.high)
    over = _moved(over, at, up + middle.high - 3 * seam)
    shapes = np.concatenate([low, _moved(shown, 0, up - seam), over])
    high = middle.high + lower.high + upper.high - 4 * seam
    return Work(middle.long, high, (*lower.kinds, *middle.kinds, *upper.kinds), shapes)


def _mitred(
    middle: Work, sides: list[Work], ends: list[Work], border: TopBorder, seam: float
) -> Work:
    """Strips sewn on middle on middle; each corner sewn from the inner corner outwards, at the
    angle that is told, and trimmed."""
    side, end = sides[0].high - seam, ends[0].long - seam
    inner = box(seam, seam, middle.long - seam, middle.high - seam)
    x0, y0, x1, y1 = inner.bounds
    slope = math.tan(math.radians(border.mitre_deg))
    reach = max(side, end) * 3
    shown = []
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    for y, up in ((y0, -1), (y1, 1)):
        far = y + up * reach * slope
        wedge = Polygon([(x0, y), (x1, y), (x1 + reach, far), (x0 - reach, far)])
        strip = box(cx - sides[0].long / 2, y, cx + sides[0].long / 2, y + up * side)
        shown.append(strip.intersection(wedge))
    for x, out in ((x0, -1), (x1, 1)):
        far, more = x + out * reach, reach * slope
        wedge = Polygon([(x, y0), (x, y1), (far, y1 + more), (far, y0 - more)])
        strip = box(x, cy - ends[0].high / 2, x + out * end, cy + ends[0].high / 2)
        shown.append(strip.intersection(wedge))
    inside = middle.clipped(*inner.bounds)
    shapes = _moved(np.concatenate([inside, np.array(shown, dtype=object)]), end - x0, side - y0)
    kinds = (*middle.kinds, *(RegionKind.BORDER for _ in range(4)))
    return Work(x1 - x0 + 2 * end, y1 - y0 + 2 * side, kinds, shapes)


def joined_border(joins: BorderJoins) -> tuple[float, tuple[float, ...]]:
    """Length of strips joined end to end on the diagonal, and where the joins lie on it.

    A diagonal join of strips of one width takes one width of the two together.
    """
    at, places = joins.strip_mm, []
    for _ in range(joins.strips - 1):
        places.append(at - joins.width_mm / 2)
        at += joins.strip_mm - joins.width_mm
    return at, tuple(places)


def of_kind(work: Work, kind: RegionKind) -> Shapes:
    """What is seen of one kind."""
    found = [s for s, own in zip(work.shapes, work.kinds, strict=True) if own is kind]
    return np.array(found, dtype=object)
