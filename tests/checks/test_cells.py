"""What the proof of the gap rests on: cells cover the cloth, and no bound is too low."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString

from quiltpath.checks import largest_empty_circle as gap
from quiltpath.checks.empty_circle_cells import (
    Cells,
    Probes,
    _best_pair,
    _quarters,
    _rows,
    divide_cells,
    first_cell,
)
from quiltpath.checks.obstacles import Obstacles, obstacles
from tests.checks.drawings import parallel, random_drawing


def divided_often(around: Obstacles, times: int, enough: float) -> Cells:
    cells = first_cell(around)
    for _ in range(times):
        open_cells = cells.bound > enough
        parts, _ = divide_cells(cells.take(open_cells), around, enough)
        cells = cells.take(~open_cells).and_also(parts)
    return cells


def true_clearance(points: np.ndarray, around: Obstacles) -> np.ndarray:
    """Shapely's distance to all segments as one geometry, not by way of the tree."""
    everything = shapely.multilinestrings(
        [shapely.linestrings(ends) for ends in np.stack([around.start, around.end], axis=1)]
    )
    return shapely.distance(shapely.points(points), everything)


@pytest.mark.parametrize("seed", range(0, 50, 2))
def test_no_point_of_a_cell_is_clearer_than_its_bound(seed: int) -> None:
    """The convexity argument of the module, held against 40 random points in every cell."""
    around = obstacles(*random_drawing(seed), 0.025)
    cells = divided_often(around, 5, enough=3.0)
    rng = np.random.default_rng(seed)
    share = rng.uniform(0, 1, (len(cells), 40, 2))
    points = cells.low[:, None] + share * cells.size[:, None]
    clearance = true_clearance(points.reshape(-1, 2), around).reshape(len(cells), 40)
    inside = around.inside(points.reshape(-1, 2)).reshape(len(cells), 40)
    assert np.all(~inside | (clearance <= cells.bound[:, None] + 1e-9))


@pytest.mark.parametrize("seed", range(0, 50, 5))
def test_cells_cover_all_of_the_cloth(seed: int) -> None:
    """Each of 500 random points inside the edge lies in a cell, after cuts of every sort."""
    lines, outline = random_drawing(seed)
    around = obstacles([*lines, *parallel(9, outline)], outline, 0.0)
    cells = divided_often(around, 5, enough=4.0)
    low, high = np.array(around.outline.bounds).reshape(2, 2)
    points = np.random.default_rng(seed).uniform(low, high, (500, 2))
    points = points[around.inside(points)]
    within = (points[:, None] >= cells.low - 1e-9) & (points[:, None] <= cells.high + 1e-9)
    assert np.all(within.all(axis=2).any(axis=1))


def test_the_row_between_two_lines_is_bounded_exactly() -> None:
    """Second-order and better: between parallels at 20 the bound is 10 however long the row."""
    outline = shapely.box(0, 0, 1000, 200)
    around = obstacles(parallel(20, outline), outline, 0.0)
    rows, _ = divide_cells(first_cell(around), around, 10.0)
    assert len(rows) == 10
    assert rows.bound == pytest.approx([10.0] * 10)
    assert np.allclose(rows.size.max(axis=1), 1000)


def test_on_curved_ridges_a_sixteenth_of_the_tolerance_costs_less_than_four_times_the_cells(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Second order: cells of half diagonal h are off by h² / c, so h goes as the root of the
    tolerance: at most 4 times the cells. A bound of first order would take 16 times."""
    rings = [shapely.Point(0, 0).buffer(r, quad_segs=64).exterior for r in range(20, 201, 20)]
    outline = shapely.Point(0, 0).buffer(200, quad_segs=64)
    coarse, fine = (cells_made(monkeypatch, rings, outline, t) for t in (0.8, 0.05))
    assert coarse < fine < 4 * coarse


def cells_of(*boxes: tuple[float, float, float, float]) -> Cells:
    """Cells from low x, low y, high x, high y, with obstacle 0 twice and a bound of 99."""
    corners = np.array(boxes, dtype=float)
    pairs = np.zeros((len(boxes), 2), dtype=np.intp)
    return Cells(corners[:, :2], corners[:, 2:], pairs, np.full(len(boxes), 99.0))


def parts_of(parts: tuple[np.ndarray, np.ndarray, np.ndarray]) -> list[tuple[float, ...]]:
    """Low x, low y, high x, high y and the cell that each part is of."""
    low, high, owner = parts
    return sorted((*map(float, (*a, *b)), int(k)) for a, b, k in zip(low, high, owner, strict=True))


@pytest.mark.parametrize(
    ("size", "columns", "rows"),
    [
        ((8, 8), 2, 2),
        ((16, 8), 2, 2),
        ((16.1, 8), 4, 1),
        ((8, 16), 2, 2),
        ((8, 16.1), 1, 4),
        ((80, 8), 4, 1),
    ],
)
def test_a_cell_falls_into_four_and_a_long_one_into_four_along_its_length(
    size: tuple[float, float], columns: int, rows: int
) -> None:
    wide, high = size
    given = cells_of((0, 0, 1, 1), (10, 30, 10 + wide, 30 + high))
    step = (wide / columns, high / rows)
    wanted = sorted(
        (10 + x * step[0], 30 + y * step[1], 10 + (x + 1) * step[0], 30 + (y + 1) * step[1], 1)
        for x in range(columns)
        for y in range(rows)
    )
    assert parts_of(_quarters(given, np.array([1]))) == [pytest.approx(each) for each in wanted]


@pytest.mark.parametrize("axis", [0, 1])
def test_a_cell_falls_into_rows_at_the_lines_inside_it(axis: int) -> None:
    """Lines at 10, 20, 30 and 40: a cell from 10 to 40 has two of them inside, one from 12.5 to
    38 has two, one from 21 to 29 has none; a line on the border cuts nothing off."""
    along = [(10, 40), (12.5, 38), (21, 29), (30 + 5e-7, 40)]
    boxes = [(5, a, 95, b) if axis else (a, 5, b, 95) for a, b in along]
    drawn = [LineString([(0, y), (100, y)]) for y in (10, 20, 30, 40)]
    upright = [shapely.transform(line, lambda xy: xy[:, ::-1]) for line in drawn]
    around = obstacles(drawn if axis else upright, shapely.box(0, 0, 100, 100), 0.0)
    assert around.turn == pytest.approx(np.eye(2))
    rows = _rows(cells_of(*boxes), np.arange(4), around.guides[axis], axis)
    cuts = [(10, 20, 0), (20, 30, 0), (30, 40, 0), (12.5, 20, 1), (20, 30, 1), (30, 38, 1)]
    cuts += [(21, 29, 2), (30 + 5e-7, 40, 3)]
    wanted = [(5, a, 95, b, k) if axis else (a, 5, b, 95, k) for a, b, k in cuts]
    assert parts_of(rows) == [pytest.approx(each, abs=1e-9) for each in sorted(wanted)]


def test_the_bound_is_the_least_that_two_of_four_obstacles_prove() -> None:
    """A row from 10 to 30 between lines at 10 and 30: their mean is 10 everywhere. With the line
    at 10 alone it is 20 at the far corners; a short line in the row's middle is 40 from them."""
    drawn = [[(0, 10), (100, 10)], [(0, 30), (100, 30)], [(50, 18), (50, 22)]]
    around = obstacles([LineString(one) for one in drawn], shapely.box(0, 0, 100, 60), 0.0)
    low, high = np.array([[10.0, 10.0]]), np.array([[90.0, 30.0]])
    pair, bound = _best_pair(np.array([[0, 0, 2, 1]]), low, high, around)
    assert sorted(pair[0].tolist()) == [0, 1] and bound == pytest.approx([10.0])
    pair, bound = _best_pair(np.array([[2, 0, 2, 0]]), low, high, around)
    assert pair[0].tolist() == [0, 0] and bound == pytest.approx([20.0])
    far = float(np.hypot(40, 8))
    pair, bound = _best_pair(np.array([[2, 2, 2, 2]]), low, high, around)
    assert bound == pytest.approx([far])


def test_beside_a_disc_there_is_room_up_to_its_rim() -> None:
    """A disc of 5 about (13, 14), on two cells: of the first the furthest corner is the origin,
    19.1 from its centre; of the second (43, 54), 50 off, but the lines are nearer."""
    given = cells_of((0, 0, 10, 10), (33, 44, 43, 54)).beside_disc(np.array([13.0, 14.0]), 5.0)
    assert given.bound == pytest.approx([np.hypot(13, 14) - 5, 45.0])
    probes = Probes(np.array([(10.0, 10.0), (43.0, 54.0)]), np.array([9.0, 9.0]))
    room = probes.beside_disc(np.array([13.0, 14.0]), 5.0)
    assert room.radius == pytest.approx([0.0, 9.0])
    assert room.best[0].tolist() == [43.0, 54.0] and room.best[1] == 9.0


@pytest.mark.parametrize(
    ("short", "enough", "rows"),
    [(0.0, 30.0, True), (0.0, 30.5, False), (6.0, 15.0, False), (0.0, 5.0, True)],
)
def test_a_cell_falls_into_rows_where_lines_run_right_across_it_no_much_closer_than_sought(
    short: float, enough: float, rows: bool
) -> None:
    """Lines 20 mm apart, which hold circles of 10: not where 30.5 is sought, nor where the line
    above the middle stops short of the cell's end."""
    outline = shapely.box(0, 0, 400, 90)
    drawn = [LineString([(0, y), (400 - (short if y == 55 else 0), y)]) for y in (15, 35, 55, 75)]
    around = obstacles(drawn, outline, 0.0)
    parts, _ = divide_cells(first_cell(around), around, enough)
    assert np.allclose(parts.size[:, 0], 400) == rows
    assert len(parts) == (5 if rows else 4)


def cells_made(
    monkeypatch: pytest.MonkeyPatch, lines: list[object], outline: object, tolerance: float
) -> int:
    made = []

    def counted(*given: object) -> object:
        cells, probes = divide_cells(*given)  # type: ignore[arg-type]
        made.append(len(cells))
        return cells, probes

    with monkeypatch.context() as patched:
        patched.setattr(gap, "divide_cells", counted)
        gap.widest_gaps(lines, outline, 1, tolerance)  # type: ignore[arg-type]
    return sum(made)
