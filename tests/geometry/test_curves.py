"""True curves as chords: as near as 0.02 mm, no finer than need be, and the right way round."""

from __future__ import annotations

import math

import numpy as np
import pytest

from quiltpath.geometry.curves import STRAY_MM, arc, arc_between, arc_steps, circle, round_corners


def stray(points: np.ndarray, centre: np.ndarray, radius: float) -> np.ndarray:
    """How far each chord's middle lies inside the circle."""
    middles = (points[1:] + points[:-1]) / 2
    return radius - np.hypot(*(middles - centre).T)


@pytest.mark.parametrize("radius", [0.5, 3.0, 40.0, 900.0])
@pytest.mark.parametrize(("start", "end"), [(0, 90), (30, -100), (0, 360), (170, 190)])
def test_chords_stray_by_two_hundredths_at_most_and_are_no_more_than_needed(
    radius: float, start: float, end: float
) -> None:
    """A chord over an angle t strays by r (1 - cos(t / 2))."""
    points = arc((7.0, -3.0), radius, start, end)
    centre = np.array([7.0, -3.0])
    assert np.hypot(*(points - centre).T) == pytest.approx(np.full(len(points), radius))
    assert stray(points, centre, radius).max() <= STRAY_MM * (1 + 1e-9)
    chords = len(points) - 1
    fewer = math.radians(abs(end - start)) / max(1, chords - 1)
    assert chords == 2 or radius * (1 - math.cos(fewer / 2)) > STRAY_MM
    turns = np.degrees([math.radians(start), math.radians(end)])
    for point, turn in zip(points[[0, -1]], turns, strict=True):
        way = np.array([math.cos(math.radians(turn)), math.sin(math.radians(turn))])
        assert np.allclose(point, centre + radius * way)
    after = points[1] - points[0]
    outwards = points[0] - centre
    anticlockwise = outwards[0] * after[1] - outwards[1] * after[0] > 0
    assert anticlockwise == (end > start)


def test_a_dot_is_four_chords() -> None:
    assert arc_steps(STRAY_MM, 1.0) == arc_steps(0.001, 6.0) == 4


def test_a_circle_ends_where_it_begins() -> None:
    points = circle((5.0, 6.0), 10.0)
    assert (points[0] == points[-1]).all() and np.allclose(points[0], (15, 6))


@pytest.mark.parametrize("sweep", [-180, -90, -10, 10, 60, 90, 180, 270])
def test_an_arc_between_two_points_bulges_to_the_right_where_it_turns_left(sweep: float) -> None:
    """Chord c: radius c / 2 / sin(half the sweep), centre on the chord's perpendicular."""
    a, b = np.array([2.0, 1.0]), np.array([32.0, 41.0])
    points = arc_between(a, b, sweep)
    half = math.radians(sweep) / 2
    radius = 25 / math.sin(abs(half))
    left = np.array([-40.0, 30.0]) / 50
    centre = (a + b) / 2 + left * math.copysign(radius, sweep) * math.cos(half)
    assert (points[[0, -1]] == [a, b]).all()
    assert np.hypot(*(points - centre).T) == pytest.approx(np.full(len(points), radius))
    assert stray(points, centre, radius).max() <= STRAY_MM * (1 + 1e-9)
    steps = np.hypot(*np.diff(points, axis=0).T)
    assert np.ptp(steps) < 1e-9, "evenly divided"
    assert np.sign((points[1] - a) @ left) == -np.sign(sweep)


@pytest.mark.parametrize("opening", [30.0, 90.0, 150.0])
@pytest.mark.parametrize("side", [-1, 1])
def test_a_corner_gives_way_to_an_arc_that_touches_both_sides(opening: float, side: int) -> None:
    """It begins radius / tan(half the opening) before the corner, and lies in the corner."""
    radius = 5.0
    angle = math.radians(180 - opening) * side
    end = np.array([100 + 100 * math.cos(angle), 100 * math.sin(angle)])
    points = round_corners(np.array([(0.0, 0), (100, 0), end]), radius)
    cut = radius / math.tan(math.radians(opening) / 2)
    assert np.allclose(points[1], (100 - cut, 0)) and np.allclose(points[0], (0, 0))
    assert np.allclose(points[-1], end)
    centre = np.array([100 - cut, radius * side])
    assert np.hypot(*(points[1:-1] - centre).T) == pytest.approx(np.full(len(points) - 2, radius))
    assert np.hypot(*(points[-2] - (100, 0))) == pytest.approx(cut)


def test_short_sides_make_a_smaller_arc() -> None:
    """10 mm to the corner leave 5 for its arc; radius 5 at a right angle, whatever is wished."""
    points = round_corners(np.array([(0.0, 0), (10, 0), (10, 90), (50, 90)]), 30.0)
    assert np.allclose(points[1], (5, 0))
    assert any(np.allclose(point, (10, 5)) for point in points)
    assert any(np.allclose(point, (10, 70)) for point in points), "half of the last side is 20"


def test_what_does_not_turn_stays() -> None:
    straight = np.array([(0.0, 0), (10, 0), (30, 0)])
    assert round_corners(straight, 5.0).tolist() == straight.tolist()
    assert round_corners(straight[:2], 5.0).tolist() == straight[:2].tolist()
    back = np.array([(0.0, 0), (10, 0), (0, 0)])
    assert round_corners(back, 5.0).tolist() == back.tolist()
