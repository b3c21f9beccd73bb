"""Thread against published worked examples of lockstitch (ISO 4915, type 301)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.stitching import Stitches, place
from quiltpath.stitching.thread_and_time import (
    ThreadSetting,
    ThreadUse,
    bobbin_mm_along,
    thread_use,
)
from tests.stitching.sewing import QUILTING, TAILS, runs_of, serpentine

BARE = ThreadSetting(
    thickness_mm=1.0,
    diameter_mm=0.0,
    wastage_share=0.0,
    bobbin_m=60.0,
    tail_mm=100.0,
    needle_factor=None,
    bobbin_factor=None,
)


def seam(length_mm: float, stitch_mm: float) -> Stitches:
    setting = QUILTING.replaced(length=stitch_mm, shortest=0.9 * stitch_mm, longest=1.1 * stitch_mm)
    return place(runs_of([(0, 0), (length_mm, 0)]), setting)


def both(use: ThreadUse) -> float:
    return use.needle_m + use.bobbin_m


def test_a_seam_of_a_hundredth_of_an_inch_at_10_to_the_inch_takes_2_2_inches_an_inch() -> None:
    """A. K. Das, "How to Calculate the Amount of Sewing Thread Consumption", 2015."""
    setting = replace(BARE, thickness_mm=0.01 * 25.4)
    use = thread_use(seam(254.0, 2.54), 0, setting)
    assert both(use) / 0.254 == pytest.approx(2.2)


@given(st.floats(0.1, 4.0), st.floats(1.5, 5.0), st.integers(10, 500))
def test_both_threads_follow_the_textbook_formula(
    thickness_mm: float, stitch_mm: float, number: int
) -> None:
    """C = 2 + 2 T S ("Sewing Thread Consumption Guide for Professional", textileblog.com)."""
    length = number * stitch_mm
    use = thread_use(seam(length, stitch_mm), 0, replace(BARE, thickness_mm=thickness_mm))
    stitches_per_mm = 1 / stitch_mm
    assert both(use) * 1000 / length == pytest.approx(2 + 2 * thickness_mm * stitches_per_mm)


def test_at_the_ratio_of_type_301_220_cm_of_seam_take_550_cm() -> None:
    """Ratio 1 : 2.5, split evenly (apparelscience.com); worked example: melgeecrafts.com."""
    setting = replace(BARE, needle_factor=1.25, bobbin_factor=1.25)
    assert both(thread_use(seam(2200.0, 3.2), 0, setting)) == pytest.approx(5.5)


def test_a_seam_of_15_cm_that_gave_19_5_cm_of_needle_thread_calibrates_the_estimate() -> None:
    """Factor 1.3; 100 cm of seam takes 130 cm ("Measuring actual thread consumption",
    apparelscience.com)."""
    setting = replace(BARE, needle_factor=19.5 / 15)
    assert thread_use(seam(1000.0, 3.2), 0, setting).needle_m == pytest.approx(1.3)


def test_the_test_seam_replaces_the_geometry_whatever_the_thickness() -> None:
    """1 m of seam that used 1.46 m of needle thread."""
    for thickness in (0.2, 1.0, 3.0):
        setting = replace(BARE, needle_factor=1.46, thickness_mm=thickness)
        use = thread_use(seam(10_000.0, 3.2), 0, setting)
        assert use.needle_m == pytest.approx(14.6)
        assert use.source == "test seam"
    assert thread_use(seam(10_000.0, 3.2), 0, BARE).source == "geometry"


def test_a_balanced_stitch_takes_as_much_below_as_above() -> None:
    geometry = thread_use(seam(5000.0, 3.2), 0, BARE)
    assert geometry.needle_m == geometry.bobbin_m
    measured = thread_use(seam(5000.0, 3.2), 0, replace(BARE, needle_factor=1.4))
    assert measured.bobbin_m == measured.needle_m == pytest.approx(7.0)
    loose = thread_use(seam(5000.0, 3.2), 0, replace(BARE, needle_factor=1.5, bobbin_factor=1.2))
    assert (loose.needle_m, loose.bobbin_m) == pytest.approx((7.5, 6.0))


def test_49_8_m_at_3_mm_through_1_mm_take_66_m_of_each_thread() -> None:
    """Path x (1 + thickness / stitch), the worked example of a 2200 x 320 mm runner."""
    use = thread_use(seam(49_800.0, 3.0), 0, BARE)
    assert use.needle_m == pytest.approx(66.4)
    assert use.bobbin_m == pytest.approx(66.4)
    assert use.bobbins == 2


@pytest.mark.parametrize("share", [0.10, 0.15])
def test_wastage_is_added_on_top(share: float) -> None:
    """10 to 15 percent for breaks, ends and repairs (apparelscience.com)."""
    bare = thread_use(seam(8000.0, 3.2), 4, BARE)
    wasted = thread_use(seam(8000.0, 3.2), 4, replace(BARE, wastage_share=share))
    assert wasted.needle_m == pytest.approx(bare.needle_m * (1 + share))
    assert wasted.bobbin_m == pytest.approx(bare.bobbin_m * (1 + share))


def test_shorter_stitches_take_more_thread() -> None:
    """Stitch density matters most (Malek et al., Autex Research Journal 20 (4), 2020; Chauhan
    and Ghosh: stitch length explains 92 percent of the variation)."""
    used = [thread_use(seam(9000.0, s), 0, BARE).needle_m for s in (2.0, 2.5, 3.0, 3.5)]
    assert used == sorted(used, reverse=True)


def test_thicker_thread_takes_more_thread() -> None:
    """Malek et al., as above: the thread's diameter adds to the way through the seam."""
    thin, thick = (
        thread_use(seam(9000.0, 3.0), 0, replace(BARE, diameter_mm=d)).needle_m for d in (0.0, 0.3)
    )
    assert thick - thin == pytest.approx(3000 * 0.3 / 1000)


def test_each_tail_is_a_hand_of_thread_above_and_below() -> None:
    """About 100 mm each to bury (common practice): 2 runs, 4 ends."""
    stitches = place(runs_of([(0, 0), (320, 0)], [(0, 9), (320, 9)], secured=True), TAILS)
    use = thread_use(stitches, 4, BARE)
    assert use.tails_m == pytest.approx(0.8)
    assert use.needle_m == pytest.approx((2 * 320 + 200 * 1.0 + 400) / 1000)
    assert use.bobbin_m == use.needle_m
    wasted = thread_use(stitches, 4, replace(BARE, wastage_share=0.5))
    assert wasted.tails_m == use.tails_m, "what is left to bury, before wastage"


@pytest.mark.parametrize("side", ["needle_factor", "bobbin_factor"])
def test_one_side_that_was_measured_stands_for_both(side: str) -> None:
    use = thread_use(seam(5000.0, 3.2), 0, replace(BARE, **{side: 1.4}))
    assert use.needle_m == use.bobbin_m == pytest.approx(7.0)
    assert use.source == "test seam"


def test_securing_takes_more_thread_than_the_same_way_sewn_plainly() -> None:
    plain = place(runs_of([(0, 0), (320, 0)]), QUILTING)
    held = place(runs_of([(0, 0), (320, 0)], secured=True), QUILTING)
    assert held.stitched_mm == pytest.approx(plain.stitched_mm)
    more = thread_use(held, 0, BARE).needle_m - thread_use(plain, 0, BARE).needle_m
    assert more == pytest.approx((held.stitch_count - plain.stitch_count) * 1.0 / 1000)
    assert more > 0


@pytest.mark.parametrize(
    ("bobbin_m", "bobbins"), [(100.0, 1), (66.4, 1), (66.3, 2), (33.2, 2), (50.0, 2), (20.0, 4)]
)
def test_bobbins_to_wind(bobbin_m: float, bobbins: int) -> None:
    use = thread_use(seam(49_800.0, 3.0), 0, replace(BARE, bobbin_m=bobbin_m))
    assert use.bobbins == bobbins


def test_nothing_sewn_takes_no_thread() -> None:
    use = thread_use(place(runs_of(), QUILTING), 0, BARE)
    assert (use.needle_m, use.bobbin_m, use.bobbins) == (0.0, 0.0, 0)


@pytest.mark.parametrize("factor", [None, 1.4])
def test_thread_used_so_far_ends_at_all_of_it(factor: float | None) -> None:
    setting = replace(BARE, bobbin_factor=factor, wastage_share=0.1)
    stitches = place(runs_of(serpentine(9), [(0, 500), (900, 500)], secured=True), QUILTING)
    along = bobbin_mm_along(stitches, setting)
    assert (np.diff(along) >= 0).all()
    assert along[0] == 0.0
    assert along[-1] == pytest.approx(thread_use(stitches, 0, setting).bobbin_m * 1000)
