"""Height of quilted cloth and its lit picture, against a sparse direct solve and a plain PNG.

python -m pytest tests/benchmarks/test_relief_speed.py --benchmark-only -s
"""

from __future__ import annotations

import io
import time
from typing import Any

import numpy as np
import pytest
from PIL import Image
from scipy.sparse import coo_array
from scipy.sparse.linalg import spsolve
from shapely.geometry import LineString, Polygon, box

from quiltpath.checks.membrane import Grid, links, nodes_inside, segments_near, segments_of
from quiltpath.checks.puff import Membrane, height_field, membrane
from quiltpath.drawing.relief import picture
from quiltpath.drawing.relief_view import LitView, Paint, QuiltedCloth, Thread
from tests.checks.drawings import parallel
from tests.drawing.cloths import needle_points

RUNNER = box(0, 0, 1829, 356)
QUILT = box(0, 0, 2794, 2794)
CASES = {
    "crosshatch on a runner": (RUNNER, 38.1),
    "1/2 in crosshatch on a runner": (RUNNER, 12.7),
    "wide crosshatch on a runner": (RUNNER, 120.0),
    "crosshatch on a quilt": (QUILT, 50.8),
}


def crosshatch(outline: Polygon, spacing: float) -> list[LineString]:
    return parallel(spacing, outline, 45) + parallel(spacing, outline, -45)


def solved_directly(found: Membrane, lines: list[LineString], outline: Polygon) -> np.ndarray:
    """The same equation by SuperLU (scipy), its unknowns in an order of least fill."""
    grid: Grid = found.grid
    edge = segments_of([outline.boundary])
    held = np.concatenate([edge, segments_near(lines, grid)])
    whole = links(held, nodes_inside(edge, grid), grid)
    number = np.full(grid.shape, -1)
    number[whole.active] = np.arange(np.count_nonzero(whole.active))
    pairs = []
    for one, other, link in (
        (number[:, :-1], number[:, 1:], whole.east[:, :-1]),
        (number[:-1], number[1:], whole.north[:-1]),
    ):
        open_ = (one >= 0) & (other >= 0) & (link > 0)
        pairs += [(one[open_], other[open_]), (other[open_], one[open_])]
    row, column = (np.concatenate(part) for part in zip(*pairs, strict=True))
    diagonal = (whole.along + whole.across)[whole.active].astype(np.float64)
    every = np.arange(len(diagonal))
    matrix = coo_array(
        (
            np.concatenate([np.full(len(row), -1.0), diagonal]),
            (np.concatenate([row, every]), np.concatenate([column, every])),
        )
    ).tocsc()
    u = np.zeros(grid.shape)
    load = np.full(len(diagonal), grid.cell_mm**2)
    u[whole.active] = spsolve(matrix, load, permc_spec="MMD_AT_PLUS_A")
    return u


@pytest.mark.benchmark(timer=time.process_time)
@pytest.mark.parametrize("name", CASES)
def test_height(benchmark: Any, name: str) -> None:
    outline, spacing = CASES[name]
    lines = crosshatch(outline, spacing)
    found = benchmark.pedantic(membrane, (lines, outline), rounds=3, warmup_rounds=1)
    start = time.process_time()
    exact = solved_directly(found, lines, outline)
    yardstick = time.process_time() - start
    took = benchmark.stats.stats.min
    off = np.abs(found.u_mm2 - exact).max() / exact.max()
    benchmark.extra_info["ratio"] = took / yardstick
    cells = f"{found.u_mm2.size:,} nodes of {found.grid.cell_mm:g} mm"
    print(
        f"\n{name}: {cells} in {1000 * took:.0f} ms, {took / yardstick:.3f} of a sparse direct"
        f" solve, at most {100 * off:.2f} % of the highest u off"
    )
    assert off < 0.02


@pytest.mark.benchmark(timer=time.process_time)
def test_picture(benchmark: Any) -> None:
    """A runner at one pixel to the millimetre; the yardstick writes the same picture as PNG."""
    lines = crosshatch(RUNNER, 38.1)
    field, thread = height_field(lines, RUNNER), Thread(needle_points(lines))
    cloth, view = QuiltedCloth(RUNNER, (Paint(RUNNER, "#efe7d8"),)), LitView(-20, -20, 1849, 376, 1)
    rgb = benchmark.pedantic(picture, (field, cloth, thread, view), rounds=3, warmup_rounds=1)
    start = time.process_time()
    Image.fromarray(rgb).save(io.BytesIO(), format="PNG", optimize=True)
    took, yardstick = benchmark.stats.stats.min, time.process_time() - start
    benchmark.extra_info["ratio"] = took / yardstick
    print(
        f"\na runner's picture of {rgb.shape[1]} x {rgb.shape[0]} in {1000 * took:.0f} ms,"
        f" {took / yardstick:.2f} of writing it as a full PNG"
    )
    assert rgb.std() > 5
