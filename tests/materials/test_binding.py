"""Binding arithmetic against published rules, which differ in what they allow."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.materials.binding import (
    BindingSetting,
    bias_pieces,
    continuous_bias_length,
    cut_strips,
    joined_length,
    laid_length,
    square_for_bias,
    strip_length_needed,
    strips_needed,
)
from quiltpath.materials.cloth import Cloth
from quiltpath.units import MM_PER_INCH

IN = MM_PER_INCH


def test_strips_with_the_joins_taken_off_the_cloth() -> None:
    """ "How to calculate the number of strips to bind a quilt", castillejacotton, 2013:
    50 x 60 in, 40 in cloth, 2 in a strip lost: 220 / 38 = 5.79, so 6.

    Each strip loses a join because the closing join loses one too: our overlap.
    """
    setting = BindingSetting(strip_mm=2 * IN, allowance_mm=2 * IN)
    needed = strip_length_needed(220 * IN, 4, setting)
    assert strips_needed(needed.total_mm, 40 * IN, setting.join_mm) == 6


@pytest.mark.parametrize("strips", range(1, 12))
def test_that_published_rule_holds_at_its_turning_points(strips: int) -> None:
    """Perimeter / 38 rounded up, just below and just above each whole number (same source)."""
    setting = BindingSetting(strip_mm=2 * IN, allowance_mm=2 * IN)
    for perimeter in (38 * strips - 0.1, 38 * strips + 0.1):
        total = strip_length_needed(perimeter * IN, 4, setting).total_mm
        assert strips_needed(total, 40 * IN, setting.join_mm) == math.ceil(perimeter / 38)


@pytest.mark.parametrize(("width", "length"), [(50, 60), (14, 72), (40, 40), (90, 108)])
def test_strips_with_two_feet_of_allowance(width: int, length: int) -> None:
    """ "How much fabric for binding", quicktipssewing, 2011: (width + length) x 2 + 24 over 40,
    rounded up, times 2 1/2 in of cloth."""
    setting = BindingSetting(strip_mm=2.5 * IN, allowance_mm=24 * IN, join_loss_mm=0.0)
    needed = strip_length_needed(2 * (width + length) * IN, 4, setting)
    strips = cut_strips(needed.total_mm, [Cloth("binding", 40 * IN)], 2.5 * IN, 0.0)
    published = math.ceil((2 * (width + length) + 24) / 40)
    assert len(strips.lengths_mm) == published
    assert strips.cloth_mm == (("binding", pytest.approx(published * 2.5 * IN)),)


def test_two_hand_widths_of_allowance() -> None:
    """quiltingboard.com, post 8276918: 64 in square and 16 in are 272 in."""
    setting = BindingSetting(allowance_mm=16 * IN)
    assert strip_length_needed(4 * 64 * IN, 4, setting).total_mm == pytest.approx(272 * IN)


def test_the_worked_runner_takes_six_strips() -> None:
    """People who quilt: 2200 x 320 mm and 250 mm are 5290 mm, 6 strips of 1020 mm cloth."""
    setting = BindingSetting(allowance_mm=250.0)
    needed = strip_length_needed(2 * (2200 + 320), 4, setting)
    assert needed.total_mm == 5290
    assert strips_needed(needed.total_mm, 1020, setting.join_mm) == 6


def test_the_parts_of_our_own_allowance_are_the_trade_s() -> None:
    """Common practice: overlap of one strip width, 8 in open, and something for each mitre."""
    setting = BindingSetting(strip_mm=2.25 * IN)
    needed = strip_length_needed(5000, 4, setting)
    assert needed.overlap_mm == pytest.approx(2.25 * IN)
    assert needed.handling_mm == pytest.approx(8 * IN)
    assert needed.mitres_mm == pytest.approx(4 * IN / 8)
    assert laid_length(5000, 4, setting) == pytest.approx(needed.total_mm - 8 * IN)


def test_single_fold_strips_are_four_seams_wide() -> None:
    """Common practice: 1/2 in seam, 2 in strip; the wadding's 1/8 in leaves 3/8 in to turn."""
    setting = BindingSetting(fold="single", seam_mm=IN / 2)
    assert setting.width_mm == pytest.approx(2 * IN)
    assert setting.turn_under_mm == pytest.approx(3 / 8 * IN)


def test_double_fold_strips_are_two_and_a_quarter_to_two_and_a_half() -> None:
    """Common practice: 2 1/4 to 2 1/2 in with a 1/4 in seam, as the cover of the seam grows."""
    assert BindingSetting().width_mm == pytest.approx(2.25 * IN)
    assert BindingSetting(cover_mm=3 / 8 * IN).width_mm == pytest.approx(2.5 * IN)


def test_bias_strip_from_a_square() -> None:
    """ "Continuous bias binding", mydecozo.co.uk: 20 in square, 2 in strip: 200 in."""
    assert continuous_bias_length(20 * IN, 2 * IN) == pytest.approx(200 * IN)


@pytest.mark.parametrize(
    ("length", "strip", "side"),
    [(250, 2, 23), (55, 2.5, 12)],
)
def test_square_for_a_bias_strip(length: float, strip: float, side: float) -> None:
    """mydecozo.co.uk: 250 in of 2 in, root 22.36, so 23 in. getasquiltingstudio.com, 2018:
    55 in of 2 1/2 in, root 11.73, so 12 in."""
    assert square_for_bias(length * IN, strip * IN) == pytest.approx(side * IN)


def test_bias_from_a_rectangle_is_its_area_over_the_width() -> None:
    assert continuous_bias_length(300, 50, 600) == pytest.approx(300 * 600 / 50)


@given(st.floats(500, 20_000), st.floats(30, 90), st.floats(300, 800))
def test_a_bias_square_gives_what_is_needed(total: float, width: float, side: float) -> None:
    assert continuous_bias_length(square_for_bias(total, width), width) >= total - 1e-6
    assert joined_length(bias_pieces(total, side, width), width) >= total - 1e-6


@given(st.floats(100, 30_000), st.floats(150, 3000), st.floats(0, 100))
def test_the_fewest_strips_are_enough_and_one_less_is_not(
    total: float, strip: float, join: float
) -> None:
    count = strips_needed(total, strip, join)
    assert joined_length([strip] * count, join) >= total - 1e-3
    assert count == 1 or joined_length([strip] * (count - 1), join) < total


@given(st.floats(100, 10_000))
def test_a_longer_binding_never_needs_fewer_strips(total: float) -> None:
    assert strips_needed(2 * total, 1016, 57) >= strips_needed(total, 1016, 57)


def test_a_strip_no_longer_than_its_join_is_refused() -> None:
    with pytest.raises(ValueError, match="longer"):
        strips_needed(1000, 50, 57)


def test_cloth_at_hand_is_used_before_cloth_is_bought() -> None:
    """A 120 mm piece gives two 57 mm strips; 2 x 1100 + 2 x 1016 - 3 joins = 4061 mm."""
    at_hand, bolt = Cloth("remnant", 1100, 120), Cloth("bolt", 1016)
    strips = cut_strips(4000, [bolt, at_hand], 57, 57)
    assert strips.cloths == ("remnant", "remnant", "bolt", "bolt")
    assert strips.enough


def test_too_little_cloth_at_hand_is_said() -> None:
    strips = cut_strips(4000, [Cloth("remnant", 1100, 120)], 57, 57)
    assert len(strips.lengths_mm) == 2 and not strips.enough
