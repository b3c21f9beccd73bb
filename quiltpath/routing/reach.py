"""Which piece is nearest: shortest ways from all pieces at once.

Dijkstra (Numerische Mathematik 1, 1959) started from every piece together divides the network into
regions; the cheapest link from a piece to any other leads over a way between two regions (Mehlhorn,
Information Processing Letters 27, 1988).
"""

from __future__ import annotations

import heapq

import numpy as np
from numpy.typing import NDArray


class Reach:
    """Shortest way from every node to the nearest piece.

    ``way_node`` (w, 2) nodes of the ways, ``cost`` (w,), ``piece`` (nodes,) label of the piece at
    each node or -1. After it, ``piece`` and ``distance`` hold the nearest piece and the cost of the
    way there. O(w log w).
    """

    def __init__(
        self, way_node: NDArray[np.intp], cost: NDArray[np.float64], piece: NDArray[np.intp]
    ) -> None:
        self.ends: list[list[int]] = way_node.tolist()
        self.cost: list[float] = cost.tolist()
        self.piece: list[int] = piece.tolist()
        self.distance = [0.0 if label >= 0 else np.inf for label in self.piece]
        self.via = [-1] * len(self.piece)
        self._spread(len(self.piece))

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
