"""Which ways are worth sewing: the rural postman's choice, by a T-join.

A postman who must walk some streets and may walk others walks each chosen extra street to even out
the odd corners (Orloff, Networks 4, 1974). A run that ends leaves one corner odd at half the cost
of a jump; and one start and one end for each connected piece cost nothing, since every piece needs
a run in any case.

Join lines into the fewest trails that the policy's ways allow.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.euler_trail import Trails, trails
from quiltpath.routing.junctions import (
    cut_at_contacts,
    gaps_at,
    hanging_pairs,
    noded_for_retracing,
    noded_in_margin,
)
from quiltpath.routing.loop_merging import fewer_loops, opened_loops
from quiltpath.routing.optional_edges import Network, network
from quiltpath.routing.policy import Policy, start_corner
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.spanning_tree import linking_ways
from quiltpath.routing.strands import Strands, closed_pieces, components, concatenated
from quiltpath.routing.t_join import minimum_t_join

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


@dataclass(frozen=True)
class Joined:
    """Strands with the ways that were added, their trails, and the fewest there can be.

    ``gaps`` (g, 4): gaps that were closed between a line and a piece that it takes in: width in mm,
    x, y, line.
    """

    strands: Strands
    trails: Trails
    lower_bound: int
    gaps: NDArray[np.float64]


def joined(
    strands: Strands,
    retraceable: NDArray[np.bool_],
    policy: Policy,
    finished: Polygon,
    margin_mm: float,
    before: Strands,
    reach: Polygon | None,
) -> Joined:
    """The trails that sew every strand once; ``retraceable`` (lines,) allows a second pass.

    ``before`` are lines that were sewn before and need no sewing now; where they may be retraced
    they are ways from one line to the next.
    Without optional ways this reaches the bound ``sum(max(1, odd / 2))`` over the connected pieces.
    With them the T-join decides which ways are worth their cost, and the bound counts as odd only
    what no way can reach.
    """
    strands, tracks = _with_tracks(strands, before, retraceable, policy)
    if policy.margin:
        strands = noded_in_margin(strands, finished, margin_mm)
    may_repeat = retraceable[strands.line]
    net = network(strands, may_repeat, policy, finished, margin_mm, tracks, reach)
    bound, free = _bound(net, policy)
    if policy.joins_in_order:
        inside = replace(policy, margin=False)
        net = network(strands, may_repeat, inside, finished, margin_mm, tracks, reach)
        free = _bound(net, policy)[1]
    added = chosen_ways(net, policy, free)
    added = fewer_loops(net, added, start_corner(policy, finished))
    added = opened_loops(net, added, policy)
    for limit in (2 * policy.turn_cost, policy.jump_cost):
        twice = _links(net, added, policy, min(limit, policy.jump_cost))
        added = np.concatenate([added, twice, twice])
    sewn = concatenated([strands, net.ways.take(added)])
    sewn, gaps = _hung(sewn, policy.tolerance_mm)
    node = sewn.nodes()
    sewn = sewn.on_nodes(node)
    real = sewn.length_mm > 0
    sewn, node = sewn.take(real), node[real]
    return Joined(sewn, trails(node, sewn.headings), bound, gaps)


def _with_tracks(
    strands: Strands, before: Strands, retraceable: NDArray[np.bool_], policy: Policy
) -> tuple[Strands, Strands]:
    """The strands and the tracks sewn before that they touch, cut where a pass may turn off."""
    may_repeat = retraceable & policy.retrace
    tracks = before.take(may_repeat[before.line])
    everything = concatenated([strands, tracks])
    everything = noded_for_retracing(everything, may_repeat[everything.line], policy.tolerance_mm)
    is_track = np.isin(everything.line, tracks.line)
    node = everything.nodes()
    label = components(2 * len(everything), node)[node[:, 0]]
    touched = np.isin(label, label[~is_track])
    return everything.take(~is_track), everything.take(is_track & touched)


def _bound(net: Network, policy: Policy) -> tuple[int, NDArray[np.intp]]:
    """The fewest runs there can be, and the super-pieces that start and end at no cost.

    Over super-pieces (lines and ways that hang together): max(1, unmatched / 2), less one for each
    closed one that touches another and is sewn on the way.
    """
    label = net.super_pieces()
    # Ways that lead from no line to any other, beyond what can be reached, are no pieces.
    used = np.flatnonzero(net.open_ways & np.isin(label[net.way_node[:, 0]], label[net.node]))
    mine = label[np.concatenate([net.node[:, 0], net.way_node[used, 0]])]
    unmatched = np.bincount(label[net.unmatched(_worth(policy))], minlength=net.nodes)
    closed = unmatched[mine] == 0
    everything = concatenated([net.strands, net.ways.take(used)])
    pairs = hanging_pairs(everything.shapes(), mine, closed, policy.tolerance_mm)
    pieces = distinct(mine)
    bound = int(np.maximum(1, unmatched[pieces] // 2).sum()) - len(pairs)
    group = components(net.nodes, mine[pairs])
    is_open = unmatched[pieces] > 0
    alone = (group[pieces] == pieces) & ~np.isin(pieces, group[pieces[is_open]])
    return bound, pieces[is_open | alone]


def _worth(policy: Policy) -> float:
    """The greatest cost at which a way between two line ends is still better than a jump."""
    if policy.retrace and not policy.margin:
        return min(policy.jump_cost, policy.retrace_cap_mm * policy.retrace_cost)
    return policy.jump_cost


def _links(net: Network, added: NDArray[np.intp], policy: Policy, limit: float) -> NDArray[np.intp]:
    """Ways to sew there and back, so that closed trails need no run of their own."""
    node = np.concatenate([net.node, net.way_node[added]])
    label, closed = closed_pieces(net.nodes, node)
    if not closed.any():
        return np.zeros(0, dtype=np.intp)
    piece = np.full(net.nodes, -1)
    piece[node] = label[node]
    return linking_ways(net, piece, closed, policy, limit)


def _hung(strands: Strands, tolerance_mm: float) -> tuple[Strands, NDArray[np.float64]]:
    """The strands cut where a closed piece touches another, once for each closed piece."""
    pairs = hanging_pairs(strands.shapes(), *_pieces(strands), tolerance_mm)
    return cut_at_contacts(strands, pairs, tolerance_mm), gaps_at(strands, pairs)


def _pieces(strands: Strands) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """(s,) label of the piece that each strand belongs to, and whether that has no odd node."""
    node = strands.nodes()
    label, closed = closed_pieces(2 * len(strands), node)
    mine = label[node[:, 0]]
    return mine, closed[mine]
