"""Several runners on one backing, laid out by hand: what fits, what turns, what is bound to be."""

from __future__ import annotations

import pytest

from quiltpath.errors import InputError
from quiltpath.materials.nesting import MOST, Nesting, nest

SMALL = ("mat", 45.0, 30.0)


def long_of(nested: Nesting) -> float:
    return nested.backing_mm[1]


def test_what_no_runner_covers_is_left_over() -> None:
    """Two mats of 450 by 300 mm on 900 by 650 mm: 270 000 of 585 000 square millimetres are
    covered, and nothing shorter would hold 550 mm and two edges of 100 mm less the strip."""
    nested = nest([("mat", 450.0, 300.0)] * 2, 900.0, apart_mm=100.0, edge_mm=100.0)
    assert nested.waste_share == pytest.approx(315_000 / 585_000)
    assert nested.bound_mm == pytest.approx(650) and nested.is_least
    assert [box for _, box in nested.places] == [(100, 100, 400, 550), (500, 100, 800, 550)]


def test_only_a_layout_as_short_as_its_bound_is_the_least_there_is() -> None:
    for long, least in ((650.0, True), (650.1, False)):
        assert Nesting((), (), (900.0, long), 650.0).is_least is least


@pytest.mark.parametrize("number", [0, MOST + 1])
def test_a_backing_takes_one_runner_to_twenty_four(number: int) -> None:
    with pytest.raises(InputError, match=f"{number} runners; give 1 to 24"):
        nest([SMALL] * number, 200, apart_mm=5, edge_mm=5)


@pytest.mark.parametrize("number", [1, MOST])
def test_one_and_twenty_four_are_laid_out(number: int) -> None:
    """Four of 45 mm lie across 195 mm with a strip of 5 mm between them, so 24 are six rows of 30
    mm with strips between; upright, five abreast, they were five rows of 45."""
    nested = nest([SMALL] * number, 205, apart_mm=5, edge_mm=5)
    rows = -(-number // 4)
    assert len(nested.places) == number and all(nested.turned)
    assert long_of(nested) == pytest.approx(rows * 35 - 5 + 10)


@pytest.mark.parametrize(("width", "fits"), [(110.0, True), (109.9, False)])
def test_a_runner_as_wide_as_the_backing_inside_its_edge_just_fits(
    width: float, fits: bool
) -> None:
    """100 mm and an edge of 5 mm on either side; too long to lie across."""
    if fits:
        nested = nest([("long", 300.0, 100.0)], width, apart_mm=7, edge_mm=5)
        assert nested.backing_mm == pytest.approx((110, 310)) and nested.turned == (False,)
        assert nested.places == (("long", (5, 5, 105, 305)),)
        return
    with pytest.raises(InputError, match=r"long needs 3 7/8 in \(100 mm\)"):
        nest([("long", 300.0, 100.0)], width, apart_mm=7, edge_mm=5)


def test_a_runner_that_fits_only_across_lies_across() -> None:
    """90 mm long and 120 wide on 100 mm: turned it takes 120 mm of length."""
    nested = nest([("wide", 90.0, 120.0)], 100, apart_mm=0, edge_mm=0)
    assert nested.turned == (True,) and nested.backing_mm == (100, 120)
    with pytest.raises(InputError, match="or let them turn"):
        nest([("wide", 90.0, 120.0)], 100, apart_mm=0, edge_mm=0, turns=False)


def test_the_widest_that_does_not_fit_is_named_with_what_it_needs() -> None:
    """The narrower side counts where they may turn: 254 mm are 10 in, and 8 in are left inside
    edges of 1 in. Where they may not, it is the width: 12 in."""
    runners = [("long", 900.0, 100.0), ("broad", 254.0, 304.8), ("small", 50.0, 40.0)]
    with pytest.raises(InputError) as told:
        nest(runners, 254.0, apart_mm=25.4, edge_mm=25.4)
    line = "broad needs 10 in (254 mm), the backing has 8 in (203 mm) inside its edge"
    assert str(told.value) == f"nest: --width: {line}; take a wider backing"
    with pytest.raises(InputError, match=r"broad needs 12 in \(305 mm\)"):
        nest(runners, 254.0, apart_mm=25.4, edge_mm=25.4, turns=False)


def test_runners_of_one_size_lie_some_this_way_and_some_that() -> None:
    """Three of 60 by 40 mm on 100: one upright, 60 long, beside two across, 40 each, takes 80 mm;
    all upright, two abreast, they take 120."""
    nested = nest([("mat", 60.0, 40.0)] * 3, 100, apart_mm=0, edge_mm=0)
    assert long_of(nested) == 80 and sorted(nested.turned) == [False, True, True]
    straight = nest([("mat", 60.0, 40.0)] * 3, 100, apart_mm=0, edge_mm=0, turns=False)
    assert long_of(straight) == 120 and straight.turned == (False,) * 3


def test_runners_as_wide_as_each_other_but_not_as_long_turn_each_for_itself() -> None:
    """On 90 mm the long one lies along it and leaves no room beside it; the short one after it
    takes 60 mm, or 50 across."""
    nested = nest([("short", 60.0, 50.0), ("long", 150.0, 50.0)], 90, apart_mm=0, edge_mm=0)
    assert long_of(nested) == 200 and nested.turned == (True, False)


def test_of_very_many_all_lie_one_way_or_the_other() -> None:
    """Nine of 90 to 98 by 30 mm on 100: three abreast take three rows of more than 90, one across
    the backing after the other nine of 30."""
    runners = [(f"{n}", 90.0 + n, 30.0) for n in range(9)]
    nested = nest(runners, 100, apart_mm=0, edge_mm=0)
    assert all(nested.turned) and long_of(nested) == pytest.approx(270)
    upright = nest(runners, 100, apart_mm=0, edge_mm=0, turns=False)
    assert not any(upright.turned) and 3 * 92 <= long_of(upright) <= 3 * 98


def test_of_very_many_those_that_fit_one_way_only_lie_that_way() -> None:
    """Eight too long to lie across 100 mm, and one too wide to lie along it."""
    runners = [(f"{n}", 150.0 + n, 50.0) for n in range(8)] + [("wide", 60.0, 120.0)]
    nested = nest(runners, 100, apart_mm=0, edge_mm=0)
    assert nested.turned == (*[False] * 8, True)
    with pytest.raises(InputError, match="broad needs"):
        nest([*runners, ("broad", 110.0, 120.0)], 100, apart_mm=0, edge_mm=0)


@pytest.mark.parametrize(
    ("runners", "width", "turns", "bound"),
    [
        # By area: four quarters of a square.
        ([(50, 50)] * 4, 100, True, 100),
        ([(40, 50)] * 5, 100, False, 100),
        # By the longest, or the shorter side of it where it may lie across.
        ([(90, 30), (10, 10)], 100, False, 90),
        ([(90, 30), (10, 10)], 100, True, 30),
        # By those of more than half the width, one after the other; half of it is beside another.
        ([(70, 51), (80, 60), (10, 10)], 100, False, 150),
        ([(70, 51), (80, 60), (10, 10)], 100, True, 111),
        ([(70, 50), (80, 50)], 100, False, 80),
        # Either way round more than half, but shorter across.
        ([(200, 60), (200, 70)], 100, True, 400),
        ([(80, 60), (90, 70)], 100, True, 130),
    ],
)
def test_no_layout_is_shorter_than_the_area_the_longest_or_those_beside_nothing(
    runners: list[tuple[float, float]], width: float, turns: bool, bound: float
) -> None:
    """By hand, without strips: area over the width, the longest, those wider than half."""
    named = [(f"{n}", float(a), float(b)) for n, (a, b) in enumerate(runners)]
    nested = nest(named, width, apart_mm=0, edge_mm=0, turns=turns)
    assert nested.bound_mm == pytest.approx(bound)
    assert long_of(nested) >= bound - 1e-6
