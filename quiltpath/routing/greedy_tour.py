"""A first tour over many runs: the shortest joint that is still possible, again and again.

The greedy tour (Bentley, ORSA Journal on Computing 4, 1992): candidates are each end's nearest ends
of other runs, from a search tree; what hangs together after all of them is joined in the same way
once more, until it is one. Time grows as n log n for n runs, and local search that begins there has
less to do than after always going on to the nearest neighbour.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Points

NEAREST = 8
"""ends that are looked at from each, its own stretch's two among them"""


def greedy_tour(points: Points) -> list[int]:
    """Order of runs, one entry each, as ``shortest_tour`` returns it.

    ``points`` (2 r, 2) first and last point of each run, mm. It begins near the lower left corner.
    """
    across = [-1] * len(points)
    far = [end ^ 1 for end in range(len(points))]
    free = np.arange(len(points))
    while len(free) > 2:
        for one, other in zip(*_candidates(points, free).T.tolist(), strict=True):
            if across[one] < 0 and across[other] < 0 and far[one] != other:
                across[one], across[other] = other, one
                first, last = far[one], far[other]
                far[first], far[last] = last, first
        free = free[np.array(across)[free] < 0]
    end = int(free[points[free].sum(axis=1).argmin()])
    tour = [end]
    while (end := across[end ^ 1]) >= 0:
        tour.append(end)
    return tour


def _candidates(points: Points, free: NDArray[np.intp]) -> NDArray[np.intp]:
    """(k, 2) pairs of ``free`` ends of different runs that lie near each other, nearest first."""
    from scipy.spatial import cKDTree

    tree = cKDTree(points[free])
    away, found = tree.query(points[free], k=min(NEAREST, len(free)))
    one, other = np.repeat(free, found.shape[1]), free[found.reshape(-1)]
    away = away.reshape(-1)
    once = (one < other) | ~_are_among(other * len(points) + one, one * len(points) + other)
    once &= one >> 1 != other >> 1
    one, other = one[once], other[once]
    return np.stack([one, other], axis=1)[np.lexsort((other, one, away[once]))]


def _are_among(numbers: NDArray[np.intp], known: NDArray[np.intp]) -> NDArray[np.bool_]:
    """(n,) which of the numbers are among the (k,) known ones, of which there is one at least.

    Both are long and nearly all are: sorting is quicker than the tables of ``numpy.isin``.
    """
    known = np.sort(known)
    place = np.minimum(np.searchsorted(known, numbers), len(known) - 1)
    return np.asarray(known[place] == numbers)
