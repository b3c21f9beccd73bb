"""Along the margin, the same thread can join lines into many loops or into one path.

A cheapest T-join on a ring leaves two free ends and pairs the others with neighbours by turns.
Between the two free ends the turns fall one way, beyond them the other way. Many choices of the
free ends cost nearly the same, and they differ in how many separate loops come out: for parallel
lines, one choice of two neighbours gives pairs of lines sewn round and round, another gives one
path there and back over all of them. So the choices are compared by cost plus the cost of tying
their loops together.

Closed trails opened where an open one passes: the same thread, one run fewer.

A cheapest T-join often leaves loops (two lines and the ways between their ends, sewn round and
round) beside a trail that ends next to them. A loop hangs together without any one of its ways, so
that way can be given up and the trail's loose end led to where it was: the trail then goes through
the loop and ends at the way's other side. Parity stays even, a run is saved, and the cost changes
by the new way less the old one.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.optional_edges import Network
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.strands import closed_pieces, components, odd_nodes

TRIED = 32
OUT_OF_REACH = 1e6
"""cost that keeps a piece of track out of every choice that can do without it"""

FAR_START = 0.1
"""cost of a millimetre between the named corner and the place where sewing starts"""


@dataclass(frozen=True)
class _Ring:
    """Line ends round the margin in order.

    ``node`` (m,) nodes of the ends, ``stub`` (m,) way that ties each to the track or -1,
    ``piece`` (m,) number of the first piece of track after each end
    """

    node: NDArray[np.intp]
    stub: NDArray[np.intp]
    piece: NDArray[np.intp]


def fewer_loops(
    network: Network, chosen: NDArray[np.intp], begin: NDArray[np.float64]
) -> NDArray[np.intp]:
    """The chosen ways, or others along the margin that cost little more and leave fewer loops.

    Works where everything but two ends in the margin has been made even; other cases come back
    unchanged. One free end is the one nearest ``begin`` or one that the T-join left. The cheapest
    ``TRIED`` choices are looked at, of equal ones those first whose free ends lie farthest apart.
    """
    kept = chosen[network.ways.kind[chosen] != PieceKind.MARGIN]
    ring = _ring(network, kept)
    left = _odd(network, chosen)
    if len(ring.node) < 4 or len(left) != 2 or not np.isin(left, ring.node).all():
        return chosen
    best, least = chosen, _price(network, chosen, begin)
    for option in _options(network, ring, left, begin):
        ways = np.concatenate([kept, option])
        price = _price(network, ways, begin)
        if price < least - 1e-6:
            best, least = ways, price
    return best


def _odd(network: Network, chosen: NDArray[np.intp]) -> NDArray[np.intp]:
    node = np.concatenate([network.node, network.way_node[chosen]])
    return np.flatnonzero(np.bincount(node.reshape(-1), minlength=network.nodes) % 2)


def _price(network: Network, chosen: NDArray[np.intp], begin: NDArray[np.float64]) -> float:
    """Cost of the ways, of going there and back for every piece, and of a far start."""
    node = np.concatenate([network.node, network.way_node[chosen]])
    pieces = len(distinct(components(network.nodes, node)[node[:, 0]]))
    tie = 2 * float(np.median(_finite(network.cost[network.ring])))
    start = _places(network)[_odd(network, chosen)]
    far = float(np.hypot(*(start - begin).T).min())
    return float(network.cost[chosen].sum()) + pieces * tie + FAR_START * far


def _ring(network: Network, kept: NDArray[np.intp]) -> _Ring:
    """The ends in the margin that are odd without ways along it, in their order round the track."""
    number = np.full(network.nodes, -1, dtype=np.intp)
    number[network.way_node[network.ring, 0]] = np.arange(len(network.ring))
    stub = np.full(network.nodes, -1, dtype=np.intp)
    stub[network.way_node[network.stubs, 0]] = network.stubs
    number[network.way_node[network.stubs, 0]] = number[network.way_node[network.stubs, 1]]
    odd = _odd(network, kept)
    odd = odd[number[odd] >= 0]
    odd = odd[np.argsort(number[odd], kind="stable")]
    return _Ring(odd, stub[odd], number[odd])


def _options(
    network: Network, ring: _Ring, left: NDArray[np.intp], begin: NDArray[np.float64]
) -> list[NDArray[np.intp]]:
    """Ways along the margin for the most promising pairs of free ends."""
    place = _places(network)[ring.node]
    nearest = int(np.hypot(*(place - begin).T).argmin())
    firsts = distinct(np.append(np.flatnonzero(np.isin(ring.node, left)), nearest))
    choices = []
    for first in firsts.tolist():
        apart = np.hypot(*(place - place[first]).T)
        for flip in (False, True):
            cost = _option_costs(network, ring, first, flip)
            cost[first] = np.inf
            others = np.lexsort((-apart, np.round(cost, 3)))[:-1]
            for second in others[:TRIED].tolist():
                key = (round(float(cost[second]), 3), -round(float(apart[second]), 3))
                choices.append((key, first, second, flip))
    choices.sort()
    return [_ways(network, ring, *choice[1:]) for choice in choices[:TRIED]]


def _option_costs(network: Network, ring: _Ring, first: int, flip: bool) -> NDArray[np.float64]:
    """(m,) cost of the ways along the margin with ``first`` free and each other end in turn."""
    arc = _arc_cost(network, ring)
    used = np.arange(len(arc)) % 2 == int(flip)
    change = np.concatenate([[0.0], np.cumsum(np.where(used, -arc, arc))])[:-1]
    stub = np.where(ring.stub >= 0, _finite(network.cost[ring.stub]), 0.0)
    total = float(arc[used].sum() + stub.sum())
    return total + _between(change, first) - stub[first] - stub


def _between(change: NDArray[np.float64], first: int) -> NDArray[np.float64]:
    """Change of cost from turning over the arcs between ``first`` and each other end."""
    other = np.arange(len(change))
    return np.where(other > first, change - change[first], change[first] - change)


def _places(network: Network) -> NDArray[np.float64]:
    """(nodes, 2) where the nodes lie."""
    place = np.zeros((network.nodes, 2))
    place[network.way_node] = network.ways.ends
    return place


def _arc_cost(network: Network, ring: _Ring) -> NDArray[np.float64]:
    """Cost of the track from each end to the next; the last arc closes the ring."""
    along = np.concatenate([[0.0], np.cumsum(_finite(network.cost[network.ring]))])
    at = along[ring.piece]
    return np.append(np.diff(at), along[-1] - at[-1] + at[0])


def _finite(cost: NDArray[np.float64]) -> NDArray[np.float64]:
    """The costs, with a great one for ways that cannot be sewn, so that sums can be compared."""
    return np.where(np.isfinite(cost), cost, OUT_OF_REACH)


def _used_arcs(count: int, first: int, second: int, flip: bool) -> NDArray[np.bool_]:
    """Which arcs are sewn: every other one, changing over at the two free ends."""
    used = np.arange(count) % 2 == int(flip)
    low, high = min(first, second), max(first, second)
    used[low:high] = ~used[low:high]
    return used


def _ways(network: Network, ring: _Ring, first: int, second: int, flip: bool) -> NDArray[np.intp]:
    """Pieces of track and stubs for one choice of free ends."""
    count, pieces = len(ring.node), len(network.ring)
    used = _used_arcs(count, first, second, flip)
    owner = (np.searchsorted(ring.piece, np.arange(pieces), side="right") - 1) % count
    bound = np.ones(count, dtype=bool)
    bound[[first, second]] = False
    stubs = ring.stub[bound & (ring.stub >= 0)]
    return np.concatenate([network.ring[used[owner]], stubs])


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
