"""Short open tours over runs that may be sewn either way round, by iterated local search.

Begun by nearest neighbour, over many runs by the greedy tour; improved by exchanging two or three
joints over neighbour lists, 2-opt and Or-opt among them, each step of which leads an end to a near
one for less than was saved so far (3-opt by the rule of Lin and Kernighan, Operations Research 21,
1973), with a queue of ends at new joints (Bentley, ORSA Journal on Computing 4, 1992); then the
same after small deterministic perturbations, in which three neighbouring stretches are sewn in the
opposite order (the double bridge, which no exchange of three joints takes back). A tour that became
a little longer is kept now and then, ever less so, as in simulated annealing (Martin, Otto and
Felten, Complex Systems 5, 1991). Time grows nearly in line with the number of runs; perturbations
are kept to ``MOST_PERTURBED`` runs. Tours over up to ``MOST_EXACT_RUNS`` are exact
(``held_karp``).
"""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Iterable
from itertools import pairwise
from math import hypot

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.greedy_tour import greedy_tour
from quiltpath.routing.held_karp import MOST_EXACT_RUNS, held_karp

NEAR = 10
NEAREST = 5
"""near ends that are tried for the second new joint; for the first ``NEAR``"""
LONGEST_CHANGED = 10_000
LONGEST_SWAPPED = 12
PERTURBATIONS_PER_RUN = 3
PERTURBATIONS_PER_RUN_OF_FEW, ENOUGH_OF_FEW = 10, 400
"""a short tour needs more of them a run, up to so many in all"""
MOST_PERTURBED = 400

WARMTH = 0.1
"""how much longer a perturbation may make the tour and be kept, on the mean, at first: this share
of the mean travel from run to run; ever less, down to nothing"""

WORTH_MM = 1e-7
FEW = 400
"""up to here all distances are compared, so that a small job need not load a search tree"""


def two_opt_tour(ends: NDArray[np.float64]) -> list[int]:
    """The order that local search finds first, as :func:`shortest_tour` returns it.

    Much quicker than that, and usually some percent longer.
    """
    path = _Tour(ends.reshape(-1, 2))
    path.improve(range(2 * len(ends)))
    return path.tour


def shortest_tour(ends: NDArray[np.float64], tour: list[int] | None = None) -> list[int]:
    """Order of runs with short travel between them.

    ``ends`` (r, 2, 2) first and last point of each run, in mm; r from 1 on. Returns one entry a
    run, in sewing order: ``2 * run`` where it is sewn forwards, ``2 * run + 1`` where backwards.
    Start and end are free. A ``tour`` that is known already is where the search begins.
    Deterministic.
    """
    if len(ends) <= MOST_EXACT_RUNS:
        return held_karp(ends)
    path = _Tour(ends.reshape(-1, 2), tour)
    path.improve(range(2 * len(ends)))
    if len(ends) <= MOST_PERTURBED:
        of_few = min(ENOUGH_OF_FEW, PERTURBATIONS_PER_RUN_OF_FEW * len(ends))
        path.perturb(max(of_few, PERTURBATIONS_PER_RUN * len(ends)))
    return path.tour


Near = list[tuple[int, float]]
"""ends of other runs near one end, nearest first, with the distance in mm"""


def neighbour_lists(points: NDArray[np.float64]) -> list[Near]:
    """For each run end, the nearest ends of other runs."""
    found = _nearest_points(points, NEAR + 2)
    away = np.hypot(*np.moveaxis(points[found] - points[:, None], -1, 0))
    others = found >> 1 != np.arange(len(points))[:, None] >> 1
    pairs = list(zip(found[others].tolist(), away[others].tolist(), strict=True))
    ends = np.cumsum(others.sum(axis=1)).tolist()
    return [pairs[begin:end] for begin, end in pairwise([0, *ends])]


def _nearest_points(points: NDArray[np.float64], count: int) -> NDArray[np.intp]:
    """(n, count or all) nearest points of each point, itself among them, nearest first."""
    if len(points) <= FEW:
        apart = ((points[:, None, :] - points[None, :, :]) ** 2).sum(axis=2)
        return np.argsort(apart, axis=1, kind="stable")[:, :count]
    from scipy.spatial import cKDTree

    return np.asarray(cKDTree(points).query(points, count)[1], dtype=np.intp)


def first_tour(points: NDArray[np.float64], near: list[Near]) -> list[int]:
    """Where local search begins, from the lower left corner."""
    if len(points) > 2 * MOST_PERTURBED:
        return greedy_tour(points)
    return nearest_neighbour_tour(points, near, int(points.sum(axis=1).argmin()))


def nearest_neighbour_tour(points: NDArray[np.float64], near: list[Near], first: int) -> list[int]:
    """Always on to the nearest end not yet sewn, beginning at the end ``first``."""
    left = bytearray(b"\1") * len(points)
    tour = [first]
    while True:
        left[tour[-1]] = left[tour[-1] ^ 1] = False
        if 2 * len(tour) == len(points):
            return tour
        here = tour[-1] ^ 1
        entry = next((end for end, _ in near[here] if left[end]), None)
        tour.append(_nearest_left(points, here, left) if entry is None else entry)


def _nearest_left(points: NDArray[np.float64], here: int, left: bytearray) -> int:
    """The nearest end that is left, where none of the nearest neighbours is."""
    rest = np.flatnonzero(np.frombuffer(left, dtype=np.uint8))
    away = points[rest] - points[here]
    return int(rest[np.einsum("ij,ij->i", away, away).argmin()])


_Order = tuple[bool, bool, bool]
"""Of two neighbouring stretches: whether they are swapped, the first turned, the second turned."""
_Move = tuple[int, int, int, _Order]
"""Where the first stretch begins, where the second one does, where it ends; and their new order."""

_TURNED: _Order = (False, True, False)
_ORDERS: dict[tuple[int, int], _Order] = {
    (2, 4): (False, True, True),
    (3, 4): (True, False, False),
    (4, 3): (True, False, True),
    (3, 5): (True, True, False),
}
"""By the ends that those at the first joint are led to: ends of three joints are 0 to 5 in the
order of the tour. What else could be led where leaves a stretch to itself."""


def _led_to(second: int, third: int, fifth: int) -> tuple[int, int]:
    """Where the ends at the first joint are led: the second goes to the third, and so on round."""
    led = [0] * 6
    for a, b in ((second, third), (third ^ 1, fifth), (fifth ^ 1, second ^ 1)):
        led[a], led[b] = b, a
    return led[0], led[1]


class _Tour:
    """A tour as a list of entered ends, with the place of every run in it.

    End ``e`` belongs to run ``e >> 1``; a run entered at ``e`` is left at ``e ^ 1``.
    """

    def __init__(self, points: NDArray[np.float64], tour: list[int] | None = None) -> None:
        self.x: list[float] = points[:, 0].tolist()
        self.y: list[float] = points[:, 1].tolist()
        self.near = neighbour_lists(points)
        self.nearest = [ends[:NEAREST] for ends in self.near]
        self.tour = tour[:] if tour else first_tour(points, self.near)
        self.place = [0] * len(self.tour)
        self.renumbered = [len(self.tour), 0]
        self._number(0, len(self.tour))
        self.across, self.gap = [-1] * len(points), [0.0] * len(points)
        self._join_at(*range(len(self.tour) + 1))

    def _number(self, first: int, last: int) -> None:
        self.renumbered = [min(first, self.renumbered[0]), max(last, self.renumbered[1])]
        place = self.place
        for number, end in enumerate(self.tour[first:last], first):
            place[end >> 1] = number

    def step(self, place: int) -> float:
        """Travel from the run at ``place - 1`` to the run at ``place``; 0 beyond either end."""
        tour = self.tour
        if not 0 < place < len(tour):
            return 0.0
        left, entered = tour[place - 1] ^ 1, tour[place]
        return hypot(self.x[left] - self.x[entered], self.y[left] - self.y[entered])

    def link(self, left: int, right: int) -> float:
        """Travel from the end left at to the end entered at; -1 stands for none."""
        if left < 0 or right < 0:
            return 0.0
        return hypot(self.x[left] - self.x[right], self.y[left] - self.y[right])

    def left_before(self, place: int) -> int:
        return self.tour[place - 1] ^ 1 if place > 0 else -1

    def entered_at(self, place: int) -> int:
        return self.tour[place] if place < len(self.tour) else -1

    def improve(self, ends: Iterable[int]) -> float:
        """Local search from the given ends until no move pays; returns the change of travel."""
        queue = deque(ends)
        queued = bytearray(len(self.across))
        for end in queue:
            queued[end] = True
        change = 0.0
        while queue:
            end = queue.popleft()
            queued[end] = False
            gain, touched = self._better(end)
            change -= gain
            for other in touched:
                if not queued[other]:
                    queued[other] = True
                    queue.append(other)
        return change

    def _better(self, end: int) -> tuple[float, list[int]]:
        """Make the best move that begins at an end; what it gains and the ends that it touched."""
        gain, move = self._three_opt(end)
        return (gain, self._rejoin(*move)) if move is not None else (0.0, [])

    def _three_opt(self, second: int) -> tuple[float, _Move | None]:
        """The best exchange of two or three joints that leads from an end to a nearer one.

        Open the joint at that end, lead the end to a near one, open the joint there, and so on;
        what is gained stays more than nothing on the way (Lin and Kernighan 1973).
        """
        best, move, first = WORTH_MM, None, self.across[second]
        if first < 0:
            return 0.0, None
        opened = self.gap[second]
        for third, away in self.near[second]:
            left = opened - away
            if left <= WORTH_MM:
                break
            left += self.gap[third]
            gain = left - self.link(self.across[third], first)
            if gain > best and (found := self._two_joints(second, third)) is not None:
                best, move = gain, found
            gain, fifth = self._third_joint(first, second, third, left, best)
            if fifth >= 0:
                best, move = gain, self._three_joints(second, third, fifth)
            if move is not None:
                break
        return (best, move) if move is not None else (0.0, None)

    def _third_joint(
        self, first: int, second: int, third: int, left: float, best: float
    ) -> tuple[float, int]:
        """The end over which the way back to the ``first`` gains most, over ``best``; or -1."""
        # Most of the time of a large tour goes here: names of its own are looked up faster.
        across, gap, x, y = self.across, self.gap, self.x, self.y
        found, fourth, to_x, to_y = -1, across[third], x[first], y[first]
        for fifth, away in self.nearest[fourth] if fourth >= 0 else ():
            reached = left - away
            if reached <= best:
                break
            gain = reached + gap[fifth]
            if gain <= best:
                continue
            sixth = across[fifth]
            if sixth >= 0:
                gain -= hypot(x[sixth] - to_x, y[sixth] - to_y)
            if gain <= best or fifth in (first, second, third):
                continue
            if self._three_joints(second, third, fifth):
                best, found = gain, fifth
        return best, found

    def _joint(self, end: int) -> tuple[int, bool]:
        """The joint at an end: the place of the run after it, and whether the end is that run's."""
        place = self.place[end >> 1]
        entered = self.tour[place] == end
        return (place if entered else place + 1), entered

    def _two_joints(self, second: int, third: int) -> _Move | None:
        """The move that leads two ends to each other, and those across from them."""
        (one, entered), (two, also) = self._joint(second), self._joint(third)
        if entered != also or abs(one - two) > LONGEST_CHANGED:
            return None
        return min(one, two), max(one, two), max(one, two), _TURNED

    def _three_joints(self, second: int, third: int, fifth: int) -> _Move | None:
        """The move that leads the second end to the third, across from there to the fifth."""
        (one, a), (two, b), (three, c) = map(self._joint, (second, third, fifth))
        low, middle, high = sorted((one, two, three))
        if low == middle or middle == high or high - low > LONGEST_CHANGED:
            return None
        order = _ORDERS.get(
            _led_to(
                2 * ((one > two) + (one > three)) + a,
                2 * ((two > one) + (two > three)) + b,
                2 * ((three > one) + (three > two)) + c,
            )
        )
        return None if order is None else (low, middle, high, order)

    def _rejoin(self, low: int, middle: int, high: int, order: _Order) -> list[int]:
        """Sew two neighbouring stretches in another order; the runs at the new joints."""
        swapped, first_turned, second_turned = order
        first, second = self.tour[low:middle], self.tour[middle:high]
        one = [end ^ 1 for end in reversed(first)] if first_turned else first
        two = [end ^ 1 for end in reversed(second)] if second_turned else second
        self.tour[low:high] = two + one if swapped else one + two
        self._number(low, high)
        return self._join_at(low, low + high - middle if swapped else middle, high)

    def _join_at(self, *joints: int) -> list[int]:
        """Note what lies across the joints before those places; the ends there."""
        ends: list[int] = []
        for place in joints:
            left, right, away = self.left_before(place), self.entered_at(place), self.step(place)
            for end, other in ((left, right), (right, left)):
                if end >= 0:
                    self.across[end], self.gap[end] = other, away
                    ends.append(end)
        return ends

    def perturb(self, times: int) -> None:
        """Perturb and search again and again; the best tour that was found stays."""
        chance, count = random.Random(len(self.tour)), len(self.tour)
        warmth = WARMTH * sum(map(self.step, range(count))) / count
        best, travel, least = self.tour[:], 0.0, 0.0
        for number in range(times):
            travel += self._perturb_once(chance, warmth * (1 - number / times))
            if travel < least - WORTH_MM:
                best, least = self.tour[:], travel
        self.tour = best
        self._number(0, count)
        self._join_at(*range(count + 1))

    def _perturb_once(self, chance: random.Random, warmth: float) -> float:
        """Swap, and maybe turn, neighbouring stretches, and search from there.

        Returns the change of travel: negative where it gained, at times a little more than nothing,
        about ``warmth``, where the tour is kept though it is longer; 0 where all is as it was.
        """
        saved, count = self.tour[:], len(self.tour)
        across, gap = self.across[:], self.gap[:]
        self.renumbered = [count, 0]
        span = min(LONGEST_SWAPPED, max(1, count // 3))
        cuts = [chance.randrange(count - 1)]
        for _ in range(3):
            cuts.append(min(cuts[-1] + chance.randint(1, span), count))
        one, two, three, last = cuts
        change = -sum(map(self.step, set(cuts)))
        self.tour[one:last] = saved[three:last] + saved[two:three] + saved[one:two]
        self._number(one, last)
        joints = sorted({one, one + last - three, one + last - two, last})
        change += sum(map(self.step, joints))
        change += self.improve(self._join_at(*joints))
        if change <= -WORTH_MM or change < warmth * chance.expovariate(1.0) - WORTH_MM:
            return change
        self.tour, self.across, self.gap = saved, across, gap
        self._number(*self.renumbered)
        return 0.0
