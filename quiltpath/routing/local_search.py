"""Short open tours over runs that may be sewn either way round, by iterated local search.

Begun by nearest neighbour; improved by 2-opt (Croes, Operations Research 6, 1958) and Or-opt (Or,
thesis, Northwestern University, 1976) over neighbour lists with a work queue (Bentley, ORSA Journal
on Computing 4, 1992); then the same after small deterministic perturbations (double bridge). A tour
that became a little longer is kept now and then, ever less so, as in simulated annealing (Martin,
Otto and Felten, Complex Systems 5, 1991). Time grows nearly in line with the number of runs;
perturbations are kept to ``MOST_PERTURBED`` runs. Tours over up to ``MOST_EXACT_RUNS`` are exact
(``held_karp``).
"""

from __future__ import annotations

import random
from collections import deque
from math import hypot

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.held_karp import MOST_EXACT_RUNS, held_karp

NEAR = 10
LONGEST_MOVED = 3
LONGEST_TURNED = 1000
PERTURBATIONS_PER_RUN = 3
LEAST_PERTURBATIONS = 400
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
    path.improve(range(len(ends)))
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
    path.improve(range(len(ends)))
    if len(ends) <= MOST_PERTURBED:
        path.perturb(max(LEAST_PERTURBATIONS, PERTURBATIONS_PER_RUN * len(ends)))
    return path.tour


Near = list[tuple[int, float]]
"""ends of other runs near one end, nearest first, with the distance in mm"""


def neighbour_lists(points: NDArray[np.float64]) -> list[Near]:
    """For each run end, the nearest ends of other runs."""
    found = _nearest_points(points, NEAR + 2)
    away = np.hypot(*np.moveaxis(points[found] - points[:, None], -1, 0))
    return [
        [(other, far) for other, far in zip(*row, strict=True) if other >> 1 != end >> 1]
        for end, row in enumerate(zip(found.tolist(), away.tolist(), strict=True))
    ]


def _nearest_points(points: NDArray[np.float64], count: int) -> NDArray[np.intp]:
    """(n, count or all) nearest points of each point, itself among them, nearest first."""
    if len(points) <= FEW:
        apart = ((points[:, None, :] - points[None, :, :]) ** 2).sum(axis=2)
        return np.argsort(apart, axis=1, kind="stable")[:, :count]
    from scipy.spatial import cKDTree

    return np.asarray(cKDTree(points).query(points, count)[1], dtype=np.intp)


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


def _maybe_turned(stretch: list[int], chance: random.Random) -> list[int]:
    """The stretch as it is, or, half the time, sewn from its end."""
    return [end ^ 1 for end in reversed(stretch)] if chance.random() < 0.5 else stretch


class _Tour:
    """A tour as a list of entered ends, with the place of every run in it.

    End ``e`` belongs to run ``e >> 1``; a run entered at ``e`` is left at ``e ^ 1``.
    """

    def __init__(self, points: NDArray[np.float64], tour: list[int] | None = None) -> None:
        self.x: list[float] = points[:, 0].tolist()
        self.y: list[float] = points[:, 1].tolist()
        self.near = neighbour_lists(points)
        corner = int(points.sum(axis=1).argmin())
        self.tour = tour[:] if tour else nearest_neighbour_tour(points, self.near, corner)
        self.place = [0] * len(self.tour)
        self.renumbered = [len(self.tour), 0]
        self._number(0, len(self.tour))

    def _number(self, first: int, last: int) -> None:
        self.renumbered = [min(first, self.renumbered[0]), max(last, self.renumbered[1])]
        tour, place = self.tour, self.place
        for number in range(first, last):
            place[tour[number] >> 1] = number

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

    def improve(self, runs: range | list[int]) -> float:
        """Local search from the given runs until no move pays; returns the change of travel."""
        queue, queued = deque(runs), bytearray(len(self.tour))
        for run in runs:
            queued[run] = True
        change = 0.0
        while queue:
            run = queue.popleft()
            queued[run] = False
            gain, touched = self._better(run)
            change -= gain
            for other in touched:
                if not queued[other]:
                    queued[other] = True
                    queue.append(other)
        return change

    def _better(self, run: int) -> tuple[float, list[int]]:
        """Make the first move that pays at a run; what it gains and the runs that it touched."""
        for end in (2 * run, 2 * run + 1):
            gain, touched = self._two_opt(end)
            if touched:
                return gain, touched
        for size in range(1, LONGEST_MOVED + 1):
            gain, touched = self._or_opt(self.place[run], size)
            if touched:
                return gain, touched
        return 0.0, []

    def _two_opt(self, end: int) -> tuple[float, list[int]]:
        """Turn a stretch of the tour round so that ``end`` comes to lie by a nearer end."""
        tour, place = self.tour, self.place
        here = place[end >> 1]
        entered = tour[here] == end
        # Joints before the runs where ends are entered, after them where ends are left.
        after = 0 if entered else 1
        now = self.step(here + after)
        for other, new in self.near[end]:
            if 0 < now <= new:
                break
            there = place[other >> 1]
            if (tour[there] == other) != entered or abs(here - there) > LONGEST_TURNED:
                continue
            gain = now + self.step(there + after) - new
            if gain > WORTH_MM:
                first, last = (here, there) if here < there else (there, here)
                first, last = first + after, last + after - 1
                gain -= self._other_joint(first, last, entered)
                if gain > WORTH_MM:
                    return gain, self._turn(first, last)
        return 0.0, []

    def _other_joint(self, first: int, last: int, entered: bool) -> float:
        """Travel at the second joint of a turned stretch; the first joins the ends looked at."""
        if entered:
            return self.link(self.left_before(first), self.tour[last] ^ 1)
        return self.link(self.tour[first], self.entered_at(last + 1))

    def _turn(self, first: int, last: int) -> list[int]:
        """Reverse places ``first`` to ``last``; the runs at the new joints."""
        self.tour[first : last + 1] = [end ^ 1 for end in reversed(self.tour[first : last + 1])]
        self._number(first, last + 1)
        return self._at(first - 1, first, last, last + 1)

    def _at(self, *places: int) -> list[int]:
        return [self.tour[place] >> 1 for place in places if 0 <= place < len(self.tour)]

    def _or_opt(self, first: int, size: int) -> tuple[float, list[int]]:
        """Move ``size`` runs from ``first`` on to where one of their ends has a near neighbour."""
        last = first + size - 1
        if last >= len(self.tour):
            return 0.0, []
        before, after = self.left_before(first), self.entered_at(last + 1)
        head, tail = self.tour[first], self.tour[last] ^ 1
        saved = self.link(before, head) + self.link(tail, after) - self.link(before, after)
        if saved <= WORTH_MM:
            return 0.0, []
        for end, far in ((head, tail), (tail, head)):
            for other, away in self.near[end]:
                if away >= saved:
                    break
                gain, target = self._insertion(first, last, far, other, saved - away)
                if gain > WORTH_MM:
                    at_its_start = self.tour[target] == other
                    return gain, self._move(first, last, target, at_its_start, end)
        return 0.0, []

    def _insertion(
        self, first: int, last: int, far: int, other: int, left: float
    ) -> tuple[float, int]:
        """Gain of putting the stretch beside ``other``, with its ``far`` end to the other side."""
        target = self.place[other >> 1]
        if first <= target <= last:
            return 0.0, target
        if self.tour[target] == other:
            beyond, opened = self.left_before(target), self.step(target)
            same_gap = target == last + 1
        else:
            beyond, opened = self.entered_at(target + 1), self.step(target + 1)
            same_gap = target == first - 1
        if same_gap:
            return 0.0, target
        return left + opened - self.link(far, beyond), target

    def _move(self, first: int, last: int, target: int, before: bool, end: int) -> list[int]:
        """Take the stretch out and put it before or after the run at ``target``, ``end`` by it."""
        stretch = self.tour[first : last + 1]
        if before == (end == stretch[0]):
            stretch = [one ^ 1 for one in reversed(stretch)]
        place = target if before else target + 1
        low, high = min(first, place), max(last + 1, place)
        if place > last:
            self.tour[first:place] = self.tour[last + 1 : place] + stretch
        else:
            self.tour[place : last + 1] = stretch + self.tour[place:first]
        self._number(low, high)
        size = len(stretch)
        return self._at(
            low - 1, low, low + size - 1, low + size, high - size - 1, high - size, high - 1, high
        )

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

    def _perturb_once(self, chance: random.Random, warmth: float) -> float:
        """Swap, and maybe turn, neighbouring stretches, and search from there.

        Returns the change of travel: negative where it gained, at times a little more than nothing,
        about ``warmth``, where the tour is kept though it is longer; 0 where all is as it was.
        """
        saved = self.tour[:]
        self.renumbered = [len(saved), 0]
        span = min(30, max(1, len(saved) // 3))
        first = chance.randrange(len(saved) - 1)
        middle = min(first + chance.randint(1, span), len(saved) - 1)
        last = min(middle + chance.randint(1, span), len(saved))
        change = -self.step(first) - self.step(middle) - self.step(last)
        one, two = saved[first:middle], saved[middle:last]
        self.tour[first:last] = _maybe_turned(two, chance) + _maybe_turned(one, chance)
        self._number(first, last)
        joint = first + last - middle
        change += self.step(first) + self.step(joint) + self.step(last)
        places = (first - 1, first, joint - 1, joint, last - 1, last)
        change += self.improve(self._at(*places))
        if change <= -WORTH_MM or change < warmth * chance.expovariate(1.0) - WORTH_MM:
            return change
        self.tour = saved
        self._number(*self.renumbered)
        return 0.0
