"""Turns are changes of line of more than 30 degrees, counted along each run."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString

from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import Policy, route
from tests.routing.drawings import FINISHED, MARGIN_MM


@pytest.mark.parametrize(
    ("bend_deg", "turns"), [(0, 0), (20, 0), (29, 0), (31, 1), (90, 1), (150, 1)]
)
@pytest.mark.parametrize("way", [0, 45, 90, 135, 180, 260])
def test_a_bend_between_two_lines_counts_from_30_degrees_on(
    bend_deg: float, turns: int, way: float
) -> None:
    first, then = np.radians(way), np.radians(way + bend_deg)
    corner = np.array([200.0, 100.0])
    start = corner - 60 * np.array([np.cos(first), np.sin(first)])
    end = corner + 60 * np.array([np.cos(then), np.sin(then)])
    lines = layer_lines([LineString([start, corner]), LineString([corner, end])], name="bent")
    runs = route(lines, Policy(), FINISHED, MARGIN_MM)
    assert len(runs) == 1
    assert runs.turns == turns


def test_a_bend_inside_a_line_is_no_change_of_line() -> None:
    shape = LineString([(50, 50), (150, 50), (150, 150)])
    assert route(layer_lines([shape], name="one"), Policy(), FINISHED, MARGIN_MM).turns == 0


def test_two_runs_add_up() -> None:
    angles = [LineString([(x, 50), (x + 50, 50)]) for x in (50, 250)]
    angles += [LineString([(x + 50, 50), (x + 50, 100)]) for x in (50, 250)]
    runs = route(layer_lines(angles, name="two"), Policy(), FINISHED, MARGIN_MM)
    assert (len(runs), runs.turns) == (2, 2)
