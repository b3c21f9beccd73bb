"""Every line is sewn once, in the fewest runs, in the order of the policy."""

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from quiltpath.quilting.lines import Lines, layer_lines
from quiltpath.routing import POLICIES, Runs, policy_named, route

RUNNER = box(0, 0, 600, 300)


def lines_of(*shapes: object) -> Lines:
    return layer_lines([LineString(shape) for shape in shapes], name="test")


def sewn_length(runs: Runs) -> float:
    return float(runs.piece_length_mm.sum())


@pytest.mark.parametrize("name", POLICIES)
def test_lines_that_meet_end_to_end_are_sewn_in_one_go(name: str) -> None:
    lines = lines_of([(10, 10), (50, 10)], [(90, 50), (50, 10)], [(90, 50), (90, 90)])
    runs = route(lines, policy_named(name), RUNNER, 30.0)
    assert len(runs) == 1
    assert sewn_length(runs) == pytest.approx(sum(line.length for line in lines.geometry))


@pytest.mark.parametrize("name", POLICIES)
def test_no_lines_give_no_runs(name: str) -> None:
    runs = route(layer_lines([], name="none"), policy_named(name), RUNNER, 30.0)
    assert len(runs) == 0
    assert runs.runs_lower_bound == 0


def test_only_ends_inside_the_quilt_are_secured() -> None:
    """Common practice: lines that run off the edge are held by the binding."""
    ring = Point(300, 150).buffer(50).exterior.coords
    lines = lines_of([(-12, 100), (200, 100)], [(-12, 20), (612, 20)], ring)
    runs = route(lines, policy_named("walking-foot"), RUNNER, 30.0)
    line_of_run = runs.piece_line[runs.run_start[:-1]]
    secured = {int(line): runs.secured[i] for i, line in enumerate(line_of_run)}
    assert sorted(secured[0]) == [False, True]
    assert not secured[1].any()
    assert secured[2].all()
    assert np.array_equal(np.unique(runs.piece_line), [0, 1, 2])
