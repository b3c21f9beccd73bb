"""Steps: rings joined from one to the next, outlines to the lines about them."""

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from quiltpath import build, draw, parse
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import PieceKind, Runs, policy_named, route
from tests.small_projects import PLAIN

ECHO = '[[quilting]]\npattern = "outline-echo"\n'
CLOTH = box(-200, -200, 200, 200)


def ring(radius: float, x: float = 0.0) -> LineString:
    return LineString(Point(x, 0).buffer(radius, quad_segs=32).exterior.coords)


def sewn(*shapes: LineString, policy: str = "hoop", **keys: object) -> Runs:
    lines = layer_lines(list(shapes), name="ripples")
    return route(lines, policy_named(policy, keys), CLOTH, 0.0)


@pytest.mark.parametrize("count", [2, 3, 6])
def test_echo_rings_are_one_run_with_one_step_between_each(count: int) -> None:
    """Closed form: rings 10 mm apart need count - 1 steps of 10 mm, each sewn once."""
    runs = sewn(*(ring(20 + 10 * k) for k in range(count)))
    assert len(runs) == runs.runs_lower_bound == 1
    assert np.count_nonzero(runs.piece_kind == PieceKind.STEP) == count - 1
    # Chords of a ring lie up to 0.03 mm inside it.
    assert runs.kind_length_mm(PieceKind.STEP) == pytest.approx(10 * (count - 1), abs=0.1)


def test_an_outline_is_tied_to_a_line_there_and_back() -> None:
    """A ring 8 mm from a line with loose ends: 8 mm there, 8 mm back."""
    runs = sewn(LineString([(-100, 58), (100, 58)]), ring(50))
    assert len(runs) == runs.runs_lower_bound == 1
    assert runs.kind_length_mm(PieceKind.STEP) == pytest.approx(16)


def test_rings_beside_each_other_are_tied_through_the_one_between_them() -> None:
    """Three in a row, 5 mm apart. The one in the middle is left on the far side from where it is
    entered, so that one step is sewn there and back; the other leads from where sewing begins."""
    runs = sewn(ring(20), ring(20, 45), ring(20, 90))
    assert len(runs) == 1
    assert runs.kind_length_mm(PieceKind.STEP) == pytest.approx(3 * 5, abs=0.1)


@pytest.mark.parametrize(("gap", "runs"), [(31.6, 1), (31.9, 2)])
def test_a_step_is_no_longer_than_the_policy_says(gap: float, runs: int) -> None:
    assert len(sewn(ring(50), ring(20, 70 + gap))) == runs
    assert len(sewn(ring(50), ring(20, 70 + gap), step_longest=gap + 0.1)) == 1


def test_a_walking_foot_steps_only_where_it_is_asked_to() -> None:
    rings = (ring(20), ring(30))
    assert len(sewn(*rings, policy="walking-foot")) == 2
    assert len(sewn(*rings, policy="walking-foot", step=True)) == 1
    assert len(sewn(*rings, step=False)) == 2


def test_open_lines_are_never_joined_by_a_step() -> None:
    """Two lines 5 mm apart have their starts and ends; a stitch across would show."""
    runs = sewn(LineString([(-100, 0), (100, 0)]), LineString([(-100, 5), (100, 5)]))
    assert len(runs) == 2


@pytest.mark.parametrize("policy", ["continuous", "hoop"])
def test_the_shipped_echo_of_an_outline_is_one_run(policy: str) -> None:
    """Its rings lie about an inch apart: fitted to this width, 1 1/11 in."""
    project = parse(PLAIN.replace("14 in", "36 in").replace("6 in", "12 in") + ECHO)
    runner = build(project)
    lines = draw(runner, project.quilting)
    assert len(lines) > 3
    assert len(route(lines, policy, runner.outline, runner.margin_mm)) == 1


def test_a_border_is_sewn_last_and_in_one_go() -> None:
    """A ring, two rings side by side in it and none at the edge: begun inside, so that one step
    leads out to the border, which is left where it was come to."""
    inside = [ring(30, -35), ring(30, 35)]
    border = LineString(box(-90, -55, 90, 55).exterior.coords)
    runs = sewn(border, *inside)
    assert len(runs) == 1
    drawn = runs.piece_line[runs.piece_kind == PieceKind.LINE]
    assert drawn[0] != 0 and drawn[-1] == 0
    assert (np.diff(np.flatnonzero(drawn == 0)) == 1).all()
    first, last = runs.ends[0]
    assert LineString(border).distance(Point(last)) < 0.1
    assert LineString(border).distance(Point(first)) > 20
