"""Join lines into the fewest trails that the policy's ways allow."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.distinct import distinct
from quiltpath.routing.contacts import cut_at_contacts, gaps_at, hanging_pairs
from quiltpath.routing.euler import Trails, trails
from quiltpath.routing.linking import linking_ways
from quiltpath.routing.nodes import closed_pieces, components
from quiltpath.routing.noding import noded_for_retracing, noded_in_margin
from quiltpath.routing.opening import opened_loops
from quiltpath.routing.policy import Policy, start_corner
from quiltpath.routing.postman import chosen_ways
from quiltpath.routing.strands import Strands, concatenated
from quiltpath.routing.there_and_back import fewer_loops
from quiltpath.routing.ways import Network, network


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
