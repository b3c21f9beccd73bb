"""Curves in a block of 10 x 12 in, against growing a line point by point in the same run.

    python -m pytest tests/benchmarks/test_curves_speed.py --benchmark-only -s

The yardstick is what a line grown from a ring needs at the very least: 2,500 times, the near pairs
of 2,120 points (a library's tree) and one sum of their pushes. Figures are processor time.

| curve | aim |
| --- | --- |
| meander round a motif, 13 mm | a tenth of the yardstick, and half a second on an idle core |
| lines past a motif, 8 mm | a fifth |
| spiral round a motif, 9 mm | a tenth |
| pebbles round a motif, 8 to 18 mm | a fifth |
| plaited border | a fiftieth |
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.spatial import cKDTree
from shapely.geometry import box

from quiltpath.geometry.free_curves.border_figures import border_runs
from quiltpath.geometry.free_curves.fields import water
from quiltpath.geometry.free_curves.level_spiral import shape_spiral
from quiltpath.geometry.free_curves.stippling import stipple
from quiltpath.geometry.free_curves.stones import pebbles
from quiltpath.geometry.free_curves.streamlines import field_lines
from tests.patterns.readers import BLOCK, egg

MOTIF = egg(127, 145)
AROUND = BLOCK.difference(MOTIF)
FRAME = box(0, 0, 460, 260).difference(box(45, 45, 415, 215))
CURVES: dict[str, Callable[[], Any]] = {
    "meander": lambda: stipple(AROUND, 13.0),
    "lines past a motif": lambda: field_lines(AROUND, water([MOTIF]), 8.0),
    "spiral": lambda: shape_spiral(AROUND, 9.0),
    "pebbles": lambda: pebbles(AROUND, 8.0, 18.0),
    "plaited border": lambda: border_runs(FRAME, "plait", 80.0, under_gap_mm=3.0),
}


def grown_line_s() -> float:
    """Processor time of the pairs and pushes alone, from fifty of the 2,500 steps."""
    points = np.random.default_rng(1).uniform(0, 1, (2120, 2)) * [254.0, 304.8]
    start = time.process_time()
    for _ in range(50):
        pairs = cKDTree(points).query_pairs(13.0, output_type="ndarray")
        way = points[pairs[:, 0]] - points[pairs[:, 1]]
        push = way * (13.0 / np.maximum(np.hypot(*way.T), 1e-9) - 1)[:, None]
        for axis in range(2):
            np.bincount(pairs[:, 0], push[:, axis], len(points))
            np.bincount(pairs[:, 1], push[:, axis], len(points))
    return (time.process_time() - start) * 50


@pytest.mark.parametrize("name", CURVES)
def test_curve_against_growing_one(name: str, benchmark: Any) -> None:
    benchmark.pedantic(CURVES[name], rounds=3, warmup_rounds=1)
    start = time.process_time()
    CURVES[name]()
    taken = time.process_time() - start
    yardstick = grown_line_s()
    print(f"\n{name}: {taken:.3f} s; {yardstick / taken:.0f} in one yardstick of {yardstick:.1f} s")
