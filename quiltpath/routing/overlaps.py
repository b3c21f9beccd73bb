"""Lines that lie on each other, whole or in part, are sewn once.

Parallel segments are looked up in an R-tree in a frame turned to their angle, where they are thin
boxes, so that lines which merely cross are seldom compared: O(n log n) for n segments, and as much
again as there are overlaps.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import distinct, shares
from quiltpath.routing.edges import Edges, cut_edges

PARALLEL_RAD = np.radians(0.5)
SAME_ANGLE_RAD = 1e-9
SHORT_MM = 30.0
"""A segment up to this long crosses few others."""

PIECE_RAD, PIECE_SEGMENTS = np.radians(45.0), 4
"""How far a piece of a curve turns at most, and of how many segments it is."""


@dataclass(frozen=True)
class Overlap:
    """A stretch of the line ``lost`` that lies on the line ``kept``.

    ``at_mm`` is the point where the stretch begins, ``length_mm`` how long it is.
    """

    kept: int
    lost: int
    length_mm: float
    at_mm: tuple[float, float]


def merge_overlaps(
    edges: Edges, priority: NDArray[np.intp], tolerance_mm: float
) -> tuple[Edges, list[Overlap]]:
    """The edges without the stretches that lie on another edge, and what was left out.

    Two segments lie on each other where they are parallel to half a degree and no further apart
    than ``tolerance_mm``. The edge with the lower ``priority`` (s,) keeps the stretch; within one
    edge the earlier pass does. Parallel segments are neighbours in the plane of angle and
    distance from the middle, so that lines which merely cross are never compared.
    """
    segments = _segments(edges)
    near = np.flatnonzero(_has_others_near(segments, tolerance_mm))
    pairs = near[_parallel_neighbours(segments.take(near), tolerance_mm)]
    rank = np.argsort(priority[segments.owner], kind="stable")
    place = np.empty(len(rank), dtype=np.intp)
    place[rank] = np.arange(len(rank))
    keeper, loser = rank[np.sort(place[pairs], axis=1)].T
    low, high, found = _shared_stretch(segments, keeper, loser, tolerance_mm)
    keeper, loser, low, high = keeper[found], loser[found], low[found], high[found]
    if not len(loser):
        return edges, []
    arc = segments.along[loser]
    covered = _union_intervals(segments.owner[loser], arc + low, arc + high)
    records = _overlap_records(edges, segments, keeper, loser, low, high)
    return _without(edges, covered, tolerance_mm), records


@dataclass(frozen=True)
class _Segments:
    """Single segments of edges: first point, unit vector, length, owner, arc length."""

    start: NDArray[np.float64]
    unit: NDArray[np.float64]
    length: NDArray[np.float64]
    owner: NDArray[np.intp]
    along: NDArray[np.float64]

    def take(self, chosen: NDArray[np.intp]) -> _Segments:
        """The chosen segments."""
        return _Segments(
            self.start[chosen],
            self.unit[chosen],
            self.length[chosen],
            self.owner[chosen],
            self.along[chosen],
        )

    @property
    def turned(self) -> NDArray[np.float64]:
        """(n,) radians turned up to each segment, to either side, from the first one on."""
        before, after = self.unit[:-1], self.unit[1:]
        cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        turn = np.abs(np.arctan2(cross, (before * after).sum(axis=1)))
        turn[self.owner[1:] != self.owner[:-1]] = 0.0
        return np.concatenate([np.zeros(min(len(self.owner), 1)), np.cumsum(turn)])


def _segments(edges: Edges) -> _Segments:
    owner = np.repeat(np.arange(len(edges)), np.diff(edges.start))
    vertex = np.flatnonzero(owner[1:] == owner[:-1])
    start = edges.coordinates[vertex]
    vector = edges.coordinates[vertex + 1] - start
    length = np.hypot(vector[:, 0], vector[:, 1])
    return _Segments(start, vector / length[:, None], length, owner[vertex], edges.along_mm[vertex])


def _has_others_near(segments: _Segments, tolerance_mm: float) -> NDArray[np.bool_]:
    """(n,) false for the segments of curves that have nothing beside them to lie on.

    Curves are taken in pieces that turn so little that they cannot lie on themselves, nor, unless
    there is a sharp tip between them, on the next one; nor do two that lead different ways. Most of
    a drawing of curves is done with.
    """
    short = segments.length <= SHORT_MM
    if 2 * np.count_nonzero(short) < max(len(short), 1):
        return np.ones(len(short), dtype=bool)
    turned, number = segments.turned, np.arange(len(short))
    begins = np.ones(len(short), dtype=bool)
    begins[1:] = (segments.owner[1:] != segments.owner[:-1]) | ~(short[1:] & short[:-1])
    begins[1:] |= np.diff(np.floor(turned / PIECE_RAD)) > 0
    begins |= (number - np.maximum.accumulate(np.where(begins, number, 0))) % PIECE_SEGMENTS == 0
    first = np.flatnonzero(begins)
    last = np.append(first[1:], len(short)) - 1
    end = segments.start + segments.unit * segments.length[:, None]
    low = np.minimum.reduceat(np.minimum(segments.start, end), first)
    high = np.maximum.reduceat(np.maximum(segments.start, end), first)
    # A long segment is looked for bit by bit: its own box holds much that is nowhere near.
    count = np.maximum(np.ceil(segments.length[first] / SHORT_MM), 1).astype(np.intp)
    count[first != last] = 1
    piece, middle = shares(count)
    span = np.where(count > 1, 1.0, 0.0)[piece, None] * (end - segments.start)[first][piece]
    origin, half = segments.start[first][piece], 0.5 / count[piece, None]
    ends = [origin + span * (middle[:, None] - half), origin + span * (middle[:, None] + half)]
    whole = (count == 1)[piece, None]
    low = np.where(whole, low[piece], np.minimum(*ends)) - tolerance_mm
    high = np.where(whole, high[piece], np.maximum(*ends)) + tolerance_mm
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    one, two = piece[shapely.STRtree(boxes).query(boxes)]
    one, two = one[one < two], two[one < two]
    heading = np.arctan2(segments.unit[first, 1], segments.unit[first, 0])
    turn = turned[last] - turned[first]
    differ = np.abs(heading[one] - heading[two]) % np.pi
    alike = np.minimum(differ, np.pi - differ) <= turn[one] + turn[two] + 2 * PARALLEL_RAD
    one, two = one[alike], two[alike]
    follows = (two == one + 1) & (segments.owner[first[two]] == segments.owner[first[one]])
    tip = turned[last[two]] - turned[first[one]] >= np.pi - PARALLEL_RAD
    beside = ~follows | tip
    found = np.zeros(len(first), dtype=bool)
    found[one[beside]] = found[two[beside]] = True
    return np.repeat(found, last - first + 1)


def _parallel_neighbours(segments: _Segments, tolerance_mm: float) -> NDArray[np.intp]:
    """(k, 2) segments with nearly the same angle and the same distance from the middle."""
    if not len(segments.owner):
        return np.zeros((0, 2), dtype=np.intp)
    middle = segments.start.mean(axis=0)
    extent = float(np.hypot(*(segments.start - middle).T).max() + segments.length.max())
    angle = np.arctan2(segments.unit[:, 1], segments.unit[:, 0]) % np.pi
    wrapped = np.flatnonzero(angle < PARALLEL_RAD)
    number = np.concatenate([np.arange(len(angle)), wrapped])
    angle = np.concatenate([angle, angle[wrapped] + np.pi])
    family, lead = _families(angle)
    pairs = [
        _on_one_line(segments, number, family, lead, middle, extent, tolerance_mm),
        _slanted(segments, number, family, lead, middle, extent, tolerance_mm),
    ]
    low, high = np.sort(np.concatenate(pairs), axis=1).T
    both = distinct(low * len(segments.owner) + high)
    return np.column_stack(np.divmod(both, len(segments.owner)))


def _families(angle: NDArray[np.float64]) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Segments at one angle, but for rounding: their family's number, and each family's angle."""
    order = np.argsort(angle, kind="stable")
    new = np.diff(angle[order], prepend=-np.inf) > SAME_ANGLE_RAD
    family = np.empty(len(angle), dtype=np.intp)
    family[order] = np.cumsum(new) - 1
    return family, angle[order][new]


def _on_one_line(
    segments: _Segments,
    number: NDArray[np.intp],
    family: NDArray[np.intp],
    lead: NDArray[np.float64],
    middle: NDArray[np.float64],
    extent: float,
    tolerance_mm: float,
) -> NDArray[np.intp]:
    """(k, 2) segments of one family that overlap: as boxes along and across, families apart."""
    several = np.bincount(family)[family] > 1
    number, family = number[several], family[several]
    turn = lead[family]
    along = np.column_stack([np.cos(turn), np.sin(turn)])
    from_middle = segments.start[number] - middle
    begin = (from_middle * along).sum(axis=1)
    end = begin + (segments.unit[number] * along).sum(axis=1) * segments.length[number]
    off = from_middle[:, 1] * along[:, 0] - from_middle[:, 0] * along[:, 1]
    shift = 4 * extent * family
    left, right = np.minimum(begin, end) + shift, np.maximum(begin, end) + shift
    half = tolerance_mm / 2
    boxes = shapely.box(left, off - half, right, off + half)
    one, two = shapely.STRtree(boxes).query(boxes)
    apart = one < two
    return np.column_stack([number[one[apart]], number[two[apart]]])


def _slanted(
    segments: _Segments,
    number: NDArray[np.intp],
    family: NDArray[np.intp],
    lead: NDArray[np.float64],
    middle: NDArray[np.float64],
    extent: float,
    tolerance_mm: float,
) -> NDArray[np.intp]:
    """(k, 2) segments of different families within half a degree that may lie on each other.

    Two short ones, as of curves, are looked for where they lie. Beside a long one lies much that
    it only crosses: the others are looked for in frames turned to angles half a degree apart, in
    which a long one of that angle is a thin box, each segment in the frames on both sides as well.
    """
    close = np.flatnonzero(np.diff(lead) <= PARALLEL_RAD)
    chosen = np.isin(family, np.concatenate([close, close + 1]))
    number, family = number[chosen], family[chosen]
    angle = lead[family]
    short = segments.length[number] <= SHORT_MM
    one, two = _near_each_other(segments, number[short], tolerance_mm)
    here = np.flatnonzero(short)
    pairs = [np.column_stack([here[one], here[two]])]
    frame = np.floor(angle / PARALLEL_RAD)
    long = np.flatnonzero(~short)
    every, turned = (
        np.tile(np.arange(len(number)), 3),
        np.concatenate([frame - 1, frame, frame + 1]),
    )
    wanted = np.isin(turned, frame[long])
    every, turned = every[wanted], turned[wanted]
    boxes = _boxes(segments, number[every], turned, middle, extent, tolerance_mm)
    own = _boxes(segments, number[long], frame[long], middle, extent, tolerance_mm)
    one, two = shapely.STRtree(boxes).query(own)
    pairs.append(np.column_stack([long[one], every[two]]))
    one, two = np.concatenate(pairs).T
    apart = (family[one] != family[two]) & (np.abs(angle[one] - angle[two]) <= PARALLEL_RAD)
    return np.column_stack([number[one[apart]], number[two[apart]]])


def _boxes(
    segments: _Segments,
    number: NDArray[np.intp],
    frame: NDArray[np.float64],
    middle: NDArray[np.float64],
    extent: float,
    tolerance_mm: float,
) -> NDArray[np.object_]:
    """(n,) boxes of segments in frames turned by so many half degrees, frames far apart."""
    turn = (frame + 0.5) * PARALLEL_RAD
    cos, sin = np.cos(turn), np.sin(turn)
    x, y = (segments.start[number] - middle).T
    along, off = x * cos + y * sin, y * cos - x * sin
    x, y = segments.unit[number].T * segments.length[number]
    far, rise = along + x * cos + y * sin, off + y * cos - x * sin
    along, far = along + 4 * extent * frame, far + 4 * extent * frame
    slack = tolerance_mm / 2
    return shapely.box(
        np.minimum(along, far) - slack,
        np.minimum(off, rise) - slack,
        np.maximum(along, far) + slack,
        np.maximum(off, rise) + slack,
    )


def _near_each_other(
    segments: _Segments, number: NDArray[np.intp], tolerance_mm: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Places in ``number`` of segments whose boxes touch, each pair once."""
    begin = segments.start[number]
    end = begin + segments.unit[number] * segments.length[number][:, None]
    low, high = np.minimum(begin, end) - tolerance_mm, np.maximum(begin, end) + tolerance_mm
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    one, two = shapely.STRtree(boxes).query(boxes)
    once = one < two
    return one[once], two[once]


def _shared_stretch(
    segments: _Segments, keeper: NDArray[np.intp], loser: NDArray[np.intp], tolerance_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.bool_]]:
    """From where to where along the loser it lies beside the keeper, and whether it lies on it."""
    unit, length = segments.unit[loser], segments.length[loser]
    from_loser = segments.start[keeper] - segments.start[loser]
    begin = (from_loser * unit).sum(axis=1)
    cosine = (segments.unit[keeper] * unit).sum(axis=1)
    end = begin + cosine * segments.length[keeper]
    low = np.maximum(np.minimum(begin, end), 0.0)
    high = np.minimum(np.maximum(begin, end), length)
    aside = from_loser[:, 1] * unit[:, 0] - from_loser[:, 0] * unit[:, 1]
    sine = segments.unit[keeper, 1] * unit[:, 0] - segments.unit[keeper, 0] * unit[:, 1]
    slope = sine / cosine
    apart = np.maximum(
        np.abs(aside + slope * (low - begin)), np.abs(aside + slope * (high - begin))
    )
    least = np.minimum(tolerance_mm, 0.5 * np.minimum(length, segments.length[keeper]))
    return low, high, (apart <= tolerance_mm + 1e-9) & (high - low > least)


def _union_intervals(
    owner: NDArray[np.intp], low: NDArray[np.float64], high: NDArray[np.float64]
) -> NDArray[np.float64]:
    """(k, 2) intervals of arc length without overlaps, in order; each lies on one edge."""
    order = np.lexsort((low, owner))
    owner, low, high = owner[order], low[order], np.maximum.accumulate(high[order])
    opens = np.ones(len(low), dtype=bool)
    opens[1:] = (low[1:] > high[:-1] + 1e-9) | (owner[1:] != owner[:-1])
    closes = np.append(np.flatnonzero(opens)[1:] - 1, len(low) - 1)
    return np.column_stack([low[opens], high[closes]])


def _without(edges: Edges, covered: NDArray[np.float64], slack: float) -> Edges:
    """The edges cut where cover begins or ends; covered parts are left out."""
    along = edges.along_mm
    begin, end = along[edges.start[:-1]], along[edges.start[1:] - 1]
    where = covered.reshape(-1)
    owner = np.searchsorted(begin, (covered.mean(axis=1)).repeat(2), side="right") - 1
    within = (where > begin[owner] + slack) & (where < end[owner] - slack)
    parts = cut_edges(edges, owner[within], (where - begin[owner])[within])
    along = parts.along_mm
    middle = (along[parts.start[:-1]] + along[parts.start[1:] - 1]) / 2
    closes = np.append(-np.inf, covered[:, 1])[np.searchsorted(covered[:, 0], middle, side="right")]
    return parts.take(middle > closes)


def _overlap_records(
    edges: Edges,
    segments: _Segments,
    keeper: NDArray[np.intp],
    loser: NDArray[np.intp],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
) -> list[Overlap]:
    """One entry for each pair of lines that share a stretch, in the order of the losing line."""
    kept, lost = edges.line[segments.owner[keeper]], edges.line[segments.owner[loser]]
    pairs, first, which = np.unique(
        np.column_stack([lost, kept]), axis=0, return_index=True, return_inverse=True
    )
    total = np.bincount(which.reshape(-1), weights=high - low)
    place = segments.start[loser] + segments.unit[loser] * low[:, None]
    return [
        Overlap(int(pair[1]), int(pair[0]), float(length), (float(at[0]), float(at[1])))
        for pair, length, at in zip(pairs, total, place[first], strict=True)
    ]
