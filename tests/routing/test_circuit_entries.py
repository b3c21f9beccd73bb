"""Where rings on the way are begun: at the vertices that make the way least, by trying all."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from quiltpath.routing.circuit_entries import choose_entries
from quiltpath.routing.trail_table import Circuits


def rings(seed: int, count: int, vertices: int = 7) -> tuple[Circuits, np.ndarray]:
    """Circuits numbered from 1, among runs 0 and ``count`` + 1 that are lines."""
    rng = np.random.default_rng(seed)
    turn = np.linspace(0, 2 * np.pi, vertices, endpoint=False)
    middles = rng.uniform(0, 300, (count, 1, 2))
    radius = rng.uniform(10, 40, (count, 1, 1))
    points = middles + radius * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    start = vertices * np.arange(count + 1)
    ends = rng.uniform(0, 300, (count + 2, 2, 2))
    return Circuits(np.arange(1, count + 1), points.reshape(-1, 2), start), ends


def away(spots: list[np.ndarray]) -> float:
    return float(sum(np.hypot(*(b - a)) for a, b in itertools.pairwise(spots)))


@pytest.mark.parametrize("first", [False, True])
@pytest.mark.parametrize("last", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_the_way_past_three_rings_is_the_least_of_all(seed: int, first: bool, last: bool) -> None:
    """7 x 7 x 7 ways; with or without a line before the rings and one after them, which is left
    at its other end where it is sewn backwards."""
    loops, ends = rings(seed, 3)
    order = [0 ^ 1] * first + [2 * 2, 2 * 1, 2 * 3] + [2 * 4 + 1] * last
    found = choose_entries(np.array(order), ends, loops, None)
    before = [ends[0, 0]] * first
    after = [ends[4, 1]] * last
    way = away([*before, found[1], found[0], found[2], *after])
    every = itertools.product(loops.of(1), loops.of(0), loops.of(2))
    assert way == pytest.approx(min(away([*before, *spots, *after]) for spots in every))
    for number in range(3):
        assert np.hypot(*(loops.of(number) - found[number]).T).min() == 0.0


def test_rings_with_lines_between_them_are_chosen_for_each_way_by_itself() -> None:
    """Line 0, ring 1, line 4, ring 2, ring 3."""
    loops, ends = rings(11, 3)
    found = choose_entries(np.array([0, 2, 8, 4, 6]), ends, loops, None)
    first = min(loops.of(0), key=lambda spot: away([ends[0, 1], spot, ends[4, 0]]))
    assert (found[0] == first).all()
    pairs = itertools.product(loops.of(1), loops.of(2))
    way = min(away([ends[4, 1], *pair]) for pair in pairs)
    assert away([ends[4, 1], found[1], found[2]]) == pytest.approx(way)


def test_a_ring_by_itself_begins_at_the_corner_where_sewing_starts() -> None:
    loops, ends = rings(5, 1)
    for corner in (np.array([0.0, 0.0]), np.array([300.0, 300.0])):
        (found,) = choose_entries(np.array([2]), ends, loops, corner)
        assert away([corner, found]) == min(away([corner, spot]) for spot in loops.of(0))


def test_the_corner_weighs_far_less_than_the_way_between_runs() -> None:
    """From the ring on to the line it is a millimetre's detour that would be near the corner."""
    turn = np.array([(0.0, 0), (100, 0), (100, 1), (0, 1)])
    loops = Circuits(np.array([0]), turn, np.array([0, 4]))
    ends = np.array([[(0.0, 0), (0, 0)], [(150.0, 1), (200, 1)]])
    (found,) = choose_entries(np.array([0, 2]), ends, loops, np.array([-50.0, 0]))
    assert found.tolist() == [100, 1]


@pytest.mark.parametrize("vertices", [48, 49, 300, 1000])
def test_fine_rings_are_met_at_their_nearest_vertex(vertices: int) -> None:
    """From thinned vertices first, then over all of them: the nearest to a line's end."""
    loops, ends = rings(3, 1, vertices)
    (found,) = choose_entries(np.array([1, 2]), ends, loops, None)
    assert away([ends[0, 0], found]) == min(away([ends[0, 0], spot]) for spot in loops.of(0))


def test_lines_alone_have_no_entries() -> None:
    none = Circuits(np.zeros(0, dtype=np.intp), np.zeros((0, 2)), np.zeros(1, dtype=np.intp))
    assert choose_entries(np.array([0, 2]), np.zeros((2, 2, 2)), none, None).shape == (0, 2)


SQUARES = np.array(
    [(0.0, 0), (100, 0), (100, 100), (0, 100), (200, 0), (300, 0), (300, 100), (200, 100)]
)
"""Two squares side by side: from one to the other it is 100 mm along the bottom or the top."""


@pytest.mark.parametrize(("corner", "y"), [((0.0, -50.0), 0), ((0.0, 150.0), 100)])
@pytest.mark.parametrize("order", [[0, 2], [2, 0]])
def test_of_equal_ways_past_two_rings_the_one_begun_near_the_corner_is_taken(
    corner: tuple[float, float], y: float, order: list[int]
) -> None:
    loops = Circuits(np.array([0, 1]), SQUARES, np.array([0, 4, 8]))
    found = choose_entries(np.array(order), np.zeros((2, 2, 2)), loops, np.array(corner))
    assert found.tolist() == [[100, y], [200, y]]


@pytest.mark.parametrize("corner", [(0.0, -50.0), (0.0, 150.0)])
def test_rings_after_a_line_do_not_look_to_the_corner(corner: tuple[float, float]) -> None:
    """A line that ends below them: along the bottom, wherever sewing started."""
    loops = Circuits(np.array([1, 2]), SQUARES, np.array([0, 4, 8]))
    ends = np.array([[(0.0, -500), (100, -10)], [(0, 0)] * 2, [(0, 0)] * 2])
    found = choose_entries(np.array([0, 2, 4]), ends, loops, np.array(corner))
    assert found.tolist() == [[100, 0], [200, 0]]


def test_a_ring_is_begun_anywhere_where_nothing_draws_it() -> None:
    loops = Circuits(np.array([0]), SQUARES[:4], np.array([0, 4]))
    (found,) = choose_entries(np.array([0]), np.zeros((1, 2, 2)), loops, None)
    assert found.tolist() in SQUARES[:4].tolist()


def test_rings_with_a_line_between_them_look_to_its_ends() -> None:
    """The line leads from below the left-hand square's far corner to above the other's."""
    loops = Circuits(np.array([0, 2]), SQUARES, np.array([0, 4, 8]))
    ends = np.array([[(0, 0)] * 2, [(0.0, -10), (300, 110)], [(0, 0)] * 2])
    assert choose_entries(np.array([0, 2, 4]), ends, loops, None).tolist() == [[0, 0], [300, 100]]
    turned = choose_entries(np.array([0, 3, 4]), ends, loops, None)
    assert turned.tolist() == [[100, 100], [200, 0]]
