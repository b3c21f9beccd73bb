"""One drawing has one order, whatever the last digits of its points.

Another processor, or another release of a library, works out sines and splines with other last
digits. An order that hung on them would be another one on another machine.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from quiltpath import build, draw, parse
from quiltpath.geometry.arrays import Points
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines
from quiltpath.routing import route
from tests.small_projects import PRINTED

LAST_DIGITS_MM = 2e-13
"""As much as two releases of one library were seen to differ in a spline's points."""

PATTERNS = (
    "cable-border",
    "clamshells",
    "concentric-diamonds",
    "concentric-squares",
    "interlocking-squares",
    "motif-ripple",
    "nested-hexagons",
)


@cache
def drawn(pattern: str) -> tuple[Runner, Lines]:
    project = parse(f'{PRINTED}\n[[quilting]]\npattern = "{pattern}"\n')
    runner = build(project)
    return runner, draw(runner, project.quilting)


def stirred(lines: Lines, seed: int) -> Lines:
    """The same but for last digits; what was one point stays one."""

    def moved(points: Points) -> Points:
        place, which = np.unique(np.round(points, 6), axis=0, return_inverse=True)
        by = np.random.default_rng(seed).uniform(-0.5, 0.5, place.shape) * LAST_DIGITS_MM
        return np.asarray(points + by[which.reshape(-1)])

    return replace(lines, geometry=shapely.transform(lines.geometry, moved))


def order_of(runner: Runner, lines: Lines) -> tuple[list[int], Points]:
    """Line and both ends of every piece, in sewing order."""
    runs = route(lines, "walking-foot", runner.outline, runner.margin_mm)
    first, last = runs.piece_start[:-1], runs.piece_start[1:] - 1
    ends = np.column_stack([runs.coordinates[first], runs.coordinates[last]])
    return runs.piece_line.tolist(), ends


@pytest.mark.parametrize("pattern", PATTERNS)
def test_one_drawing_has_one_order_whatever_its_last_digits(pattern: str) -> None:
    runner, lines = drawn(pattern)
    assert len(lines) > 1
    line, ends = order_of(runner, lines)
    points = shapely.get_coordinates(lines.geometry)
    for seed in (1, 2, 3):
        other = stirred(lines, seed)
        assert (shapely.get_coordinates(other.geometry) != points).any()
        same_line, same_ends = order_of(runner, other)
        assert same_line == line
        assert same_ends == pytest.approx(ends, abs=1e-6)
