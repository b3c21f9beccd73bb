"""Pins, spray, wadding joins, and what quilting takes."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.materials.basting import baste, herringbone, pins, spray_sections
from quiltpath.materials.draw_up import quilting_share, shares_taken_up, squaring_up
from quiltpath.project.materials_sections import BastingSection, SwatchSection
from quiltpath.units import MM_PER_INCH

IN = MM_PER_INCH


@given(st.floats(100, 3000), st.floats(100, 600))
def test_pins_are_no_more_than_a_hand_apart(length: float, width: float) -> None:
    """Common practice: 3 to 4 in; one fewer either way would be wider."""
    plan = pins(length, width, 4 * IN)
    assert max(plan.apart_along_mm, plan.apart_across_mm) <= 4 * IN + 1e-6
    assert plan.along == 1 or length / (plan.along - 1) > 4 * IN
    assert plan.across == 1 or width / (plan.across - 1) > 4 * IN
    assert plan.count == plan.along * plan.across


@pytest.mark.parametrize(
    ("width", "across"), [(0.1, 1), (4.0, 1), (4.1, 2), (8.0, 2), (8.1, 3), (14.0, 4)]
)
def test_a_row_of_pins_more_comes_where_a_hand_no_longer_reaches(width: float, across: int) -> None:
    """Counted by hand at 4 in: half a space from the edge, so that one row holds 4 in."""
    plan = pins(12 * IN, width * IN, 4 * IN)
    assert (plan.along, plan.across) == (3, across)
    assert (plan.apart_along_mm, plan.apart_across_mm) == pytest.approx(
        (4 * IN, width * IN / across)
    )


def test_spray_goes_by_halves_in_goes_of_twenty_inches() -> None:
    """Common practice. 72 in: two halves of 36 in, each in two goes of 18 in."""
    assert spray_sections(72 * IN, 20 * IN) == pytest.approx([18 * IN, 36 * IN, 54 * IN, 72 * IN])


@pytest.mark.parametrize(
    ("length", "ends"),
    [
        (2.0, [1, 2]),
        (40.0, [20, 40]),
        (41.0, [10.25, 20.5, 30.75, 41]),
        (80.0, [20, 40, 60, 80]),
    ],
)
def test_a_half_takes_one_go_up_to_twenty_inches(length: float, ends: list[float]) -> None:
    """Divided by hand: 40 in are two halves of one go each, 41 in take two goes a half."""
    assert spray_sections(length * IN, 20 * IN) == pytest.approx([end * IN for end in ends])


@given(st.floats(200, 4000))
def test_one_go_of_spray_ends_in_the_middle_and_none_is_longer_than_20_inches(
    length: float,
) -> None:
    ends = [0.0, *spray_sections(length, 20 * IN)]
    goes = [b - a for a, b in itertools.pairwise(ends)]
    assert max(goes) <= 20 * IN + 1e-6
    assert any(end == pytest.approx(length / 2) for end in ends)


def test_herringbone_stitches_are_half_an_inch_apart_and_near_the_join() -> None:
    """Common practice: 1/2 in apart, 1/4 to 1/2 in from the join. 15 in: 30 spaces, 31 stitches."""
    plan = herringbone(15 * IN)
    assert plan.stitches == 31
    slant = math.hypot(0.375, 0.75)
    assert plan.thread_mm == pytest.approx(30 * slant * IN + 31 * IN / 8 + 200)


@pytest.mark.parametrize(("join", "stitches"), [(0.25, 2), (0.5, 2), (0.6, 3), (1.0, 3)])
def test_the_last_herringbone_stitch_lies_at_the_join_s_end(join: float, stitches: int) -> None:
    """One at its start, then one for every half inch that is begun."""
    plan = herringbone(join * IN)
    assert (plan.stitches, plan.join_mm) == (stitches, join * IN)


def test_tape_is_as_long_as_the_joins() -> None:
    taped = baste(2200, 320, 500, BastingSection())
    assert taped.tape_mm == 500 and taped.stitches is None and taped.sections_mm == ()
    sewn = baste(2200, 320, 500, BastingSection(method="spray", wadding_join="herringbone"))
    assert sewn.tape_mm == 0 and sewn.stitches == herringbone(500) and sewn.pins is None


def test_wadding_in_one_piece_is_neither_taped_nor_stitched() -> None:
    for join in ("tape", "herringbone"):
        whole = baste(2200, 320, 0.0, BastingSection(wadding_join=join))
        assert (whole.tape_mm, whole.stitches) == (0.0, None)


def test_the_layers_are_pinned_and_sprayed_as_far_apart_as_is_asked_for() -> None:
    """72 x 14 in by hand: at 3 in 24 x 5 pins, at 4 in 18 x 4; goes of 9 in are four to a half,
    of 20 in two."""
    close = BastingSection(pins_apart=3 * IN, at_a_go=9 * IN)
    pinned, usual = (baste(72 * IN, 14 * IN, 0, s).pins for s in (close, BastingSection()))
    assert pinned and usual
    assert (pinned.along, pinned.across, usual.along, usual.across) == (24, 5, 18, 4)
    sprayed = BastingSection(method="spray", pins_apart=3 * IN, at_a_go=9 * IN)
    assert len(baste(72 * IN, 14 * IN, 0, sprayed).sections_mm) == 8
    assert len(baste(72 * IN, 14 * IN, 0, BastingSection(method="spray")).sections_mm) == 4


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


@pytest.mark.parametrize(
    ("density", "share"),
    [(1, 0.01), (20, 0.01), (50, 0.02), (80, 0.03), (110, 0.04), (140, 0.05), (200, 0.05)],
)
def test_the_share_rises_evenly_between_the_trade_s_figures_and_no_further_than_5_percent(
    density: float, share: float
) -> None:
    """By hand: 1 percent up to 20 m a square metre, one more for every 30 m, 5 at most."""
    assert quilting_share(density) == pytest.approx(share)


def test_a_sample_that_was_measured_says_more() -> None:
    """6 of 300 mm are 2 percent; a sample does not grow."""
    swatch = SwatchSection(spacing=25, before=(300, 300), quilted=(294, 300))
    assert shares_taken_up(swatch) == pytest.approx([0.02, 0])
    with pytest.raises(ValueError, match="grew"):
        SwatchSection(spacing=25, before=(300, 300), quilted=(310, 300))


def test_squaring_up_trims_to_the_shortest_and_the_narrowest() -> None:
    """Three lengths and three widths: the true rectangle is what all of them have."""
    squared = squaring_up([2190, 2186, 2188], [318, 316, 317])
    assert (squared.length_mm, squared.width_mm) == (2186, 316)
    assert (squared.length_off_mm, squared.width_off_mm) == (4, 2)
    assert squared.scale_from(2200, 320) == pytest.approx((2186 / 2200, 316 / 320))


@pytest.mark.parametrize(
    ("lengths", "widths"),
    [([], [300]), ([2200], []), ([2200, 0], [300]), ([2200], [300, -1])],
)
def test_squaring_up_needs_measurements(lengths: list[float], widths: list[float]) -> None:
    with pytest.raises(ValueError, match="at least one length and one width, above 0"):
        squaring_up(lengths, widths)


def test_one_measurement_each_way_is_the_rectangle_itself() -> None:
    squared = squaring_up([0.5], [0.25])
    assert (squared.length_mm, squared.width_mm) == (0.5, 0.25)
    assert (squared.length_off_mm, squared.width_off_mm) == (0, 0)
