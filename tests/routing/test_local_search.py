"""The search for least travel, move by move: what a move is said to gain is what it gains."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from quiltpath.routing.few_runs import best_tour
from quiltpath.routing.travel import _Path, least_travel, near_ends, nearest_tour
from tests.routing.test_order import random_ends, travel_of


def runs_in(tour: list[int]) -> list[int]:
    return sorted(end >> 1 for end in tour)


@pytest.mark.parametrize("size", [0.0, 60.0, 300.0])
@pytest.mark.parametrize("seed", range(8))
def test_every_move_gains_what_it_says_and_loses_no_run(seed: int, size: float) -> None:
    """Each move by itself, against the length of the whole tour before and after it."""
    ends = random_ends(seed, 30, size)
    path = _Path(ends.reshape(-1, 2))
    for _ in range(20):
        for run in range(30):
            before, order = travel_of(ends, path.tour), path.tour[:]
            gain, touched = path._better(run)
            assert travel_of(ends, path.tour) == pytest.approx(before - gain, abs=1e-6)
            assert runs_in(path.tour) == list(range(30))
            assert [path.place[end >> 1] for end in path.tour] == list(range(30))
            assert bool(touched) == (path.tour != order) == (gain > 0)
            new_joints = joints(path.tour) - joints(order)
            assert {end >> 1 for joint in new_joints for end in joint} <= set(touched)


def joints(tour: list[int]) -> set[frozenset[int]]:
    """Each pair of ends that the thread travels between."""
    return {frozenset([a ^ 1, b]) for a, b in itertools.pairwise(tour)}


@pytest.mark.parametrize("seed", range(10))
def test_the_change_that_is_reported_is_the_change_of_the_tour(seed: int) -> None:
    ends = random_ends(seed, 60, 200.0)
    path = _Path(ends.reshape(-1, 2))
    before = travel_of(ends, path.tour)
    assert path.improve(range(60)) == pytest.approx(travel_of(ends, path.tour) - before, abs=1e-6)
    settled = travel_of(ends, path.tour)
    path.kick(100)
    assert travel_of(ends, path.tour) <= settled + 1e-6
    assert runs_in(path.tour) == list(range(60))


def test_local_search_alone_mostly_finds_the_best_order_of_seven() -> None:
    """The best order is known (Held and Karp). Nearest neighbours alone find it now and then."""
    alone, searched, kicked = 0, 0, 0
    for seed in range(60):
        ends = random_ends(seed, 7, 200.0)
        best = travel_of(ends, best_tour(ends)) + 1e-6
        path = _Path(ends.reshape(-1, 2))
        alone += travel_of(ends, path.tour) <= best
        path.improve(range(7))
        searched += travel_of(ends, path.tour) <= best
        path.kick(200)
        kicked += travel_of(ends, path.tour) <= best
    assert alone < 20
    assert searched > 30
    assert kicked > 55


@pytest.mark.parametrize("size", [0.0, 100.0, 300.0])
def test_a_dozen_runs_are_mostly_in_the_best_order(size: float) -> None:
    """Held and Karp's order of twelve: found in five of six drawings, and within 1 percent of it
    on the mean of thirty."""
    over = []
    for seed in range(30):
        ends = random_ends(seed, 12, size)
        over.append(travel_of(ends, least_travel(ends)) / travel_of(ends, best_tour(ends)))
    assert np.mean(over) <= 1.01
    assert np.mean(np.array(over) < 1.0001) >= 5 / 6
    assert min(over) > 1 - 1e-9


@pytest.mark.parametrize("seed", range(10))
def test_the_nearest_tour_always_goes_on_to_the_nearest_end(seed: int) -> None:
    """Against all ends that are left, at each step, though only ten neighbours are listed."""
    ends = random_ends(seed, 40, 150.0)
    points = ends.reshape(-1, 2)
    tour = nearest_tour(points, near_ends(points), 2 * seed)
    assert tour[0] == 2 * seed and runs_in(tour) == list(range(40))
    for k in range(39):
        here = points[tour[k] ^ 1]
        left = [end for end in range(80) if end >> 1 not in {sewn >> 1 for sewn in tour[: k + 1]}]
        away = np.hypot(*(points[left] - here).T)
        assert np.hypot(*(points[tour[k + 1]] - here)) == pytest.approx(away.min())
