"""The rural postman: which optional edges are worth sewing, by a minimum-weight T-join.

A postman who must walk some streets and may walk others walks each chosen extra street to even out
the odd corners (Orloff, Networks 4, 1974). Here a run that ends leaves one node odd at half the
cost of a jump; one start and one end for each component cost nothing, since every component needs a
run in any case. The problem is NP-hard where components must be joined as well (Lenstra and Rinnooy
Kan, Networks 6, 1976): so the T-join is exact, and joining components is a minimum spanning tree
after it. Time is that of the matching, nearly linear for drawings.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.circuit_splicing import splice_circuits
from quiltpath.routing.edges import Edges, concatenate_edges
from quiltpath.routing.euler_trail import Trails, euler_trails
from quiltpath.routing.junctions import (
    Contacts,
    contact_forest,
    contact_gaps,
    cut_at_contacts,
    node_in_margin,
    node_retraceable,
)
from quiltpath.routing.margin_circuits import reduce_circuits
from quiltpath.routing.minimum_spanning_tree import connect_by_spanning_tree
from quiltpath.routing.nodes import connected_components, even_components, odd_nodes
from quiltpath.routing.optional_edges import Network, build_network
from quiltpath.routing.policy import Policy, start_corner
from quiltpath.routing.ring_steps import join_by_steps
from quiltpath.routing.runs import PieceKind, needs_securing
from quiltpath.routing.t_join import minimum_t_join

MOST_EXACT = 500

Beside = tuple[Polygon | None, Polygon | None]
"""the regions of the stages before and after, None for one that is no region"""


def choose_optional_edges(
    network: Network,
    policy: Policy,
    free: NDArray[np.intp],
    dearer: NDArray[np.float64] | None = None,
) -> NDArray[np.intp]:
    """Indices of the optional edges to sew, so that they and the runs together cost least.

    ``free`` (k,) labels of the components that get a start and an end for nothing, or for what
    ``dearer`` (2, nodes) says of a start and of an end at each node. Exact but for
    the rounding of the T-join and the retrace cap, which is applied afterwards: a stretch that is
    longer than the cap is not sewn again, its ends are left to a jump. With more than
    ``MOST_EXACT`` odd nodes the free start and end are not part of the matching (its time would
    grow with the square of their number): the dearest path that it finds is left out instead.
    """
    odd = network.odd
    usable = np.flatnonzero(network.usable)
    if not len(usable) or not len(odd):
        return np.zeros(0, dtype=np.intp)
    cost = network.cost[usable]
    dearer = np.zeros((2, network.nodes)) if dearer is None else dearer
    jump = min(policy.jump_cost, float(cost.sum()) + 2 * float(dearer.max(initial=0.0)) + 1.0)
    label = network.super_components()[odd]
    small = free if len(odd) <= MOST_EXACT else free[:0]
    ends, weight, extra = _free_ends(odd, label, small, network.nodes, jump + dearer[:, odd])
    least = dearer.min(axis=0)
    leave = np.concatenate([jump / 2 + least[odd], np.full(len(extra), np.inf)])
    taken = minimum_t_join(
        np.concatenate([network.optional_node[usable], ends]),
        np.concatenate([cost, weight]),
        np.concatenate([odd, extra]),
        leave,
    )
    taken = usable[taken[taken < len(usable)]]
    if len(odd) > MOST_EXACT:
        taken = _without_dearest(network, taken, free, least)
    return _cap_retracing(network, taken, policy.retrace_cap_mm)


def _without_dearest(
    network: Network, taken: NDArray[np.intp], free: NDArray[np.intp], dearer: NDArray[np.float64]
) -> NDArray[np.intp]:
    """The chosen edges without the dearest joining path of each component that is all even.

    That path's ends become the free start and end, for which ``dearer`` (nodes,) is to be paid.
    """
    label = network.super_components()
    node = np.concatenate([network.node, network.optional_node[taken]])
    degree = np.bincount(node.reshape(-1), minlength=network.nodes)
    even = np.setdiff1d(free, label[degree % 2 == 1])
    of_node = connected_components(network.nodes, network.optional_node[taken])
    path = of_node[network.optional_node[taken, 0]]
    cost = np.bincount(path, weights=network.cost[taken], minlength=network.nodes)
    odd = network.odd
    cost = cost - np.bincount(of_node[odd], weights=dearer[odd], minlength=network.nodes)
    of_path = np.flatnonzero(cost > 0)
    of_path = of_path[np.lexsort((of_path, -cost[of_path]))]
    components, first = np.unique(label[of_path], return_index=True)
    dearest = of_path[first[np.isin(components, even)]]
    return taken[~np.isin(path, dearest)]


def _free_ends(
    odd: NDArray[np.intp],
    label: NDArray[np.intp],
    free: NDArray[np.intp],
    nodes: int,
    cost: NDArray[np.float64],
) -> tuple[NDArray[np.intp], NDArray[np.float64], NDArray[np.intp]]:
    """Edges from a free start and end of each component to its odd nodes, and those new nodes.

    ``cost`` (2, len(odd)) of an edge is more than it could ever save, so that each free end is used
    for one node only.
    """
    components = distinct(label[np.isin(label, free)])
    start = nodes + 2 * np.arange(len(components))
    mine = np.isin(label, components)
    hub = start[np.searchsorted(components, label[mine])]
    ends = np.concatenate(
        [
            np.column_stack([hub, odd[mine]]),
            np.column_stack([hub + 1, odd[mine]]),
            np.column_stack([start, start + 1]),
        ]
    )
    # A trail that is closed begins and ends at one node.
    both = np.full(len(start), np.inf)
    np.minimum.at(both, np.searchsorted(start, hub), cost[:, mine].sum(axis=0))
    weight = np.concatenate([cost[0, mine], cost[1, mine], both])
    return ends.astype(np.intp), weight, np.concatenate([start, start + 1]).astype(np.intp)


def _cost_of_ends(
    net: Network, policy: Policy, finished: Polygon, before: Edges, beside: Beside | None
) -> NDArray[np.float64]:
    """(2, nodes) what a start and an end cost there.

    On the cloth they cost something in components with a line that reaches the edge. Where thread
    goes on from stage to stage they cost the way from the stage before and to the one after, and
    half a jump where no optional edge leads on.
    """
    label, place = net.super_components(), net.places()
    if beside is None:
        inside = needs_securing(finished, place)
        at_edge = np.isin(label, label[net.odd[~inside[net.odd]]])
        return np.tile(np.where(inside & at_edge, policy.inside_cost, 0.0), (2, 1))
    way = connected_components(net.nodes, net.optional_node[net.usable])
    onward = np.isin(net.optional.line, before.line) | (net.optional.kind == PieceKind.MARGIN)
    leads_on = np.isin(way, way[net.optional_node[net.usable & onward]])
    points = shapely.points(place)
    far = [
        shapely.distance(points, shape) if shape is not None else np.zeros(net.nodes)
        for shape in beside
    ]
    return np.array(far) + np.where(leads_on, 0.0, policy.jump_cost / 2)


def _cap_retracing(network: Network, taken: NDArray[np.intp], cap_mm: float) -> NDArray[np.intp]:
    """The chosen optional edges without stretches of retracing longer than the cap."""
    again = network.optional.kind[taken] == PieceKind.RETRACE
    if not again.any():
        return taken
    stretch = connected_components(network.nodes, network.optional_node[taken[again]])
    stretch = stretch[network.optional_node[taken[again], 0]]
    length = network.optional.length_mm[taken[again]]
    too_long = np.zeros(len(taken), dtype=bool)
    too_long[again] = np.bincount(stretch, weights=length)[stretch] > cap_mm
    return taken[~too_long]


@dataclass(frozen=True)
class TrailCover:
    """Trails that cover every required edge, with the optional edges they use.

    ``lower_bound`` is the fewest trails there can be. ``gaps`` (g, 4): gaps closed between a line
    and a component that it takes in: width in mm, x, y, line.
    """

    edges: Edges
    trails: Trails
    lower_bound: int
    gaps: NDArray[np.float64]


def solve_rural_postman(
    edges: Edges,
    retraceable: NDArray[np.bool_],
    policy: Policy,
    finished: Polygon,
    margin_mm: float,
    before: Edges,
    field: Polygon | None,
    curves: NDArray[np.object_] | None = None,
    beside: Beside | None = None,
) -> TrailCover:
    """The trails that sew every edge once; ``retraceable`` (lines,) allows a second pass.

    ``before`` are lines that were sewn before and need no sewing now; where they may be retraced
    they are optional edges. Where thread goes on from stage to stage, trails begin and end
    ``beside`` the regions before and after.
    Without optional edges this reaches the bound ``sum(max(1, odd / 2))`` over the components. With
    them the T-join decides which are worth their cost, and the bound counts as odd only what no
    optional edge joins.
    """
    edges, sewn_before = _with_sewn_before(edges, before, retraceable, policy)
    if beside is not None:
        sewn_before = _about(edges, sewn_before, policy.step_longest_mm)
    if policy.margin:
        edges = node_in_margin(edges, finished, margin_mm)
    may_repeat = retraceable[edges.line]
    net = build_network(edges, may_repeat, policy, finished, margin_mm, sewn_before, field, curves)
    bound, free = _bound(net, policy)
    if policy.joins_in_order:
        inside = replace(policy, margin=False)
        net = build_network(
            edges, may_repeat, inside, finished, margin_mm, sewn_before, field, curves
        )
        free = _bound(net, policy)[1]
    ends = _cost_of_ends(net, policy, finished, sewn_before, beside)
    added = choose_optional_edges(net, policy, free, ends)
    added = reduce_circuits(net, added, start_corner(policy, finished))
    spliced = _connected(net, splice_circuits(net, added, policy), policy)[0]
    added = spliced if beside is None else _cheapest(net, policy, free, ends, added, spliced)
    sewn = concatenate_edges([edges, net.optional.take(added)])
    sewn, gaps = _cut_contacts(sewn, policy.tolerance_mm)
    if policy.step:
        sewn = join_by_steps(
            sewn.on_nodes(sewn.nodes()), policy.step_longest_mm, policy.tolerance_mm
        )
    node = sewn.nodes()
    sewn = sewn.on_nodes(node)
    real = sewn.length_mm > 0
    sewn, node = sewn.take(real), node[real]
    return TrailCover(sewn, euler_trails(node, sewn.headings), bound, gaps)


def fewest_runs(
    edges: Edges,
    retraceable: NDArray[np.bool_],
    policy: Policy,
    finished: Polygon,
    margin_mm: float,
    before: Edges,
    field: Polygon | None,
    curves: NDArray[np.object_] | None = None,
) -> int:
    """The lower bound of :func:`solve_rural_postman` without a solution."""
    edges, sewn_before = _with_sewn_before(edges, before, retraceable, policy)
    if policy.margin:
        edges = node_in_margin(edges, finished, margin_mm)
    may_repeat = retraceable[edges.line]
    net = build_network(edges, may_repeat, policy, finished, margin_mm, sewn_before, field, curves)
    return _bound(net, policy)[0]


def _with_sewn_before(
    edges: Edges, before: Edges, retraceable: NDArray[np.bool_], policy: Policy
) -> tuple[Edges, Edges]:
    """The edges and those sewn before that they touch, cut where a second pass may turn off."""
    may_repeat = retraceable & policy.retrace
    sewn_before = before.take(may_repeat[before.line])
    everything = concatenate_edges([edges, sewn_before])
    everything = node_retraceable(everything, may_repeat[everything.line], policy.tolerance_mm)
    was_sewn = np.isin(everything.line, sewn_before.line)
    node = everything.nodes()
    label = connected_components(2 * len(everything), node)[node[:, 0]]
    touched = np.isin(label, label[~was_sewn])
    return everything.take(~was_sewn), everything.take(was_sewn & touched)


def _about(edges: Edges, others: Edges, within_mm: float) -> Edges:
    """Those of the others that come near the rectangle round the edges."""
    room = shapely.box(*shapely.total_bounds(edges.shapes()))
    return others.take(shapely.dwithin(others.shapes(), room, within_mm))


def _bound(net: Network, policy: Policy) -> tuple[int, NDArray[np.intp]]:
    """The fewest runs there can be, and the components that start and end at no cost.

    Over components of required and optional edges together: max(1, unmatched / 2), less one for
    each even one that touches another and is sewn in passing.
    """
    label = net.super_components()
    # Optional edges that lead from no line to any other, outside the field, are no components.
    used = np.flatnonzero(net.usable & np.isin(label[net.optional_node[:, 0]], label[net.node]))
    mine = label[np.concatenate([net.node[:, 0], net.optional_node[used, 0]])]
    unmatched = np.bincount(label[net.unmatched(_most_worth_mm(policy))], minlength=net.nodes)
    closed = unmatched[mine] == 0
    everything = concatenate_edges([net.edges, net.optional.take(used)])
    pairs = contact_forest(everything.shapes(), mine, closed, policy.tolerance_mm)
    pairs = np.concatenate([pairs, _bridged(net, mine, pairs, policy)])
    components = distinct(mine)
    bound = int(np.maximum(1, unmatched[components] // 2).sum()) - len(pairs)
    group = connected_components(net.nodes, mine[pairs])
    is_open = unmatched[components] > 0
    alone = (group[components] == components) & ~np.isin(components, group[components[is_open]])
    return bound, components[is_open | alone]


def _most_worth_mm(policy: Policy) -> float:
    """The greatest cost at which a path between two line ends is still better than a jump."""
    if policy.retrace and not policy.margin and not policy.clearance:
        return min(policy.jump_cost, policy.retrace_cap_mm * policy.retrace_cost)
    return policy.jump_cost


def _bridged(
    net: Network, mine: NDArray[np.intp], touching: NDArray[np.intp], policy: Policy
) -> NDArray[np.intp]:
    """(k, 2) required edges that a step joins, where one lies in a component of rings alone.

    ``mine`` (edges,) labels, of required edges first; ``touching`` pairs are joined already.
    """
    if not policy.step:
        return np.zeros((0, 2), dtype=np.intp)
    group = connected_components(net.nodes, mine[touching])
    label = group[mine[: len(net.edges)]]
    rings = ~np.isin(label, group[net.super_components()[net.odd]])
    return contact_forest(net.edges.shapes(), label, rings, policy.step_longest_mm)


def _connected(
    net: Network, added: NDArray[np.intp], policy: Policy
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The edges with others that are sewn there and back to join closed trails; and those alone."""
    links = added[:0]
    for limit in (2 * policy.turn_cost, policy.jump_cost):
        twice = _connecting_edges(net, added, policy, min(limit, policy.jump_cost))
        added = np.concatenate([added, twice, twice])
        links = np.concatenate([links, twice])
    return added, links


def _cheapest(
    net: Network,
    policy: Policy,
    free: NDArray[np.intp],
    ends: NDArray[np.float64],
    even: NDArray[np.intp],
    spliced: NDArray[np.intp],
) -> NDArray[np.intp]:
    """The cheapest of three: ``spliced``, or the edges that make nodes ``even`` with the links
    between closed trails sewn there and back, or once.

    In the last case components are joined first and odd nodes made even afterwards, as Frederickson
    does (Journal of the ACM 26, 1979).
    """
    linked, links = _connected(net, even, policy)
    choices = [spliced, linked]
    if len(links):
        joined = replace(
            net,
            edges=concatenate_edges([net.edges, net.optional.take(links)]),
            node=np.concatenate([net.node, net.optional_node[links]]),
        )
        once = np.concatenate([links, choose_optional_edges(joined, policy, free, ends)])
        choices.append(_connected(net, once, policy)[0])
    return min(choices, key=lambda chosen: _price(net, policy, chosen, ends))


def _price(
    net: Network, policy: Policy, chosen: NDArray[np.intp], ends: NDArray[np.float64]
) -> float:
    """What the edges cost, with half a jump for each node that they leave odd."""
    node = np.concatenate([net.node, net.optional_node[chosen]])
    odd = odd_nodes(net.nodes, node)
    alone = np.count_nonzero(even_components(net.nodes, node)[1])
    starts = len(odd) / 2 + alone
    reached = ends[:, odd]
    way = reached.min(axis=0).sum()
    if not len(odd):
        way = ends[:, net.odd].sum(axis=0).min(initial=np.inf) if len(net.odd) else 0.0
    if len(odd) == 2:
        way = min(reached.trace(), reached[::-1].trace())
    return float(net.cost[chosen].sum() + starts * policy.jump_cost + way)


def _connecting_edges(
    net: Network, added: NDArray[np.intp], policy: Policy, limit: float
) -> NDArray[np.intp]:
    """Edges to sew there and back, so that closed trails need no run of their own."""
    node = np.concatenate([net.node, net.optional_node[added]])
    label, closed = even_components(net.nodes, node)
    if not closed.any():
        return np.zeros(0, dtype=np.intp)
    component = np.full(net.nodes, -1)
    component[node] = label[node]
    return connect_by_spanning_tree(net, component, closed, policy, limit)


def _cut_contacts(edges: Edges, tolerance_mm: float) -> tuple[Edges, NDArray[np.float64]]:
    """The edges cut where an even component touches another, once for each even component."""
    pairs = contact_forest(edges.shapes(), *_components(edges), tolerance_mm)
    contacts = Contacts.of(edges, pairs)
    return cut_at_contacts(edges, contacts, tolerance_mm), contact_gaps(edges, contacts)


def _components(edges: Edges) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """(s,) label of the component that each edge belongs to, and whether that has no odd node."""
    node = edges.nodes()
    label, closed = even_components(2 * len(edges), node)
    mine = label[node[:, 0]]
    return mine, closed[mine]
