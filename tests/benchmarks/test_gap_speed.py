"""The gap with its proof, against pyembroidery writing the same drawing's stitches as DST.

python -m pytest tests/benchmarks --benchmark-only -s
"""

from __future__ import annotations

import io
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pyembroidery
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.checks import CheckLimits, widest_gaps
from quiltpath.checks.density import uneven_density
from quiltpath.checks.line_spacing import lines_too_close
from quiltpath.checks.needle_checks import worn_holes
from quiltpath.patterns.lines import layer_lines
from tests.checks.drawings import parallel
from tests.checks.sewing import runner_of, stitches_of

INCH = 25.4
RUNNER, QUILT = box(0, 0, 2200, 360), box(0, 0, 110 * INCH, 110 * INCH)
STITCH_MM = 3.2

Drawing = tuple[list[LineString], Polygon]


def plain(spacing: float, outline: Polygon, *angles: float) -> Drawing:
    return [line for angle in angles for line in parallel(spacing, outline, angle)], outline


def round_motifs_kept_clear(spacing: float, *angles: float) -> Drawing:
    """49 round motifs of 5 in on the quilt, lines cut out inside them."""
    places = (np.arange(7) + 0.5) * 110 * INCH / 7
    rounds = [Point(x, y).buffer(2.5 * INCH, quad_segs=32) for x in places for y in places]
    lines = np.array(plain(spacing, QUILT, *angles)[0], dtype=object)
    parts = shapely.get_parts(shapely.difference(lines, shapely.union_all(rounds)))
    parts = parts[shapely.length(parts) > 0]
    return [*parts, *(LineString(motif.exterior.coords) for motif in rounds)], QUILT


CASES: dict[str, Callable[[], Drawing]] = {
    "100 lines on a runner": lambda: plain(3.6, RUNNER, 0),
    "crosshatch on a runner": lambda: plain(38.1, RUNNER, 45, -45),
    "1/4 in lines, 49 motifs": lambda: round_motifs_kept_clear(INCH / 4, 0),
    "1/8 in lines crossed, 49 motifs": lambda: round_motifs_kept_clear(INCH / 8, 0, 90),
    "1/4 in lines alone": lambda: plain(INCH / 4, QUILT, 0),
    "1/4 in lines on the slant": lambda: plain(INCH / 4, QUILT, 30),
}


def needle_points(lines: list[LineString]) -> np.ndarray:
    return shapely.get_coordinates(shapely.segmentize(np.array(lines, dtype=object), STITCH_MM))


def seconds_to_write(points: np.ndarray) -> float:
    """The yardstick: the stitches as a DST file in memory."""
    start = time.process_time()
    pattern = pyembroidery.EmbPattern()
    for x, y in (points * 10).tolist():
        pattern.add_stitch_absolute(pyembroidery.STITCH, x, y)
    pattern.end()
    pyembroidery.write_dst(pattern, io.BytesIO())
    return time.process_time() - start


@pytest.mark.benchmark(timer=time.process_time)
@pytest.mark.parametrize("name", CASES)
def test_gap(benchmark: Any, name: str) -> None:
    lines, outline = CASES[name]()
    gaps = benchmark.pedantic(widest_gaps, (lines, outline), rounds=3, warmup_rounds=1)
    points = needle_points(lines)
    took, yardstick = benchmark.stats.stats.min, seconds_to_write(points)
    benchmark.extra_info["ratio"] = took / yardstick
    print(
        f"\n{name}: {len(lines)} lines, gap {gaps.widest_mm:.1f} mm in {1000 * took:.0f} ms,"
        f" {took / yardstick:.3f} of writing {len(points):,} stitches"
    )
    assert all(gap.at_most_mm - gap.diameter_mm <= 0.5 for gap in gaps.widest)


@pytest.mark.benchmark(timer=time.process_time)
@pytest.mark.parametrize("name", CASES)
def test_the_other_checks(benchmark: Any, name: str) -> None:
    drawn, outline = CASES[name]()
    lines, runner, limits = layer_lines(drawn, name="fill"), runner_of(outline), CheckLimits()
    points = needle_points(drawn)
    stitches = stitches_of(points)

    def check() -> int:
        found = (
            *uneven_density(runner, lines, limits),
            *lines_too_close(lines, limits),
            *worn_holes(stitches, limits),
        )
        return len(found)

    found = benchmark.pedantic(check, rounds=3, warmup_rounds=1)
    took, yardstick = benchmark.stats.stats.min, seconds_to_write(points)
    benchmark.extra_info["ratio"] = took / yardstick
    print(
        f"\n{name}: density, closeness and holes in {1000 * took:.0f} ms,"
        f" {took / yardstick:.3f} of writing {len(points):,} stitches"
    )
    assert found <= 3
