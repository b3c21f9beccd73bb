"""Nodes of the sewing graph: where ends meet, what is connected, where degrees are odd.

Connected components are found by array passes (Shiloach and Vishkin, Journal of Algorithms 3,
1982), O(log n) of them; ends are sorted or looked up in an R-tree, O(n log n).
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

SAME_POINT_MM = 1e-6


def connected_components(count: int, pairs: NDArray[np.intp]) -> NDArray[np.intp]:
    """(count,) label of the connected component of each item, given (k, 2) ``pairs``.

    Labels are the smallest member's number. Minimum labels hook on to each other and pointers are
    halved after each round (Shiloach and Vishkin, Journal of Algorithms 3, 1982): O(log n) rounds
    of array work.
    """
    label = np.arange(count, dtype=np.intp)
    while len(pairs):
        low = label[pairs].min(axis=1)
        high = label[pairs].max(axis=1)
        open_pairs = low < high
        if not open_pairs.any():
            break
        pairs, low, high = pairs[open_pairs], low[open_pairs], high[open_pairs]
        np.minimum.at(label, high, low)
        while True:
            above = label[label]
            if np.array_equal(above, label):
                break
            label = above
    return label


def spanning_forest(pairs: NDArray[np.intp]) -> NDArray[np.intp]:
    """Indices of the (k, 2) ``pairs`` that make up a spanning forest of what they join, ascending.

    Of all that would do it is the one of the first pairs (Kruskal, Proceedings of the AMS 7, 1956):
    a minimum spanning forest where they are in the order of their cost. O(k log k).
    """
    import rustworkx

    graph = rustworkx.PyGraph()
    graph.add_nodes_from(range(int(pairs.max(initial=-1)) + 1))
    graph.add_edges_from([(a, b, place) for place, (a, b) in enumerate(pairs.tolist())])
    tree = rustworkx.minimum_spanning_edges(graph, weight_fn=float)
    return np.array(sorted(place for *_, place in tree), dtype=np.intp)


def odd_nodes(count: int, pairs: NDArray[np.intp]) -> NDArray[np.intp]:
    """Of ``count`` nodes, those where an odd number of (k, 2) ``pairs`` ends."""
    return np.flatnonzero(np.bincount(pairs.reshape(-1), minlength=count) % 2)


def even_components(
    count: int, pairs: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """(count,) component of each node, and which components have no odd node.

    A node where none of the (k, 2) ``pairs`` ends is no component.
    """
    label = connected_components(count, pairs)
    closed = np.zeros(count, dtype=np.bool_)
    closed[label[pairs]] = True
    closed[label[odd_nodes(count, pairs)]] = False
    return label, closed


def renumber(label: NDArray[np.intp]) -> NDArray[np.intp]:
    """Labels as 0, 1, 2, ... in the order of their value."""
    return np.unique(label, return_inverse=True)[1].astype(np.intp)


def nodes_of(points: NDArray[np.float64], tolerance_mm: float = 0.0) -> NDArray[np.intp]:
    """(n,) node of each of (n, 2) points.

    Equal points (to a millionth of a millimetre) are one node, and so is each place with the
    nearest other place within ``tolerance_mm``.
    """
    key = np.round(points / SAME_POINT_MM).astype(np.int64)
    order = np.lexsort((key[:, 1], key[:, 0]))
    new = np.ones(len(order), dtype=bool)
    new[1:] = (np.diff(key[order], axis=0) != 0).any(axis=1)
    node = np.empty(len(order), dtype=np.intp)
    node[order] = np.cumsum(new) - 1
    if not tolerance_mm:
        return node
    near = nearest_pairs(points[order[new]], tolerance_mm)
    return renumber(connected_components(int(new.sum()), near)[node])


def nearest_pairs(places: NDArray[np.float64], within_mm: float) -> NDArray[np.intp]:
    """(k, 2) pairs (place, its nearest other place) no further apart than ``within_mm``."""
    spots = shapely.points(places)
    one, two = shapely.STRtree(spots).query(spots, predicate="dwithin", distance=within_mm)
    one, two = one[one != two], two[one != two]
    order = np.lexsort((two, np.hypot(*(places[one] - places[two]).T), one))
    one, two = one[order], two[order]
    nearest = np.ones(len(one), dtype=bool)
    nearest[1:] = one[1:] != one[:-1]
    return np.column_stack([one[nearest], two[nearest]]).astype(np.intp)
