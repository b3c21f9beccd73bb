"""Time at the machine: stitches over speed, and every act beside it."""

from __future__ import annotations

import pytest

from quiltpath.project.sewing_sections import TimeSection
from quiltpath.stitching import place
from quiltpath.stitching.thread_and_time import sewing_time
from tests.stitching.sewing import QUILTING, runs_of, serpentine

STITCHING_ONLY = TimeSection(
    stitches_per_minute=600.0, start=0.0, stop=0.0, pivot=0.0, bobbin_change=0.0
)


def test_15560_stitches_at_600_a_minute_take_26_minutes() -> None:
    """49.8 m at 3.2 mm, the worked example of a 2200 x 320 mm runner."""
    assert round(49_800 / 3.2, -1) == 15_560
    time = sewing_time(15_560, 126, 40, 2, STITCHING_ONLY)
    assert time.sewing_min == pytest.approx(26, abs=0.1)
    assert time.stitching_min == time.sewing_min


def test_a_minute_at_1050_stitches_and_12_to_the_inch_sews_87_5_inches() -> None:
    """ "Stitch length", generations-quilt-patterns.com."""
    setting = QUILTING.replaced(length=25.4 / 12, shortest=2.0, longest=2.3)
    stitches = place(runs_of([(0, 0), (87.5 * 25.4, 0)]), setting)
    fast = STITCHING_ONLY.replaced(stitches_per_minute=1050.0)
    time = sewing_time(stitches.stitch_count, 1, stitches.pivots, 1, fast)
    assert time.sewing_min == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("act", "seconds", "minutes"),
    [
        ("start", 10.0, 12 * 10 / 60),
        ("stop", 5.0, 12 * 5 / 60),
        ("pivot", 2.0, 30 * 2 / 60),
        ("bobbin_change", 120.0, 2 * 120 / 60),  # the first of 3 bobbins is there already
    ],
)
def test_each_act_adds_its_own_time(act: str, seconds: float, minutes: float) -> None:
    setting = STITCHING_ONLY.replaced(**{act: seconds})
    without = sewing_time(6000, 12, 30, 3, STITCHING_ONLY)
    assert without.sewing_min == pytest.approx(10.0)
    assert sewing_time(6000, 12, 30, 3, setting).sewing_min == pytest.approx(10.0 + minutes)


def test_the_parts_add_up() -> None:
    setting = TimeSection(
        stitches_per_minute=600.0, start=10.0, stop=5.0, pivot=2.0, bobbin_change=120.0
    )
    time = sewing_time(9000, 8, 21, 3, setting)
    parts = (
        time.stitching_min,
        time.starts_and_stops_min,
        time.pivots_min,
        time.bobbin_changes_min,
    )
    assert parts == pytest.approx((15.0, 2.0, 0.7, 4.0))
    assert time.sewing_min == pytest.approx(21.7)


def test_nothing_to_sew_takes_no_time() -> None:
    assert (
        sewing_time(
            0,
            0,
            0,
            0,
            TimeSection(stitches_per_minute=600, start=10, stop=5, pivot=2, bobbin_change=120),
        ).sewing_min
        == 0.0
    )


def test_a_pivot_is_a_corner_inside_a_run() -> None:
    """Seven lines there and back turn twice at each of six ends, secured or not."""
    for secured in (False, True):
        stitches = place(runs_of(serpentine(7), [(0, 500), (900, 500)], secured=secured), QUILTING)
        assert stitches.pivots == 12
