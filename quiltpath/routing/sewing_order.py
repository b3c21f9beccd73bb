"""The order in which runs are sewn, and from which end: one rule a word in the policy."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.routing.circuit_entries import choose_entries
from quiltpath.routing.edges import gather_slices
from quiltpath.routing.local_search import (
    nearest_neighbour_tour,
    neighbour_lists,
    shortest_tour,
    two_opt_tour,
)
from quiltpath.routing.policy import Policy, start_corner
from quiltpath.routing.region_order import (
    centre_of,
    least_carrying,
    order_by_region,
    region_orders,
    stages_in_order,
)
from quiltpath.routing.solved_stages import SolvedStages
from quiltpath.routing.trail_table import Circuits, TrailTable


def sewing_order(
    table: TrailTable,
    circuits: Circuits,
    policy: Policy,
    finished: Polygon,
    begin: NDArray[np.float64],
    regions: Sequence[Polygon] = (),
    solved: SolvedStages | None = None,
) -> NDArray[np.intp]:
    """(r,) runs in sewing order: ``2 * run`` forwards, ``2 * run + 1`` backwards.

    ``begin`` is where the needle is. From the centre outwards parallel lines are told apart; the
    other orders go stage by stage, a role in a region, each in the direction that carries least.
    ``solved`` keeps the orders of stages.
    """
    middle = centre_of(finished)
    onward = middle - start_corner(policy, finished)
    if policy.order == "centre-outwards":
        one_way = policy.direction == "one-way", policy.region_direction == "one-way"
        known = solved or SolvedStages()
        return order_by_region(
            table, regions, policy.regions, middle, onward, begin, one_way, known
        )
    rule = _ORDERS[policy.order]
    candidates = []
    for order in region_orders(policy.regions, regions, middle, onward):
        sets: list[list[NDArray[np.intp]]] = []
        at = begin
        for mine in stages_in_order(table, order):
            part = rule(*_only(table, circuits, mine), at)
            part = 2 * mine[part >> 1] + (part & 1)
            sets.append([part] if policy.order == "nearest" else [part, part[::-1] ^ 1])
            at = table.ends.reshape(-1, 2)[part[-1] ^ 1]
        candidates.append(least_carrying(table.ends, sets, begin))
    return min(candidates, key=lambda found: found[1])[0]


def _only(
    table: TrailTable, circuits: Circuits, mine: NDArray[np.intp]
) -> tuple[TrailTable, Circuits]:
    """The chosen trails as if there were no others."""
    if len(mine) == len(table.closed):
        return table, circuits
    number = np.full(len(table.closed), -1, dtype=np.intp)
    number[mine] = np.arange(len(mine))
    kept = np.flatnonzero(number[circuits.run] >= 0)
    vertex, start = gather_slices(circuits.start, kept)
    return table.take(mine), Circuits(number[circuits.run[kept]], circuits.points[vertex], start)


def _least_travel(
    table: TrailTable, circuits: Circuits, begin: NDArray[np.float64]
) -> NDArray[np.intp]:
    """A short tour; rings are passed at one point each, which is then chosen for that tour.

    Two rounds where there are rings: roughly by their middles, then by the points chosen. The tour
    may be sewn either way round, so it begins at the end that is nearer to ``begin``.
    """
    tour: list[int] | None = None
    ends = table.ends
    if table.closed.any():
        middles = np.where(table.closed[:, None, None], table.middle[:, None, :], ends)
        tour = two_opt_tour(middles)
        entry = choose_entries(np.array(tour, dtype=np.intp), ends, circuits, None)
        ends = ends.copy()
        ends[circuits.run] = entry[:, None, :]
    best = np.array(shortest_tour(ends, tour), dtype=np.intp)
    spots = table.ends.reshape(-1, 2)
    first, last = spots[best[0]], spots[best[-1] ^ 1]
    if np.hypot(*(last - begin)) < np.hypot(*(first - begin)):
        best = best[::-1] ^ 1
    return best


def _nearest(table: TrailTable, circuits: Circuits, begin: NDArray[np.float64]) -> NDArray[np.intp]:
    """Always on to the run with the nearest end, from ``begin``."""
    spots = table.ends.reshape(-1, 2)
    first = int(np.hypot(*(spots - begin).T).argmin())
    return np.array(nearest_neighbour_tour(spots, neighbour_lists(spots), first), dtype=np.intp)


def _alternate_leanings(
    table: TrailTable, circuits: Circuits, begin: NDArray[np.float64]
) -> NDArray[np.intp]:
    """Lines of both leanings by turns: the next one always pulls the cloth back.

    Those of one leaning keep the order of least travel. While there are lines of both leanings the
    sum of their pulls stays within the largest single one.
    """
    order = _least_travel(table, circuits, begin).tolist()
    forwards = [entry for entry in order if table.pull[entry >> 1] > 0]
    back = [entry for entry in order if table.pull[entry >> 1] <= 0]
    found: list[int] = []
    total = 0.0
    while forwards or back:
        ahead = bool(forwards) and (not back or total <= 0)
        found.append((forwards if ahead else back).pop(0))
        total += float(table.pull[found[-1] >> 1])
    return np.array(found, dtype=np.intp)


_Rule = Callable[[TrailTable, Circuits, NDArray[np.float64]], NDArray[np.intp]]
_ORDERS: dict[str, _Rule] = {
    "least-travel": _least_travel,
    "nearest": _nearest,
    "alternate-leanings": _alternate_leanings,
}
