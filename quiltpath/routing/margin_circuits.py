"""Fewer circuits for the same thread along the margin: other T-joins of nearly the same cost.

A cheapest T-join on a ring leaves two free ends and pairs the others with neighbours by turns.
Between the two free ends the turns fall one way, beyond them the other way. Many choices of the
free ends cost nearly the same, and they differ in how many circuits come out: for parallel lines,
one choice of two neighbours gives pairs of lines sewn round and round, another gives one path there
and back over all of them. So ``TRIED`` choices are compared by cost plus the cost of tying their
circuits together, each in time linear in the size of the network.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.nodes import connected_components
from quiltpath.routing.optional_edges import Network
from quiltpath.routing.runs import PieceKind

TRIED = 32
OUT_OF_FIELD = 1e6
"""cost that keeps an margin edge out of every choice that can do without it"""

FAR_START = 0.1
"""cost of a millimetre between the named corner and the place where sewing starts"""


@dataclass(frozen=True)
class _Ring:
    """Line ends round the margin in order.

    ``node`` (m,) nodes of the ends, ``stub`` (m,) edge that ties each to the curve or -1,
    ``first`` (m,) number of the first edge along the margin after each end
    """

    node: NDArray[np.intp]
    stub: NDArray[np.intp]
    first: NDArray[np.intp]


def reduce_circuits(
    network: Network, chosen: NDArray[np.intp], begin: NDArray[np.float64]
) -> NDArray[np.intp]:
    """The chosen edges, or others along the margin that cost little more and leave fewer
    circuits.

    Works where everything but two ends in the margin has been made even; other cases come back
    unchanged. One free end is the one nearest ``begin`` or one that the T-join left. The cheapest
    ``TRIED`` choices are looked at, of equal ones those first whose free ends lie farthest apart.
    """
    kept = chosen[network.optional.kind[chosen] != PieceKind.MARGIN]
    ring = _ring(network, kept)
    left = _odd(network, chosen)
    if len(ring.node) < 4 or len(left) != 2 or not np.isin(left, ring.node).all():
        return chosen
    best, least = chosen, _price(network, chosen, begin)
    for option in _options(network, ring, left, begin):
        edges = np.concatenate([kept, option])
        price = _price(network, edges, begin)
        if price < least - 1e-6:
            best, least = edges, price
    return best


def _odd(network: Network, chosen: NDArray[np.intp]) -> NDArray[np.intp]:
    node = np.concatenate([network.node, network.optional_node[chosen]])
    return np.flatnonzero(np.bincount(node.reshape(-1), minlength=network.nodes) % 2)


def _price(network: Network, chosen: NDArray[np.intp], begin: NDArray[np.float64]) -> float:
    """Cost of the edges, of going there and back for every component, and of a far start."""
    node = np.concatenate([network.node, network.optional_node[chosen]])
    components = len(distinct(connected_components(network.nodes, node)[node[:, 0]]))
    tie = 2 * float(np.median(_finite(network.cost[network.ring])))
    start = network.places()[_odd(network, chosen)]
    far = float(np.hypot(*(start - begin).T).min())
    return float(network.cost[chosen].sum()) + components * tie + FAR_START * far


def _ring(network: Network, kept: NDArray[np.intp]) -> _Ring:
    """The ends in the margin that are odd without edges along it, in their order round it."""
    number = np.full(network.nodes, -1, dtype=np.intp)
    number[network.optional_node[network.ring, 0]] = np.arange(len(network.ring))
    stub = np.full(network.nodes, -1, dtype=np.intp)
    stub[network.optional_node[network.stubs, 0]] = network.stubs
    number[network.optional_node[network.stubs, 0]] = number[
        network.optional_node[network.stubs, 1]
    ]
    odd = _odd(network, kept)
    odd = odd[number[odd] >= 0]
    odd = odd[np.argsort(number[odd], kind="stable")]
    return _Ring(odd, stub[odd], number[odd])


def _options(
    network: Network, ring: _Ring, left: NDArray[np.intp], begin: NDArray[np.float64]
) -> list[NDArray[np.intp]]:
    """Edges along the margin for the most promising pairs of free ends."""
    place = network.places()[ring.node]
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
    return [_edges_of(network, ring, *choice[1:]) for choice in choices[:TRIED]]


def _option_costs(network: Network, ring: _Ring, first: int, flip: bool) -> NDArray[np.float64]:
    """(m,) cost of the margin edges with ``first`` free and each other end in turn."""
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


def _arc_cost(network: Network, ring: _Ring) -> NDArray[np.float64]:
    """Cost of the margin curve from each end to the next; the last arc closes the ring."""
    along = np.concatenate([[0.0], np.cumsum(_finite(network.cost[network.ring]))])
    at = along[ring.first]
    return np.append(np.diff(at), along[-1] - at[-1] + at[0])


def _finite(cost: NDArray[np.float64]) -> NDArray[np.float64]:
    """The costs, with a great one for edges that cannot be sewn, so that sums compare."""
    return np.where(np.isfinite(cost), cost, OUT_OF_FIELD)


def _used_arcs(count: int, first: int, second: int, flip: bool) -> NDArray[np.bool_]:
    """Which arcs are sewn: every other one, changing over at the two free ends."""
    used = np.arange(count) % 2 == int(flip)
    low, high = min(first, second), max(first, second)
    used[low:high] = ~used[low:high]
    return used


def _edges_of(
    network: Network, ring: _Ring, first: int, second: int, flip: bool
) -> NDArray[np.intp]:
    """Edges along the margin and stubs for one choice of free ends."""
    count, edges = len(ring.node), len(network.ring)
    used = _used_arcs(count, first, second, flip)
    owner = (np.searchsorted(ring.first, np.arange(edges), side="right") - 1) % count
    bound = np.ones(count, dtype=bool)
    bound[[first, second]] = False
    stubs = ring.stub[bound & (ring.stub >= 0)]
    return np.concatenate([network.ring[used[owner]], stubs])
