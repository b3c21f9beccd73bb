"""A crosshatch in one line: how many loops, which cells, and what it replaces."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import draw
from quiltpath.patterns.one_line import OneLine, bounces, nearest_one_line
from quiltpath.routing import policy_named, route
from tests.patterns.paths import fewest_runs
from tests.patterns.runners import disc, drawn, layer, plain, pointed, sashed


def loops_by_walking(columns: int, rows: int) -> int:
    """Brute force: a ball set off from every pivot of the lower edge, one half cell at a time."""
    seen: set[int] = set()
    loops = 0
    for start in range(1, 2 * columns, 2):
        loops += start not in seen
        x, y, across, up = start, 0, 1, 1
        while True:
            if y == 0:
                seen.add(x)
            x, y = x + across, y + up
            across = -across if x in (0, 2 * columns) else across
            up = -up if y in (0, 2 * rows) else up
            if (x, y) == (start, 0):
                break
    return loops


@pytest.mark.parametrize("rows", range(1, 30))
def test_lines_that_bounce_over_n_by_m_cells_form_gcd_loops(rows: int) -> None:
    """Brute force over all cells to 29 x 29."""
    for columns in range(1, 30):
        assert loops_by_walking(columns, rows) == math.gcd(columns, rows)


def test_one_loop_meets_every_pivot_once_and_crosses_every_cell_both_ways() -> None:
    for columns, rows in [(1, 1), (5, 3), (7, 4), (55, 8), (29, 28)]:
        path = bounces(columns, rows)
        assert np.array_equal(path[0], path[-1])
        assert len({tuple(point) for point in path}) == len(path) - 1 == 2 * (columns + rows)
        steps = np.abs(np.diff(path, axis=0))
        assert np.allclose(steps[:, 0], steps[:, 1])
        assert steps[:, 0].sum() == 2 * columns * rows


def test_each_of_several_loops_closes_by_itself() -> None:
    """6 x 4 cells: gcd 2, so a loop has half of the 20 pivots."""
    assert len(bounces(6, 4)) - 1 == 10
    assert not np.isin(bounces(6, 4, 0.5)[:-1, 0], bounces(6, 4, 1.5)[:-1, 0]).all()


def test_the_worked_example_8_by_55_cells_on_320_by_2200_mm() -> None:
    """One loop at 45 degrees, gap 28.3 mm, 49.8 m, in place of 126 lines (recomputed by hand:
    cells of 40 mm; 40 / sqrt 2 = 28.28; 2 x 0.32 x 2.2 m2 / 28.28 mm = 49.78 m; 2 x 63)."""
    chosen = nearest_one_line(2200, 320, 28.3)
    assert (chosen.rows, chosen.columns) == (8, 55)
    assert chosen.angle_deg == pytest.approx(45.0)
    assert round(chosen.gap_mm, 1) == 28.3
    assert round(chosen.sewn_mm / 1000, 1) == 49.8
    assert chosen.lines_replaced == 126


@pytest.mark.parametrize("policy", ["walking-foot", "continuous", "hoop"])
def test_the_worked_example_is_one_run(policy: str) -> None:
    runner = plain(2200, 320)
    lines = draw(runner, [layer("one-line-crosshatch", spacing=28.3, inset=0)])
    runs = route(lines, policy_named(policy, {}), runner.outline, runner.margin_mm)
    assert len(lines) == len(runs) == runs.runs_lower_bound == 1
    assert lines.geometry[0].length == pytest.approx(49_780, abs=10)


@pytest.mark.parametrize(
    ("length", "width", "gap", "angle"),
    [(2200, 320, 25, 45), (1828.8, 355.6, 38.1, 60), (900, 400, 31, 30), (600, 50, 40, 45)],
)
def test_no_coprime_numbers_come_nearer(
    length: float, width: float, gap: float, angle: float
) -> None:
    """Brute force over all numbers of cells to 200 x 200."""
    best = math.inf
    for columns in range(1, 201):
        for rows in range(1, 201):
            if math.gcd(columns, rows) == 1:
                one = OneLine(columns, rows, length, width)
                best = min(best, _miss(one, gap, angle))
    chosen = nearest_one_line(length, width, gap, angle)
    assert math.gcd(chosen.columns, chosen.rows) == 1
    assert _miss(chosen, gap, angle) == pytest.approx(best, rel=1e-9)


def _miss(one: OneLine, gap: float, angle: float) -> float:
    return (one.gap_mm / gap - 1) ** 2 + math.radians(one.angle_deg - angle) ** 2


def test_gap_and_angle_are_those_of_the_drawn_line() -> None:
    runner = plain(900, 400)
    (line,) = drawn(runner, "one-line-crosshatch", spacing=30, inset=0, region="runner").geometry
    chosen = nearest_one_line(900, 400, 30)
    steps = np.diff(shapely.get_coordinates(line), axis=0)
    slope = np.degrees(np.arctan2(np.abs(steps[:, 1]), np.abs(steps[:, 0])))
    assert np.allclose(slope, chosen.angle_deg)
    rising = steps[:, 0] * steps[:, 1] > 0
    normal = np.array([-math.sin(math.radians(slope[0])), math.cos(math.radians(slope[0]))])
    places = np.sort(shapely.get_coordinates(line)[:-1][rising] @ normal)
    distinct = places[np.concatenate([[True], np.diff(places) > 1e-6])]
    assert np.allclose(np.diff(distinct), chosen.gap_mm)


def test_pivots_stay_inside_the_trim_line_by_the_inset() -> None:
    runner = plain(900, 400)
    (line,) = draw(runner, [layer("one-line-crosshatch", inset=8)]).geometry
    assert line.bounds == pytest.approx((8, 8, 892, 392))


def test_what_was_chosen_is_told_with_what_it_saves() -> None:
    (remark,) = draw(plain(2200, 320), [layer("one-line-crosshatch", inset=0)]).remarks
    assert remark.code == "one-line" and "baste firmly" in remark.remedy
    (remark,) = draw(sashed(), [layer("one-line-crosshatch", region="blocks")]).remarks
    assert remark.code == "one-line" and "2 starts" in remark.message


def test_a_line_stays_one_round_a_motif_whatever_the_outline() -> None:
    for runner in (plain(900, 400, motifs=(disc(450, 200, 60),)), pointed()):
        around = Runner(runner.outline, motifs=(disc(450, 200, 60),), margin_mm=76.2)
        (line,) = draw(around, [layer("one-line-crosshatch", clearance=5)]).geometry
        assert line.is_closed and fewest_runs(np.array([line])) == 1


def test_a_line_that_something_cuts_says_that_it_is_one_no_more() -> None:
    parted = plain(900, 400, motifs=(disc(450, 200, 199),))
    for runner, keys in [(parted, {"clearance": 5}), (pointed(), {"inset": 0})]:
        lines = draw(runner, [layer("one-line-crosshatch", **keys)])
        assert len(lines) > 1 and lines.remarks[0].code == "one-line-cut"
