"""Closed trails that touch nothing, taken in by a way that is sewn there and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.optional_edges import Network, Reach
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import PieceKind


def linking_ways(
    network: Network,
    piece: NDArray[np.intp],
    closed: NDArray[np.bool_],
    policy: Policy,
    limit: float,
) -> NDArray[np.intp]:
    """Indices of ways that, sewn twice, take closed pieces into others for less than ``limit``.

    ``piece`` (nodes,) label of the piece at each node, -1 where no trail comes; ``closed`` one
    entry a label. Joining all pieces at the least cost is a minimum spanning tree between them over
    the ways (Mehlhorn, Information Processing Letters 27, 1988): every way knows the nearest piece
    on each side, and Kruskal's rule picks among those links.
    """
    reach = Reach(network.way_node, network.cost, piece)
    links = sorted(reach.links(limit / 2))
    parent = list(range(len(closed)))
    still_closed = closed.tolist()
    taken: list[int] = []
    for _, way, one, two in links:
        a, b = _root(parent, one), _root(parent, two)
        path = reach.path(way)
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
    again = [way for way in path if network.ways.kind[way] == PieceKind.RETRACE]
    return float(network.ways.length_mm[again].sum()) > policy.retrace_cap_mm
