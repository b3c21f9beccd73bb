"""Chevrons: whole zigzags, legs at one slope and one distance."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from tests.quilting.runners import drawn, plain


def test_legs_slope_as_asked_and_turn_on_the_middle() -> None:
    lines = drawn(plain(1000, 300), "chevron", angle=30, leg=50, spacing=25)
    points = shapely.get_coordinates(lines.geometry[len(lines) // 2])
    steps = np.diff(points, axis=0)
    slope = np.degrees(np.arctan(np.abs(steps[:, 1] / steps[:, 0])))
    assert np.allclose(slope, 30)
    assert 500 in np.round(points[:, 0], 6)


def test_about_gives_whole_zigzags_to_the_length() -> None:
    lines = drawn(plain(1000, 300), "chevron", leg="about 70", spacing=60)
    inner = [g for g in lines.geometry if g.bounds[0] == 0 and g.bounds[2] == 1000]
    turns = shapely.get_coordinates(inner[0])[1:-1, 0]
    assert np.allclose(np.diff(turns), 1000 / 14)  # 1000 / 140 is nearest to 7 zigzags
    assert turns[0] == pytest.approx(1000 / 14)


@pytest.mark.parametrize("angle", [20, 45, 70])
def test_the_spacing_is_the_distance_between_legs(angle: float) -> None:
    lines = drawn(plain(1000, 300), "chevron", angle=angle, leg=60, spacing=20)
    whole = [g for g in lines.geometry if g.length > 900]
    middle = shapely.get_coordinates(whole[len(whole) // 2])
    on_a_leg = shapely.points((middle[6] + middle[7]) / 2)
    next_above = min(shapely.distance(on_a_leg, whole[len(whole) // 2 + side]) for side in (-1, 1))
    assert next_above == pytest.approx(20, abs=0.01)
