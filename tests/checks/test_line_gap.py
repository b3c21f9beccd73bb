"""The line gap and the circle are two figures: quilters ask for both."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box

from quiltpath.checks import line_gap, widest_gaps
from tests.checks.drawings import parallel

RUNNER = box(0, 0, 800, 320)


def gap_mm(lines: list[LineString]) -> float:
    gap = line_gap(lines)
    assert gap is not None
    return gap.distance_mm


@given(spacing=st.floats(5, 90), angle=st.floats(0, 180))
@settings(max_examples=40, deadline=None)
def test_even_lines_have_their_spacing_as_line_gap(spacing: float, angle: float) -> None:
    assert gap_mm(parallel(spacing, RUNNER, angle)) == pytest.approx(spacing, abs=1e-3)


def test_a_grid_with_a_line_deleted_has_twice_the_line_gap_and_the_old_circle() -> None:
    """Quilters' example: in a 40 mm grid the deletion gives line gap 80, circle still 40."""
    grid = parallel(40, RUNNER, 90) + parallel(40, RUNNER)
    fewer = [line for line in grid if {line.coords[0][1], line.coords[1][1]} != {160.0}]
    gap = line_gap(fewer)
    assert gap is not None
    assert gap.distance_mm == pytest.approx(80)
    assert gap.at_mm[1] == pytest.approx(160)
    assert gap.angle_deg == pytest.approx(0)
    assert widest_gaps(fewer, RUNNER).widest_mm == pytest.approx(40, abs=0.05)


def test_the_wider_family_of_a_plaid_counts() -> None:
    assert gap_mm(parallel(30, RUNNER) + parallel(55, RUNNER, 90)) == pytest.approx(55)


def test_a_line_interrupted_by_a_motif_is_still_one_line() -> None:
    hole = Point(400, 160).buffer(70)
    lines = [
        LineString(part.coords)
        for line in parallel(20, RUNNER)
        for part in getattr(line.difference(hole), "geoms", [line.difference(hole)])
    ]
    assert gap_mm(lines) == pytest.approx(20)


def test_blocks_filled_at_different_phases_do_not_hide_each_others_gaps() -> None:
    """Left block has lines at 0, 60, 120 ..., the right one at 30, 90 ...: the gap is 60."""
    left = [LineString([(0, y), (390, y)]) for y in range(0, 321, 60)]
    right = [LineString([(410, y), (800, y)]) for y in range(30, 321, 60)]
    assert gap_mm(left + right) == pytest.approx(60)


def test_drawing_direction_does_not_matter() -> None:
    lines = parallel(25, RUNNER, 30)
    turned = [line.reverse() if i % 2 else line for i, line in enumerate(lines)]
    assert gap_mm(turned) == pytest.approx(25, abs=1e-3)


def test_curves_and_single_lines_have_no_line_gap() -> None:
    assert line_gap([]) is None
    assert line_gap([LineString([(0, 0), (800, 0)])]) is None
    assert line_gap([Point(0, 0).buffer(50).exterior, Point(0, 0).buffer(70).exterior]) is None


@pytest.mark.parametrize("angle", [0.0, 20.0, 75.0, 90.0, 130.0, 179.0])
@pytest.mark.parametrize("backwards", [False, True])
def test_the_widest_gap_is_told_with_its_middle_and_its_slope(
    angle: float, backwards: bool
) -> None:
    """Rows at 0, 10, 25 and 31 across, 100 long, turned about the origin: the gap of 15 has its
    middle half way along and at 17.5 across."""
    turn = np.radians(angle)
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    lines = []
    for at in (25.0, 0.0, 31.0, 10.0):
        ends = [at * across, at * across + 100 * along]
        lines.append(LineString(ends[::-1] if backwards else ends))
    found = line_gap(lines)
    assert found is not None
    assert found.distance_mm == pytest.approx(15.0)
    assert np.array(found.at_mm) @ across == pytest.approx(17.5)
    assert 0 < np.array(found.at_mm) @ along < 100
    assert abs((found.angle_deg - angle + 90) % 180 - 90) < 1e-6


def test_neighbours_are_told_apart_stretch_by_stretch() -> None:
    """A short row stands between two long ones over part of their length: where it does not, they
    are neighbours, and the middle lies there."""
    rows = [[(0, 0), (100, 0)], [(0, 30), (100, 30)], [(0, 14), (60, 14)]]
    found = line_gap([LineString(row) for row in rows])
    assert found is not None
    assert (found.distance_mm, found.at_mm) == (30.0, (80.0, 15.0))
    beside = line_gap([LineString(row) for row in ([(0, 0), (40, 0)], [(50, 9), (90, 9)])])
    assert beside is None, "rows that never lie beside each other have no gap"


def two_rows(slope_deg: float, apart: float = 30.0) -> list[LineString]:
    """A level row of 100 mm and one above its middle that slopes by so much."""
    run = 50 * np.array([np.cos(np.radians(slope_deg)), np.sin(np.radians(slope_deg))])
    middle = np.array([50.0, apart])
    return [LineString([(0, 0), (100, 0)]), LineString([middle - run, middle + run])]


@pytest.mark.parametrize(
    ("slope", "parallel_rows"),
    [
        (0, True),
        (0.09, True),
        (-0.09, True),
        (179.95, True),
        (0.12, False),
        (45, False),
        (90, False),
    ],
)
def test_rows_are_parallel_to_a_tenth_of_a_degree(slope: float, parallel_rows: bool) -> None:
    found = line_gap(two_rows(slope))
    assert (found is not None) == parallel_rows
    if found is not None:
        assert found.distance_mm == pytest.approx(30.0, abs=0.01)


def test_each_family_is_taken_whole() -> None:
    """Two level rows 30 apart, two upright ones 55 apart, two slanting ones 40 apart."""
    rows = parallel(300, box(0, 0, 100, 100), first=10)[:1] + parallel(300, RUNNER, first=40)[:1]
    upright = [LineString([(x, 0), (x, 90)]) for x in (300, 355)]
    slanting = [LineString([(x, 0), (x + 80, 80)]) for x in (500, 500 + 40 * 2**0.5)]
    for drawing in (rows, rows + upright, rows + upright + slanting):
        assert gap_mm(drawing) == pytest.approx(55.0 if len(drawing) > 2 else 30.0)
    assert gap_mm(rows + slanting) == pytest.approx(40.0)


@pytest.mark.parametrize(("off", "one"), [(0.04, True), (0.06, False)])
def test_pieces_that_hardly_stand_off_from_each_other_are_one_line(off: float, one: bool) -> None:
    """A short row stands above the break between two pieces: beside one line, or beside none."""
    pieces = [LineString([(0, 0), (40, 0)]), LineString([(60, off), (100, off)])]
    found = line_gap([*pieces, LineString([(45, 10), (55, 10)])])
    assert (found is not None) == one


@pytest.mark.parametrize(("bend", "straight"), [(0.02, True), (0.03, False)])
def test_a_line_bent_by_less_than_a_needle_point_is_straight(bend: float, straight: bool) -> None:
    bent = LineString([(0, 30), (50, 30 + bend), (100, 30)])
    assert (line_gap([LineString([(0, 0), (100, 0)]), bent]) is not None) == straight


@pytest.mark.parametrize(("length", "counts"), [(0.9, False), (1.1, True)])
def test_a_piece_of_a_millimetre_or_less_is_no_line(length: float, counts: bool) -> None:
    piece = LineString([(50, 30), (50 + length, 30)])
    assert (line_gap([LineString([(0, 0), (100, 0)]), piece]) is not None) == counts
