"""Circuits opened where a trail ends beside them: the same thread, one run fewer.

A cheapest T-join often leaves circuits (two lines and the optional edges between their ends, sewn
round and round) beside a trail that ends next to them. A circuit stays connected without any one of
its optional edges, so that edge can be given up and the trail's end led to where it was: the trail
then goes through the circuit and ends at the edge's other node. Degrees stay even, a run is saved,
and the cost changes by the new edges less the old one. This is Hierholzer's splice over optional
edges, with a bounded search by Dijkstra (Numerische Mathematik 1, 1959) from each trail's end.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.nodes import even_components, odd_nodes
from quiltpath.routing.optional_edges import Network
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind


def splice_circuits(network: Network, chosen: NDArray[np.intp], policy: Policy) -> NDArray[np.intp]:
    """The chosen edges, every circuit opened that a trail end can join for less than a jump.

    Each trail end searches over optional edges that are not sewn, no farther than could pay; each
    circuit is opened once, so time grows with ends and circuits and not with their product.
    """
    state = _State(network, chosen, policy)
    waiting = list(state.trail_ends)
    heapq.heapify(waiting)
    while waiting and state.closed.any():
        end = heapq.heappop(waiting)
        freed = state.lead_on(end)
        if freed is not None:
            heapq.heappush(waiting, freed)
    return np.flatnonzero(state.sewn)


class _State:
    """Which optional edges are sewn, which components are circuits, where trails end."""

    def __init__(self, network: Network, chosen: NDArray[np.intp], policy: Policy) -> None:
        node = np.concatenate([network.node, network.optional_node[chosen]])
        label, self.closed = even_components(network.nodes, node)
        self.policy = policy
        self.trail_ends: list[int] = odd_nodes(network.nodes, node).tolist()
        self.label: list[int] = label.tolist()
        self.sewn = np.zeros(len(network.optional), dtype=np.bool_)
        self.sewn[chosen] = True
        self.ends: list[list[int]] = network.optional_node.tolist()
        self.cost: list[float] = network.cost.tolist()
        again = network.optional.kind == PieceKind.RETRACE
        self.again: list[float] = np.where(again, network.optional.length_mm, 0.0).tolist()
        self.at_node: list[list[int]] = [[] for _ in range(network.nodes)]
        for edge, (u, v) in enumerate(self.ends):
            self.at_node[u].append(edge)
            self.at_node[v].append(edge)
        self.dearest = float(network.cost[chosen].max(initial=0.0))

    def lead_on(self, end: int) -> int | None:
        """Lead a trail end through the circuit that costs least, and return where it ends now."""
        via: dict[int, int] = {}
        found = [
            (far - self.cost[edge], edge, node)
            for far, node in self._about(end, via)
            if self._in_circuit(node)
            for edge in self.at_node[node]
            if self.sewn[edge] and far - self.cost[edge] < self.policy.jump_cost
        ]
        return self._open(*min(found)[1:], via) if found else None

    def _in_circuit(self, node: int) -> bool:
        return bool(self.closed[self.label[node]])

    def _about(self, end: int, via: dict[int, int]) -> Iterator[tuple[float, int]]:
        """Nodes round a trail end, nearest first, over edges not sewn; circuits end the search."""
        limit = self.policy.jump_cost + self.dearest
        heap = [(0.0, 0.0, end)]
        nearest = {end: 0.0}
        while heap:
            far, again, node = heapq.heappop(heap)
            if far > nearest[node]:
                continue
            yield far, node
            if self._in_circuit(node):
                continue
            for edge in self.at_node[node]:
                other = self.ends[edge][0] + self.ends[edge][1] - node
                cost, length = far + self.cost[edge], again + self.again[edge]
                fits = cost < limit and length <= self.policy.retrace_cap_mm
                if not self.sewn[edge] and fits and cost < nearest.get(other, np.inf):
                    nearest[other], via[other] = cost, edge
                    heapq.heappush(heap, (cost, length, other))

    def _open(self, edge: int, node: int, via: dict[int, int]) -> int:
        """Give up one edge of a circuit and sew the path to it; the trail ends at its far node."""
        self.sewn[edge] = False
        self.closed[self.label[node]] = False
        freed = self.ends[edge][0] + self.ends[edge][1] - node
        while node in via:
            self.sewn[via[node]] = True
            node = self.ends[via[node]][0] + self.ends[via[node]][1] - node
        return freed
