"""The search for the turn that meets all crossings: its bounds hold, and its choice is the best."""

from __future__ import annotations

import numpy as np
import pytest

from quiltpath.checks.seam_touching import Crossings
from quiltpath.checks.seam_turns import Wish, _grow, _measure, best_offset, best_turn

HULL = np.array([(0, 0), (400, 0), (400, 300), (0, 300)], dtype=float)
NOTHING_BARRED = np.zeros((0, 2))


def wish(gap: float = 40.0, *angles: float) -> Wish:
    return Wish(gap, angles or (30.0,), HULL)


def spots(*points: tuple[float, float]) -> Crossings:
    """Crossings on a block of 400 by 300 mm."""
    return Crossings(np.array(points, dtype=float), np.zeros(len(points), dtype=np.intp), (HULL,))


SPOTS = spots((70, 40), (310, 55), (130, 250), (205, 180))


@pytest.mark.parametrize(
    ("low", "high", "numbers"),
    [
        (300, 300, [6, 7, 8, 9, 10]),  # 53.6 and 30 mm are the widest and the narrowest gap
        (300, 329, [6, 7, 8, 9, 10]),
        (300, 330, [6, 7, 8, 9, 10, 11]),
        (267, 300, [5, 6, 7, 8, 9, 10]),
        (20, 25, [1]),
        (-5, 65, [1, 2]),
    ],
)
def test_a_gap_may_be_a_quarter_narrower_or_a_third_wider(
    low: float, high: float, numbers: list[int]
) -> None:
    """About 40 mm: from 30 to 53.6 mm, and one gap at the least."""
    assert wish(40.0).numbers(low, high).tolist() == numbers


def test_a_second_family_turns_the_other_way() -> None:
    both = wish(40.0, 30.0, -30.0).places(SPOTS, np.array([2.0]))
    alone = [SPOTS.along(np.array([angle])) for angle in (32.0, -32.0)]
    assert both == pytest.approx(np.concatenate(alone, axis=1))
    assert wish(40.0, 30.0, -30.0).width(np.array([2.0])) == pytest.approx(
        400 * np.sin(np.radians(32)) + 300 * np.cos(np.radians(32))
    )


@pytest.mark.parametrize("angles", [(30.0,), (38.0, -38.0)])
@pytest.mark.parametrize("reach", [0.01, 0.125, 1.0])
def test_no_turn_of_an_interval_is_better_than_its_bounds_say(
    angles: tuple[float, ...], reach: float
) -> None:
    """Every turn within reach, a hundredth of it apart, against the bound of the whole."""
    near = wish(40.0, *angles)
    middles = np.arange(-7.0, 7.1, 1.0)
    tried = _measure(near, SPOTS, *_grow(near, middles, np.full(15, reach)), NOTHING_BARRED)
    for share in np.linspace(-1, 1, 201):
        turns = tried.turn + share * reach
        gaps = near.width(turns) / tried.number
        _, miss = best_offset(near.places(SPOTS, turns), gaps)
        away = np.abs(np.log(gaps / 40.0)) + np.abs(np.radians(turns))
        assert np.all(miss >= tried.least_miss - 1e-9)
        assert np.all(away >= tried.least_away - 1e-9)
        fits = (gaps / 40.0 >= 0.75) & (gaps / 40.0 <= 1.34)
        assert np.all(tried.may | ~fits)
        assert share != 0 or np.array_equal(tried.allowed, fits)
    assert (tried.least_miss > 0).any() == (reach < 1.0), "but a small interval is told apart"


def test_a_turn_by_itself_is_as_good_as_it_is() -> None:
    near = wish(40.0, 30.0)
    turns = np.array([-7.5, -7.6, 0.0, 2.0, 7.5, 7.6])
    alone = _measure(near, SPOTS, *_grow(near, turns, np.zeros(6)), NOTHING_BARRED)
    assert alone.least_miss == pytest.approx(alone.miss)
    assert alone.least_away == pytest.approx(alone.away)
    beyond = np.abs(alone.turn) > 7.5
    assert alone.may.all() and beyond.any()
    assert np.array_equal(alone.allowed, ~beyond), "no further than 7.5 degrees"


def test_every_number_of_gaps_that_an_interval_allows_is_tried() -> None:
    """At 30 degrees the block is 459.8 mm wide; by 7.5 degrees either way it grows and shrinks
    by no more than its diagonal of 500 mm times that in radians, 65.4 mm."""
    turn, number, reach = _grow(wish(), np.array([0.0, 1.0]), np.array([0.0, 7.5]))
    assert number[turn == 0.0].tolist() == list(range(9, 16))
    assert number[turn == 1.0].tolist() == list(range(8, 18))
    assert set(reach[turn == 1.0]) == {7.5}


@pytest.mark.parametrize("barred", [(), ((6.9, 1.0),), ((6.9, 0.5), (-3.0, 2.0)), ((0.0, 7.4),)])
@pytest.mark.parametrize("gap", [24.0, 40.0])
def test_the_best_turn_is_none_of_those_barred_and_no_other_misses_less(
    barred: tuple[tuple[float, float], ...], gap: float
) -> None:
    """Two crossings 240 along and 180 up are met along 36.87 degrees, 6.87 on from the wish; a
    third lies off that line. Brute force: turns a fiftieth of a degree apart."""
    seen = spots((60, 40), (300, 220), (200, 35), (345, 120))
    near = wish(gap)
    out = np.array(barred).reshape(-1, 2)
    turn = best_turn(near, seen, np.array([0.0]), out)
    assert abs(turn) <= 7.5

    def least(turns: np.ndarray) -> np.ndarray:
        found = np.full(len(turns), np.inf)
        for number in range(1, 40):
            gaps = near.width(turns) / number
            _, miss = best_offset(near.places(seen, turns), gaps)
            fits = (gaps >= 0.75 * gap) & (gaps <= 1.34 * gap)
            found = np.where(fits, np.minimum(found, miss), found)
        return found

    turns = np.arange(-7.5, 7.501, 0.02)
    free = np.ones(len(turns), dtype=bool)
    for at, within in barred:
        free &= np.abs(turns - at) >= within
        assert abs(turn - at) >= within - 0.07, "the last polish may lead a little way on"
    best = least(turns[free]).min()
    assert least(np.array([turn]))[0] <= max(best, 0.0) + 0.05 or best > 1.0


def test_where_all_turns_are_barred_the_lines_stay() -> None:
    assert best_turn(wish(), SPOTS, np.array([0.0]), np.array([(0.0, 9.0)])) == 0.0


def test_the_best_offset_puts_two_places_equally_far_to_either_side() -> None:
    """Places 3 and 7 with gaps of 20: lines and middles lie every 10 mm, so that 5 is 2 mm off
    both; with gaps of 8, every 4 mm, both are met."""
    offsets, worst = best_offset(np.array([3.0, 7.0]), np.array([20.0, 8.0]))
    assert offsets.tolist() == [5.0, 3.0] and worst.tolist() == [2.0, 0.0]
    each, _ = best_offset(np.array([[3.0, 7.0], [1.0, 1.0]]), np.array([20.0, 20.0]))
    assert each.tolist() == [5.0, 1.0]
