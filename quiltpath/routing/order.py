"""The order in which runs are sewn, and from which end: one rule a word in the policy."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.routing.centre import centre_outwards
from quiltpath.routing.entry import Loops, best_entries
from quiltpath.routing.policy import Policy, start_corner
from quiltpath.routing.travel import least_travel, near_ends, nearest_tour, rough_travel


@dataclass(frozen=True)
class Courses:
    """What the order needs to know of each run.

    ``ends``    (r, 2, 2) first and last point, mm
    ``closed``  (r,) whether it ends where it began, so that it may begin anywhere
    ``middle``  (r, 2) mean point of its vertices
    ``length``  (r,) mm
    ``layer``   (r,) layer of its first line
    """

    ends: NDArray[np.float64]
    closed: NDArray[np.bool_]
    middle: NDArray[np.float64]
    length: NDArray[np.float64]
    layer: NDArray[np.int32]


def sewing_order(
    courses: Courses, loops: Loops, policy: Policy, finished: Polygon, begin: NDArray[np.float64]
) -> NDArray[np.intp]:
    """(r,) runs in sewing order: ``2 * run`` forwards, ``2 * run + 1`` backwards.

    ``begin`` is where the needle is: the start corner, or the end of what was sewn before.
    """
    return _ORDERS[policy.order](courses, loops, policy, finished, begin)


def _least_travel(
    courses: Courses, loops: Loops, policy: Policy, finished: Polygon, begin: NDArray[np.float64]
) -> NDArray[np.intp]:
    """A short tour; rings are passed at one point each, which is then chosen for that tour.

    Two rounds where there are rings: roughly by their middles, then by the points chosen. The tour
    may be sewn either way round, so it begins at the end that is nearer to ``begin``.
    """
    tour: list[int] | None = None
    ends = courses.ends
    if courses.closed.any():
        middles = np.where(courses.closed[:, None, None], courses.middle[:, None, :], ends)
        tour = rough_travel(middles)
        entry = best_entries(np.array(tour, dtype=np.intp), ends, loops, None)
        ends = ends.copy()
        ends[loops.run] = entry[:, None, :]
    best = np.array(least_travel(ends, tour), dtype=np.intp)
    spots = courses.ends.reshape(-1, 2)
    first, last = spots[best[0]], spots[best[-1] ^ 1]
    if np.hypot(*(last - begin)) < np.hypot(*(first - begin)):
        best = best[::-1] ^ 1
    return best


def _nearest(
    courses: Courses, loops: Loops, policy: Policy, finished: Polygon, begin: NDArray[np.float64]
) -> NDArray[np.intp]:
    """Always on to the run with the nearest end, from ``begin``."""
    spots = courses.ends.reshape(-1, 2)
    first = int(np.hypot(*(spots - begin).T).argmin())
    return np.array(nearest_tour(spots, near_ends(spots), first), dtype=np.intp)


def _centre_outwards(
    courses: Courses, loops: Loops, policy: Policy, finished: Polygon, begin: NDArray[np.float64]
) -> NDArray[np.intp]:
    low_x, low_y, high_x, high_y = finished.bounds
    centre = np.array([(low_x + high_x) / 2, (low_y + high_y) / 2])
    return centre_outwards(
        courses.ends,
        courses.closed,
        courses.middle,
        courses.length,
        courses.layer,
        centre,
        centre - start_corner(policy, finished),
        policy.direction == "one-way",
    )


_Rule = Callable[
    [Courses, Loops, Policy, Polygon, NDArray[np.float64]],
    NDArray[np.intp],
]
_ORDERS: dict[str, _Rule] = {
    "least-travel": _least_travel,
    "nearest": _nearest,
    "centre-outwards": _centre_outwards,
}
