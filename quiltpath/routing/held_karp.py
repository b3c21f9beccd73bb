"""The open tour with the least travel over a few runs, exactly: Held and Karp's recursion.

Which runs are sewn, and at which end the last one was entered, is all that matters for the rest
(Held and Karp, Journal of SIAM 10, 1962). Time and memory double with each run, so this is for
``MOST_EXACT_RUNS``; ``local_search`` takes over above.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

MOST_EXACT_RUNS = 8


def held_karp(ends: NDArray[np.float64]) -> list[int]:
    """The open tour with the least travel over ``ends`` (r, 2, 2), mm, for few runs.

    ``r`` lies between 1 and ``MOST_EXACT_RUNS``.

    One entry a run, in sewing order: ``2 * run`` where it is sewn forwards, ``2 * run + 1`` where
    backwards.
    """
    points = ends.reshape(-1, 2)
    entered = np.arange(len(points))
    step = np.hypot(*np.moveaxis(points[entered ^ 1][:, None] - points[None], -1, 0))
    run = 1 << (entered >> 1)
    everything = int(np.bitwise_or.reduce(run))
    travel = np.full((everything + 1, len(points)), np.inf)
    travel[run, entered] = 0.0
    before = np.zeros(travel.shape, dtype=np.intp)
    for sewn in range(1, everything):
        left = entered[sewn & run == 0]
        onwards = travel[sewn][:, None] + step[:, left]
        travel[sewn | run[left], left] = onwards.min(axis=0)
        before[sewn | run[left], left] = onwards.argmin(axis=0)
    tour, sewn = [int(travel[everything].argmin())], everything
    while sewn != run[tour[-1]]:
        end = tour[-1]
        tour.append(int(before[sewn, end]))
        sewn -= int(run[end])
    return tour[::-1]
