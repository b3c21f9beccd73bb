"""Swirls against the closed form of Archimedes' spiral, flames by another library's curves."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from scipy.interpolate import BPoly
from shapely.geometry import LineString, Point

from quiltpath.patterns.frame import Frame
from quiltpath.patterns.scrolls import LEAN, LEFT, RIGHT, flames, swirls
from tests.patterns.runners import layer


def arm_mm(radius: float, turns: float) -> float:
    """Length of r = k t from the middle out: k / 2 (t sqrt(1 + t^2) + asinh t), any textbook."""
    t = 2 * math.pi * turns
    return radius / t / 2 * (t * math.sqrt(1 + t * t) + math.asinh(t))


@pytest.mark.parametrize(("turns", "rows"), [(1.25, 1), (0.75, 2), (2.0, 3)])
def test_swirls_of_100_mm_are_two_arms_each_and_one_line(turns: float, rows: int) -> None:
    (line,) = swirls(layer("swirls", size=100, turns=turns), Frame(400, 100 * rows))
    drawn = LineString(line)
    expected = rows * 4 * 2 * arm_mm(50, turns) + (rows - 1) * 100
    assert drawn.length == pytest.approx(expected, rel=2e-4)
    assert drawn.is_simple
    assert np.allclose(line[0], (0, 50)) and drawn.bounds == pytest.approx(
        (0, drawn.bounds[1], 400, 100 * rows - drawn.bounds[1]), abs=0.5
    )


def test_the_arms_of_a_swirl_keep_their_distance() -> None:
    """From the middle outwards a line meets an arm every radius / (2 x turns)."""
    asked = layer("swirls", size=100, turns=2)
    (line,) = swirls(asked, Frame(100, 100))
    for degrees in (20, 75, 160, 290):
        way = np.radians(degrees)
        ray = LineString([(50, 50), (50 + 45 * math.cos(way), 50 + 45 * math.sin(way))])
        met = shapely.get_parts(shapely.intersection(ray, LineString(line)))
        far = np.sort([Point(50, 50).distance(point) for point in met])
        assert np.diff(far[far > 0.1]) == pytest.approx(asked.apart_mm, abs=0.05)
    assert asked.apart_mm == 12.5


def test_a_swirl_leads_into_the_next_and_one_row_into_the_other_without_a_corner() -> None:
    (line,) = swirls(layer("swirls", size=80), Frame(320, 240))
    way = np.diff(line, axis=0)
    way = way[np.hypot(*way.T) > 1e-6]
    heading = np.degrees(np.arctan2(way[:, 1], way[:, 0]))
    turn = np.abs((np.diff(heading) + 180) % 360 - 180)
    # Where a row ends the line stands off the upright by what the spiral still opens.
    opens = math.degrees(math.atan(1 / (2 * math.pi * 1.25)))
    assert turn.max() < opens + 5
    assert np.count_nonzero(turn > opens - 3) <= 2 * 2 + 12 * 6


def test_flames_are_the_curves_of_another_library() -> None:
    rows = flames(layer("flames", size=100, tall=1.5), Frame(500, 300))
    tongue = [BPoly(side[:, None] * (100, 150), [0, 1]) for side in (LEFT, RIGHT)]
    true = np.concatenate([side(np.linspace(0, 1, 4000)) for side in tongue])
    second = LineString(rows[1])
    first_tongue = LineString(np.add(true, (100 * (LEAN - 1), 75)))
    assert shapely.distance(shapely.points(first_tongue.coords), second).max() < 0.05


@pytest.mark.parametrize("tall", [0.8, 1.4, 2.5])
def test_flames_touch_at_their_tips_and_nowhere_else(tall: float) -> None:
    """Each valley stands on a tip of the row below; no line crosses another or itself."""
    rows = [LineString(row) for row in flames(layer("flames", size=60, tall=tall), Frame(600, 400))]
    assert len(rows) >= 3 and all(row.is_simple for row in rows)
    for below, above in itertools.pairwise(rows):
        tips = shapely.get_coordinates(below)
        tips = tips[np.isclose(tips[:, 1], tips[:, 1].max(), atol=1e-6)]
        inside = tips[(tips[:, 0] > 5) & (tips[:, 0] < 595)]
        assert len(inside) >= 8
        assert shapely.distance(shapely.points(inside), above).max() < 1e-6
        apart = shapely.segmentize(below, 1.0)
        points = shapely.get_coordinates(apart)
        near = shapely.distance(shapely.points(points), above) < 0.02
        at_tips = shapely.distance(shapely.points(points[near]), shapely.MultiPoint(tips))
        assert at_tips.max(initial=0.0) < 2.0
