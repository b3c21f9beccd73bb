"""Shortest paths from many nodes at once, and the cheapest links between their regions.

Dijkstra (Numerische Mathematik 1, 1959) started from every component together divides the network
into regions; the cheapest link from a component to any other leads over an edge between two regions
(Mehlhorn, Information Processing Letters 27, 1988). O(e log e) for e edges.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Link = tuple[float, int, int, int]
"""cost, edge, and the two components that the path over that edge joins"""


@dataclass(frozen=True)
class ShortestPaths:
    """Shortest path from every node to the nearest component.

    ``ends`` and ``cost`` of the edges; one entry a node: ``component``, the nearest one's label or
    -1, ``distance``, the cost of the path to it, and ``via``, the first edge of that path or -1.
    """

    ends: list[list[int]]
    cost: list[float]
    component: list[int]
    distance: list[float]
    via: list[int]

    def links(self, limit: float) -> list[Link]:
        """Every link between two components that costs less than ``limit``."""
        found = []
        for edge, (u, v) in enumerate(self.ends):
            cost = self.distance[u] + self.cost[edge] + self.distance[v]
            if self.component[u] != self.component[v] and cost < limit:
                found.append((cost, edge, self.component[u], self.component[v]))
        return found

    def path(self, edge: int) -> list[int]:
        """The edges from one component to the other over ``edge``."""
        edges = [edge]
        for node in self.ends[edge]:
            while self.via[node] >= 0:
                edges.append(self.via[node])
                node = self.ends[self.via[node]][0] + self.ends[self.via[node]][1] - node
        return edges


def multi_source_shortest_paths(
    node: NDArray[np.intp], cost: NDArray[np.float64], component: NDArray[np.intp]
) -> ShortestPaths:
    """Shortest paths from all components at once.

    ``node`` (e, 2) nodes of the edges, ``cost`` (e,) not below 0, ``component`` (nodes,) label of
    the component at each node or -1.
    """
    paths = ShortestPaths(
        node.tolist(),
        cost.tolist(),
        component.tolist(),
        [0.0 if label >= 0 else np.inf for label in component.tolist()],
        [-1] * len(component),
    )
    _spread(paths)
    return paths


def _spread(paths: ShortestPaths) -> None:
    """Grow the regions from their components, nearest nodes first."""
    at_node: list[list[int]] = [[] for _ in paths.component]
    for edge, (u, v) in enumerate(paths.ends):
        at_node[u].append(edge)
        at_node[v].append(edge)
    distance = paths.distance
    heap = [(0.0, node) for node, label in enumerate(paths.component) if label >= 0]
    while heap:
        far, node = heapq.heappop(heap)
        if far > distance[node]:
            continue
        for edge in at_node[node]:
            other = paths.ends[edge][0] + paths.ends[edge][1] - node
            if far + paths.cost[edge] < distance[other]:
                distance[other] = far + paths.cost[edge]
                paths.component[other] = paths.component[node]
                paths.via[other] = edge
                heapq.heappush(heap, (distance[other], other))
