"""Edges of the sewing graph: stretches of quilting lines as polylines in flat arrays."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.routing.nodes import SAME_POINT_MM, nodes_of
from quiltpath.routing.runs import PieceKind


@dataclass(frozen=True)
class Edges:
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
        """(s, 2, 2) first and last point of each edge."""
        first, last = self.start[:-1], self.start[1:] - 1
        return np.stack([self.coordinates[first], self.coordinates[last]], axis=1)

    @property
    def length_mm(self) -> NDArray[np.float64]:
        """(s,) length of each edge."""
        along = self.along_mm
        return along[self.start[1:] - 1] - along[self.start[:-1]]

    @property
    def along_mm(self) -> NDArray[np.float64]:
        """(m,) arc length at each vertex, running on from edge to edge."""
        steps = np.diff(self.coordinates, axis=0, prepend=self.coordinates[:1])
        return np.cumsum(np.hypot(*steps.T))

    @property
    def headings(self) -> NDArray[np.float64]:
        """(s, 2, 2) unit vectors that point into the edge at its first and its last point."""
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

    def take(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> Edges:
        """The chosen edges, by mask or by index, in the order given."""
        index = np.flatnonzero(chosen) if chosen.dtype == np.bool_ else chosen.astype(np.intp)
        vertex, start = gather_slices(self.start, index)
        return Edges(self.coordinates[vertex], start, self.line[index], self.kind[index])

    def nodes(self, tolerance_mm: float = 0.0) -> NDArray[np.intp]:
        """(s, 2) nodes at both ends of each edge; ends within the tolerance are at one node."""
        return nodes_of(self.ends.reshape(-1, 2), tolerance_mm).reshape(-1, 2)

    def on_nodes(self, node: NDArray[np.intp]) -> Edges:
        """The same edges with ends of one node at one place; ``node`` (s, 2)."""
        points = self.ends.reshape(-1, 2)
        first, which = np.unique(node.reshape(-1), return_index=True, return_inverse=True)[1:]
        place = points[first][which.reshape(-1)]
        coordinates = self.coordinates.copy()
        coordinates[self.start[:-1]] = place[0::2]
        coordinates[self.start[1:] - 1] = place[1::2]
        return replace(self, coordinates=coordinates)

    def marked(self, kind: PieceKind) -> Edges:
        """The same edges, all of one kind."""
        return replace(self, kind=np.full(len(self), kind, dtype=np.int8))


def offsets(count: NDArray[np.intp]) -> NDArray[np.intp]:
    """(k + 1,) where slices of so many members begin in a flat array, and where the last ends."""
    return np.concatenate([[0], np.cumsum(count)]).astype(np.intp)


def gather_slices(
    start: NDArray[np.intp], index: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Positions of the members of the chosen slices of a flat array, and the new offsets."""
    count = start[index + 1] - start[index]
    new = offsets(count)
    return np.arange(new[-1]) + np.repeat(start[index] - new[:-1], count), new


def edges_of_lines(geometry: NDArray[np.object_]) -> Edges:
    """Whole lines as edges; points that repeat are passed over, lines without length left out."""
    coordinates, line = shapely.get_coordinates(geometry, return_index=True)
    start = offsets(np.bincount(line, minlength=len(geometry)))
    number = np.arange(len(geometry), dtype=np.int32)
    kind = np.full(len(geometry), PieceKind.LINE, dtype=np.int8)
    return _without_repeats(Edges(coordinates, start, number, kind))


def concatenate_edges(parts: list[Edges]) -> Edges:
    """Edges of several sets, one after the other."""
    sizes = np.cumsum([0, *(len(part.coordinates) for part in parts)])
    starts = [part.start[:-1] + size for part, size in zip(parts, sizes[:-1], strict=True)]
    return Edges(
        np.concatenate([part.coordinates for part in parts]),
        np.concatenate([*starts, sizes[-1:]]).astype(np.intp),
        np.concatenate([part.line for part in parts]),
        np.concatenate([part.kind for part in parts]),
    )


def cut_edges(
    edges: Edges,
    edge: NDArray[np.intp],
    at_mm: NDArray[np.float64],
    point: NDArray[np.float64] | None = None,
) -> Edges:
    """Edges cut at arc lengths ``at_mm`` from the start of ``edge``; order is kept.

    The cut point becomes the last point of one part and the first of the next. Where ``point``
    (k, 2) is given it stands there instead of the computed place, so that two edges can be cut
    at exactly the same point.
    """
    if not len(edge):
        return edges
    along = edges.along_mm
    where = along[edges.start[edge]] + at_mm
    order = np.lexsort((where, edge))
    edge, where = edge[order], where[order]
    point = None if point is None else point[order]
    after = np.searchsorted(along, where, side="right")
    after = np.minimum(after, edges.start[edge + 1] - 1)
    if point is None:
        low, high = along[after - 1], along[after]
        share = (where - low) / (high - low)
        a, b = edges.coordinates[after - 1], edges.coordinates[after]
        point = a + (b - a) * share[:, None]
    coordinates = np.insert(
        edges.coordinates, np.repeat(after, 2), np.repeat(point, 2, axis=0), axis=0
    )
    more = np.bincount(edge, minlength=len(edges))
    starts = edges.start[:-1] + 2 * (np.cumsum(more) - more)
    cuts = after + 2 * np.arange(len(after)) + 1
    all_starts = np.sort(np.concatenate([starts, cuts, [len(coordinates)]])).astype(np.intp)
    of = np.repeat(np.arange(len(edges)), more + 1)
    return _without_repeats(Edges(coordinates, all_starts, edges.line[of], edges.kind[of]))


def _without_repeats(edges: Edges) -> Edges:
    """Inside each edge, vertices that stand on the one before are passed over, and what then has
    one vertex is no edge.

    Where an inner vertex stands on an end but for last digits, it is the one that goes: a cut
    beside a vertex would else leave a step that heads anywhere.
    """
    owner = np.repeat(np.arange(len(edges)), np.diff(edges.start))
    step = np.abs(np.diff(edges.coordinates, axis=0)).max(axis=1, initial=0.0)
    step[owner[1:] != owner[:-1]] = np.inf
    same = np.zeros(len(owner), dtype=bool)
    same[1:] = step == 0
    first, last = edges.start[:-1], edges.start[1:] - 1
    long = last > first + 1
    same[first[long] + 1] |= step[first[long]] < SAME_POINT_MM
    to_last = step[last[long] - 1]
    same[last[long] - 1] |= (to_last > 0) & (to_last < SAME_POINT_MM)
    count = np.bincount(owner[~same], minlength=len(edges))
    alive = count > 1
    kept = ~same & alive[owner]
    return Edges(
        edges.coordinates[kept], offsets(count[alive]), edges.line[alive], edges.kind[alive]
    )
