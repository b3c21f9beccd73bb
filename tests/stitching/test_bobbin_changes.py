"""The bobbin is changed at the end of a run, the last before it runs out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from quiltpath.stitching import Stitches, place
from quiltpath.stitching.thread_and_time import bobbin_changes
from tests.stitching.sewing import QUILTING, runs_of
from tests.stitching.test_thread import BARE

THIN = replace(BARE, thickness_mm=0.0)
"""Thread as long as the seam, so that a bobbin's metres are metres of seam."""


def sewn(*lengths_m: float) -> Stitches:
    paths = [[(0, 10 * k), (1000 * length, 10 * k)] for k, length in enumerate(lengths_m)]
    return place(runs_of(*paths), QUILTING.replaced(length=3.2, shortest=2.5, longest=4.0))


def after(lengths_m: list[float], bobbin_m: float) -> list[tuple[int, float]]:
    """Run and metres of that run sewn, at each change."""
    stitches = sewn(*lengths_m)
    changes = bobbin_changes(stitches, replace(THIN, bobbin_m=bobbin_m))
    return [
        (int(stitches.run[at]), round(float(stitches.points[at, 0]) / 1000, 6)) for at in changes
    ]


@pytest.mark.parametrize(
    ("lengths", "bobbin", "changes"),
    [
        ([3, 3, 3], 10, []),
        ([3, 3, 3], 9.001, []),
        ([3, 3, 3, 3], 6.001, [(1, 3)]),
        ([3, 3, 3, 3], 5, [(0, 3), (1, 3), (2, 3)]),
        ([1, 2, 3, 4], 6.001, [(2, 3)]),
        ([4, 3, 2, 1], 6.001, [(0, 4)]),
        ([5, 5, 1], 5.5, [(0, 5), (1, 5)]),
        ([3, 3], 5.999, [(0, 3)]),  # what lacks is less than the last stitch
    ],
)
def test_a_change_comes_at_the_last_run_end_that_the_bobbin_reaches(
    lengths: list[float], bobbin: float, changes: list[tuple[int, float]]
) -> None:
    """Added up by hand."""
    assert after(lengths, bobbin) == changes


def test_a_run_longer_than_a_bobbin_is_stopped_where_it_runs_out() -> None:
    """8 m on bobbins of 3: stops within a stitch of 3 m and 6 m, never beyond."""
    (first, at), (second, again) = after([8], 3)
    assert (first, second) == (0, 0)
    assert 3 - 0.0032 <= at <= 3
    assert at + 3 - 0.0032 <= again <= at + 3


def test_a_long_run_begins_on_a_fresh_bobbin() -> None:
    (before, whole), (inside, at) = after([2, 5], 4)
    assert (before, whole, inside) == (0, 2, 1)
    assert 4 - 0.0032 <= at <= 4


@pytest.mark.parametrize("seed", range(20))
def test_no_plan_has_fewer_changes(seed: int) -> None:
    """Against every way to part the runs into bobbins (dynamic programming over run ends)."""
    rng = np.random.default_rng(seed)
    lengths = np.round(rng.uniform(0.3, 3, rng.integers(2, 9)), 2).tolist()
    bobbin = 3.005
    least = [0] + [99] * len(lengths)
    for end in range(1, len(lengths) + 1):
        for begin in range(end):
            if sum(lengths[begin:end]) <= bobbin:
                least[end] = min(least[end], least[begin] + 1)
    changes = after(lengths, bobbin)
    assert len(changes) == least[-1] - 1
    assert all(done == pytest.approx(lengths[run]) for run, done in changes)


def test_wastage_and_thickness_count() -> None:
    """Of 4 mm thread a stitch of 2 mm and 2 mm of cloth; a quarter more is wasted: 2.5 a mm."""
    setting = replace(BARE, thickness_mm=2.0, wastage_share=0.25)
    stitches = place(
        runs_of([(0, 0), (1000, 0)], [(0, 9), (1000, 9)]),
        QUILTING.replaced(length=2.0, shortest=1.9, longest=2.1),
    )
    assert len(bobbin_changes(stitches, replace(setting, bobbin_m=5.01))) == 0
    assert len(bobbin_changes(stitches, replace(setting, bobbin_m=4.99))) == 1


@pytest.mark.parametrize(
    ("bobbin", "changes"),
    [
        (2.048, []),
        (2.0475, [(0, 1.024)]),
        (1.024, [(0, 1.024)]),
    ],
)
def test_a_bobbin_is_used_to_its_end_and_no_further(
    bobbin: float, changes: list[tuple[int, float]]
) -> None:
    """Two runs of 256 stitches of 4 mm, added up by hand: half a millimetre less than both is
    one change."""
    fours = QUILTING.replaced(length=4.0, shortest=3.9, longest=4.1)
    stitches = place(runs_of([(0, 0), (1024, 0)], [(0, 10), (1024, 10)]), fours)
    found = bobbin_changes(stitches, replace(THIN, bobbin_m=bobbin))
    assert [
        (int(stitches.run[at]), float(stitches.points[at, 0]) / 1000) for at in found
    ] == changes


def test_nothing_sewn_needs_no_change() -> None:
    assert len(bobbin_changes(sewn(), THIN)) == 0
