"""Closed trails that touch nothing, joined to others at least cost: a minimum spanning tree.

An optional edge that is sewn there and back joins two components and leaves every degree as it was.
Joining all components at the least cost is a minimum spanning tree between them over the optional
edges: every edge knows the nearest component on each side (Mehlhorn, Information Processing Letters
27, 1988), and Kruskal's rule (Proceedings of the AMS 7, 1956) picks among those links. O(e log e).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.optional_edges import Network
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.shortest_paths import multi_source_shortest_paths


def connect_by_spanning_tree(
    network: Network,
    component: NDArray[np.intp],
    closed: NDArray[np.bool_],
    policy: Policy,
    limit: float,
) -> NDArray[np.intp]:
    """Indices of edges that, sewn twice, join even components to others for less than ``limit``.

    ``component`` (nodes,) label of the component at each node, -1 where no trail comes; ``closed``
    one entry a label: whether it has no odd node, so that it would need a run of its own.
    """
    paths = multi_source_shortest_paths(network.optional_node, network.cost, component)
    links = sorted(paths.links(limit / 2))
    parent = list(range(len(closed)))
    still_closed = closed.tolist()
    taken: list[int] = []
    for _, edge, one, two in links:
        a, b = _root(parent, one), _root(parent, two)
        path = paths.path(edge)
        if a == b or not (still_closed[a] or still_closed[b]) or _over_cap(network, path, policy):
            continue
        parent[max(a, b)] = min(a, b)
        still_closed[min(a, b)] = still_closed[a] and still_closed[b]
        taken += path
    return distinct(np.array(taken, dtype=np.intp))


def _root(parent: list[int], item: int) -> int:
    while parent[item] != item:
        item = parent[item]
    return item


def _over_cap(network: Network, path: list[int], policy: Policy) -> bool:
    again = [edge for edge in path if network.optional.kind[edge] == PieceKind.RETRACE]
    return float(network.optional.length_mm[again].sum()) > policy.retrace_cap_mm
