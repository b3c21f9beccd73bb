"""Thread that starts or ends inside the quilt is held; thread that runs off the edge is not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import LineString

from quiltpath.stitching import PointKind, Stitches, place
from tests.stitching.sewing import QUILTING, TAILS, circle, holes, lengths, runs_of


def tiny(stitches: Stitches) -> np.ndarray:
    return stitches.step_mm[stitches.kind == PointKind.SECURING]


def test_an_end_inside_gets_six_tiny_stitches_of_a_millimetre() -> None:
    """6 to 8 tiny stitches at an inside end, of about 1 mm (common practice)."""
    stitches = place(runs_of([(0, 0), (100, 0)], secured=True), QUILTING)
    assert tiny(stitches) == pytest.approx(np.ones(12))
    kinds = stitches.kind[stitches.kind <= PointKind.SECURING]
    assert (kinds[1:7] == PointKind.SECURING).all()
    assert (kinds[-6:] == PointKind.SECURING).all()
    assert lengths(stitches).sum() == pytest.approx(100 - 12)


@pytest.mark.parametrize(("start", "end"), [(True, False), (False, True), (False, False)])
def test_only_the_ends_that_lie_inside_are_secured(start: bool, end: bool) -> None:
    stitches = place(runs_of([(0, 0), (100, 0)], secured=[[start, end]]), QUILTING)
    at = stitches.points[stitches.kind == PointKind.SECURING]
    assert len(at) == 6 * (start + end)
    assert (at[:, 0] < 50).sum() == 6 * start


def test_tails_add_no_stitches() -> None:
    secured = place(runs_of([(0, 0), (96, 0)], secured=True), TAILS)
    plain = place(runs_of([(0, 0), (96, 0)]), TAILS)
    assert secured.points.tolist() == plain.points.tolist()
    assert len(tiny(secured)) == 0


@pytest.mark.parametrize("count", [2, 4, 8])
def test_count_and_length_of_the_tiny_stitches_are_the_sewers(count: int) -> None:
    setting = replace(QUILTING, securing_count=count, securing_mm=0.8)
    stitches = place(runs_of([(0, 0), (90, 0)], secured=[[True, False]]), setting)
    assert tiny(stitches) == pytest.approx(np.full(count, 0.8))


def test_securing_runs_on_to_a_corner_that_is_less_than_a_stitch_away() -> None:
    """7.5 mm to the corner: six tiny stitches would leave a stitch of 1.5 mm."""
    stitches = place(runs_of([(0, 0), (7.5, 0), (7.5, 60)], secured=[[True, False]]), QUILTING)
    assert [7.5, 0.0] in stitches.points.tolist()
    assert lengths(stitches).min() >= 3.0
    assert tiny(stitches).min() > 0.8


def test_securing_ends_at_a_corner_just_passed() -> None:
    stitches = place(runs_of([(0, 0), (5.8, 0), (5.8, 60)], secured=[[True, False]]), QUILTING)
    assert tiny(stitches).min() > 0.9
    assert tiny(stitches).sum() == pytest.approx(5.8)


@pytest.mark.parametrize("length", [0.5, 1.0, 2.0, 4.0, 7.0, 10.0, 13.0, 16.0, 20.0])
def test_a_short_run_between_two_secured_ends_is_still_sewn_from_end_to_end(length: float) -> None:
    stitches = place(runs_of([(0, 0), (length, 0)], secured=True), QUILTING)
    x = holes(stitches)[:, 0]
    assert x[0] == 0.0
    assert x[-1] == length
    assert (np.diff(x) > 0).all()
    assert np.diff(x).max() <= 3.5
    assert len(stitches.forced_short) == 0


def test_a_secured_ring_is_not_sewn_more_than_twice_through_any_hole() -> None:
    """Four threads in one hole weaken the cloth; a ring meets itself once, at its start."""
    sewn = holes(place(runs_of(circle(30.0), secured=True), QUILTING))
    _, times = np.unique(np.round(sewn, 3), axis=0, return_counts=True)
    assert sorted(times)[-2:] == [1, 2]


@given(
    st.lists(st.tuples(st.integers(-600, 600), st.integers(-600, 600)), min_size=2, max_size=7),
    st.booleans(),
    st.booleans(),
)
def test_securing_never_leaves_the_line_nor_makes_long_stitches(
    tenths: list[tuple[int, int]], start: bool, end: bool
) -> None:
    corners = [(x / 10, y / 10) for x, y in tenths]
    line = LineString(corners)
    assume(line.length > 0)
    stitches = place(runs_of(corners, secured=[[start, end]]), QUILTING)
    sewn = holes(stitches)
    assert shapely.distance(line, shapely.points(sewn)).max() < 1e-6
    assert stitches.step_mm[stitches.kind <= PointKind.SECURING].max() <= 3.5 + 1e-9
    assert stitches.stitched_mm <= line.length + 1e-6
    assert np.allclose(sewn[[0, -1]], [corners[0], corners[-1]], atol=1e-5)
