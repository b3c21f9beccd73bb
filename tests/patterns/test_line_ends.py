"""Ends of lines joined inside a region: a half turn into the next line, and nothing else."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString, box

import quiltpath
from quiltpath.geometry.free_curves.line_ends import join_line_ends

ROOM = box(-100, -100, 300, 200)


def level(y: float, start: float = 0.0, end: float = 100.0) -> np.ndarray:
    x = np.linspace(start, end, 21)
    return np.column_stack([x, np.full_like(x, y)])


def test_lines_side_by_side_are_joined_by_a_half_turn() -> None:
    """Two of 100 mm, ten apart, far from any edge: one path, longer by about half a circle of ten
    across (5 pi = 15.7), which goes on as the lines do and turns by half a turn in all."""
    (path,) = join_line_ends([level(0), level(10)], ROOM, 10.0)
    assert LineString(path).length == pytest.approx(200 + 5 * np.pi, abs=1.0)
    assert LineString(path).is_simple
    way = np.diff(path, axis=0)
    heading = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    assert abs(heading[-1] - heading[0]) == pytest.approx(np.pi, abs=1e-6)
    assert np.abs(np.diff(heading)).max() < np.radians(30)


@pytest.mark.parametrize(
    "other",
    [
        level(10, 12, 130),  # its ends lie aslant of the first one's
        level(20),  # too far for a spacing of ten
        level(0, 108, 200)[:, ::-1] + (108, -108),  # runs off at a right angle
    ],
)
def test_others_are_left_alone(other: np.ndarray) -> None:
    assert len(join_line_ends([level(0), other], ROOM, 10.0)) == 2


def test_a_half_turn_crosses_nothing() -> None:
    """A third line passes between the two at both ends."""
    between = np.column_stack([np.linspace(-50, 200, 51), np.full(51, 5.0)])
    paths = [LineString(p) for p in join_line_ends([level(0), level(10), between], ROOM, 10.0)]
    assert not any(a.crosses(b) for a in paths for b in paths if a is not b)
    assert len(paths) == 3


def test_hexagons_that_share_their_sides_are_sewn_without_a_stop() -> None:
    """Three sides meet in each corner of a honeycomb, so that a third of them is sewn twice
    (a perfect matching, Petersen 1891), and each smaller hexagon is tied to the one round it."""
    project = quiltpath.parse(
        'units = "mm"\nrunner = { length = 400, width = 250, size_is = "flat" }\n'
        'quilting = [{ pattern = "nested-hexagons", size = 110 }]\n'
    )
    runner = quiltpath.build(project)
    lines = quiltpath.draw(runner, project.quilting)
    assert len(lines) >= 20
    assert len(quiltpath.route(lines, "continuous", runner.outline, runner.margin_mm)) == 1
