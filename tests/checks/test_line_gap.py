"""The line gap and the circle are two figures: quilters ask for both."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box

from quiltpath.checks.gap import widest_gaps
from quiltpath.checks.line_gap import line_gap
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
