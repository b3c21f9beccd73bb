"""Closed trails opened where an open one passes: the same thread, one run fewer.

A cheapest T-join often leaves loops (two lines and the ways between their ends, sewn round and
round) beside a trail that ends next to them. A loop hangs together without any one of its ways, so
that way can be given up and the trail's loose end led to where it was: the trail then goes through
the loop and ends at the way's other side. Parity stays even, a run is saved, and the cost changes
by the new way less the old one.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.nodes import closed_pieces, odd_nodes
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.ways import Network


def opened_loops(network: Network, chosen: NDArray[np.intp], policy: Policy) -> NDArray[np.intp]:
    """The chosen ways with every loop opened that an end can reach for less than a jump more.

    Each loose end looks about it over ways that are not sewn, no farther than could pay; each loop
    is opened once, so time grows with ends and loops and not with their product.
    """
    state = _State(network, chosen, policy)
    waiting = list(state.loose)
    heapq.heapify(waiting)
    while waiting and state.closed.any():
        end = heapq.heappop(waiting)
        freed = state.lead_on(end)
        if freed is not None:
            heapq.heappush(waiting, freed)
    return np.flatnonzero(state.sewn)


class _State:
    """Which ways are sewn, which pieces are loops, which ends are loose."""

    def __init__(self, network: Network, chosen: NDArray[np.intp], policy: Policy) -> None:
        node = np.concatenate([network.node, network.way_node[chosen]])
        label, self.closed = closed_pieces(network.nodes, node)
        self.policy = policy
        self.loose: list[int] = odd_nodes(network.nodes, node).tolist()
        self.label: list[int] = label.tolist()
        self.sewn = np.zeros(len(network.ways), dtype=np.bool_)
        self.sewn[chosen] = True
        self.ends: list[list[int]] = network.way_node.tolist()
        self.cost: list[float] = network.cost.tolist()
        again = network.ways.kind == PieceKind.RETRACE
        self.again: list[float] = np.where(again, network.ways.length_mm, 0.0).tolist()
        self.at_node: list[list[int]] = [[] for _ in range(network.nodes)]
        for way, (u, v) in enumerate(self.ends):
            self.at_node[u].append(way)
            self.at_node[v].append(way)
        self.dearest = float(network.cost[chosen].max(initial=0.0))

    def lead_on(self, end: int) -> int | None:
        """Lead a loose end through the loop that costs least, and return where it ends now."""
        via: dict[int, int] = {}
        found = [
            (far - self.cost[way], way, node)
            for far, node in self._about(end, via)
            if self._in_loop(node)
            for way in self.at_node[node]
            if self.sewn[way] and far - self.cost[way] < self.policy.jump_cost
        ]
        return self._open(*min(found)[1:], via) if found else None

    def _in_loop(self, node: int) -> bool:
        return bool(self.closed[self.label[node]])

    def _about(self, end: int, via: dict[int, int]) -> Iterator[tuple[float, int]]:
        """Nodes round a loose end, nearest first, over ways not sewn; loops end the search."""
        limit = self.policy.jump_cost + self.dearest
        heap = [(0.0, 0.0, end)]
        nearest = {end: 0.0}
        while heap:
            far, again, node = heapq.heappop(heap)
            if far > nearest[node]:
                continue
            yield far, node
            if self._in_loop(node):
                continue
            for way in self.at_node[node]:
                other = self.ends[way][0] + self.ends[way][1] - node
                cost, length = far + self.cost[way], again + self.again[way]
                fits = cost < limit and length <= self.policy.retrace_cap_mm
                if not self.sewn[way] and fits and cost < nearest.get(other, np.inf):
                    nearest[other], via[other] = cost, way
                    heapq.heappush(heap, (cost, length, other))

    def _open(self, way: int, node: int, via: dict[int, int]) -> int:
        """Give up one way of a loop and sew the path to it; the way's other end is loose now."""
        self.sewn[way] = False
        self.closed[self.label[node]] = False
        freed = self.ends[way][0] + self.ends[way][1] - node
        while node in via:
            self.sewn[via[node]] = True
            node = self.ends[via[node]][0] + self.ends[via[node]][1] - node
        return freed
