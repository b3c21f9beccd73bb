"""Noding: edges cut where trails may leave one line for another.

Lines that may be retraced are cut at each of their junctions, so that a second pass can turn off
there. Other crossings are even junctions: trails go straight over them and they never change the
number of odd nodes. They matter only where a component without odd nodes would need a run of its
own: cut at one crossing, it is sewn in passing. So crossings are looked for around even components
alone, and one for each is enough: a spanning forest of contacts (Kruskal, Proceedings of the AMS 7,
1956). Candidates come from an R-tree; time grows with the meetings that are looked at.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.geometry.line_pairs import which_meet
from quiltpath.routing.edges import Edges, cut_edges
from quiltpath.routing.nodes import connected_components, spanning_forest


def node_retraceable(edges: Edges, retraceable: NDArray[np.bool_], tolerance_mm: float) -> Edges:
    """The edges, those that may be retraced cut where others end on them or cross them.

    ``retraceable`` (s,). Only crossings of two retraceable edges count, and ends of any edge:
    over all else the needle goes straight on.
    """
    chosen = np.flatnonzero(retraceable)
    if not len(chosen):
        return edges
    shapes = edges.shapes()[chosen]
    tree = shapely.STRtree(shapes)
    ending = _ends_on(edges, tree, tolerance_mm)
    crossing = _crossings(edges.take(chosen), shapes, tree)
    which_line = np.concatenate([ending[0], crossing[0]])
    point = np.concatenate([ending[1], crossing[1]])
    at = shapely.line_locate_point(shapes[which_line], shapely.points(point))
    length = shapely.length(shapes[which_line])
    inner = (at > tolerance_mm) & (at < length - tolerance_mm)
    return cut_edges(edges, chosen[which_line[inner]], at[inner], point[inner])


def node_in_margin(edges: Edges, finished: Polygon, margin_mm: float) -> Edges:
    """The edges, those that go farther into the margin than they end in it cut there once.

    Lines that end in the margin have their node there; a ring that overhangs the edge has none,
    and without a cut nothing would tie it to the curve along the margin. The cut is at the vertex
    that lies farthest out in the margin, or else in the middle of it.
    """
    if not len(edges) or margin_mm <= 0:
        return edges
    owner = np.repeat(np.arange(len(edges)), np.diff(edges.start))
    away = shapely.distance(finished, shapely.points(edges.coordinates))
    beyond = np.maximum.reduceat(away, edges.start[:-1]) > margin_mm
    away[away > margin_mm] = 0.0
    farthest = np.maximum.reduceat(away, edges.start[:-1])
    ending = np.maximum(away[edges.start[:-1]], away[edges.start[1:] - 1])
    vertex = np.flatnonzero(
        (away == farthest[owner]) & ((farthest > 0) & (ending < farthest))[owner]
    )
    vertex = vertex[np.unique(owner[vertex], return_index=True)[1]]
    along = edges.along_mm
    at = along[vertex] - along[edges.start[owner[vertex]]]
    across, where, spot = _half_way(
        edges, np.flatnonzero(beyond & (farthest <= 0)), finished, margin_mm
    )
    return cut_edges(
        edges,
        np.concatenate([owner[vertex], across]),
        np.concatenate([at, where]),
        np.concatenate([edges.coordinates[vertex], spot]),
    )


def _half_way(
    edges: Edges, chosen: NDArray[np.intp], finished: Polygon, margin_mm: float
) -> tuple[NDArray[np.intp], NDArray[np.float64], NDArray[np.float64]]:
    """Edges that cross the middle of the margin, and where: arc length and point."""
    shapes = edges.shapes()[chosen]
    shared = shapely.intersection(shapes, finished.buffer(margin_mm / 2).exterior)
    point, which = shapely.get_coordinates(shared, return_index=True)
    which, first = np.unique(which, return_index=True)
    at = shapely.line_locate_point(shapes[which], shapely.points(point[first]))
    return chosen[which], at, point[first]


def _ends_on(
    edges: Edges, tree: shapely.STRtree, tolerance_mm: float
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Edges and the ends of edges that lie on them."""
    ends = distinct(edges.ends.reshape(-1, 2), axis=0)
    which, which_line = tree.query(
        shapely.points(ends), predicate="dwithin", distance=max(tolerance_mm, 1e-6)
    )
    return which_line.astype(np.intp), ends[which]


def _crossings(
    chosen: Edges, shapes: NDArray[np.object_], tree: shapely.STRtree
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Edges and the points where they cross each other, each crossing once for either edge.

    Two straight edges that share an end cannot meet again, so those are passed over.
    """
    one, two = tree.query(shapes, predicate="intersects")
    one, two = one[one < two], two[one < two]
    node = chosen.nodes()
    straight = np.diff(chosen.start) == 2
    shared = (node[one][:, :, None] == node[two][:, None, :]).any(axis=(1, 2))
    open_pair = ~(shared & straight[one] & straight[two])
    one, two = one[open_pair], two[open_pair]
    meeting = shapely.intersection(shapes[one], shapes[two])
    point, pair = shapely.get_coordinates(meeting, return_index=True)
    return np.concatenate([one[pair], two[pair]]).astype(np.intp), np.concatenate([point, point])


CHUNK = 4096


def contact_forest(
    shapes: NDArray[np.object_],
    component: NDArray[np.intp],
    closed: NDArray[np.bool_],
    tolerance_mm: float,
) -> NDArray[np.intp]:
    """(k, 2) touching edges that join every even component to another, where it touches any.

    ``component`` (s,) label of the component of each edge, ``closed`` (s,) whether that has no odd
    node. The pairs form a forest on the components; two open components are never joined.
    Candidates come from an R-tree and are tested in chunks until nothing is left to join.
    """
    mine = np.flatnonzero(closed)
    if not len(mine) or (component == component[0]).all():
        return np.zeros((0, 2), dtype=np.intp)
    # Components with odd nodes are one, number 0: two of them are never joined.
    group = np.zeros(int(component.max()) + 1, dtype=np.intp)
    group[component[mine]] = component[mine] + 1
    one, two = _neighbours(shapes, mine, tolerance_mm, group[component])
    found = [np.zeros((0, 2), dtype=np.intp)]
    for begin in range(0, len(one), CHUNK):
        pairs = np.column_stack([one[begin : begin + CHUNK], two[begin : begin + CHUNK]])
        ends = group[component[pairs]]
        apart = ends[:, 0] != ends[:, 1]
        pairs, ends = pairs[apart], ends[apart]
        touch = which_meet(shapes[pairs[:, 0]], shapes[pairs[:, 1]], tolerance_mm)
        if touch.any():
            kept = np.flatnonzero(touch)[spanning_forest(ends[touch])]
            found.append(pairs[kept])
            group = connected_components(len(group) + 1, ends[kept])[group]
    return np.concatenate(found)


def _neighbours(
    shapes: NDArray[np.object_],
    mine: NDArray[np.intp],
    tolerance_mm: float,
    group: NDArray[np.intp],
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Edges of ``mine`` and the edges of other groups whose boxes come near, first candidates of
    each first, no two edges twice; ``group`` (s,)."""
    bounds = shapely.bounds(shapes[mine])
    low, high = bounds[:, :2] - tolerance_mm, bounds[:, 2:] + tolerance_mm
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    one, two = shapely.STRtree(shapes).query(boxes)
    # As one number each, pairs are sorted in half the time.
    pairs = one * len(shapes) + two
    pairs.sort()
    one, two = np.divmod(pairs, len(shapes))
    turn = np.arange(len(one)) - np.searchsorted(one, np.arange(len(mine)))[one]
    one = mine[one]
    apart = np.flatnonzero(group[one] != group[two])
    apart = apart[np.lexsort((one[apart], turn[apart]))]
    one, two = one[apart], two[apart]
    both = np.minimum(one, two) * len(shapes) + np.maximum(one, two)
    once = np.sort(np.unique(both, return_index=True)[1])
    return one[once], two[once]


@dataclass(frozen=True)
class Contacts:
    """Pairs of edges with the place where the two meet.

    ``pairs``  (k, 2) the edges
    ``point``  (k, 2) a point that both share, or the nearest one on the first, mm
    """

    pairs: NDArray[np.intp]
    point: NDArray[np.float64]

    @classmethod
    def of(cls, edges: Edges, pairs: NDArray[np.intp]) -> Contacts:
        """Where each of the (k, 2) ``pairs`` meets."""
        one, two = pairs.T
        shared = shapely.intersection(_near(edges, one, two), _near(edges, two, one))
        empty = shapely.is_empty(shared)
        shapes = edges.shapes()
        shared[empty] = shapely.shortest_line(shapes[one[empty]], shapes[two[empty]])
        coordinates, index = shapely.get_coordinates(shared, return_index=True)
        # Of several the leftmost and lowest: in which order they are found hangs on last digits.
        # A shortest line begins on the first edge.
        place = np.where(empty[index, None], 0.0, np.round(coordinates, PLACE_DIGITS))
        order = np.lexsort((place[:, 1], place[:, 0], index))
        return cls(pairs, coordinates[order[np.searchsorted(index, np.arange(len(pairs)))]])


MANY_POINTS = 1000
PLACE_DIGITS = 3
"""of a millimetre, by which places are told apart"""


def _near(edges: Edges, one: NDArray[np.intp], other: NDArray[np.intp]) -> NDArray[np.object_]:
    """(k,) edges, of the long ones only the segments that meet the other one.

    A line that wanders all over the runner meets hundreds of small figures; each would otherwise be
    laid over all of it.
    """
    shapes, points = edges.shapes(), np.diff(edges.start)
    found = shapes[one]
    long = (points[one] > MANY_POINTS) & (points[one] >= points[other])
    for line in np.unique(one[long]).tolist():
        rows = np.flatnonzero(long & (one == line))
        of_line = edges.coordinates[edges.start[line] : edges.start[line + 1]]
        parts = shapely.linestrings(np.stack([of_line[:-1], of_line[1:]], axis=1))
        row, part = shapely.STRtree(parts).query(shapes[other[rows]], predicate="intersects")
        order = np.lexsort((part, row))
        close = np.full(len(rows), shapely.MultiLineString(), dtype=object)
        shapely.multilinestrings(parts[part[order]], indices=row[order], out=close)
        found[rows] = close
    return found


def contact_gaps(edges: Edges, contacts: Contacts) -> NDArray[np.float64]:
    """(k, 4) for each of the (k,) contacts: gap in mm, its place, the first one's line."""
    shapes, (one, two) = edges.shapes(), contacts.pairs.T
    away = shapely.distance(shapes[one], shapes[two])
    return np.column_stack([away, contacts.point, edges.line[one]])


def cut_at_contacts(edges: Edges, contacts: Contacts, tolerance_mm: float) -> Edges:
    """The edges cut so that each of the (k,) touching pairs shares a node."""
    if not len(contacts.pairs):
        return edges
    shapes, (one, two) = edges.shapes(), contacts.pairs.T
    point = _at_end(edges, one, contacts.point, tolerance_mm)
    point = _at_end(edges, two, point, tolerance_mm)
    spots = shapely.points(point)
    edge = np.concatenate([one, two])
    at = np.concatenate([shapely.line_locate_point(shapes[each], spots) for each in (one, two)])
    point = np.concatenate([point, point])
    ends = edges.ends[edge]
    needed = ~(ends == point[:, None, :]).all(axis=2).any(axis=1)
    return cut_edges(edges, edge[needed], at[needed], point[needed])


def _at_end(
    edges: Edges, edge: NDArray[np.intp], point: NDArray[np.float64], tolerance_mm: float
) -> NDArray[np.float64]:
    """``point`` moved to an end of its edge where that lies within the tolerance."""
    ends = edges.ends[edge]
    away = np.hypot(*np.moveaxis(ends - point[:, None, :], 2, 0))
    nearest = away.argmin(axis=1)
    rows = np.arange(len(edge))
    close = away[rows, nearest] <= tolerance_mm
    return np.where(close[:, None], ends[rows, nearest], point)
