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
from quiltpath.routing.nodes import spanning_forest
from quiltpath.routing.optional_edges import Network
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.shortest_paths import Link, multi_source_shortest_paths


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
    again = network.optional.kind == PieceKind.RETRACE
    again_mm = np.where(again, network.optional.length_mm, 0.0)
    links = [
        link
        for link in sorted(paths.links(limit / 2))
        if again_mm[paths.path(link[1])].sum() <= policy.retrace_cap_mm
    ]
    taken = [edge for link in _spanning(links, closed) for edge in paths.path(link)]
    return distinct(np.array(taken, dtype=np.intp))


def _spanning(links: list[Link], closed: NDArray[np.bool_]) -> list[int]:
    """The edges of the links that make up the tree.

    Components with odd nodes count as one: two of them are never joined.
    """
    outside = len(closed)
    place = np.where(closed, np.arange(outside), outside)
    ends = np.array([(one, two) for _, _, one, two in links], dtype=np.intp).reshape(-1, 2)
    return [links[link][1] for link in spanning_forest(place[ends]).tolist()]
