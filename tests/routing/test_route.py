"""Every line is sewn once, in the fewest runs, in the order of the policy."""

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from quiltpath.patterns import Lines
from quiltpath.patterns.lines import layer_lines
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


def test_ways_along_the_margin_end_where_the_machine_does_not_reach() -> None:
    """Four lines that run off the upper edge: in reach of it they are tied up there in pairs, and
    nothing leads round the lower edge, where the machine does not come."""
    lines = lines_of(*[[(x, 150), (x, 312)] for x in (100, 200, 300, 400)])
    upper = box(-50, 140, 650, 320)
    runs = route(lines, policy_named("continuous"), RUNNER, 30.0, upper)
    assert len(runs) == runs.runs_lower_bound == 2
    assert runs.coordinates[:, 1].min() == 150
    assert runs.coordinates[:, 1].max() <= 330


def test_a_piece_of_margin_out_of_reach_ties_nothing_together() -> None:
    """Lines across the runner, cut off in the middle: two ends above and two below, and the
    machine reaches the lower ones only."""
    lines = lines_of([(100, -12), (100, 312)], [(500, -12), (500, 312)])
    policy = policy_named("continuous")
    assert len(route(lines, policy, RUNNER, 30.0)) == 1
    apart = box(-50, -20, 110, 320).union(box(490, -20, 650, 320))
    runs = route(lines, policy, RUNNER, 30.0, apart)
    assert len(runs) == runs.runs_lower_bound == 2
