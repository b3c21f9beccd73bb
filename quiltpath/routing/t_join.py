"""Minimum-weight T-joins: the cheapest extra edges that make chosen nodes even.

For a set T of nodes, a T-join is a set of edges in which exactly the nodes of T have odd degree.
Edmonds and Johnson (Mathematical Programming 5, 1973) showed that a cheapest one pairs the nodes of
T by shortest paths in a minimum-weight perfect matching, which solves the Chinese postman problem
(Guan, Chinese Mathematics 1, 1962).

``sparse_t_join``: where leaving a node unjoined is cheap, a pair farther apart than the cost of
leaving both is never worth joining. Then every node of T searches only so far, and the matching is
sparse: maximise the sum over pairs of (leave u + leave v - distance u v), each node in at most one
pair (Edmonds, Canadian Journal of Mathematics 17, 1965). Elsewhere PyMatching's sparse blossom
(Higgott and Gidney, Quantum 9, 2025) grows the regions of all nodes of T at once on the graph
itself, so that neither all pairs of shortest paths nor a dense matching is ever built.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

WHOLE_WEIGHT = 2.0**22
"""weights up to this are kept exactly by the matching once they are whole numbers"""


def minimum_t_join(
    ends: NDArray[np.intp],
    weight: NDArray[np.float64],
    odd: NDArray[np.intp],
    leave: NDArray[np.float64],
) -> NDArray[np.intp]:
    """Indices of the edges of a minimum-weight T-join.

    ``ends`` (e, 2) nodes of the edges, ``weight`` (e,) not below 0, ``odd`` the nodes of T, each of
    which may stay unjoined at the cost of ``leave`` (infinity: it may not). ``ValueError`` is
    raised where one that may not can be joined to no other.
    Weights are rounded to 1 part in 4 million of the greatest. Circuits are never used, of parallel
    edges the cheapest.
    """
    if not len(odd):
        return np.zeros(0, dtype=np.intp)
    edges, of_edge = _simple(ends, weight)
    nodes, short = np.unique(np.concatenate([edges.reshape(-1), odd]), return_inverse=True)
    short_ends = short[: edges.size].reshape(-1, 2)
    short_odd = short[edges.size :]
    whole = _whole(np.concatenate([weight[of_edge], leave]))
    cost, left = whole[: len(of_edge)], whole[len(of_edge) :]
    sparse = sparse_t_join(short_ends, cost, short_odd, left)
    if sparse is not None:
        return np.sort(of_edge[sparse])
    import pymatching

    graph = pymatching.Matching()
    for (u, v), each in zip(short_ends.tolist(), cost.tolist(), strict=True):
        graph.add_edge(u, v, weight=each)
    for u, each in zip(short_odd.tolist(), left.tolist(), strict=True):
        if each < np.inf:
            graph.add_boundary_edge(u, weight=each)
    return _decode(graph, short_ends, of_edge, short_odd, len(nodes))


def _simple(
    ends: NDArray[np.intp], weight: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """(k, 2) pairs of nodes, smaller first, and the cheapest edge of each pair; no loops."""
    low, high = ends.min(axis=1), ends.max(axis=1)
    order = np.lexsort((np.arange(len(weight)), weight, high, low))
    order = order[low[order] != high[order]]
    pairs = np.column_stack([low[order], high[order]])
    first = np.ones(len(order), dtype=bool)
    first[1:] = (np.diff(pairs, axis=0) != 0).any(axis=1)
    return pairs[first], order[first]


def _whole(weight: NDArray[np.float64]) -> NDArray[np.float64]:
    """Weights as whole numbers, the greatest about ``WHOLE_WEIGHT``."""
    greatest = float(weight[np.isfinite(weight)].max(initial=0.0))
    return np.round(weight * (WHOLE_WEIGHT / greatest)) if greatest > 0 else weight


def _decode(
    graph: object,
    pairs: NDArray[np.intp],
    of_edge: NDArray[np.intp],
    odd: NDArray[np.intp],
    nodes: int,
) -> NDArray[np.intp]:
    """The matching's paths as edges; an edge that is used twice falls out."""
    wanted = np.zeros(nodes, dtype=np.uint8)
    wanted[odd] = 1
    used = graph.decode_to_edges_array(wanted).astype(np.intp)  # type: ignore[attr-defined]
    used = np.sort(used[used[:, 1] >= 0], axis=1)
    keys = pairs[:, 0] * nodes + pairs[:, 1]
    found, times = np.unique(used[:, 0] * nodes + used[:, 1], return_counts=True)
    return np.sort(of_edge[np.searchsorted(keys, found[times % 2 == 1])])


MOST_VISITS = 60_000
"""Nodes looked at in all before the network counts as too wide for a sparse matching."""

SAMPLED_TERMINALS = 16
"""Nodes of T, spread evenly, whose searches say beforehand whether the network is too wide."""


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
    near = _NearTerminals(ends, weight, odd, leave)
    pairs = near.pairs()
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
        times[near.path(u, v)] += 1
    return np.flatnonzero(times % 2)


def _all_matched(matched: set[tuple[int, int]], needed: NDArray[np.intp]) -> bool:
    return set(needed.tolist()) <= {node for pair in matched for node in pair}


_Search = tuple[list[tuple[int, float]], dict[int, int], int]
"""Nodes of T that were found with what the way costs, edges by which nodes were, nodes seen."""


class _NearTerminals:
    """Shortest paths from every node of T to those near enough to pair with it."""

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
        self.sampled: dict[int, _Search] = {}

    def pairs(self) -> list[tuple[int, int, int]] | None:
        """(u, v, gain) of every pair worth joining; None where the search went too wide."""
        if self._is_too_wide():
            return None
        found = []
        visits = 0
        for one in range(len(self.odd)):
            near, via, seen = self.sampled.get(one) or self._about(one, MOST_VISITS - visits)
            self.via.append(via)
            visits += seen
            if visits >= MOST_VISITS:
                return None
            for two, far in near:
                gain = self.leave[one] + self.leave[two] - far
                if self._is_mine(one, two) and gain > 0:
                    found.append((one, two, round(gain)))
                    self.seen_from[min(one, two), max(one, two)] = one
        return found

    def _is_mine(self, one: int, two: int) -> bool:
        """Each pair is taken once, by the node that must be joined (it visits farther) or first."""
        return self.must[one] if self.must[one] != self.must[two] else two > one

    def _is_too_wide(self) -> bool:
        """Whether all visits, going by a few, would be too many."""
        few = range(0, len(self.odd), max(1, len(self.odd) // SAMPLED_TERMINALS))
        left = MOST_VISITS * len(few) // len(self.odd)
        for one in few:
            self.sampled[one] = self._about(one, left)
            left -= self.sampled[one][2]
            if left <= 0:
                return True
        return False

    def _about(self, one: int, most: int) -> _Search:
        """Nodes of T near one of them with the cost of the path there, the edge by which
        each node was found, and how many nodes were seen (Dijkstra 1959)."""
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
        """Edges of the shortest path between two nodes of T, by their numbers."""
        one = self.seen_from[min(u, v), max(u, v)]
        node, edges = self.odd[u + v - one], []
        while node in self.via[one]:
            edge = self.via[one][node]
            edges.append(edge)
            node = self.ends[edge][0] + self.ends[edge][1] - node
        return edges
