"""The bobbin is changed at a run's end, before it is empty."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.checks import CheckLimits
from quiltpath.checks.needle_checks import bobbin_changes, bobbin_findings
from quiltpath.stitching import PointKind
from tests.checks.sewing import sewn, stitches_of

LIMITS = CheckLimits(bobbin_reserve=0.0)


def test_the_change_comes_at_the_last_run_end_that_one_bobbin_reaches() -> None:
    """Ten runs of 100 stitches at 10 mm a stitch; 3.5 m sew three runs and a half."""
    work = stitches_of(*[sewn(100, 10.0 * row) for row in range(10)])
    changes = bobbin_changes(work, 0.01, 3.5)
    assert changes.after_run == (2, 5, 8)
    assert changes.runs_out == ()


def test_a_bobbin_that_is_just_enough_is_used_to_its_end() -> None:
    work = stitches_of(*[sewn(100, 10.0 * row) for row in range(6)])
    assert bobbin_changes(work, 0.01, 3.0).after_run == (2,)
    assert bobbin_changes(work, 0.01, 6.0).after_run == ()


def test_a_run_that_takes_more_than_a_bobbin_starts_with_a_full_one() -> None:
    work = stitches_of(sewn(50), sewn(250, 10.0), sewn(20, 20.0))
    changes = bobbin_changes(work, 0.01, 1.0)
    assert changes.after_run == (0,)
    ends = work.points[list(changes.runs_out)]
    assert np.allclose(ends, [[300, 10], [600, 10]])  # 100 and 200 stitches of 3 mm on


@given(
    runs=st.lists(st.integers(1, 60), min_size=1, max_size=25),
    holds=st.integers(1, 100),
)
@settings(max_examples=100, deadline=None)
def test_no_bobbin_is_asked_for_more_than_it_holds_and_none_is_wasted(
    runs: list[int], holds: int
) -> None:
    """Brute force: sew stitch by stitch, change as told, and never find the bobbin empty."""
    work = stitches_of(*[sewn(count, 5.0 * row) for row, count in enumerate(runs)])
    changes = bobbin_changes(work, 1.0, float(holds))
    left, filled = holds, 1
    for index in range(len(work)):
        if work.is_stitch[index]:
            assert left > 0, "the bobbin ran out unforeseen"
            left -= 1
        ends_run = index + 1 == len(work) or work.run[index + 1] != work.run[index]
        change_here = ends_run and int(work.run[index]) in changes.after_run
        if change_here or index in changes.runs_out:
            left, filled = holds, filled + 1
    if max(runs) <= holds:
        assert changes.runs_out == ()
        assert filled == _fewest(runs, holds)


def _fewest(runs: list[int], holds: int) -> int:
    """Fewest bobbins for runs that may not be divided, in order: dynamic programming."""
    best = [0] + [10**9] * len(runs)
    for last in range(1, len(runs) + 1):
        for first in range(last):
            if sum(runs[first:last]) <= holds:
                best[last] = min(best[last], best[first] + 1)
    return best[-1]


def test_findings_say_after_which_run_and_where() -> None:
    work = stitches_of(*[sewn(100, 10.0 * row) for row in range(5)])
    (finding,) = bobbin_findings(work, 0.01, 2.0, LIMITS)
    assert finding.code == "bobbin-change" and "after numbers 2, 4" in finding.message
    assert finding.at_mm == (300, 10)


def test_a_run_that_outlasts_the_bobbin_is_named_with_the_place() -> None:
    (finding,) = bobbin_findings(stitches_of(sewn(150)), 0.01, 1.0, LIMITS)
    assert finding.code == "bobbin-outlasted" and finding.message.startswith("number 1 takes")
    assert finding.at_mm == (300, 0)


def test_a_reserve_is_left_on_the_bobbin() -> None:
    work = stitches_of(sewn(98), sewn(2, 10.0))
    assert bobbin_findings(work, 0.01, 1.0, LIMITS) == ()
    (finding,) = bobbin_findings(work, 0.01, 1.0, CheckLimits(bobbin_reserve=0.02))
    assert "after number 1" in finding.message


def test_one_bobbin_that_is_enough_is_not_mentioned() -> None:
    assert bobbin_findings(stitches_of(sewn(100)), 0.0043, 60.0, CheckLimits()) == ()
    assert bobbin_findings(stitches_of(), 0.0043, 60.0, CheckLimits()) == ()


def test_a_bobbin_without_thread_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one stitch"):
        bobbin_changes(stitches_of(sewn(5)), 0.01, 0.001)


@pytest.mark.parametrize(
    ("runs", "words"),
    [
        ((90, 90), "change it after number 1"),
        ((90, 90, 90), "change it after numbers 1, 2"),
        ((150,), "number 1 takes more than a bobbin, of which 1 m can be counted on;"),
        ((150,), "it runs out 1 time within a line"),
        ((250,), "number 1 takes more than a bobbin, of which 1 m can be counted on;"),
        ((250,), "it runs out 2 times within a line"),
        ((150, 250), "numbers 1, 2 take more than a bobbin, of which 1 m can be counted on;"),
        ((150, 250), "it runs out 3 times within a line"),
    ],
)
def test_one_and_several_are_told_apart(runs: tuple[int, ...], words: str) -> None:
    """A bobbin of 1 m sews 100 stitches of 10 mm."""
    work = stitches_of(*[sewn(count, 10.0 * row) for row, count in enumerate(runs)])
    found = bobbin_findings(work, 0.01, 1.0, LIMITS)
    assert any(words in finding.message for finding in found)


def test_the_first_of_several_places_is_the_one_told() -> None:
    """The second run outlasts two bobbins: after 100 and 200 of its stitches of 3 mm."""
    work = stitches_of(sewn(50), sewn(250, 10.0), sewn(250, 20.0))
    change, outlasted = bobbin_findings(work, 0.01, 1.0, LIMITS)
    assert change.at_mm == (150, 0)
    assert outlasted.at_mm == (300, 10)


def test_securing_stitches_take_thread_too() -> None:
    """Two securing stitches before 99 of the set length: 101, one more than the bobbin sews."""
    work = stitches_of(sewn(101))
    kind = work.kind.copy()
    kind[1:3] = PointKind.SECURING
    secured = dataclasses.replace(work, kind=kind)
    assert secured.stitch_count == 101
    assert bobbin_changes(secured, 0.01, 1.01).runs_out == ()
    assert bobbin_changes(secured, 0.01, 1.0).runs_out == (100,)
