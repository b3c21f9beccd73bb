"""Where the joins of a binding land, and the start that keeps them out of the mitres.

A diagonal join in a corner's mitre, on the panel join or at the closing join is lumpy. The start
(where the closing join will lie), the order of the strips and which end the surplus is cut from
are chosen so that every join keeps clear.

For one order and cut the joins lie at fixed distances from the start. A join meets an obstacle
when the start is at the point "obstacle less join" of the ring, so the clearance is the distance
of the start to the nearest of these points, and its best value lies half way between two
neighbours: an exact maximum, with no raster. The closing join needs more room at corners (the
open stretch must be straight); its points carry that as a weight.

Where the edge curves, joins are to lie on straight edge, or else where it bends least: the closing
join before the others, since both its ends have to be laid flat over the open stretch. What a join
sees of the edge's turning is a broken line over the start, so its least values lie at a stretch's
ends; these starts, those that keep clear, and a raster between them are weighed against each other.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.materials.edge_bends import Bends

Ring = NDArray[np.float64]

MOST_ORDERS = 720
"""All orders of six different strips; of more, the first so many."""

MOST_CURVED_ORDERS = 60
"""On a curved edge each order costs more: all of five strips of which two are alike."""

MOST_WORK = 200_000
"""Joins times obstacles over all orders that are tried: a bound on the search."""

CUT_SHARES = (0.0, 1.0, 0.5, 0.25, 0.75)
"""Parts of the surplus that may come off the first strip instead of the last."""

AMPLE = 3.0
"""More than so many times the clearance asked for is no better."""

RASTER = 720
"""Starts round a curved edge that are tried beside the exact ones."""

SAME_DEG = 0.5
"""Places that turn by less than this from each other are equally flat."""

_TOUCH = 1e-6


@dataclass(frozen=True)
class BindingRound:
    """What is laid where; lengths in mm along the edge from the outline's start.

    ``laid_mm``     joined strip that stays on the runner: perimeter, overlap, mitres
    ``edge_mm``     length of the edge
    ``join_mm``     what a join takes of the two strips together
    ``corners_mm``  corners to keep clear of; the closing join by ``closing_mm`` more
    ``panel_joins_mm``  where seams of the top meet the edge
    ``clear_mm``    clearance asked for
    ``wished_start_mm``  where the closing join would best lie, such as the middle of a long side
    ``hold_mm``    strip beyond the overlap by which the end is held while it is closed
    ``bends``      how the edge curves; None for one of straight sides
    ``open_reach_mm``, ``join_reach_mm``  so far to either side of the closing join, and of each
                   other join, the edge should be straight
    """

    laid_mm: float
    edge_mm: float
    join_mm: float
    corners_mm: tuple[float, ...] = ()
    panel_joins_mm: tuple[float, ...] = ()
    clear_mm: float = 0.0
    closing_mm: float = 0.0
    wished_start_mm: float = 0.0
    bends: Bends | None = None
    hold_mm: float = 0.0
    open_reach_mm: float = 0.0
    join_reach_mm: float = 0.0


@dataclass(frozen=True)
class BindingJoins:
    """The chosen start, order and cut; places in mm along the edge from the outline's start.

    ``start_mm``      where the closing join lies
    ``strips_mm``     lengths of the strips in the order they are sewn on
    ``joins_mm``      where they are joined to each other
    ``cut_first_mm``, ``cut_last_mm``  what is cut off the first and the last strip
    ``clearance_mm``  least distance of a join to a corner or panel join (the closing join's to a
                      corner less the extra room it needs)
    ``apart_mm``      least distance of two joins along the edge, the closing one included
    """

    start_mm: float
    strips_mm: tuple[float, ...]
    joins_mm: tuple[float, ...]
    cut_first_mm: float
    cut_last_mm: float
    clearance_mm: float
    apart_mm: float

    @property
    def least_mm(self) -> float:
        """The smaller of clearance and distance of two joins."""
        return min(self.clearance_mm, self.apart_mm)

    def keeps_clear(self, clear_mm: float) -> bool:
        """True where every join keeps at least ``clear_mm``."""
        return self.least_mm >= clear_mm - _TOUCH


def place_joins(strips_mm: Sequence[float], laying: BindingRound) -> BindingJoins:
    """The best start, order and cut for strips that are laid round an edge.

    Of all with an ample clearance (or the most there is) the start nearest to the wished one.
    Cost O(orders x n log n) for n = joins x obstacles.
    """
    points = len(strips_mm) * (len(laying.corners_mm) + len(laying.panel_joins_mm) + 1)
    curved = laying.bends is not None and laying.bends.any
    tried = max(1, min(MOST_CURVED_ORDERS if curved else MOST_ORDERS, MOST_WORK // points))
    ways = [
        _Way.of(order, share, laying)
        for order in itertools.islice(orders(strips_mm), tried)
        for share in CUT_SHARES
    ]
    most = max(way.least_mm for way in ways)
    if curved:
        return _on_the_flattest(ways, min(most, laying.clear_mm), laying)
    target = min(most, AMPLE * laying.clear_mm) if laying.clear_mm > 0 else most
    placed = [way.placed(target, laying) for way in ways if way.least_mm >= target - _TOUCH]
    return min(placed, key=lambda p: _far_from_wish(p, laying))


def _on_the_flattest(ways: Sequence[_Way], clear_mm: float, laying: BindingRound) -> BindingJoins:
    """The start that keeps clear, with its joins on the flattest edge; then nearest to the wish."""
    found = [way.flattest(clear_mm, laying) for way in ways]
    return min(found, key=lambda one: one[0])[1]


def _far_from_wish(placed: BindingJoins, laying: BindingRound) -> float:
    return round(ring_distance(placed.start_mm, laying.wished_start_mm, laying.edge_mm), 6)


def orders(strips_mm: Sequence[float]) -> Iterator[tuple[float, ...]]:
    """Every order that differs, each once, the given lengths' own order of first sight first."""
    counts = Counter(strips_mm)

    def grow(prefix: tuple[float, ...]) -> Iterator[tuple[float, ...]]:
        if len(prefix) == len(strips_mm):
            yield prefix
            return
        for length in counts:
            if counts[length]:
                counts[length] -= 1
                yield from grow((*prefix, length))
                counts[length] += 1

    return grow(())


def join_offsets(
    order: Sequence[float], share: float, laying: BindingRound
) -> tuple[Ring, float, float]:
    """Distances of the joins from the start, and what comes off the first and the last strip.

    What is over at the end to hold it by stays there, as far as there is so much; ``share`` of the
    rest comes off the first strip. A join takes ``join_mm`` of both strips together; its middle is
    where it counts. Distances along the strip are spread over the edge evenly (the folds of the
    mitres take up a little).
    """
    joined = sum(order) - laying.join_mm * (len(order) - 1)
    surplus = max(joined - laying.laid_mm, 0.0)
    loose = max(surplus - laying.hold_mm, 0.0)
    first = min(loose * share, max(order[0] - 2 * laying.join_mm, 0.0))
    ends = np.cumsum(np.asarray(order, dtype=float) - laying.join_mm)[:-1] - first
    scale = laying.edge_mm / (laying.laid_mm - laying.join_mm)
    return ends * scale, first, surplus - first


@dataclass(frozen=True)
class _Way:
    """One order and cut, with the points that the start keeps clear of and their weights."""

    order: tuple[float, ...]
    offsets: Ring
    cut: tuple[float, float]
    points: Ring
    weights: Ring
    clearance_mm: float
    apart_mm: float

    @property
    def least_mm(self) -> float:
        return min(self.clearance_mm, self.apart_mm)

    @classmethod
    def of(cls, order: tuple[float, ...], share: float, laying: BindingRound) -> _Way:
        offsets, first, last = join_offsets(order, share, laying)
        points, weights = _keep_clear_of(offsets, laying)
        half = _half_gaps(points, weights, laying.edge_mm)
        clearance = float(half.max()) if len(half) else laying.edge_mm
        apart = _least_apart(offsets, laying.edge_mm)
        return cls(order, offsets, (first, last), points, weights, clearance, apart)

    def placed(self, target: float, laying: BindingRound) -> BindingJoins:
        return self._begun_at(_start(self.points, self.weights, target, laying), laying)

    def flattest(self, clear_mm: float, laying: BindingRound) -> tuple[Merit, BindingJoins]:
        """The best start on a curved edge, and what it is worth: less is better."""
        starts = self._starts(clear_mm, laying)
        closing, joins = bend_at(starts, self.offsets, laying)
        kept = np.minimum(_clearances(self.points, self.weights, starts, laying), self.apart_mm)
        lacking = np.round(np.maximum(clear_mm - kept, 0.0), 3)
        far = np.abs((starts - laying.wished_start_mm + laying.edge_mm / 2) % laying.edge_mm)
        far = np.round(np.abs(far - laying.edge_mm / 2), 3)
        merit = (lacking, _alike(closing), _alike(joins), far)
        best = int(np.lexsort(merit[::-1])[0])
        worth = (
            float(lacking[best]), float(merit[1][best]), float(merit[2][best]), float(far[best]),
        )  # fmt: skip
        return worth, self._begun_at(float(starts[best]), laying)

    def _starts(self, clear_mm: float, laying: BindingRound) -> Ring:
        """Starts worth trying: where clearance is just kept, ends of straight edge, a raster."""
        assert laying.bends is not None
        reach = self.weights + clear_mm
        exact = [np.array([laying.wished_start_mm]), self.points - reach, self.points + reach]
        low, high = laying.bends.straight_stretches().T
        for offset, room in zip((0.0, *self.offsets), self._reaches(laying), strict=True):
            long = high - low >= 2 * room
            exact += [low[long] + room - offset, high[long] - room - offset]
        raster = np.arange(RASTER) * (laying.edge_mm / RASTER)
        return np.concatenate([*exact, raster]) % laying.edge_mm

    def _reaches(self, laying: BindingRound) -> tuple[float, ...]:
        return (laying.open_reach_mm, *(laying.join_reach_mm for _ in self.offsets))

    def _begun_at(self, start: float, laying: BindingRound) -> BindingJoins:
        nearest = _clearance(self.points, self.weights, start, laying.edge_mm)
        joins = tuple(float(at) for at in (start + self.offsets) % laying.edge_mm)
        return BindingJoins(start, self.order, joins, *self.cut, nearest, self.apart_mm)


Merit = tuple[float, float, float, float]
"""Clearance that lacks (mm), turning at the closing join and at the others (degrees), distance to
the wished start (mm): the first that differs decides."""


def bend_at(starts: Ring, offsets: Ring, laying: BindingRound) -> tuple[Ring, Ring]:
    """(n,) what the edge turns over the open stretch, and (n,) the most over any other join."""
    assert laying.bends is not None
    closing = laying.bends.turn_deg(starts, laying.open_reach_mm)
    joins = np.zeros(len(starts))
    for offset in offsets:
        turn = laying.bends.turn_deg(starts + offset, laying.join_reach_mm)
        joins = np.maximum(joins, turn)
    return closing, joins


def _alike(turn_deg: Ring) -> Ring:
    """Turns of about one size made equal, so that the next wish decides between them."""
    return np.floor(turn_deg / SAME_DEG + 1e-6)


def _clearances(points: Ring, weights: Ring, starts: Ring, laying: BindingRound) -> Ring:
    """(n,) clearance at each of the starts."""
    if not len(points):
        return np.full(len(starts), laying.edge_mm)
    gap = np.abs(np.subtract.outer(starts, points)) % laying.edge_mm
    return np.asarray((np.minimum(gap, laying.edge_mm - gap) - weights).min(axis=1))


def _keep_clear_of(offsets: Ring, laying: BindingRound) -> tuple[Ring, Ring]:
    """Points of the ring at which the start would put a join on an obstacle, sorted, weighted."""
    corners, panel = np.asarray(laying.corners_mm), np.asarray(laying.panel_joins_mm)
    obstacles = np.concatenate([corners, panel]).astype(float)
    joins = np.concatenate([[0.0], offsets])
    points = np.subtract.outer(joins * -1, -obstacles) % laying.edge_mm
    weights = np.zeros_like(points)
    weights[0, : len(corners)] = laying.closing_mm
    return _drop_dominated(points.ravel(), weights.ravel(), laying.edge_mm)


def _drop_dominated(points: Ring, weights: Ring, edge_mm: float) -> tuple[Ring, Ring]:
    """Without light points that a heavy neighbour covers; in order round the ring.

    There are two weights, nothing and the closing join's, so the nearest heavy point decides.
    """
    order = np.argsort(points, kind="stable")
    points, weights = points[order], weights[order]
    heavy = points[weights > 0]
    if not len(heavy):
        return points, weights
    round_again = np.concatenate([[heavy[-1] - edge_mm], heavy, [heavy[0] + edge_mm]])
    after = np.searchsorted(round_again, points).clip(1, len(round_again) - 1)
    gap = np.minimum(round_again[after] - points, points - round_again[after - 1])
    covered = (weights == 0) & (gap <= weights.max() - _TOUCH)
    return points[~covered], weights[~covered]


def _half_gaps(points: Ring, weights: Ring, edge_mm: float) -> Ring:
    """Clearance half way between each point and the next, less their weights."""
    if not len(points):
        return points
    gaps = np.diff(np.concatenate([points, [points[0] + edge_mm]]))
    return (gaps - weights - np.roll(weights, -1)) / 2


def _start(points: Ring, weights: Ring, target: float, laying: BindingRound) -> float:
    """The start nearest to the wished one among those with the target clearance."""
    wished, edge = laying.wished_start_mm % laying.edge_mm, laying.edge_mm
    if not len(points):
        return wished
    half = _half_gaps(points, weights, edge)
    wide = np.flatnonzero(half >= target - _TOUCH)
    lows = points[wide] + weights[wide] + target
    room = 2 * np.maximum(half[wide] - target, 0.0)
    beyond = (wished - lows) % edge
    starts = lows + np.where(
        beyond <= room, beyond, np.where(edge - beyond < beyond - room, 0.0, room)
    )
    far = np.abs((starts - wished + edge / 2) % edge - edge / 2)
    return float(starts[int(np.argmin(np.round(far, 6)))] % edge)


def _clearance(points: Ring, weights: Ring, start: float, edge_mm: float) -> float:
    if not len(points):
        return edge_mm
    gap = np.abs(points - start)
    return float((np.minimum(gap, edge_mm - gap) - weights).min())


def ring_distance(a: float, b: float, edge_mm: float) -> float:
    """Distance along a closed edge, the shorter way round."""
    gap = abs(a - b) % edge_mm
    return min(gap, edge_mm - gap)


def _least_apart(offsets: Ring, edge_mm: float) -> float:
    """Least distance of two joins on the ring; below 0 where a strip would lie beyond the end."""
    return float(np.diff(np.concatenate([[0.0], offsets, [edge_mm]])).min())
