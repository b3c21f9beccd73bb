"""Junctions on lines that may be retraced, so that a second pass can turn off at each of them.

Where trails touch: the crossings and T-junctions that take a closed trail into another.

A crossing is an even junction, so trails go straight over it and it never changes the number of
odd nodes. It matters only where a piece without odd nodes would need a run of its own: cut at one
crossing, it is sewn on the way. So crossings are looked for around closed pieces alone, and one
for each piece is enough; a cross-hatching of lines with open ends is never taken apart.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.strands import Strands, cut


def noded_for_retracing(
    strands: Strands, retraceable: NDArray[np.bool_], tolerance_mm: float
) -> Strands:
    """The strands, those that may be retraced cut where others end on them or cross them.

    ``retraceable`` (s,). Only crossings of two retraceable strands count, and ends of any strand:
    over all else the needle goes straight on.
    """
    tracks = np.flatnonzero(retraceable)
    if not len(tracks):
        return strands
    shapes = strands.shapes()[tracks]
    tree = shapely.STRtree(shapes)
    ending = _ends_on(strands, shapes, tree, tolerance_mm)
    crossing = _crossings(strands.take(tracks), shapes, tree)
    track = np.concatenate([ending[0], crossing[0]])
    point = np.concatenate([ending[1], crossing[1]])
    at = shapely.line_locate_point(shapes[track], shapely.points(point))
    length = shapely.length(shapes[track])
    inner = (at > tolerance_mm) & (at < length - tolerance_mm)
    return cut(strands, tracks[track[inner]], at[inner], point[inner])


def noded_in_margin(strands: Strands, finished: Polygon, margin_mm: float) -> Strands:
    """The strands, those that go farther into the margin than they end in it cut there once.

    Lines that end in the margin have their node there; a ring that overhangs the edge has none,
    and without a cut nothing would tie it to the way along the margin. The cut is at the vertex
    that lies farthest out in the margin, or else half way across it.
    """
    if not len(strands) or margin_mm <= 0:
        return strands
    owner = np.repeat(np.arange(len(strands)), np.diff(strands.start))
    away = shapely.distance(finished, shapely.points(strands.coordinates))
    beyond = np.maximum.reduceat(away, strands.start[:-1]) > margin_mm
    away[away > margin_mm] = 0.0
    farthest = np.maximum.reduceat(away, strands.start[:-1])
    ending = np.maximum(away[strands.start[:-1]], away[strands.start[1:] - 1])
    vertex = np.flatnonzero(
        (away == farthest[owner]) & ((farthest > 0) & (ending < farthest))[owner]
    )
    vertex = vertex[np.unique(owner[vertex], return_index=True)[1]]
    along = strands.along_mm
    at = along[vertex] - along[strands.start[owner[vertex]]]
    across, where, spot = _half_way(
        strands, np.flatnonzero(beyond & (farthest <= 0)), finished, margin_mm
    )
    return cut(
        strands,
        np.concatenate([owner[vertex], across]),
        np.concatenate([at, where]),
        np.concatenate([strands.coordinates[vertex], spot]),
    )


def _half_way(
    strands: Strands, chosen: NDArray[np.intp], finished: Polygon, margin_mm: float
) -> tuple[NDArray[np.intp], NDArray[np.float64], NDArray[np.float64]]:
    """Strands that cross the middle of the margin, and where: arc length and point."""
    shapes = strands.shapes()[chosen]
    shared = shapely.intersection(shapes, finished.buffer(margin_mm / 2).exterior)
    point, which = shapely.get_coordinates(shared, return_index=True)
    which, first = np.unique(which, return_index=True)
    at = shapely.line_locate_point(shapes[which], shapely.points(point[first]))
    return chosen[which], at, point[first]


def _ends_on(
    strands: Strands, shapes: NDArray[np.object_], tree: shapely.STRtree, tolerance_mm: float
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Tracks and the ends of strands that lie on them."""
    ends = distinct(strands.ends.reshape(-1, 2), axis=0)
    which, track = tree.query(
        shapely.points(ends), predicate="dwithin", distance=max(tolerance_mm, 1e-6)
    )
    return track.astype(np.intp), ends[which]


def _crossings(
    tracks: Strands, shapes: NDArray[np.object_], tree: shapely.STRtree
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Tracks and the points where they cross each other, each crossing once for either track.

    Two straight tracks that share an end cannot meet again, so those are passed over.
    """
    one, two = tree.query(shapes, predicate="intersects")
    one, two = one[one < two], two[one < two]
    node = tracks.nodes()
    straight = np.diff(tracks.start) == 2
    shared = (node[one][:, :, None] == node[two][:, None, :]).any(axis=(1, 2))
    open_pair = ~(shared & straight[one] & straight[two])
    one, two = one[open_pair], two[open_pair]
    meeting = shapely.intersection(shapes[one], shapes[two])
    point, pair = shapely.get_coordinates(meeting, return_index=True)
    return np.concatenate([one[pair], two[pair]]).astype(np.intp), np.concatenate([point, point])


CHUNK = 4096


def hanging_pairs(
    shapes: NDArray[np.object_],
    piece: NDArray[np.intp],
    closed: NDArray[np.bool_],
    tolerance_mm: float,
) -> NDArray[np.intp]:
    """(k, 2) touching strands that take every closed piece into another, where it touches any.

    ``piece`` (s,) label of the connected piece of each strand, ``closed`` (s,) whether that piece
    has no odd node. The pairs form a forest on the pieces; two open pieces are never joined.
    Candidates come from an R-tree and are tested in chunks until nothing is left to join.
    """
    mine = np.flatnonzero(closed)
    if not len(mine):
        return np.zeros((0, 2), dtype=np.intp)
    pieces = _Pieces(piece, closed)
    one, two = _neighbours(shapes, mine, tolerance_mm)
    shapely.prepare(shapes[mine])
    found: list[tuple[int, int]] = []
    while len(one):
        alive = pieces.joinable(one, two)
        one, two = one[alive], two[alive]
        touch = shapely.dwithin(shapes[one[:CHUNK]], shapes[two[:CHUNK]], tolerance_mm)
        for a, b in zip(one[:CHUNK][touch].tolist(), two[:CHUNK][touch].tolist(), strict=True):
            if pieces.join(a, b):
                found.append((a, b))
        one, two = one[CHUNK:], two[CHUNK:]
    return np.array(found, dtype=np.intp).reshape(-1, 2)


def _neighbours(
    shapes: NDArray[np.object_], mine: NDArray[np.intp], tolerance_mm: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Strands of ``mine`` and the strands whose boxes come near, first candidates of each first."""
    bounds = shapely.bounds(shapes[mine])
    low, high = bounds[:, :2] - tolerance_mm, bounds[:, 2:] + tolerance_mm
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    one, two = shapely.STRtree(shapes).query(boxes)
    order = np.lexsort((two, one))
    one, two = one[order], two[order]
    turn = np.arange(len(one)) - np.searchsorted(one, one)
    order = np.lexsort((one, turn))
    return mine[one[order]], two[order]


class _Pieces:
    """Union of pieces of strands; a union is closed until it takes in an open piece."""

    def __init__(self, piece: NDArray[np.intp], closed: NDArray[np.bool_]) -> None:
        self.label = piece.copy()
        self.closed = np.zeros(int(piece.max()) + 1, dtype=bool)
        self.closed[piece] = closed
        self.parent = np.arange(len(self.closed))

    def _roots(self) -> NDArray[np.intp]:
        """Root of every piece, pointers shortened."""
        while True:
            above = self.parent[self.parent]
            if np.array_equal(above, self.parent):
                return above
            self.parent = above

    def joinable(self, one: NDArray[np.intp], two: NDArray[np.intp]) -> NDArray[np.bool_]:
        root = self._roots()
        a, b = root[self.label[one]], root[self.label[two]]
        return (a != b) & (self.closed[a] | self.closed[b])

    def join(self, one: int, two: int) -> bool:
        a, b = self._root(int(self.label[one])), self._root(int(self.label[two]))
        if a == b or not (self.closed[a] or self.closed[b]):
            return False
        self.parent[max(a, b)] = min(a, b)
        self.closed[min(a, b)] = self.closed[a] and self.closed[b]
        return True

    def _root(self, piece: int) -> int:
        while self.parent[piece] != piece:
            piece = int(self.parent[piece])
        return piece


def gaps_at(strands: Strands, pairs: NDArray[np.intp]) -> NDArray[np.float64]:
    """(k, 4) for each of the (k, 2) ``pairs``: gap in mm, its place, the first one's line."""
    shapes = strands.shapes()
    a, b = shapes[pairs[:, 0]], shapes[pairs[:, 1]]
    return np.column_stack(
        [shapely.distance(a, b), _contact_points(a, b), strands.line[pairs[:, 0]]]
    )


def cut_at_contacts(strands: Strands, pairs: NDArray[np.intp], tolerance_mm: float) -> Strands:
    """The strands cut so that each of the (k, 2) touching ``pairs`` shares a node."""
    if not len(pairs):
        return strands
    shapes = strands.shapes()
    a, b = shapes[pairs[:, 0]], shapes[pairs[:, 1]]
    point = _contact_points(a, b)
    point = _at_end(strands, pairs[:, 0], point, tolerance_mm)
    point = _at_end(strands, pairs[:, 1], point, tolerance_mm)
    spots = shapely.points(point)
    strand = np.concatenate([pairs[:, 0], pairs[:, 1]])
    at = np.concatenate([shapely.line_locate_point(a, spots), shapely.line_locate_point(b, spots)])
    point = np.concatenate([point, point])
    ends = strands.ends[strand]
    needed = ~(ends == point[:, None, :]).all(axis=2).any(axis=1)
    return cut(strands, strand[needed], at[needed], point[needed])


def _contact_points(a: NDArray[np.object_], b: NDArray[np.object_]) -> NDArray[np.float64]:
    """(k, 2) a point that both lines share, or the nearest one on the first line."""
    shared = shapely.intersection(a, b)
    empty = shapely.is_empty(shared)
    shared[empty] = shapely.shortest_line(a[empty], b[empty])
    coordinates, index = shapely.get_coordinates(shared, return_index=True)
    return coordinates[np.searchsorted(index, np.arange(len(a)))]


def _at_end(
    strands: Strands, strand: NDArray[np.intp], point: NDArray[np.float64], tolerance_mm: float
) -> NDArray[np.float64]:
    """``point`` moved to an end of its strand where that lies within the tolerance."""
    ends = strands.ends[strand]
    away = np.hypot(*np.moveaxis(ends - point[:, None, :], 2, 0))
    nearest = away.argmin(axis=1)
    rows = np.arange(len(strand))
    close = away[rows, nearest] <= tolerance_mm
    return np.where(close[:, None], ends[rows, nearest], point)
