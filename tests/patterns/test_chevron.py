"""Chevrons: whole zigzags, legs at one slope and one distance."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from tests.patterns.runners import drawn, plain


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


@pytest.mark.parametrize("anchor", ["centre", "halfway", 40.0])
def test_each_zigzag_turns_up_and_down_about_its_own_level(anchor: str | float) -> None:
    """Legs of 100 mm at 45 degrees: turns 50 mm above and below levels 60 sqrt 2 mm apart.

    A high turn is on the middle, x = 400; the anchor says where one of the levels lies.
    """
    lines = drawn(plain(800, 400), "chevron", angle=45, leg=100, spacing=60, anchor=anchor)
    start = {"centre": 200.0, "halfway": 200 + 30 * np.sqrt(2), 40.0: 40.0}[anchor]
    for line in lines.geometry:
        x, y = shapely.get_coordinates(line).T
        phase = np.abs((x - 400) / 100 % 2 - 1)  # 1 at a high turn, 0 at a low one
        level = y + 50 - 100 * phase - start
        whole = np.round(level / (60 * np.sqrt(2)))
        assert np.allclose(level, whole * 60 * np.sqrt(2), atol=1e-6)
        assert len(np.unique(whole)) == 1
    covered = shapely.union_all(lines.geometry)
    raster = np.stack(np.meshgrid(np.arange(2, 800, 9.0), np.arange(2, 400, 9.0)), axis=-1)
    away = shapely.distance(covered, shapely.points(raster.reshape(-1, 2)))
    assert away.max() < 60, "the zigzags cover the runner from corner to corner"
    assert np.percentile(away, 90) <= 30, "no spot but the corners is farther than half a gap"


def test_distances_that_follow_one_another_are_those_between_legs() -> None:
    """Pairs 20 and 40 mm apart at 45 degrees: levels 20 sqrt 2 and 40 sqrt 2 by turns."""
    lines = drawn(plain(800, 400), "chevron", angle=45, leg=100, spacings=[20, 40])
    whole = [line for line in lines.geometry if line.bounds[0] == 0 and line.bounds[2] == 800]
    level = np.sort([line.bounds[1] for line in whole])
    steps = np.round(np.diff(level) / np.sqrt(2), 6)
    assert len(steps) > 4
    assert set(steps.tolist()) == {20.0, 40.0}
    assert (np.diff(steps) != 0).all(), "by turns"
