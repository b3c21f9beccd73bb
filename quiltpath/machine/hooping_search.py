"""Where hoopings of the same number lie so that they cost a person least.

The fewest fields over a rectangle leave slack: fields may lie mirrored, and rows and columns of
them may slide. What that is worth is told by cutting the stitches up: open cuts first, then starts
of thread, then hidden cuts, then evenness. Rows and columns are slid one at a time, half as far
each round, as long as it helps (coordinate descent); how often depends on how much there is to sew.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from quiltpath.machine.hooping_cuts import IN_THE_OPEN, Cut, FieldPiece, cut_into_pieces
from quiltpath.machine.part_choice import PartCost, unevenness
from quiltpath.machine.rectangle_cover import SLACK, Field
from quiltpath.stitching import Stitches

TRIED_HOLES = 3_000_000
"""About as many times a needle hole is looked for in a field, for the sake of a better place."""
MOST_TRIED, LEAST_TRIED = 80, 4
FIRST_SLIDE, LEAST_SHARE = 1.0, 0.125
"""Shares of the room that a row or a column is slid by: at first, and at last."""
LEAST_SLIDE_MM = 0.5

Box = tuple[float, float, float, float]
Fields = tuple[Field, ...]


@dataclass(frozen=True)
class CutUp:
    """A design cut up by fields: its pieces, its cuts, and what they cost."""

    fields: Fields
    pieces: tuple[FieldPiece, ...]
    cuts: tuple[Cut, ...]
    cost: PartCost


@dataclass(frozen=True)
class CutTask:
    """What is cut up: stitches, how well each hole hides a cut, stitches sewn twice at one.

    ``bounds`` is the rectangle that the fields cover, and neighbours overlap by ``overlap_mm``.
    """

    stitches: Stitches
    grade: NDArray[np.int8]
    overlap_stitches: int
    bounds: Box
    overlap_mm: float

    def by(self, fields: Fields) -> CutUp:
        """The design cut up by these fields. Raises ``ValueError`` where they do not reach all."""
        pieces, cuts = cut_into_pieces(self.stitches, fields, self.grade, self.overlap_stitches)
        open_cuts = sum(cut.grade == IN_THE_OPEN for cut in cuts)
        sewn = np.zeros(len(fields))
        for piece in pieces:
            sewn[piece.field] += piece.last - piece.first
        used = sewn[sewn > 0].tolist()
        cost = PartCost(len(used), open_cuts, len(pieces), len(cuts) - open_cuts, unevenness(used))
        return CutUp(fields, pieces, cuts, cost)


def most_tried(cutting: CutTask, fields: Fields) -> int:
    """How many places there is time for."""
    looked = len(cutting.grade) * len(fields)
    return min(MOST_TRIED, max(LEAST_TRIED, TRIED_HOLES // max(looked, 1)))


def best_places(cutting: CutTask, fields: Fields, most: int) -> tuple[CutUp, int]:
    """As many fields placed so that they cost least, and how many of at most ``most`` places were
    tried."""
    best, tried = cutting.by(fields), 1
    if len(fields) == 1:
        return best, tried
    for other in islice(_mirrored(fields, cutting.bounds), most - tried):
        made, tried = cutting.by(other), tried + 1
        best = min(best, made, key=lambda each: each.cost)
    share = FIRST_SLIDE
    while share >= LEAST_SHARE and tried < most:
        better, again = _first_better(best, cutting, share, most - tried)
        tried += again
        best, share = (better, share) if better else (best, share / 2)
    return best, tried


def _first_better(
    best: CutUp, cutting: CutTask, share: float, most: int
) -> tuple[CutUp | None, int]:
    """The first slide that costs less, where one of at most ``most`` does; how many were tried."""
    tried = 0
    for other in islice(_slid(best.fields, cutting, share), most):
        made, tried = cutting.by(other), tried + 1
        if made.cost < best.cost:
            return made, tried
    return None, tried


def overlap_of(fields: Fields, bounds: Box, most_mm: float) -> float:
    """How much neighbours overlap wherever one is left for another, no more than ``most_mm``."""
    low, high = 0.0, most_mm
    if covered(fields, bounds, high):
        return high
    while high - low > 0.05:
        middle = (low + high) / 2
        low, high = (middle, high) if covered(fields, bounds, middle) else (low, middle)
    return low


def _mirrored(fields: Fields, bounds: Box) -> list[Fields]:
    """Mirrored left to right, top to bottom, and both; those that are not the same again."""
    found: list[Fields] = []
    places = [_places(fields)]
    for axes in ((0,), (1,), (0, 1)):
        other = fields
        for axis in axes:
            other = tuple(_flipped(field, bounds, axis) for field in other)
        if _places(other) not in places:
            places.append(_places(other))
            found.append(_in_reading_order(other))
    return found


def _places(fields: Fields) -> set[tuple[float, float, bool]]:
    return {(round(field.left, 3), round(field.low, 3), field.turned) for field in fields}


def _flipped(field: Field, bounds: Box, axis: int) -> Field:
    if axis:
        ends = bounds[1] + bounds[3]
        return replace(field, low=ends - field.high, high=ends - field.low)
    ends = bounds[0] + bounds[2]
    return replace(field, left=ends - field.right, right=ends - field.left)


def _in_reading_order(fields: Fields) -> Fields:
    return tuple(sorted(fields, key=lambda field: (-round(field.high, 6), field.left)))


def _slid(fields: Fields, cutting: CutTask, share: float) -> Iterator[Fields]:
    """The fields with one row or column slid by ``share`` of the room that it has there."""
    for axis in (1, 0):
        for group in _groups(fields, axis):
            for way in (1.0, -1.0):
                room = _room(fields, group, axis, way, cutting)
                if room * share >= LEAST_SLIDE_MM:
                    yield _moved(fields, group, axis, way * room * share)


def _groups(fields: Fields, axis: int) -> list[list[int]]:
    """Indices of the fields that begin at one height (axis 1) or at one distance (axis 0)."""
    begin = np.round([field.low if axis else field.left for field in fields], 3)
    return [np.flatnonzero(begin == at).tolist() for at in np.unique(begin)]


def _room(fields: Fields, group: Sequence[int], axis: int, way: float, cutting: CutTask) -> float:
    """How far the group can slide that way until something would be bare."""

    def free(by_mm: float) -> bool:
        moved = _moved(fields, group, axis, way * by_mm)
        return covered(moved, cutting.bounds, cutting.overlap_mm)

    size = max((f.high - f.low) if axis else (f.right - f.left) for f in (fields[k] for k in group))
    low, high = 0.0, 2 * LEAST_SLIDE_MM
    while high < size and free(high):
        low, high = high, 2 * high
    while low > 0 and high - low > LEAST_SLIDE_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if free(middle) else (low, middle)
    return low


def _moved(fields: Fields, group: Sequence[int], axis: int, by_mm: float) -> Fields:
    x, y = (0.0, by_mm) if axis else (by_mm, 0.0)
    moved = list(fields)
    for k in group:
        own = fields[k]
        moved[k] = Field(own.left + x, own.low + y, own.right + x, own.high + y, own.turned)
    return tuple(moved)


def covered(fields: Fields, bounds: Box, overlap_mm: float) -> bool:
    """Whether every square of the overlap's size within the bounds lies whole in some field.

    It does where the fields, each less by the overlap, cover the places of such a square's corner.
    """
    left, low, right, high = bounds
    right, high = max(right - overlap_mm, left), max(high - overlap_mm, low)
    boxes = np.array([(f.left, f.low, f.right - overlap_mm, f.high - overlap_mm) for f in fields])
    boxes += np.array([-SLACK, -SLACK, SLACK, SLACK])
    x, y = _middles(boxes[:, [0, 2]], left, right), _middles(boxes[:, [1, 3]], low, high)
    along = (boxes[:, None, 0] <= x) & (x <= boxes[:, None, 2])
    across = (boxes[:, None, 1] <= y) & (y <= boxes[:, None, 3])
    return bool((along.astype(np.float32).T @ across.astype(np.float32) > 0).all())


def _middles(sides: NDArray[np.float64], low: float, high: float) -> NDArray[np.float64]:
    """Middles between neighbouring sides within the range, and its ends."""
    at = np.unique(np.clip(sides.ravel(), low, high))
    at = np.concatenate([[low], at, [high]])
    return np.concatenate([[low], (at[1:] + at[:-1]) / 2, [high]])
