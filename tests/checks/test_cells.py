"""What the proof of the gap rests on: cells cover the cloth, and no bound is too low."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from quiltpath.checks import gap
from quiltpath.checks.cells import Cells, divided, first_cell
from quiltpath.checks.obstacles import Obstacles, obstacles
from tests.checks.drawings import parallel, random_drawing


def divided_often(around: Obstacles, times: int, enough: float) -> Cells:
    cells = first_cell(around)
    for _ in range(times):
        open_cells = cells.bound > enough
        parts, _ = divided(cells.take(open_cells), around, enough)
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
    rows, _ = divided(first_cell(around), around, 10.0)
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


def cells_made(
    monkeypatch: pytest.MonkeyPatch, lines: list[object], outline: object, tolerance: float
) -> int:
    made = []

    def counted(*given: object) -> object:
        cells, probes = divided(*given)  # type: ignore[arg-type]
        made.append(len(cells))
        return cells, probes

    with monkeypatch.context() as patched:
        patched.setattr(gap, "divided", counted)
        gap.widest_gaps(lines, outline, 1, tolerance)  # type: ignore[arg-type]
    return sum(made)
