"""The greedy tour, against one that looks at every pair of ends, and the nearest neighbour's."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from quiltpath.routing.greedy_tour import greedy_tour
from quiltpath.routing.local_search import nearest_neighbour_tour, neighbour_lists


def random_ends(seed: int, runs: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    first = rng.uniform(0, 1000, (runs, 2))
    return np.stack([first, first + rng.uniform(-40, 40, (runs, 2))], axis=1).reshape(-1, 2)


def joints(tour: list[int]) -> set[tuple[int, int]]:
    """Pairs of ends that travel leads between, in no order."""
    pairs = ((left ^ 1, entered) for left, entered in itertools.pairwise(tour))
    return {(min(pair), max(pair)) for pair in pairs}


def travel(points: np.ndarray, tour: list[int]) -> float:
    return sum(float(np.hypot(*(points[a] - points[b]))) for a, b in joints(tour))


def shortest_first(points: np.ndarray) -> set[tuple[int, int]]:
    """By the definition: all pairs by length, each taken that joins two ends of two paths."""
    path = list(range(len(points) // 2))
    taken: set[tuple[int, int]] = set()
    free = set(range(len(points)))
    pairs = itertools.combinations(range(len(points)), 2)
    for a, b in sorted(pairs, key=lambda pair: np.hypot(*(points[pair[0]] - points[pair[1]]))):
        if {a, b} <= free and path[a >> 1] != path[b >> 1]:
            taken.add((a, b))
            free -= {a, b}
            old, new = path[a >> 1], path[b >> 1]
            path = [new if name == old else name for name in path]
    return taken


@pytest.mark.parametrize("runs", [1, 2, 3, 4])
@pytest.mark.parametrize("seed", range(5))
def test_few_runs_are_joined_as_by_the_definition(seed: int, runs: int) -> None:
    """Where every end is among the nearest ones the two are the same."""
    points = random_ends(seed, runs)
    assert joints(greedy_tour(points)) == shortest_first(points)


@pytest.mark.parametrize("seed", range(5))
def test_many_runs_each_once_for_little_more_than_by_the_definition(seed: int) -> None:
    """Only the order of long joints may differ; what is joined early is the same."""
    points = random_ends(seed, 60)
    tour = greedy_tour(points)
    assert sorted(end >> 1 for end in tour) == list(range(60))
    least = sum(float(np.hypot(*(points[a] - points[b]))) for a, b in shortest_first(points))
    assert travel(points, tour) == pytest.approx(least, rel=0.03)


def test_it_is_shorter_than_going_to_the_nearest_in_the_mean() -> None:
    """Bentley (1992, from memory): greedy tours are 14 to 20 % above the best, those that always
    go on to the nearest neighbour 25 %."""
    shares = []
    for seed in range(5):
        points = random_ends(seed, 400)
        nearest = nearest_neighbour_tour(points, neighbour_lists(points), 0)
        shares.append(travel(points, greedy_tour(points)) / travel(points, nearest))
    assert np.mean(shares) < 0.97


def test_runs_that_lie_on_each_other_and_rings() -> None:
    """Eighty ends at one place and ten rings with both ends at one place: all once."""
    points = np.concatenate([np.zeros((80, 2)), np.repeat(random_ends(1, 5), 2, axis=0)])
    tour = greedy_tour(points)
    assert sorted(end >> 1 for end in tour) == list(range(50))
