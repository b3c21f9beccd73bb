"""Polylines with as few vertices as a tolerance allows: against brute force and closed forms."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.geometry.polyline_simplification import simplify_polylines
from tests.formats.designs import along, wander


def thinned(points: np.ndarray, tolerance: float) -> np.ndarray:
    return points[simplify_polylines(points, np.array([0, len(points)]), tolerance)]


def _within(points: np.ndarray, kept: tuple[int, ...], tolerance: float) -> bool:
    """Whether each vertex left out is near the segment that passes over it."""
    for low, high in itertools.pairwise(kept):
        segment = shapely.LineString(points[[low, high]])
        between = shapely.points(points[low : high + 1])
        if shapely.distance(between, segment).max() > tolerance:
            return False
    return True


def brute_force(points: np.ndarray, tolerance: float) -> int:
    """The least number of vertices over all choices of them that keep both ends."""
    inner = range(1, len(points) - 1)
    for count in range(len(points) - 1):
        for chosen in itertools.combinations(inner, count):
            if _within(points, (0, *chosen, len(points) - 1), tolerance):
                return count + 2
    return len(points)


places = st.tuples(st.integers(0, 8), st.integers(0, 5))


@given(corners=st.lists(places, min_size=2, max_size=9), tolerance=st.floats(0.02, 3.0))
@settings(deadline=None, max_examples=300)
def test_no_fewer_vertices_would_do(corners: list[tuple[int, int]], tolerance: float) -> None:
    """Small polylines, also such that turn back on themselves or stand still: every choice tried.
    The tolerance is no distance of a grid point from a line between two others."""
    points = np.array(corners, dtype=float)
    tolerance += 1e-4 / np.pi
    kept = np.flatnonzero(simplify_polylines(points, np.array([0, len(points)]), tolerance))
    assert kept[0] == 0 and kept[-1] == len(points) - 1
    assert _within(points, tuple(kept.tolist()), tolerance + 1e-6)
    assert len(kept) == brute_force(points, tolerance)


@given(seed=st.integers(0, 10_000), tolerance=st.floats(0.01, 5.0))
@settings(deadline=None, max_examples=60)
def test_curves_keep_within_the_tolerance_with_no_more_points_than_a_greedy_way(
    seed: int, tolerance: float
) -> None:
    """Douglas and Peucker's method (Cartographica 10, 1973), by GEOS, is the one to be beaten."""
    points = wander(seed, 250)
    kept = np.flatnonzero(simplify_polylines(points, np.array([0, len(points)]), tolerance))
    assert _within(points, tuple(kept.tolist()), tolerance + 1e-6)
    greedy = shapely.simplify(shapely.LineString(points), tolerance, preserve_topology=False)
    assert len(kept) <= shapely.get_num_coordinates(greedy)


def test_lines_side_by_side_are_each_as_if_alone() -> None:
    lines = [wander(seed, 60 + 10 * seed) for seed in range(6)] + [along((0, 0), (90, 0))]
    start = np.cumsum([0, *map(len, lines)])
    together = simplify_polylines(np.vstack(lines), start, 0.3)
    for line, low, high in zip(lines, start[:-1], start[1:], strict=True):
        alone = simplify_polylines(line, np.array([0, len(line)]), 0.3)
        assert together[low:high].sum() == alone.sum()


def test_an_arc_takes_the_chords_that_its_tolerance_asks_for() -> None:
    """All vertices on the arc, so a chord may stray by its sagitta r (1 - cos(a / 2)): a half
    circle of 300 mm with 1500 vertices within 0.05 mm. The longest chord in whole vertices, by
    hand: a = 2 acos(1 - 0.05 / 300) = 0.036516 rad, which is 17.4 of 1499 steps; 1499 / 17 = 88.2,
    so 89 chords and 90 vertices."""
    turn = np.linspace(0, np.pi, 1500)
    arc = 300 * np.column_stack([np.cos(turn), np.sin(turn)])
    assert len(thinned(arc, 0.05)) == 90


def test_a_line_there_and_back_keeps_its_far_end() -> None:
    out = along((0, 0), (600, 20))
    there_and_back = np.vstack([out, out[-2::-1]])
    assert thinned(there_and_back, 0.05).tolist() == [[0, 0], [600, 20], [0, 0]]


@pytest.mark.parametrize("count", [1, 2])
def test_a_line_of_one_or_two_points_stays(count: int) -> None:
    points = along((0, 0), (3.2, 0))[:count]
    assert len(thinned(points, 0.05)) == count
