"""The drawing as strands: stretches of quilting lines in flat arrays, ready to be joined."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.routing.nodes import nodes_of
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
