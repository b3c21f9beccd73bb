"""Shortest paths from many nodes at once, and the cheapest links between their regions.

Dijkstra (Numerische Mathematik 1, 1959) started from every component together divides the network
into regions; the cheapest link from a component to any other leads over an edge between two regions
(Mehlhorn, Information Processing Letters 27, 1988). Distances are the library's, from one node tied
to all components at no cost; the tree of paths is read off them. O(e log e) for e edges.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

LEAST_COST = 1e-9
"""of an edge, so that every step along a path shortens it"""

Link = tuple[float, int, int, int]
"""cost, edge, and the two components that the path over that edge joins"""


@dataclass(frozen=True)
class ShortestPaths:
    """Shortest path from every node to the nearest component.

    ``node`` (e, 2) and ``cost`` (e,) of the edges; one entry a node: ``component``, the nearest
    one's label or -1, ``distance``, the cost of the path to it, ``via``, the first edge of that
    path or -1.
    """

    node: NDArray[np.intp]
    cost: NDArray[np.float64]
    component: NDArray[np.intp]
    distance: NDArray[np.float64]
    via: NDArray[np.intp]

    def links(self, limit: float) -> list[Link]:
        """Every link between two components that costs less than ``limit``."""
        cost = self.cost + self.distance[self.node].sum(axis=1)
        label = self.component[self.node]
        edge = np.flatnonzero((label[:, 0] != label[:, 1]) & (cost < limit))
        return list(zip(cost[edge].tolist(), edge.tolist(), *label[edge].T.tolist(), strict=True))

    def path(self, edge: int) -> list[int]:
        """The edges from one component to the other over ``edge``."""
        edges = [edge]
        for node in self.node[edge].tolist():
            while self.via[node] >= 0:
                edges.append(int(self.via[node]))
                node = int(self.node[self.via[node]].sum()) - node
        return edges


def multi_source_shortest_paths(
    node: NDArray[np.intp], cost: NDArray[np.float64], component: NDArray[np.intp]
) -> ShortestPaths:
    """Shortest paths from all components at once.

    ``node`` (e, 2) nodes of the edges, ``cost`` (e,) not below 0 and infinite for what cannot be
    used, ``component`` (nodes,) label of the component at each node or -1.
    """
    cost = np.maximum(cost, LEAST_COST)
    distance = _distances(node, cost, np.flatnonzero(component >= 0), len(component))
    via = _first_edges(node, cost, distance)
    return ShortestPaths(node, cost, component[_roots(node, via)], distance, via)


def _distances(
    node: NDArray[np.intp], cost: NDArray[np.float64], sources: NDArray[np.intp], count: int
) -> NDArray[np.float64]:
    """(count,) cost of the path from each node to the nearest source, infinite for none."""
    import rustworkx

    usable = np.isfinite(cost)
    graph = rustworkx.PyGraph()
    graph.add_nodes_from(range(count + 1))
    graph.add_edges_from(list(zip(*node[usable].T.tolist(), cost[usable].tolist(), strict=True)))
    graph.add_edges_from([(count, source, 0.0) for source in sources.tolist()])
    found = rustworkx.dijkstra_shortest_path_lengths(graph, count, float)
    distance = np.full(count + 1, np.inf)
    distance[np.fromiter(found.keys(), np.intp, len(found))] = np.fromiter(
        found.values(), np.float64, len(found)
    )
    return distance[:count]


def _first_edges(
    node: NDArray[np.intp], cost: NDArray[np.float64], distance: NDArray[np.float64]
) -> NDArray[np.intp]:
    """(nodes,) the edge by which the shortest path from each node begins, -1 where none does."""
    near = np.concatenate([node[:, 0], node[:, 1]])
    far = np.concatenate([node[:, 1], node[:, 0]])
    edge = np.tile(np.arange(len(node)), 2)
    tight = np.isfinite(distance[far]) & (distance[near] + np.tile(cost, 2) == distance[far])
    via = np.full(len(distance), -1, dtype=np.intp)
    via[far[tight][::-1]] = edge[tight][::-1]
    return via


def _roots(node: NDArray[np.intp], via: NDArray[np.intp]) -> NDArray[np.intp]:
    """(nodes,) the node where the path from each one ends: pointers, doubled until they rest."""
    at = np.arange(len(via))
    on = np.where(via >= 0, node[via].sum(axis=1) - at, at) if len(node) else at
    while True:
        beyond = on[on]
        if np.array_equal(beyond, on):
            return on
        on = beyond
