"""Minimum-weight T-joins: the cheapest extra edges that make chosen nodes even.

For a set T of nodes, a T-join is a set of edges in which exactly the nodes of T have odd degree.
Edmonds and Johnson (Mathematical Programming 5, 1973) showed that a cheapest one pairs the nodes of
T by shortest paths in a minimum-weight perfect matching, which solves the Chinese postman problem
(Guan, Chinese Mathematics 1, 1962). Where only neighbours can pair, that is done as it stands
(``closure``). Elsewhere PyMatching's sparse blossom (Higgott and Gidney, Quantum 9,
2025) grows the regions of all nodes of T at once on the graph itself, so that neither all pairs of
shortest paths nor a dense matching is ever built.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.closure import sparse_t_join

WHOLE_WEIGHT = 2.0**22
"""weights up to this are kept exactly by the matching once they are whole numbers"""


def minimum_t_join(
    ends: NDArray[np.intp],
    weight: NDArray[np.float64],
    odd: NDArray[np.intp],
    leave: NDArray[np.float64],
) -> NDArray[np.intp]:
    """Indices of the edges of a minimum-weight T-join.

    ``ends`` (e, 2) nodes of the edges, ``weight`` (e,) not below 0, ``odd`` the nodes of T, each of
    which may stay unjoined at the cost of ``leave`` (infinity: it may not). ``ValueError`` is
    raised where one that may not can be joined to no other.
    Weights are rounded to 1 part in 4 million of the greatest. Loops are never used, of parallel
    edges the cheapest.
    """
    if not len(odd):
        return np.zeros(0, dtype=np.intp)
    edges, of_edge = _simple(ends, weight)
    nodes, short = np.unique(np.concatenate([edges.reshape(-1), odd]), return_inverse=True)
    short_ends = short[: edges.size].reshape(-1, 2)
    short_odd = short[edges.size :]
    whole = _whole(np.concatenate([weight[of_edge], leave]))
    cost, left = whole[: len(of_edge)], whole[len(of_edge) :]
    sparse = sparse_t_join(short_ends, cost, short_odd, left)
    if sparse is not None:
        return np.sort(of_edge[sparse])
    import pymatching

    graph = pymatching.Matching()
    for (u, v), each in zip(short_ends.tolist(), cost.tolist(), strict=True):
        graph.add_edge(u, v, weight=each)
    for u, each in zip(short_odd.tolist(), left.tolist(), strict=True):
        if each < np.inf:
            graph.add_boundary_edge(u, weight=each)
    return _decoded(graph, short_ends, of_edge, short_odd, len(nodes))


def _simple(
    ends: NDArray[np.intp], weight: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """(k, 2) pairs of nodes, smaller first, and the cheapest edge of each pair; no loops."""
    low, high = ends.min(axis=1), ends.max(axis=1)
    order = np.lexsort((np.arange(len(weight)), weight, high, low))
    order = order[low[order] != high[order]]
    pairs = np.column_stack([low[order], high[order]])
    first = np.ones(len(order), dtype=bool)
    first[1:] = (np.diff(pairs, axis=0) != 0).any(axis=1)
    return pairs[first], order[first]


def _whole(weight: NDArray[np.float64]) -> NDArray[np.float64]:
    """Weights as whole numbers, the greatest about ``WHOLE_WEIGHT``."""
    greatest = float(weight[np.isfinite(weight)].max(initial=0.0))
    return np.round(weight * (WHOLE_WEIGHT / greatest)) if greatest > 0 else weight


def _decoded(
    graph: object,
    pairs: NDArray[np.intp],
    of_edge: NDArray[np.intp],
    odd: NDArray[np.intp],
    nodes: int,
) -> NDArray[np.intp]:
    """The matching's paths as edges; an edge that is used twice falls out."""
    wanted = np.zeros(nodes, dtype=np.uint8)
    wanted[odd] = 1
    used = graph.decode_to_edges_array(wanted).astype(np.intp)  # type: ignore[attr-defined]
    used = np.sort(used[used[:, 1] >= 0], axis=1)
    keys = pairs[:, 0] * nodes + pairs[:, 1]
    found, times = np.unique(used[:, 0] * nodes + used[:, 1], return_counts=True)
    return np.sort(of_edge[np.searchsorted(keys, found[times % 2 == 1])])
