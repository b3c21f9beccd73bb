"""The drawing as strands: stretches of quilting lines in flat arrays, ready to be joined.

Nodes: where line ends meet; and which lines hang together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.routing.runs import PieceKind


@dataclass(frozen=True)
class Strands:
    """Stretches of line as polylines, one after the other.

    ``coordinates``  (m, 2) vertices in mm
    ``start``        (s + 1,) offsets into ``coordinates``
    ``line``         (s,) index of the quilting line, -1 in the margin
    ``kind``         (s,) :class:`~quiltpath.routing.runs.PieceKind`
    """

    coordinates: NDArray[np.float64]
    start: NDArray[np.intp]
    line: NDArray[np.int32]
    kind: NDArray[np.int8]

    def __len__(self) -> int:
        return len(self.line)

    @property
    def ends(self) -> NDArray[np.float64]:
        """(s, 2, 2) first and last point of each strand."""
        first, last = self.start[:-1], self.start[1:] - 1
        return np.stack([self.coordinates[first], self.coordinates[last]], axis=1)

    @property
    def length_mm(self) -> NDArray[np.float64]:
        """(s,) length of each strand."""
        along = self.along_mm
        return along[self.start[1:] - 1] - along[self.start[:-1]]

    @property
    def along_mm(self) -> NDArray[np.float64]:
        """(m,) arc length at each vertex, running on from strand to strand."""
        steps = np.diff(self.coordinates, axis=0, prepend=self.coordinates[:1])
        return np.cumsum(np.hypot(*steps.T))

    @property
    def headings(self) -> NDArray[np.float64]:
        """(s, 2, 2) unit vectors that point into the strand at its first and its last point."""
        first, last = self.start[:-1], self.start[1:] - 1
        out = self.coordinates[np.stack([first + 1, last - 1], axis=1)] - self.ends
        size = np.hypot(out[..., 0], out[..., 1])
        return out / np.where(size > 0, size, 1.0)[..., None]

    def shapes(self) -> NDArray[np.object_]:
        """(s,) shapely LineStrings."""
        index = np.repeat(np.arange(len(self)), np.diff(self.start))
        if not len(self):
            return np.zeros(0, dtype=object)
        return shapely.linestrings(self.coordinates, indices=index)

    def take(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> Strands:
        """The chosen strands, by mask or by index, in the order given."""
        index = np.arange(len(self), dtype=np.intp)[chosen]
        vertex, start = gather(self.start, index)
        return Strands(self.coordinates[vertex], start, self.line[index], self.kind[index])

    def nodes(self, tolerance_mm: float = 0.0) -> NDArray[np.intp]:
        """(s, 2) nodes at both ends of each strand; ends within the tolerance are at one node."""
        return nodes_of(self.ends.reshape(-1, 2), tolerance_mm).reshape(-1, 2)

    def on_nodes(self, node: NDArray[np.intp]) -> Strands:
        """The same strands with ends of one node at one place; ``node`` (s, 2)."""
        points = self.ends.reshape(-1, 2)
        first, which = np.unique(node.reshape(-1), return_index=True, return_inverse=True)[1:]
        place = points[first][which.reshape(-1)]
        coordinates = self.coordinates.copy()
        coordinates[self.start[:-1]] = place[0::2]
        coordinates[self.start[1:] - 1] = place[1::2]
        return replace(self, coordinates=coordinates)

    def marked(self, kind: PieceKind) -> Strands:
        """The same strands, all of one kind."""
        return replace(self, kind=np.full(len(self), kind, dtype=np.int8))


def offsets(count: NDArray[np.intp]) -> NDArray[np.intp]:
    """(k + 1,) where slices of so many members begin in a flat array, and where the last ends."""
    return np.concatenate([[0], np.cumsum(count)]).astype(np.intp)


def gather(
    start: NDArray[np.intp], index: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Positions of the members of the chosen slices of a flat array, and the new offsets."""
    count = np.diff(start)[index]
    new = offsets(count)
    return np.arange(new[-1]) + np.repeat(start[index] - new[:-1], count), new


def strands_of(geometry: NDArray[np.object_]) -> Strands:
    """Whole lines as strands; points that repeat are passed over, lines without length left out."""
    coordinates, line = shapely.get_coordinates(geometry, return_index=True)
    start = offsets(np.bincount(line, minlength=len(geometry)))
    number = np.arange(len(geometry), dtype=np.int32)
    kind = np.full(len(geometry), PieceKind.LINE, dtype=np.int8)
    return _without_repeats(Strands(coordinates, start, number, kind))


def concatenated(parts: list[Strands]) -> Strands:
    """Strands of several sets, one after the other."""
    sizes = np.cumsum([0, *(len(part.coordinates) for part in parts)])
    starts = [part.start[:-1] + size for part, size in zip(parts, sizes[:-1], strict=True)]
    return Strands(
        np.concatenate([part.coordinates for part in parts]),
        np.concatenate([*starts, sizes[-1:]]).astype(np.intp),
        np.concatenate([part.line for part in parts]),
        np.concatenate([part.kind for part in parts]),
    )


def cut(
    strands: Strands,
    strand: NDArray[np.intp],
    at_mm: NDArray[np.float64],
    point: NDArray[np.float64] | None = None,
) -> Strands:
    """Strands cut at arc lengths ``at_mm`` from the start of ``strand``; order is kept.

    The cut point becomes the last point of one part and the first of the next. Where ``point``
    (k, 2) is given it stands there instead of the computed place, so that two strands can be cut
    at exactly the same point.
    """
    if not len(strand):
        return strands
    along = strands.along_mm
    where = along[strands.start[strand]] + at_mm
    order = np.lexsort((where, strand))
    strand, where = strand[order], where[order]
    point = None if point is None else point[order]
    after = np.searchsorted(along, where, side="right")
    after = np.minimum(after, strands.start[strand + 1] - 1)
    if point is None:
        low, high = along[after - 1], along[after]
        share = (where - low) / (high - low)
        a, b = strands.coordinates[after - 1], strands.coordinates[after]
        point = a + (b - a) * share[:, None]
    coordinates = np.insert(
        strands.coordinates, np.repeat(after, 2), np.repeat(point, 2, axis=0), axis=0
    )
    more = np.bincount(strand, minlength=len(strands))
    starts = strands.start[:-1] + 2 * (np.cumsum(more) - more)
    cuts = after + 2 * np.arange(len(after)) + 1
    all_starts = np.sort(np.concatenate([starts, cuts, [len(coordinates)]])).astype(np.intp)
    of = np.repeat(np.arange(len(strands)), more + 1)
    return _without_repeats(Strands(coordinates, all_starts, strands.line[of], strands.kind[of]))


def _without_repeats(strands: Strands) -> Strands:
    """Inside each strand, vertices that stand on the one before are passed over, and what then has
    one vertex is no strand."""
    owner = np.repeat(np.arange(len(strands)), np.diff(strands.start))
    same = np.zeros(len(owner), dtype=bool)
    same[1:] = (np.diff(strands.coordinates, axis=0) == 0).all(axis=1)
    same[1:] &= np.diff(owner) == 0
    count = np.bincount(owner[~same], minlength=len(strands))
    alive = count > 1
    kept = ~same & alive[owner]
    return Strands(
        strands.coordinates[kept], offsets(count[alive]), strands.line[alive], strands.kind[alive]
    )


SAME_POINT_MM = 1e-6


def components(count: int, pairs: NDArray[np.intp]) -> NDArray[np.intp]:
    """(count,) label of the connected component of each item, given (k, 2) ``pairs``.

    Labels are the smallest member's number. Minimum labels hook on to each other and pointers are
    halved after each round (Shiloach and Vishkin, Journal of Algorithms 3, 1982): O(log n) rounds
    of array work.
    """
    label = np.arange(count, dtype=np.intp)
    while len(pairs):
        low = label[pairs].min(axis=1)
        high = label[pairs].max(axis=1)
        open_pairs = low < high
        if not open_pairs.any():
            break
        pairs, low, high = pairs[open_pairs], low[open_pairs], high[open_pairs]
        np.minimum.at(label, high, low)
        while True:
            above = label[label]
            if np.array_equal(above, label):
                break
            label = above
    return label


def odd_nodes(count: int, pairs: NDArray[np.intp]) -> NDArray[np.intp]:
    """Of ``count`` nodes, those where an odd number of (k, 2) ``pairs`` ends."""
    return np.flatnonzero(np.bincount(pairs.reshape(-1), minlength=count) % 2)


def closed_pieces(
    count: int, pairs: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """(count,) label of the piece of each node, and which labels are pieces without odd nodes.

    A node where none of the (k, 2) ``pairs`` ends is no piece.
    """
    label = components(count, pairs)
    closed = np.zeros(count, dtype=np.bool_)
    closed[label[pairs]] = True
    closed[label[odd_nodes(count, pairs)]] = False
    return label, closed


def renumbered(label: NDArray[np.intp]) -> NDArray[np.intp]:
    """Labels as 0, 1, 2, ... in the order of their value."""
    return np.unique(label, return_inverse=True)[1].astype(np.intp)


def nodes_of(points: NDArray[np.float64], tolerance_mm: float = 0.0) -> NDArray[np.intp]:
    """(n,) node of each of (n, 2) points.

    Equal points (to a millionth of a millimetre) are one node, and so is each place with the
    nearest other place within ``tolerance_mm``.
    """
    key = np.round(points / SAME_POINT_MM).astype(np.int64)
    order = np.lexsort((key[:, 1], key[:, 0]))
    new = np.ones(len(order), dtype=bool)
    new[1:] = (np.diff(key[order], axis=0) != 0).any(axis=1)
    node = np.empty(len(order), dtype=np.intp)
    node[order] = np.cumsum(new) - 1
    if not tolerance_mm:
        return node
    near = close_pairs(points[order[new]], tolerance_mm)
    return renumbered(components(int(new.sum()), near)[node])


def close_pairs(places: NDArray[np.float64], within_mm: float) -> NDArray[np.intp]:
    """(k, 2) pairs (place, its nearest other place) no further apart than ``within_mm``."""
    spots = shapely.points(places)
    one, two = shapely.STRtree(spots).query(spots, predicate="dwithin", distance=within_mm)
    one, two = one[one != two], two[one != two]
    order = np.lexsort((two, np.hypot(*(places[one] - places[two]).T), one))
    one, two = one[order], two[order]
    nearest = np.ones(len(one), dtype=bool)
    nearest[1:] = one[1:] != one[:-1]
    return np.column_stack([one[nearest], two[nearest]]).astype(np.intp)
