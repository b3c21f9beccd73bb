"""T-joins by matching on shortest ways: for networks where only neighbours can pair.

Where leaving a node unjoined is cheap, a pair farther apart than the cost of leaving both is never
worth joining. Then every node of T needs to look about it only so far, and the matching is sparse:
maximise the sum over pairs of (leave u + leave v - way from u to v), each node in at most one pair
(Edmonds, Canadian Journal of Mathematics 17, 1965; the reduction of the T-join is Edmonds and
Johnson's). It needs no heavy library, which counts where the whole job takes a second.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

MOST_LOOKS = 60_000
"""Nodes looked at in all before the network counts as too wide for this way."""

FIRST_LOOKS = 16
"""Nodes of T, spread evenly, whose looks tell beforehand whether the network is too wide."""


def sparse_t_join(
    ends: NDArray[np.intp],
    weight: NDArray[np.float64],
    odd: NDArray[np.intp],
    leave: NDArray[np.float64],
) -> NDArray[np.intp] | None:
    """Indices of the edges of a cheapest T-join, or None where the network is too wide.

    ``ends`` (e, 2), ``weight`` (e,) whole numbers, ``odd`` the nodes of T, ``leave`` the cost of
    leaving each unjoined (infinity: it may not be left).
    """
    web = _Web(ends, weight, odd, leave)
    pairs = web.pairs()
    if pairs is None:
        return None
    import rustworkx

    graph = rustworkx.PyGraph()
    graph.add_nodes_from(range(len(odd)))
    graph.add_edges_from(pairs)
    matched = rustworkx.max_weight_matching(graph, weight_fn=int)
    if not _all_matched(matched, np.flatnonzero(np.isinf(leave))):
        raise ValueError("some node can be joined to no other")
    times = np.zeros(len(ends), dtype=np.intp)
    for u, v in matched:
        times[web.path(u, v)] += 1
    return np.flatnonzero(times % 2)


def _all_matched(matched: set[tuple[int, int]], needed: NDArray[np.intp]) -> bool:
    return set(needed.tolist()) <= {node for pair in matched for node in pair}


class _Web:
    """Shortest ways from every node of T to those near enough to pair with it."""

    def __init__(
        self,
        ends: NDArray[np.intp],
        weight: NDArray[np.float64],
        odd: NDArray[np.intp],
        leave: NDArray[np.float64],
    ) -> None:
        self.ends: list[list[int]] = ends.tolist()
        self.odd: list[int] = odd.tolist()
        self.number = {node: number for number, node in enumerate(self.odd)}
        # More than all edges and all leaving together: as good as infinity, and still a number.
        finite = leave[np.isfinite(leave)]
        must = float(weight.sum() + finite.sum()) + 1.0
        self.must = np.isinf(leave).tolist()
        self.leave: list[float] = np.where(np.isinf(leave), must, leave).tolist()
        self.widest = float(finite.max(initial=0.0))
        self.seen_from: dict[tuple[int, int], int] = {}
        self.from_node: defaultdict[int, list[tuple[int, float, int]]] = defaultdict(list)
        for edge, ((u, v), cost) in enumerate(zip(self.ends, weight.tolist(), strict=True)):
            self.from_node[u].append((v, cost, edge))
            self.from_node[v].append((u, cost, edge))
        for onward in self.from_node.values():
            onward.sort(key=itemgetter(1))
        self.via: list[dict[int, int]] = []

    def pairs(self) -> list[tuple[int, int, int]] | None:
        """(u, v, gain) of every pair worth joining; None where the search went too wide."""
        if self._is_too_wide():
            return None
        found = []
        looks = 0
        for one in range(len(self.odd)):
            near, via, seen = self._about(one, MOST_LOOKS - looks)
            self.via.append(via)
            looks += seen
            if looks >= MOST_LOOKS:
                return None
            for two, far in near:
                gain = self.leave[one] + self.leave[two] - far
                if self._is_mine(one, two) and gain > 0:
                    found.append((one, two, round(gain)))
                    self.seen_from[min(one, two), max(one, two)] = one
        return found

    def _is_mine(self, one: int, two: int) -> bool:
        """Each pair is taken once, by the node that must be joined (it looks farther) or first."""
        return self.must[one] if self.must[one] != self.must[two] else two > one

    def _is_too_wide(self) -> bool:
        """Whether all looks, going by a few, would be too many."""
        few = range(0, len(self.odd), max(1, len(self.odd) // FIRST_LOOKS))
        left = MOST_LOOKS * len(few) // len(self.odd)
        for one in few:
            left -= self._about(one, left)[2]
            if left <= 0:
                return True
        return False

    def _about(self, one: int, most: int) -> tuple[list[tuple[int, float]], dict[int, int], int]:
        """Nodes of T near one of them with the cost of the way there, the edge by which each node
        was reached, and how many nodes were seen (Dijkstra, Numerische Mathematik 1, 1959)."""
        start, limit = self.odd[one], self.leave[one] + self.widest
        nearest = {start: 0.0}
        via: dict[int, int] = {}
        heap = [(0.0, start)]
        near, seen = [], 0
        while heap and seen < most:
            far, node = heapq.heappop(heap)
            if far > nearest[node]:
                continue
            seen += 1
            if node in self.number and node != start:
                near.append((self.number[node], far))
            for other, cost, edge in self.from_node[node]:
                cost += far
                if cost >= limit:  # the rest costs no less
                    break
                if cost < nearest.get(other, limit):
                    nearest[other], via[other] = cost, edge
                    heapq.heappush(heap, (cost, other))
        return near, via, seen

    def path(self, u: int, v: int) -> list[int]:
        """Edges of the shortest way between two nodes of T, by their numbers."""
        one = self.seen_from[min(u, v), max(u, v)]
        node, edges = self.odd[u + v - one], []
        while node in self.via[one]:
            edge = self.via[one][node]
            edges.append(edge)
            node = self.ends[edge][0] + self.ends[edge][1] - node
        return edges
