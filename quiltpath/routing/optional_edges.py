"""Ways between lines that the policy allows at a cost: the margin, and lines sewn again.

Which piece is nearest: shortest ways from all pieces at once.

Dijkstra (Numerische Mathematik 1, 1959) started from every piece together divides the network into
regions; the cheapest link from a piece to any other leads over a way between two regions (Mehlhorn,
Information Processing Letters 27, 1988).
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.routing.margin import margin_strands
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.strands import Strands, components, concatenated, nodes_of


@dataclass(frozen=True)
class Network:
    """Lines that must be sewn and ways that may be, on common nodes.

    ``strands``  the lines, ``node`` (s, 2) their nodes
    ``ways``     optional strands, ``way_node`` (w, 2) their nodes, ``cost`` (w,) in mm of sewing,
                 infinite where the track along the margin leaves what can be reached
    ``nodes``    how many nodes there are
    ``ring``     ways that make up the track along the margin, in order round it
    ``stubs``    ways from line ends to that track
    """

    strands: Strands
    node: NDArray[np.intp]
    ways: Strands
    way_node: NDArray[np.intp]
    cost: NDArray[np.float64]
    nodes: int
    ring: NDArray[np.intp]
    stubs: NDArray[np.intp]

    @property
    def odd(self) -> NDArray[np.intp]:
        """Nodes where an odd number of lines ends."""
        return np.flatnonzero(np.bincount(self.node.reshape(-1), minlength=self.nodes) % 2)

    def super_pieces(self) -> NDArray[np.intp]:
        """(nodes,) label of what hangs together by lines and ways."""
        return components(self.nodes, np.concatenate([self.node, self.way_node[self.open_ways]]))

    @property
    def open_ways(self) -> NDArray[np.bool_]:
        """(w,) ways that can be sewn."""
        return np.isfinite(self.cost)

    def unmatched(self, within: float) -> NDArray[np.intp]:
        """Odd nodes that no set of ways can make even.

        These are the ones from which no other odd node can be reached at a cost of ``within``, and
        one more in each network of ways that holds an odd number of the rest.
        """
        odd = self.odd
        if not len(self.ways):
            return odd
        near = nearest_other(self, odd) <= within
        alone, rest = odd[~near], odd[near]
        web = components(self.nodes, self.way_node[self.open_ways])[rest]
        first = np.unique(web, return_index=True)[1]
        return np.concatenate([alone, rest[first[np.bincount(web)[web[first]] % 2 == 1]]])


def network(
    strands: Strands,
    retraceable: NDArray[np.bool_],
    policy: Policy,
    finished: Polygon,
    margin_mm: float,
    tracks: Strands,
    reach: Polygon | None = None,
) -> Network:
    """The lines with the ways that ``policy`` allows; ``retraceable`` (s,).

    ``tracks`` were sewn before and may be sewn again. With a ``reach`` the ways along the margin
    end where they would leave it.
    """
    ways, costs, sizes = [], [], [0, 0]
    if policy.retrace:
        again = concatenated([strands.take(retraceable), tracks]).marked(PieceKind.RETRACE)
        again = again.take(again.length_mm <= policy.retrace_cap_mm)
        ways.append(again)
        costs.append(again.length_mm * policy.retrace_cost)
    if policy.margin:
        along = margin_strands(strands.ends.reshape(-1, 2), finished, margin_mm)
        if along is not None:
            ways += along
            costs += [_margin_cost(part, policy, reach) for part in along]
            sizes = [len(part) for part in along]
    optional = concatenated(ways) if ways else strands.take(np.zeros(0, dtype=np.intp))
    everything = concatenated([strands, optional])
    marginal = np.arange(len(optional) - sum(sizes), len(optional))
    node = nodes_of(everything.ends.reshape(-1, 2)).reshape(-1, 2)
    return Network(
        strands=strands,
        node=node[: len(strands)],
        ways=optional,
        way_node=node[len(strands) :],
        cost=np.concatenate(costs) if costs else np.zeros(0),
        nodes=int(node.max()) + 1,
        ring=marginal[: sizes[0]],
        stubs=marginal[sizes[0] :],
    )


def _margin_cost(part: Strands, policy: Policy, reach: Polygon | None) -> NDArray[np.float64]:
    cost = part.length_mm * policy.margin_cost
    if reach is not None:
        cost[~shapely.covers(reach, part.shapes())] = np.inf
    return cost


def nearest_other(network: Network, odd: NDArray[np.intp]) -> NDArray[np.float64]:
    """(len(odd),) cost of the way from each odd node to the next one, infinite where none leads."""
    source = np.full(network.nodes, -1, dtype=np.intp)
    source[odd] = np.arange(len(odd))
    nearest = np.full(len(odd), np.inf)
    reach = Reach(network.way_node, network.cost, source)
    for cost, _, one, two in reach.links(np.inf):
        nearest[one] = min(nearest[one], cost)
        nearest[two] = min(nearest[two], cost)
    return nearest


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
