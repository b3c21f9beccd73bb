"""Nodes: where line ends meet; and which lines hang together."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

SAME_POINT_MM = 1e-6


def components(count: int, pairs: NDArray[np.intp]) -> NDArray[np.intp]:
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


def renumbered(label: NDArray[np.intp]) -> NDArray[np.intp]:
    """Labels as 0, 1, 2, ... in the order of their value."""
    return np.unique(label, return_inverse=True)[1].astype(np.intp)


def nodes_of(points: NDArray[np.float64], tolerance_mm: float) -> NDArray[np.intp]:
    """(n,) node of each of (n, 2) points.

    Equal points (to a millionth of a millimetre) are one node. A point that stands alone joins the
    nearest node within ``tolerance_mm``.
    """
    key = np.round(points / SAME_POINT_MM).astype(np.int64)
    _, first, node, times = np.unique(
        key, axis=0, return_index=True, return_inverse=True, return_counts=True
    )
    node, places = node.reshape(-1).astype(np.intp), points[first]
    lonely = np.flatnonzero(times == 1)
    if not len(lonely) or tolerance_mm <= 0:
        return node
    near = close_pairs(places, lonely, tolerance_mm)
    return renumbered(components(len(places), near)[node])


def close_pairs(
    places: NDArray[np.float64], chosen: NDArray[np.intp], within_mm: float
) -> NDArray[np.intp]:
    """(k, 2) pairs (chosen place, its nearest other place) no further apart than ``within_mm``."""
    spots = shapely.points(places)
    mine, other = shapely.STRtree(spots).query(
        spots[chosen], predicate="dwithin", distance=within_mm
    )
    mine = chosen[mine]
    apart = mine != other
    mine, other = mine[apart], other[apart]
    order = np.lexsort((other, np.hypot(*(places[mine] - places[other]).T), mine))
    mine, other = mine[order], other[order]
    nearest = np.ones(len(mine), dtype=bool)
    nearest[1:] = mine[1:] != mine[:-1]
    return np.column_stack([mine[nearest], other[nearest]]).astype(np.intp)
