"""The rural postman's network: lines that must be sewn, optional edges that may be at a cost.

Required and optional edges on common nodes (Orloff, Networks 4, 1974). Optional edges are lines
sewn again where that does not show, the curves at motifs' clearance, and the curve along the
wadding margin. O(e log e) to build.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.routing.clearance import clearance_edges
from quiltpath.routing.edges import Edges, concatenate_edges
from quiltpath.routing.margin import margin_edges
from quiltpath.routing.nodes import connected_components, nodes_of
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.shortest_paths import multi_source_shortest_paths


@dataclass(frozen=True)
class Network:
    """Required edges and optional ones, on common nodes.

    ``edges``    the lines, ``node`` (s, 2) their nodes
    ``optional``  optional edges, ``optional_node`` (w, 2) their nodes, ``cost`` (w,) in mm of
                 sewing, infinite where the margin leaves the machine's field
    ``nodes``    how many nodes there are
    ``ring``     optional edges that make up the curve along the margin, in order round it
    ``stubs``    optional edges from line ends to that curve
    """

    edges: Edges
    node: NDArray[np.intp]
    optional: Edges
    optional_node: NDArray[np.intp]
    cost: NDArray[np.float64]
    nodes: int
    ring: NDArray[np.intp]
    stubs: NDArray[np.intp]

    @property
    def odd(self) -> NDArray[np.intp]:
        """Nodes where an odd number of lines ends."""
        return np.flatnonzero(np.bincount(self.node.reshape(-1), minlength=self.nodes) % 2)

    def super_components(self) -> NDArray[np.intp]:
        """(nodes,) component of each node over required and usable optional edges together."""
        return connected_components(
            self.nodes, np.concatenate([self.node, self.optional_node[self.usable]])
        )

    @property
    def usable(self) -> NDArray[np.bool_]:
        """(w,) which optional edges can be sewn."""
        return np.isfinite(self.cost)

    def places(self) -> NDArray[np.float64]:
        """(nodes, 2) where the nodes lie."""
        place = np.zeros((self.nodes, 2))
        place[self.optional_node] = self.optional.ends
        place[self.node] = self.edges.ends
        return place

    def unmatched(self, within: float) -> NDArray[np.intp]:
        """Odd nodes that no set of optional edges can make even.

        These are the ones with no other odd node at a cost of ``within`` or less, and one more in
        each component of optional edges that holds an odd number of the rest.
        """
        odd = self.odd
        if not len(self.optional):
            return odd
        near = nearest_terminal(self, odd) <= within
        alone, rest = odd[~near], odd[near]
        label = connected_components(self.nodes, self.optional_node[self.usable])[rest]
        first = np.unique(label, return_index=True)[1]
        return np.concatenate([alone, rest[first[np.bincount(label)[label[first]] % 2 == 1]]])


def build_network(
    edges: Edges,
    retraceable: NDArray[np.bool_],
    policy: Policy,
    finished: Polygon,
    margin_mm: float,
    sewn_before: Edges,
    field: Polygon | None = None,
    curves: NDArray[np.object_] | None = None,
) -> Network:
    """The lines with the optional edges that ``policy`` allows; ``retraceable`` (s,).

    ``sewn_before`` were sewn before and may be sewn again. With a ``field`` the edges along the
    margin end where they would leave it. ``curves`` lie at the motifs' clearance.
    """
    parts, costs, sizes = [], [], [0, 0]
    if policy.retrace:
        again = concatenate_edges([edges.take(retraceable), sewn_before]).marked(PieceKind.RETRACE)
        again = again.take(again.length_mm <= policy.retrace_cap_mm)
        parts.append(again)
        costs.append(again.length_mm * policy.retrace_cost)
    if policy.clearance and curves is not None and len(curves):
        round_motifs = clearance_edges(curves, edges.ends.reshape(-1, 2), policy.tolerance_mm)
        parts.append(round_motifs)
        costs.append(_cost_in(field, round_motifs, policy.clearance_cost))
    if policy.margin:
        along = margin_edges(edges.ends.reshape(-1, 2), finished, margin_mm)
        if along is not None:
            parts += along
            costs += [_cost_in(field, part, policy.margin_cost) for part in along]
            sizes = [len(part) for part in along]
    optional = concatenate_edges(parts) if parts else edges.take(np.zeros(0, dtype=np.intp))
    everything = concatenate_edges([edges, optional])
    marginal = np.arange(len(optional) - sum(sizes), len(optional))
    node = nodes_of(everything.ends.reshape(-1, 2)).reshape(-1, 2)
    return Network(
        edges=edges,
        node=node[: len(edges)],
        optional=optional,
        optional_node=node[len(edges) :],
        cost=np.concatenate(costs) if costs else np.zeros(0),
        nodes=int(node.max()) + 1,
        ring=marginal[: sizes[0]],
        stubs=marginal[sizes[0] :],
    )


def _cost_in(field: Polygon | None, part: Edges, cost_per_mm: float) -> NDArray[np.float64]:
    cost: NDArray[np.float64] = part.length_mm * cost_per_mm
    if field is not None:
        cost[~shapely.covers(field, part.shapes())] = np.inf
    return cost


def nearest_terminal(network: Network, odd: NDArray[np.intp]) -> NDArray[np.float64]:
    """(len(odd),) cost of the path from each odd node to the nearest other, infinite for none."""
    source = np.full(network.nodes, -1, dtype=np.intp)
    source[odd] = np.arange(len(odd))
    nearest = np.full(len(odd), np.inf)
    paths = multi_source_shortest_paths(network.optional_node, network.cost, source)
    for cost, _, one, two in paths.links(np.inf):
        nearest[one] = min(nearest[one], cost)
        nearest[two] = min(nearest[two], cost)
    return nearest
