"""Spirals and rays in a square, by hand and by the geometry of involutes."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from tests.patterns.runners import drawn, plain


def square(kind: str, side: float = 200.0, **keys: object) -> np.ndarray:
    """The lines of one figure on a square, about its middle."""
    lines = drawn(plain(side + 2, side + 2), kind, inset=1, **keys).geometry
    return shapely.transform(lines, lambda points: points - (side / 2 + 1))


def test_a_square_spiral_drawn_by_hand() -> None:
    """Gaps of 50 in a square of 200: from the middle line out, turning left, and its half turn."""
    (line,) = square("square-spiral", spacing=50)
    arm = np.array([(50, 0), (50, 50), (-100, 50), (-100, -100), (100, -100)], float)
    wanted = shapely.linestrings(np.concatenate([-arm[::-1], arm]))
    assert shapely.hausdorff_distance(line, wanted) < 1e-6
    assert line.length == pytest.approx(wanted.length)


@pytest.mark.parametrize(
    ("spacing", "gap", "turns"),
    [
        (30, 30, 3),
        ("about 30 mm", 100 / 3, 3),
        ("about 28 mm", 25, 4),
        (100, 100, 1),
        ("about 300 mm", 100, 1),
    ],
)
def test_the_lines_of_a_square_spiral_are_one_gap_apart(
    spacing: object, gap: float, turns: int
) -> None:
    """On a plumb line through the middle: at nought, and at whole gaps up and down."""
    (line,) = square("square-spiral", spacing=spacing)
    plumb = shapely.linestrings([(1.0, -120.0), (1.0, 120.0)])
    heights = np.sort(shapely.get_coordinates(shapely.intersection(line, plumb))[:, 1])
    assert heights == pytest.approx(gap * np.arange(-turns, turns + 1), abs=1e-6)
    turned = shapely.transform(line, lambda points: -points)
    assert shapely.hausdorff_distance(line, turned) < 1e-6, "its own half turn"


@pytest.mark.parametrize(
    ("spacing", "gap"), [(20, 20), ("about 21 mm", 20), ("about 24 mm", 25), ("about 90 mm", 100)]
)
def test_a_round_spiral_fills_its_square_to_the_edge(spacing: object, gap: float) -> None:
    """Two involutes of a circle of radius gap / pi, end to end: their ends lie on the circle that
    fits the square, half a turn apart, and each arm is a t^2 / 2 long."""
    (line,) = square("spiral", spacing=spacing)
    ends = np.array(line.coords)[[0, -1]]
    assert np.allclose(ends[0], -ends[1])
    assert np.hypot(*ends.T) == pytest.approx([100, 100], abs=1e-6)
    base = gap / math.pi
    turn = math.sqrt((100 / base) ** 2 - 1)
    assert line.length == pytest.approx(base * turn**2 + 2 * base, rel=2e-3)


@pytest.mark.parametrize("rays", [4, 8, 24])
@pytest.mark.parametrize(("middle", "radius"), [(30.0, 30.0), (90.0, 50.0)])
def test_rays_stand_at_even_angles_between_the_circle_and_the_edge(
    rays: int, middle: float, radius: float
) -> None:
    """Two by two round the circle, which takes up half the square at most."""
    lines = square("radiating", rays=rays, middle=middle)
    assert len(lines) == rays // 2
    angles = []
    for line in lines:
        points = np.array(line.coords)
        outer = points[[0, -1]]
        assert np.abs(outer).max(axis=1) == pytest.approx([100, 100])
        angles += np.degrees(np.arctan2(outer[:, 1], outer[:, 0])).tolist()
        inner = points[1:-1]
        assert np.hypot(*inner.T) == pytest.approx(np.full(len(inner), radius))
        step = np.degrees(np.arctan2(*inner[[0, -1]].T[::-1]))
        assert abs((step[1] - step[0] + 180) % 360 - 180) == pytest.approx(360 / rays)
    assert np.sort(np.array(angles) % 360) == pytest.approx((np.arange(rays) + 0.5) * 360 / rays)


def test_a_square_spiral_in_a_long_cell_turns_as_often_as_its_width_allows() -> None:
    """290 by 200 in gaps of 50: two turns up and down; the middle line takes up the rest."""
    (line,) = drawn(plain(292, 202), "square-spiral", inset=1, spacing=50).geometry
    points = np.array(line.coords) - (146, 101)
    assert np.abs(points).max(axis=0) == pytest.approx([145, 100])
    assert np.unique(np.round(points[:, 1], 6)).tolist() == [-100, -50, 0, 50, 100]
    core = points[np.abs(points[:, 1]) < 1e-6]
    assert np.abs(core[:, 0]) == pytest.approx([95, 95])
