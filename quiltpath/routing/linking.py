"""Closed trails that touch nothing, taken in by a way that is sewn there and back."""

from __future__ import annotations

import heapq

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.ways import Network


def linking_ways(
    network: Network,
    piece: NDArray[np.intp],
    closed: NDArray[np.bool_],
    policy: Policy,
    limit: float,
) -> NDArray[np.intp]:
    """Indices of ways that, sewn twice, take closed pieces into others for less than ``limit``.

    ``piece`` (nodes,) label of the piece at each node, -1 where no trail comes; ``closed`` one
    entry a label. Joining all pieces at the least cost is a minimum spanning tree between them over
    the ways (Mehlhorn, Information Processing Letters 27, 1988): every way knows the nearest piece
    on each side, and Kruskal's rule picks among those links.
    """
    if not len(network.ways):
        return np.zeros(0, dtype=np.intp)
    reach = _Reach(network, piece)
    links = sorted(reach.links(limit / 2))
    parent = list(range(len(closed)))
    still_closed = closed.tolist()
    taken: list[int] = []
    for _, way, one, two in links:
        a, b = _root(parent, one), _root(parent, two)
        path = reach.path(way)
        if a == b or not (still_closed[a] or still_closed[b]) or _over_cap(network, path, policy):
            continue
        parent[max(a, b)] = min(a, b)
        still_closed[min(a, b)] = still_closed[a] and still_closed[b]
        taken += path
    return np.unique(np.array(taken, dtype=np.intp))


def _root(parent: list[int], item: int) -> int:
    while parent[item] != item:
        item = parent[item]
    return item


def _over_cap(network: Network, path: list[int], policy: Policy) -> bool:
    again = [way for way in path if network.ways.kind[way] == PieceKind.RETRACE]
    return float(network.ways.length_mm[again].sum()) > policy.retrace_cap_mm


class _Reach:
    """Shortest way from every node to the nearest piece (Dijkstra from all pieces at once)."""

    def __init__(self, network: Network, piece: NDArray[np.intp]) -> None:
        self.ends: list[list[int]] = network.way_node.tolist()
        self.cost: list[float] = network.cost.tolist()
        self.piece: list[int] = piece.tolist()
        self.distance = [0.0 if label >= 0 else np.inf for label in self.piece]
        self.via = [-1] * len(self.piece)
        self._spread(network.nodes)

    def _spread(self, nodes: int) -> None:
        at_node: list[list[int]] = [[] for _ in range(nodes)]
        for way, (u, v) in enumerate(self.ends):
            at_node[u].append(way)
            at_node[v].append(way)
        heap = [(0.0, node) for node, label in enumerate(self.piece) if label >= 0]
        while heap:
            far, node = heapq.heappop(heap)
            if far > self.distance[node]:
                continue
            for way in at_node[node]:
                other = self.ends[way][0] + self.ends[way][1] - node
                if far + self.cost[way] < self.distance[other]:
                    self.distance[other] = far + self.cost[way]
                    self.piece[other] = self.piece[node]
                    self.via[other] = way
                    heapq.heappush(heap, (self.distance[other], other))

    def links(self, limit: float) -> list[tuple[float, int, int, int]]:
        """(cost, way, piece, piece) of every way between two pieces that costs less than limit."""
        found = []
        for way, (u, v) in enumerate(self.ends):
            cost = self.distance[u] + self.cost[way] + self.distance[v]
            if self.piece[u] != self.piece[v] and cost < limit:
                found.append((cost, way, self.piece[u], self.piece[v]))
        return found

    def path(self, way: int) -> list[int]:
        """The ways from one piece to the other over ``way``."""
        ways = [way]
        for node in self.ends[way]:
            while self.via[node] >= 0:
                ways.append(self.via[node])
                node = self.ends[self.via[node]][0] + self.ends[self.via[node]][1] - node
        return ways
