"""The order in which runs are sewn, and from which end: one rule a word in the policy.

From the centre outwards: so that fullness is worked to the edge and never trapped.

Common practice: parallel lines begin at the centre line; one half is sewn, the piece turned, and
the other half sewn. One direction in each half avoids drag; there and back is faster.

Where closed runs begin: at the vertex that the way past them asks for.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.routing.local_search import least_travel, near_ends, nearest_tour, rough_travel
from quiltpath.routing.policy import Policy, start_corner


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


@dataclass(frozen=True)
class Loops:
    """Vertices of closed runs: ``run`` (k,) which runs, ``points`` (m, 2), ``start`` (k + 1,)."""

    run: NDArray[np.intp]
    points: NDArray[np.float64]
    start: NDArray[np.intp]

    def of(self, loop: int) -> NDArray[np.float64]:
        """(n, 2) vertices of one loop."""
        return self.points[self.start[loop] : self.start[loop + 1]]


_Rule = Callable[
    [Courses, Loops, Policy, Polygon, NDArray[np.float64]],
    NDArray[np.intp],
]
_ORDERS: dict[str, _Rule] = {
    "least-travel": _least_travel,
    "nearest": _nearest,
    "centre-outwards": _centre_outwards,
}


STRAIGHT = 0.6
"""a run whose ends are at least this share of its length apart counts as a line with a direction"""
SAME_ROW_MM = 0.5
SAME_ANGLE_DEG = 1.0


def centre_outwards(
    ends: NDArray[np.float64],
    closed: NDArray[np.bool_],
    middle: NDArray[np.float64],
    length: NDArray[np.float64],
    layer: NDArray[np.int32],
    centre: NDArray[np.float64],
    onward: NDArray[np.float64],
    one_way: bool,
) -> NDArray[np.intp]:
    """(r,) runs in order, ``2 * run`` forwards and ``2 * run + 1`` backwards.

    Layer by layer; in a layer, parallel lines family by family, then rings and wandering lines. In
    each family one side of the centre is sewn from the centre line outwards, then the other side.
    ``onward`` points from the start corner to the centre: the first half is sewn that way, the
    second half the opposite way, as the piece is turned. Without ``one_way`` rows alternate.
    Wandering lines and rings go outwards along the runner's length.
    """
    chord = ends[:, 1] - ends[:, 0]
    span = np.hypot(chord[:, 0], chord[:, 1])
    straight = ~closed & (span >= STRAIGHT * length)
    angle = np.degrees(np.arctan2(chord[:, 1], chord[:, 0])) % 180.0
    family = _families(angle, straight)
    normal, along = _axes(family, angle, straight, onward)
    off = ((middle - centre) * normal).sum(axis=1)
    off = np.where(np.abs(off) < SAME_ROW_MM, 0.0, off)
    side = (off < 0).astype(np.intp)
    row = _rows(layer, family, side, np.abs(off))
    back = _backwards(row, side, layer, family, one_way)
    place = (middle * along).sum(axis=1)
    order = np.lexsort((np.where(back, -place, place), row))
    against = (chord * along).sum(axis=1) < 0
    turned = straight & (against != back)
    return 2 * order + turned[order]


def _families(angle: NDArray[np.float64], straight: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Number of the family of parallel lines, in the order of their angles; the rest come last."""
    family = np.full(len(angle), len(angle), dtype=np.intp)
    chosen = np.flatnonzero(straight)
    turned = np.where(
        angle[chosen] > 180.0 - SAME_ANGLE_DEG / 2, angle[chosen] - 180.0, angle[chosen]
    )
    order = np.argsort(turned, kind="stable")
    breaks = np.diff(turned[order], prepend=turned[order[:1]]) > SAME_ANGLE_DEG
    family[chosen[order]] = np.cumsum(breaks)
    return family


def _axes(
    family: NDArray[np.intp],
    angle: NDArray[np.float64],
    straight: NDArray[np.bool_],
    onward: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(r, 2) unit vectors across and along each run's family, the latter leading ``onward``."""
    first = np.unique(family, return_index=True)[1]
    lead = np.radians(angle[first])[np.searchsorted(family[first], family)]
    along = np.column_stack([np.cos(lead), np.sin(lead)])
    against = (along * onward).sum(axis=1) < 0
    along = np.where(against[:, None], -along, along)
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    wandering = ~straight
    normal[wandering], along[wandering] = (1.0, 0.0), (0.0, 1.0)
    return normal, along


def _rows(
    layer: NDArray[np.int32],
    family: NDArray[np.intp],
    side: NDArray[np.intp],
    off: NDArray[np.float64],
) -> NDArray[np.intp]:
    """Number of the row of each run: what lies at one distance on one side is one row."""
    order = np.lexsort((off, side, family, layer))
    keys = np.column_stack([layer, family, side])[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = (np.diff(keys, axis=0) != 0).any(axis=1) | (np.diff(off[order]) > SAME_ROW_MM)
    row = np.empty(len(order), dtype=np.intp)
    row[order] = np.cumsum(new)
    return row


def _backwards(
    row: NDArray[np.intp],
    side: NDArray[np.intp],
    layer: NDArray[np.int32],
    family: NDArray[np.intp],
    one_way: bool,
) -> NDArray[np.bool_]:
    """Whether each run's row is sewn against its family's direction."""
    if one_way:
        return side == 1
    order = np.lexsort((row, family, layer))
    keys = np.column_stack([layer, family])[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = (np.diff(keys, axis=0) != 0).any(axis=1)
    first = row[order][new][np.cumsum(new) - 1]
    back = np.empty(len(row), dtype=bool)
    back[order] = (row[order] - first) % 2 == 1
    return back


CANDIDATES = 48
APPROACH = 1e-3
"""weight of the way to the first run against travel between runs: a tie-break, no more"""


def best_entries(
    order: NDArray[np.intp],
    ends: NDArray[np.float64],
    loops: Loops,
    begin: NDArray[np.float64] | None,
) -> NDArray[np.float64]:
    """(k, 2) a vertex for each loop, so that travel in the given order is least.

    Layer by layer (dynamic programming, Bellman 1957) over evenly chosen vertices of each loop,
    then each loop again over all its vertices between its neighbours. ``order`` and ``ends`` as in
    sewing order; ``begin`` is the corner where sewing starts: among equal ways the first run begins
    near it.
    """
    loop_of_run = np.full(len(ends), -1, dtype=np.intp)
    loop_of_run[loops.run] = np.arange(len(loops.run))
    places = np.flatnonzero(loop_of_run[order >> 1] >= 0)
    entry = np.zeros((len(loops.run), 2))
    spots = ends.reshape(-1, 2)
    for chain in np.split(places, np.flatnonzero(np.diff(places) > 1) + 1):
        if not len(chain):
            continue
        numbers = loop_of_run[order[chain] >> 1]
        before = spots[order[chain[0] - 1] ^ 1] if chain[0] > 0 else None
        after = spots[order[chain[-1] + 1]] if chain[-1] + 1 < len(order) else None
        corner = begin if chain[0] == 0 else None
        entry[numbers] = _chain(loops, numbers, before, after, corner)
    return entry


def _chain(
    loops: Loops,
    numbers: NDArray[np.intp],
    before: NDArray[np.float64] | None,
    after: NDArray[np.float64] | None,
    corner: NDArray[np.float64] | None,
) -> NDArray[np.float64]:
    """Entries of loops that follow one another, from ``before`` to ``after``."""
    layers = [_thinned(loops.of(int(number))) for number in numbers]
    cost = np.zeros(len(layers[0])) if before is None else _away(layers[0], before)
    if corner is not None:
        cost = cost + APPROACH * _away(layers[0], corner)
    came = []
    for one, two in itertools.pairwise(layers):
        total = cost[:, None] + np.hypot(*np.moveaxis(one[:, None, :] - two[None, :, :], 2, 0))
        came.append(total.argmin(axis=0))
        cost = total.min(axis=0)
    last = int((cost if after is None else cost + _away(layers[-1], after)).argmin())
    chosen = [last]
    for back in reversed(came):
        chosen.append(int(back[chosen[-1]]))
    entry = np.array([layer[at] for layer, at in zip(layers, reversed(chosen), strict=True)])
    return _settled(loops, numbers, entry, before, after, corner)


def _settled(
    loops: Loops,
    numbers: NDArray[np.intp],
    entry: NDArray[np.float64],
    before: NDArray[np.float64] | None,
    after: NDArray[np.float64] | None,
    corner: NDArray[np.float64] | None,
) -> NDArray[np.float64]:
    """Each entry once more over all vertices of its loop, its neighbours as they are."""
    for place, number in enumerate(numbers):
        points = loops.of(int(number))
        left = before if place == 0 else entry[place - 1]
        right = after if place + 1 == len(numbers) else entry[place + 1]
        cost = np.zeros(len(points))
        for spot in (left, right):
            if spot is not None:
                cost += _away(points, spot)
        if place == 0 and corner is not None:
            cost += APPROACH * _away(points, corner)
        entry[place] = points[int(cost.argmin())]
    return entry


def _thinned(points: NDArray[np.float64]) -> NDArray[np.float64]:
    return points[:: -(-len(points) // CANDIDATES)]


def _away(points: NDArray[np.float64], spot: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.hypot(points[:, 0] - spot[0], points[:, 1] - spot[1])
