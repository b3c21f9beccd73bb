"""The middle line of a strip or a border, against the plane geometry of rounded rectangles."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.bands_along_strips import Spine, spine_of

OUTER = box(10, 20, 410, 320)
BORDER = OUTER.difference(box(70, 80, 350, 260))
"""400 x 300 mm with a band of 60: its middle is a rectangle of 340 x 240."""


def spine(shape: Polygon, inset: float = 6.0, turned: bool = False) -> Spine:
    found = spine_of(Patch("border", shape), inset, turned)
    assert found is not None
    return found


def line(found: Spine, aside: float = 0.0, count: int = 4001) -> np.ndarray:
    along = np.linspace(0, float(found.arc[-1]), count)
    return found.at(along, np.full(count, aside))


RADIUS = 30 + 2 * 6.0
MIDDLE = box(40, 50, 380, 290).buffer(-RADIUS).buffer(RADIUS, quad_segs=400)


def test_the_spine_of_a_border_is_its_middle_with_rounded_corners() -> None:
    """Corners are as round as half the band and two insets: 42 mm."""
    found = spine(BORDER)
    assert found.closed and found.half_width == 24.0
    straights = 2 * (340 - 2 * RADIUS) + 2 * (240 - 2 * RADIUS)
    assert found.arc[-1] == pytest.approx(straights + 2 * math.pi * RADIUS)
    points = line(found)
    assert shapely.distance(MIDDLE.exterior, shapely.points(points)).max() < 0.01
    assert np.hypot(*np.diff(points, axis=0).T).max() < 1.01 * found.arc[-1] / 4000
    assert Polygon(points).exterior.is_ccw
    assert (points[0] == (40 + RADIUS, 50)).all()


@pytest.mark.parametrize("aside", [-24.0, -7.0, 11.0, 24.0])
def test_what_lies_aside_lies_to_the_left_of_the_way(aside: float) -> None:
    """Inwards on an anticlockwise way, at the same distance all round."""
    points = shapely.points(line(spine(BORDER), aside))
    assert shapely.distance(MIDDLE.exterior, points) == pytest.approx(abs(aside), abs=0.01)
    assert shapely.contains(MIDDLE, points).all() == (aside > 0)
    assert shapely.covers(BORDER, points).all()


def test_the_corners_of_a_border_are_marked_in_their_middles() -> None:
    """45 degrees round each bend; the last mark is the first again, one round later."""
    found = spine(BORDER)
    at = found.at(found.marks, np.zeros(5))
    reach = RADIUS * (1 - math.sqrt(0.5))
    wanted = [(380, 50), (380, 290), (40, 290), (40, 50), (380, 50)]
    signs = [(-1, 1), (-1, -1), (1, -1), (1, 1), (-1, 1)]
    assert np.allclose(at, np.array(wanted) + reach * np.array(signs))
    assert found.marks[4] - found.marks[0] == pytest.approx(found.arc[-1])


def test_a_stretch_is_straight_where_it_meets_no_corner() -> None:
    found = spine(BORDER)
    side = 340 - 2 * RADIUS
    assert found.on_a_straight(1, side - 1)
    assert not found.on_a_straight(1, side + 5)
    assert not found.on_a_straight(side + 1, side + 20)
    quarter = math.pi / 2 * RADIUS
    assert found.on_a_straight(side + quarter + 1, side + quarter + 240 - 2 * RADIUS - 1)
    total = float(found.arc[-1])
    assert found.on_a_straight(total + 1, total + side - 1), "round once more"


def test_a_border_too_narrow_for_its_insets_holds_nothing() -> None:
    assert spine_of(Patch("border", BORDER), 29.0, False) is None
    assert spine_of(Patch("border", BORDER), 28.9, False) is not None


@pytest.mark.parametrize(
    ("shape", "turned", "start", "end", "half"),
    [
        (box(10, 20, 210, 60), False, (16, 40), (204, 40), 14),
        (box(10, 20, 50, 220), False, (30, 26), (30, 214), 14),
        (box(10, 20, 210, 60), True, (110, 26), (110, 54), 94),
        (box(10, 20, 60, 70), False, (16, 45), (54, 45), 19),
    ],
)
def test_the_spine_of_a_strip_runs_along_it_from_inset_to_inset(
    shape: Polygon, turned: bool, start: tuple, end: tuple, half: float
) -> None:
    found = spine(shape, turned=turned)
    assert not found.closed and found.half_width == half
    assert found.marks.tolist() == [0, math.dist(start, end)]
    points = line(found, count=5)
    assert np.allclose(points[[0, -1]], [start, end])
    left = found.at(np.array([1.0]), np.array([3.0]))[0]
    way = LineString([start, end])
    assert Point(left).distance(way) == pytest.approx(3)
    cross = (end[0] - start[0]) * (left[1] - start[1]) - (end[1] - start[1]) * (left[0] - start[0])
    assert cross > 0
    assert found.on_a_straight(0, found.arc[-1])
    assert not found.on_a_straight(-1, 5) and not found.on_a_straight(5, found.arc[-1] + 1)


@pytest.mark.parametrize(("length", "room"), [(21.9, False), (22.1, True)])
def test_a_strip_needs_10_mm_between_its_insets(length: float, room: bool) -> None:
    strip = Patch("sashing 1", box(0, 0, 20, length))
    assert (spine_of(strip, 6, length < 20) is not None) == room


@pytest.mark.parametrize(("length", "width"), [(100, 100), (100, 160), (160, 100)])
def test_a_small_border_is_as_round_as_its_shorter_side_allows(length: float, width: float) -> None:
    """A band of 40 mm whose middle line is 60 mm across: half circles of 30, not corners of 32."""
    whole = box(0, 0, length, width)
    found = spine(whole.difference(box(40, 40, length - 40, width - 40)))
    straights = 2 * (length - 100) + 2 * (width - 100)
    assert found.arc[-1] == pytest.approx(straights + 2 * math.pi * 30)
    assert np.abs(found.bend).max() == pytest.approx(1 / 30)
    low = line(found).min(axis=0)
    assert low == pytest.approx((20, 20), abs=0.01)
