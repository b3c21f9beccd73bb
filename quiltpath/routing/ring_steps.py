"""Steps: a few stitches from ring to ring, or from an outline to the lines that keep clear of it.

Rings, that is components of lines without odd nodes, which nothing ties to others are joined to
them by short straight edges: a minimum spanning tree over the distances between components
(Kruskal, Proceedings of the AMS 7, 1956). A step is sewn there and back, so that degrees stay even;
but where rings hang together by themselves the steps along the longest chain of them are sewn once,
each from where the last arrived, and the thread ends in the last ring. Time grows with the pairs of
edges that are no farther apart than the longest step.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats
from quiltpath.routing.edges import Edges, concatenate_edges, cut_edges
from quiltpath.routing.nodes import even_components, odd_nodes, spanning_forest
from quiltpath.routing.runs import PieceKind

LONGER = 1.25
"""A step may be so many times as long as the shortest one, to begin where the last one arrived."""

STRETCH = 48
"""Corners of a stretch of line: distances are taken stretch by stretch, so that long curves are
compared only where they are near each other."""

OUTSIDE = -1
"""All components with an odd node as one; two of them are never joined."""


@dataclass(frozen=True)
class _Nearest:
    """Two edges where they come nearest to each other: the edges, and a stretch of each."""

    edges: tuple[int, int]
    stretches: tuple[shapely.LineString, shapely.LineString]

    def points(self) -> Floats:
        """(2, 2) where they are nearest, in mm."""
        return shapely.get_coordinates(shapely.shortest_line(*self.stretches))

    def turned(self) -> _Nearest:
        """The same from the other one."""
        return _Nearest(self.edges[::-1], self.stretches[::-1])


Tree = dict[int, dict[int, _Nearest]]
"""For each component its neighbours in the tree."""


@dataclass(frozen=True)
class _Step:
    """A step from one component to the next: on which edges, between which points, how often."""

    parent: int
    child: int
    edge: tuple[int, int]
    points: Floats
    times: int


def join_by_steps(edges: Edges, longest_mm: float, tolerance_mm: float) -> Edges:
    """The edges with steps of up to ``longest_mm`` that tie rings to other lines."""
    label, even = _labels(edges)
    if not even.any():
        return edges
    tree = _tree(edges, label, even, longest_mm)
    if not tree:
        return edges
    steps = list(_placed(edges, label, tree, longest_mm, tolerance_mm))
    spot = np.concatenate([step.points for step in steps])
    edge = np.array([step.edge for step in steps], dtype=np.intp).reshape(-1)
    at = shapely.line_locate_point(edges.shapes()[edge], shapely.points(spot))
    inner = ~(edges.ends[edge] == spot[:, None, :]).all(axis=2).any(axis=1)
    parts = cut_edges(edges, edge[inner], at[inner], spot[inner])
    return concatenate_edges([parts, _step_edges(steps)])


def step_edges(points: Floats) -> Edges:
    """Straight edges between (k, 2, 2) pairs of points."""
    count = len(points)
    return Edges(
        points.reshape(-1, 2),
        2 * np.arange(count + 1),
        np.full(count, -1, dtype=np.int32),
        np.full(count, PieceKind.STEP, dtype=np.int8),
    )


def _step_edges(steps: list[_Step]) -> Edges:
    sewn = [step.points for step in steps for _ in range(step.times)]
    return step_edges(np.array(sewn).reshape(-1, 2, 2))


def _labels(edges: Edges) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """(e,) component of each edge, ``OUTSIDE`` for all that are no rings, and which are rings."""
    node = edges.nodes()
    label, even = even_components(2 * len(edges), node)
    drawn = edges.kind == PieceKind.LINE
    odd = odd_nodes(2 * len(edges), node[drawn])
    even[label[odd]] = False
    mine = label[node[:, 0]]
    return np.where(even[mine], mine, OUTSIDE), even[mine]


def _tree(
    edges: Edges, label: NDArray[np.intp], even: NDArray[np.bool_], longest_mm: float
) -> Tree:
    """The steps that tie each component to its neighbours, by the least distance in all."""
    stretches, owner = _stretches(edges)
    mine = np.flatnonzero(even[owner])
    one, two = shapely.STRtree(stretches).query(
        stretches[mine], predicate="dwithin", distance=longest_mm
    )
    one = mine[one]
    apart = label[owner[one]] != label[owner[two]]
    one, two = one[apart], two[apart]
    far = np.round(shapely.distance(stretches[one], stretches[two]), 6)
    order = np.lexsort((two, one, owner[two], owner[one], far))
    names = label[owner]
    one, two = one[order], two[order]
    found: Tree = {}
    # nodes are counted from 0, and OUTSIDE is -1
    for place in spanning_forest(np.column_stack([names[one], names[two]]) + 1).tolist():
        a, b = int(one[place]), int(two[place])
        step = _Nearest((int(owner[a]), int(owner[b])), (stretches[a], stretches[b]))
        found.setdefault(int(names[a]), {})[int(names[b])] = step
        found.setdefault(int(names[b]), {})[int(names[a])] = step.turned()
    return found


def _stretches(edges: Edges) -> tuple[NDArray[np.object_], NDArray[np.intp]]:
    """The drawn edges in stretches of at most ``STRETCH`` corners, and the edge of each."""
    shapes, owners = [], []
    shape = edges.shapes()
    for edge in np.flatnonzero(edges.kind == PieceKind.LINE).tolist():
        first, last = int(edges.start[edge]), int(edges.start[edge + 1])
        if last - first <= STRETCH:
            shapes.append(shape[edge])
            owners.append(edge)
            continue
        points = edges.coordinates[first:last]
        for k in range(0, last - first - 1, STRETCH - 1):
            shapes.append(shapely.LineString(points[k : k + STRETCH]))
            owners.append(edge)
    found = np.empty(len(shapes), dtype=object)
    found[:] = shapes
    return found, np.array(owners, dtype=np.intp)


def _placed(
    edges: Edges,
    label: NDArray[np.intp],
    tree: Tree,
    longest_mm: float,
    tolerance_mm: float,
) -> Iterator[_Step]:
    """The steps of every tree, from its root on, each begun where the one before arrived."""
    shapes = edges.shapes()
    own = {name: np.flatnonzero(label == name) for name in tree}
    for chain, pairs in _walks(tree):
        arrived: dict[int, tuple[int, Floats]] = {}
        aligned = True
        steps: list[_Step] = []
        for parent, child in pairs:
            nearest = tree[parent][child]
            (a, b), points = nearest.edges, nearest.points()
            most = min(
                longest_mm, LONGER * float(np.hypot(*(points[1] - points[0]))) + tolerance_mm
            )
            if parent in arrived:
                start, spot = arrived[parent]
                near = own[child][
                    shapely.distance(shapes[own[child]], shapely.Point(spot)).argmin()
                ]
                link = shapely.get_coordinates(
                    shapely.shortest_line(shapely.Point(spot), shapes[near])
                )
                if np.hypot(*(link[1] - link[0])) <= most:
                    a, b, points = start, int(near), np.stack([spot, link[1]])
                elif (parent, child) in chain:
                    aligned = False
            points = np.stack(
                [
                    _at_end(edges, a, points[0], tolerance_mm),
                    _at_end(edges, b, points[1], tolerance_mm),
                ]
            )
            arrived[child] = (b, points[1])
            steps.append(_Step(parent, child, (a, b), points, 2))
        for step in steps:
            once = aligned and (step.parent, step.child) in chain
            yield _Step(step.parent, step.child, step.edge, step.points, 1 if once else 2)


def _at_end(edges: Edges, edge: int, point: Floats, tolerance_mm: float) -> Floats:
    """The point, or the end of its edge where that lies within the tolerance."""
    ends = edges.ends[edge]
    away = np.hypot(*(ends - point).T)
    nearest: Floats = ends[away.argmin()]
    return nearest if away.min() <= tolerance_mm else point


def _walks(
    tree: Tree,
) -> Iterator[tuple[set[tuple[int, int]], list[tuple[int, int]]]]:
    """Every tree as (parent, child) pairs from its root on, and those along its longest chain.

    The root is what lies outside, with no chain, or else one end of the longest chain.
    """
    left = dict.fromkeys(sorted(tree))
    while left:
        first = next(iter(left))
        pairs = _breadth_first(tree, first)
        if first == OUTSIDE:
            chain: set[tuple[int, int]] = set()
        else:
            root = pairs[-1][1]
            pairs = _breadth_first(tree, root)
            came = {child: parent for parent, child in pairs}
            end, chain = pairs[-1][1], set()
            while end in came:
                chain.add((came[end], end))
                end = came[end]
            # Children on the chain come first, so that the chain is aligned.
            pairs.sort(key=lambda pair: pair not in chain)
        for name in {name for pair in pairs for name in pair}:
            left.pop(name, None)
        yield chain, pairs


def _breadth_first(tree: Tree, root: int) -> list[tuple[int, int]]:
    """(parent, child) pairs, nearest to the root first."""
    pairs, seen, queue = [], {root}, [root]
    for parent in queue:
        for child in sorted(tree[parent]):
            if child not in seen:
                seen.add(child)
                queue.append(child)
                pairs.append((parent, child))
    return pairs
