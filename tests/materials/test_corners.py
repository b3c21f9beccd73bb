"""Corners, mitres and the edge that binding goes round."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from quiltpath.materials.binding_plan import mitre_sheet
from quiltpath.materials.edge_corners import Corner, Edge, edge_of


@pytest.mark.parametrize(("angle", "stop"), [(90, 6.0), (120, 3.5), (60, 10.4)])
def test_the_seam_stops_where_the_two_seam_lines_meet(angle: float, stop: float) -> None:
    """People who quilt: s = 6 mm, s / tan(angle / 2): 90: 6.0; 120: 3.5; 60: 10.4 mm."""
    assert round(Corner((0, 0), 0, angle).stop_mm(6.0), 1) == stop


@given(st.floats(20, 170))
def test_the_stop_is_where_lines_a_seam_inside_the_edges_cross(angle: float) -> None:
    """Construction: lines parallel to both edges, 6 mm inside, cross above the stop."""
    turn = math.radians(angle)
    a, b = np.array([0.0, 1.0]), np.array([-math.sin(turn), math.cos(turn)])
    crossing = np.linalg.solve(np.array([a, -b]), [6.0, 6.0])
    assert Corner((0, 0), 0, angle).stop_mm(6.0) == pytest.approx(abs(crossing[0]), rel=1e-9)


def test_at_a_right_angle_the_first_fold_lies_at_45_degrees() -> None:
    """Common practice: fold the strip up at 45 degrees."""
    assert Corner((0, 0), 0, 90).fold_deg == 45


def test_a_rectangle_has_four_right_angles() -> None:
    edge = edge_of(box(0, 0, 2200, 320))
    assert edge.length_mm == 2 * (2200 + 320)
    assert [corner.angle_deg for corner in edge.corners] == pytest.approx([90] * 4)
    assert not edge.is_curved


def test_a_pointed_runner_has_two_sharp_and_four_blunt_corners() -> None:
    """Points of 90 degrees on a runner cut at 45: four corners of 135 (plane geometry)."""
    points = [(0, 150), (150, 0), (1350, 0), (1500, 150), (1350, 300), (150, 300)]
    rows = mitre_sheet(edge_of(Polygon(points)).corners, 6.0)
    assert [(row.angle_deg, row.corners) for row in rows] == [(90, 2), (135, 4)]
    assert rows[1].stop_mm == pytest.approx(6 / math.tan(math.radians(67.5)))


@given(st.integers(3, 12))
def test_inner_angles_of_a_polygon_add_up(sides: int) -> None:
    """(n - 2) x 180 degrees (Euclid)."""
    around = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    shape = Polygon(np.stack([np.cos(around), np.sin(around)], 1) * 500)
    angles = [corner.angle_deg for corner in edge_of(shape).corners]
    assert sum(angles) == pytest.approx((sides - 2) * 180)


def test_an_inner_corner_is_known_as_one() -> None:
    notched = Polygon([(0, 0), (400, 0), (400, 300), (200, 150), (0, 300)])
    assert [corner.is_inner for corner in edge_of(notched).corners].count(True) == 1


def test_a_curve_has_no_corners_and_asks_for_bias() -> None:
    edge = edge_of(Point(0, 0).buffer(300, 64))
    assert edge.corners == () and edge.is_curved


@given(st.floats(0, 20_000))
def test_a_place_along_the_edge_lies_on_it(along: float) -> None:
    shape = box(0, 0, 2200, 320)
    assert shape.exterior.distance(Point(edge_of(shape).point_at(along))) < 1e-6


def test_which_way_round_the_outline_is_drawn_does_not_matter() -> None:
    points = [(0, 0), (900, 0), (1000, 200), (0, 300)]
    angles = sorted(corner.angle_deg for corner in edge_of(Polygon(points)).corners)
    back = sorted(corner.angle_deg for corner in edge_of(Polygon(points[::-1])).corners)
    assert angles == pytest.approx(back)


def test_the_wished_start_is_the_middle_of_a_long_side() -> None:
    """Common practice: start away from a corner, in the middle of a long side."""
    edge = edge_of(box(0, 0, 2200, 320))
    x, y = edge.point_at(edge.longest_side_middle_mm())
    assert x == pytest.approx(1100) and y in (0, 320)


@pytest.mark.parametrize("begin", range(4))
def test_the_longest_stretch_may_run_through_where_the_outline_begins(begin: int) -> None:
    """A house of 400 by 200 with a gable, drawn from the middle of any of its sides: the ground is
    longest, and its middle is meant."""
    corners = [(0.0, 0.0), (400.0, 0.0), (400.0, 200.0), (200.0, 260.0), (0.0, 200.0)]
    one, two = corners[begin], corners[begin + 1]
    middle = ((one[0] + two[0]) / 2, (one[1] + two[1]) / 2)
    points = [middle, *corners[begin + 1 :], *corners[: begin + 1]]
    edge = edge_of(Polygon(points), 10.0)
    assert len(edge.corners) == 5
    assert edge.point_at(edge.longest_side_middle_mm()) == pytest.approx((200, 0))
    for corner in edge.corners:
        assert edge.point_at(corner.along_mm) == pytest.approx(corner.at_mm)
        assert edge.point_at(corner.along_mm + edge.length_mm) == pytest.approx(corner.at_mm)


@pytest.mark.parametrize(("angle", "inner"), [(90, False), (179, False), (181, True), (270, True)])
def test_a_corner_of_more_than_half_a_turn_turns_inwards(angle: float, inner: bool) -> None:
    """Of 270 degrees as of 90 the seam lines meet one seam from the corner."""
    corner = Corner((0, 0), 0, angle)
    assert corner.is_inner is inner
    assert corner.fold_deg == angle / 2
    if angle % 180 == 90:
        assert corner.stop_mm(6.0) == pytest.approx(6.0)


def test_mitres_of_one_angle_are_one_row_the_sharpest_first() -> None:
    """An L of five corners of 90 degrees and one of 270."""
    shape = Polygon([(0, 0), (400, 0), (400, 100), (100, 100), (100, 300), (0, 300)])
    square, inner = mitre_sheet(edge_of(shape).corners, 6.0)
    assert (square.angle_deg, square.corners, square.fold_deg) == (90, 5, 45)
    assert (inner.angle_deg, inner.corners, inner.fold_deg) == (270, 1, 135)
    assert inner.is_inner and not square.is_inner
    assert square.stop_mm == pytest.approx(6) and inner.stop_mm == pytest.approx(6)


@pytest.mark.parametrize(("sides", "corners"), [(23, 23), (25, 0)])
def test_a_turn_of_less_than_fifteen_degrees_is_part_of_a_curve(sides: int, corners: int) -> None:
    """360 / 23 = 15.7 degrees to a corner, 360 / 25 = 14.4."""
    around = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    shape = Polygon(np.stack([np.cos(around), np.sin(around)], 1) * 500)
    edge = edge_of(shape)
    assert len(edge.corners) == corners
    assert edge.is_curved is (corners == 0)
    assert edge.curve_share == pytest.approx(1.0 if corners == 0 else 0.0)


def test_the_edge_beside_a_gentle_bend_is_curved_and_the_rest_is_straight() -> None:
    """A gable of 10 mm on 400 by 200 mm turns 5.7 degrees: its two sides of hypot(200, 10), of
    400 + 2 x 200 mm and these."""
    gable = edge_of(Polygon([(0, 0), (400, 0), (400, 200), (200, 210), (0, 200)]))
    slope = 2 * math.hypot(200, 10)
    assert len(gable.corners) == 4
    assert gable.length_mm == pytest.approx(800 + slope)
    assert gable.curve_share == pytest.approx(slope / (800 + slope))


@pytest.mark.parametrize(("bent", "curved"), [(19, False), (21, True)])
def test_up_to_a_fiftieth_of_the_edge_may_bend(bent: float, curved: bool) -> None:
    assert Edge(np.zeros((1, 2)), 1000, (), bent / 1000).is_curved is curved


def test_points_that_are_drawn_twice_and_points_on_a_side_are_no_corners() -> None:
    points = [(0, 0), (0, 0), (300, 0), (900, 0), (900, 300), (900, 300), (0, 300)]
    edge = edge_of(Polygon(points))
    assert [corner.at_mm for corner in edge.corners] == [(0, 0), (900, 0), (900, 300), (0, 300)]
    assert [corner.along_mm for corner in edge.corners] == [0, 900, 1200, 2100]
    assert edge.length_mm == 2400 and edge.curve_share == 0


def test_the_edge_runs_anticlockwise_whichever_way_it_was_drawn() -> None:
    """By the sign of its area."""
    points = [(0, 0), (900, 0), (1000, 200), (0, 300)]
    for drawn in (points, points[::-1]):
        assert Polygon(edge_of(Polygon(drawn)).ring).exterior.is_ccw


def test_without_a_corner_the_wished_start_is_half_way_round() -> None:
    edge = edge_of(Point(0, 0).buffer(300, 64))
    assert edge.longest_side_middle_mm() == pytest.approx(edge.length_mm / 2)
