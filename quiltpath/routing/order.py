"""The order in which runs are sewn, and the direction of each."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def nearest_next(
    ends: NDArray[np.float64], begin: NDArray[np.float64]
) -> tuple[list[int], list[bool]]:
    """Greedy order from ``begin``: always the run with the nearest end, entered there.

    ``ends`` (r, 2, 2) first and last point of each run. Returns the order and, for each, whether
    it is sewn from its last point to its first.
    """
    spots = ends.reshape(-1, 2).copy()
    order, turned, here = [], [], begin
    for _ in range(len(ends)):
        entry = int(((spots - here) ** 2).sum(axis=1).argmin())
        run, back = entry // 2, bool(entry % 2)
        order.append(run)
        turned.append(back)
        here = ends[run, 0 if back else 1]
        spots[2 * run : 2 * run + 2] = np.inf
    return order, turned
