"""Which ways are worth sewing: the rural postman's choice, by a T-join.

A postman who must walk some streets and may walk others walks each chosen extra street to even out
the odd corners (Orloff, Networks 4, 1974). A run that ends leaves one corner odd at half the cost
of a jump; and one start and one end for each connected piece cost nothing, since every piece needs
a run in any case.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.distinct import distinct
from quiltpath.routing.nodes import components
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.t_join import minimum_t_join
from quiltpath.routing.ways import Network

MOST_EXACT = 500


def chosen_ways(network: Network, policy: Policy, free: NDArray[np.intp]) -> NDArray[np.intp]:
    """Indices of the ways to sew, so that runs and ways together cost least.

    ``free`` (k,) labels of the super-pieces that get a start and an end for nothing. Exact but for
    the rounding of the T-join and the retrace cap, which is applied afterwards: a stretch that is
    longer than the cap is not sewn again, its ends are left to a jump. With more than
    ``MOST_EXACT`` odd nodes the free start and end are not part of the matching (its time would
    grow with the square of their number): the dearest path that it finds is left out instead.
    """
    odd = network.odd
    usable = np.flatnonzero(network.open_ways)
    if not len(usable) or not len(odd):
        return np.zeros(0, dtype=np.intp)
    cost = network.cost[usable]
    jump = min(policy.jump_cost, float(cost.sum()) + 1.0)
    label = network.super_pieces()[odd]
    small = free if len(odd) <= MOST_EXACT else free[:0]
    ends, weight, extra = _free_ends(odd, label, small, network.nodes, jump)
    leave = np.concatenate([np.full(len(odd), jump / 2), np.full(len(extra), np.inf)])
    taken = minimum_t_join(
        np.concatenate([network.way_node[usable], ends]),
        np.concatenate([cost, weight]),
        np.concatenate([odd, extra]),
        leave,
    )
    taken = usable[taken[taken < len(usable)]]
    if len(odd) > MOST_EXACT:
        taken = _without_dearest(network, taken, free)
    return _capped(network, taken, policy.retrace_cap_mm)


def _without_dearest(
    network: Network, taken: NDArray[np.intp], free: NDArray[np.intp]
) -> NDArray[np.intp]:
    """The chosen ways without the dearest joining path of each super-piece that is all even.

    That path's ends become the free start and end.
    """
    label = network.super_pieces()
    node = np.concatenate([network.node, network.way_node[taken]])
    degree = np.bincount(node.reshape(-1), minlength=network.nodes)
    even = np.setdiff1d(free, label[degree % 2 == 1])
    path = components(network.nodes, network.way_node[taken])[network.way_node[taken, 0]]
    cost = np.bincount(path, weights=network.cost[taken], minlength=network.nodes)
    of_path = np.flatnonzero(cost > 0)
    of_path = of_path[np.lexsort((of_path, -cost[of_path]))]
    pieces, first = np.unique(label[of_path], return_index=True)
    dearest = of_path[first[np.isin(pieces, even)]]
    return taken[~np.isin(path, dearest)]


def _free_ends(
    odd: NDArray[np.intp],
    label: NDArray[np.intp],
    free: NDArray[np.intp],
    nodes: int,
    jump: float,
) -> tuple[NDArray[np.intp], NDArray[np.float64], NDArray[np.intp]]:
    """Edges from a free start and a free end of each piece to its odd nodes, and those new nodes.

    An edge costs more than it could ever save, so that each free end is used for one node only.
    """
    pieces = distinct(label[np.isin(label, free)])
    start = nodes + 2 * np.arange(len(pieces))
    mine = np.isin(label, pieces)
    hub = start[np.searchsorted(pieces, label[mine])]
    ends = np.concatenate(
        [
            np.column_stack([hub, odd[mine]]),
            np.column_stack([hub + 1, odd[mine]]),
            np.column_stack([start, start + 1]),
        ]
    )
    weight = np.concatenate([np.full(2 * len(hub), jump), np.full(len(start), 2 * jump)])
    return ends.astype(np.intp), weight, np.concatenate([start, start + 1]).astype(np.intp)


def _capped(network: Network, taken: NDArray[np.intp], cap_mm: float) -> NDArray[np.intp]:
    """The chosen ways without stretches of retracing longer than the cap."""
    again = network.ways.kind[taken] == PieceKind.RETRACE
    if not again.any():
        return taken
    stretch = components(network.nodes, network.way_node[taken[again]])
    stretch = stretch[network.way_node[taken[again], 0]]
    length = network.ways.length_mm[taken[again]]
    too_long = np.zeros(len(taken), dtype=bool)
    too_long[again] = np.bincount(stretch, weights=length)[stretch] > cap_mm
    return taken[~too_long]
