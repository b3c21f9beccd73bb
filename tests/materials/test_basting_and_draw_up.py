"""Pins, spray, wadding joins, and what quilting takes."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.materials.basting import BastingSetting, baste, herringbone, pins, spray_sections
from quiltpath.materials.draw_up import measured_share, quilting_share, squaring_up
from quiltpath.units import MM_PER_INCH

IN = MM_PER_INCH


@given(st.floats(100, 3000), st.floats(100, 600))
def test_pins_are_no_more_than_a_hand_apart(length: float, width: float) -> None:
    """Common practice: 3 to 4 in; one fewer either way would be wider."""
    plan = pins(length, width)
    assert max(plan.apart_along_mm, plan.apart_across_mm) <= 4 * IN + 1e-6
    assert plan.along == 1 or length / (plan.along - 1) > 4 * IN
    assert plan.count == plan.along * plan.across


def test_spray_goes_by_halves_in_goes_of_twenty_inches() -> None:
    """Common practice. 72 in: two halves of 36 in, each in two goes of 18 in."""
    assert spray_sections(72 * IN) == pytest.approx([18 * IN, 36 * IN, 54 * IN, 72 * IN])


@given(st.floats(200, 4000))
def test_one_go_of_spray_ends_in_the_middle_and_none_is_longer_than_20_inches(
    length: float,
) -> None:
    ends = [0.0, *spray_sections(length)]
    goes = [b - a for a, b in itertools.pairwise(ends)]
    assert max(goes) <= 20 * IN + 1e-6
    assert any(end == pytest.approx(length / 2) for end in ends)


def test_herringbone_stitches_are_half_an_inch_apart_and_near_the_join() -> None:
    """Common practice: 1/2 in apart, 1/4 to 1/2 in from the join. 15 in: 30 spaces, 31 stitches."""
    plan = herringbone(15 * IN)
    assert plan.stitches == 31
    slant = math.hypot(0.375, 0.75)
    assert plan.thread_mm == pytest.approx(30 * slant * IN + 31 * IN / 8 + 200)


def test_no_join_no_stitches() -> None:
    assert herringbone(0.0).stitches == 0


def test_tape_is_as_long_as_the_joins() -> None:
    assert baste(2200, 320, 500, BastingSetting()).tape_mm == 500
    sewn = baste(2200, 320, 500, BastingSetting("spray", wadding_join="herringbone"))
    assert sewn.tape_mm == 0 and sewn.stitches is not None and sewn.pins is None


@given(st.floats(0.1, 300))
def test_quilting_draws_up_one_to_three_percent_and_more_when_dense(density: float) -> None:
    """Common practice: often 1 to 3 percent, more when dense."""
    share = quilting_share(density)
    assert 0.01 <= share <= 0.05
    assert quilting_share(density * 1.5) >= share


def test_lines_two_inches_and_half_an_inch_apart_stand_for_the_trade_s_figures() -> None:
    """Parallel lines d apart make 1 / d of seam to the square metre (plane geometry)."""
    assert quilting_share(1 / 0.0508) == pytest.approx(0.01, abs=0.0005)
    assert quilting_share(1 / 0.0127) == pytest.approx(0.03, abs=0.0005)
    assert quilting_share(0) == 0


def test_a_sample_that_was_measured_says_more() -> None:
    assert measured_share(300, 294) == pytest.approx(0.02)
    with pytest.raises(ValueError, match="grow"):
        measured_share(300, 310)


def test_squaring_up_trims_to_the_shortest_and_the_narrowest() -> None:
    """Three lengths and three widths: the true rectangle is what all of them have."""
    squared = squaring_up([2190, 2186, 2188], [318, 316, 317])
    assert (squared.length_mm, squared.width_mm) == (2186, 316)
    assert (squared.length_off_mm, squared.width_off_mm) == (4, 2)
    assert squared.scale_from(2200, 320) == pytest.approx((2186 / 2200, 316 / 320))


def test_squaring_up_needs_measurements() -> None:
    with pytest.raises(ValueError, match="at least one"):
        squaring_up([], [300])
