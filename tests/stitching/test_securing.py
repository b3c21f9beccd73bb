"""Thread that starts or ends inside the quilt is held; thread that runs off the edge is not."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import LineString

from quiltpath.stitching import PointKind, Stitches, place
from quiltpath.stitching.path import securing_zones
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
    setting = QUILTING.replaced(securing_count=count, securing_length=0.8)
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


BOTH = [[True, True]]


@pytest.mark.parametrize(
    ("length", "corners", "secured", "zones"),
    [
        (100, [], BOTH, (6, 94)),
        (100, [], [[True, False]], (6, 100)),
        (100, [], [[False, True]], (0, 94)),
        (100, [], [[False, False]], (0, 100)),
        (9, [], BOTH, (3, 6)),  # a third of a short run to each end
        (60, [7.5], [[True, False]], (7.5, 60)),  # 1.5 mm to the corner is no stitch: to the corner
        (60, [9], [[True, False]], (6, 60)),  # 3 mm is one
        (60, [9.6], [[True, False]], (6.1, 60)),  # 3.6 mm is one stitch of 3.5 and 0.1 more
        (60, [16.6], [[True, False]], (6.1, 60)),  # 10.6 mm are three of 3.5 and 0.1 more
        (60, [5.6], [[True, False]], (5.6, 60)),  # a corner just passed, by less than half a stitch
        (60, [5.4], [[True, False]], (6, 60)),
        (60, [52.5], [[False, True]], (0, 52.5)),  # the same from the other end
        (60, [50.4], [[False, True]], (0, 53.9)),
        (60, [54.4], [[False, True]], (0, 54.4)),
        (60, [54.6], [[False, True]], (0, 54)),
    ],
)
def test_securing_ends_where_stitches_within_the_bounds_can_begin(
    length: float, corners: list[float], secured: list, zones: tuple[float, float]
) -> None:
    """Six tiny stitches of 1 mm, then stitches of 3 to 3.5 mm up to the next corner (by hand)."""
    low, high = securing_zones(
        np.array([0.0, length]), np.array(corners, float), np.array(secured), QUILTING
    )
    assert (low[0], high[0]) == pytest.approx(zones)


def test_runs_are_secured_each_by_itself() -> None:
    """Runs of 50, 9 and 40 mm on one tape: their ends are corners to their neighbours."""
    low, high = securing_zones(
        np.array([0.0, 50, 59, 99]),
        np.zeros(0),
        np.array([[True, True], [True, True], [False, True]]),
        QUILTING,
    )
    assert low == pytest.approx([6, 53, 59])
    assert high == pytest.approx([44, 56, 93])


@pytest.mark.parametrize("corner", [1.5, 5.8, 7.5])
def test_with_tails_sewing_goes_from_end_to_end_wherever_the_corners_are(corner: float) -> None:
    low, high = securing_zones(
        np.array([0.0, 60]), np.array([corner, 60 - corner]), np.array(BOTH), TAILS
    )
    assert (low[0], high[0]) == (0, 60)


def test_tiny_stitches_round_a_bend_are_even_along_the_line() -> None:
    """2 mm straight, then round a circle of 2 mm: six millimetres in six stitches, each measured
    along the line, though those round the bend are a little shorter from hole to hole."""
    turn = np.linspace(0, np.pi, 400)
    bend = 2 + 2 * np.sin(turn), 2 - 2 * np.cos(turn)
    path = np.concatenate([[(0.0, 0.0)], np.column_stack(bend), [(-40.0, 4.0)]])
    stitches = place(runs_of(path, secured=[[True, False]]), QUILTING)
    along = shapely.line_locate_point(LineString(path), shapely.points(holes(stitches)[:7]))
    assert along == pytest.approx([0, 1, 2, 3, 4, 5, 6], abs=1e-3)
    assert tiny(stitches)[:2] == pytest.approx([1, 1])
    assert tiny(stitches)[2:].max() < 0.995


def test_securing_belongs_to_no_line_s_stitches_but_is_thread_all_the_same() -> None:
    """Six tiny stitches at each end of 60 mm, 15 of 3.2 mm between; travel and trim sew nothing."""
    stitches = place(runs_of([(10, 0), (70, 0)], [(0, 9), (32, 9)], secured=BOTH * 2), QUILTING)
    first = stitches.run == 0
    assert np.count_nonzero(stitches.is_stitch & first) == 15
    assert stitches.stitch_count == 12 + 15 + 12 + np.count_nonzero(stitches.is_stitch & ~first)
    assert stitches.stitched_mm == pytest.approx(60 + 32)
    assert stitches.travel_mm == pytest.approx(np.hypot(70, 9))
    assert len(stitches.needle_holes) == stitches.stitch_count + 2
    commands = stitches.kind >= PointKind.TRAVEL
    assert (stitches.line[commands] == -1).all() and (stitches.stretch[commands] == -1).all()
    assert stitches.line[~commands & (stitches.stretch >= 0)].tolist() == [0] * 27 + [1] * (
        stitches.stitch_count - 27
    )
    assert stitches.step_mm[0] == 0.0
