"""How cost grows with the cloth, against writing the long sample's 12,915 stitches as DST.

    python -m pytest tests/benchmarks/test_growth_speed.py --benchmark-only -s

Figures are processor time, for ``make`` of all its processes; OPENBLAS_NUM_THREADS=1 keeps threads
for matrices out, as the command does. Goals: a quarter of what it took when the goal was set: 44 s
for 106 x 106 in, and 8 to 32 s on the clock for 2,000 blocks, of which no pattern is named, so here
a quarter of what each took on 28 November 2026.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from quiltpath.geometry.svg_shapes import read_svg
from quiltpath.project import parse
from quiltpath.result.computing import compute
from tests.benchmarks.test_compute_speed import ROUND
from tests.benchmarks.yardsticks import long_sample_holes, tell, writing_s

BLOCKS = """
title = "Blocks"
units = "in"
[runner]
length = 110
width = 88
[grid]
along = 50
across = 40
[[quilting]]
region = "blocks"
"""
IN_EACH = {
    "concentric squares": ('kind = "concentric"\nshape = "squares"\nspacing = "1/2 in"', "36"),
    "square spirals": ('kind = "square-spiral"\nspacing = "1/2 in"', "29"),
    "crosshatch": ('kind = "grid"\nspacing = "1/2 in"', "70"),
    "fans": ('kind = "fans"', "225"),
}
QUILT = """
title = "Quilt"
units = "in"
[runner]
length = 106
width = 106
[grid]
along = 9
across = 9
[[motif]]
name = "round"
file = "round.svg"
size = "5 in"
blocks = "all"
[[quilting]]
kind = "grid"
spacing = "2 in"
clearance = "1/4 in"
"""


@pytest.mark.benchmark(timer=time.process_time)
@pytest.mark.parametrize("pattern", IN_EACH)
def test_two_thousand_blocks_checked(benchmark: Any, pattern: str) -> None:
    """A pattern in each block alone, so that each is finished by itself."""
    layer, goal = IN_EACH[pattern]
    project = parse(BLOCKS + layer)
    yardstick = writing_s(long_sample_holes())
    result = benchmark.pedantic(compute, (project,), rounds=1)
    tell(benchmark, f"2,000 blocks of {pattern}", benchmark.stats.stats.min, yardstick, goal)
    assert len(result.runs) > 0


def test_106_by_106_in_made(benchmark: Any, tmp_path: Path) -> None:
    """The whole set as the command writes it, with the pages and MB of its marking sheets."""
    import pypdfium2

    (tmp_path / "round.svg").write_bytes(ROUND)
    (tmp_path / "quilt.toml").write_text(QUILT, encoding="utf-8")
    out = tmp_path / "out"
    make = [sys.executable, "-m", "quiltpath", "make", str(tmp_path / "quilt.toml")]
    before, begin = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    benchmark.pedantic(
        lambda: subprocess.run([*make, "--out", str(out)], check=True, capture_output=True),
        rounds=1,
    )
    seconds, after = time.perf_counter() - begin, resource.getrusage(resource.RUSAGE_CHILDREN)
    took = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    pages = len(pypdfium2.PdfDocument(out / "marking.pdf"))
    size = sum(file.stat().st_size for file in out.iterdir()) / 1e6
    words = f"106 x 106 in made in {seconds:.1f} s, marking.pdf {pages} pages, {size:.1f} MB in all"
    tell(benchmark, words, took, writing_s(long_sample_holes()), "11 s")
    assert pages < 20


@pytest.mark.benchmark(timer=time.process_time)
@pytest.mark.parametrize("count", [4750, 19_000])
def test_small_rectangles_in_a_drawing(benchmark: Any, count: int) -> None:
    """Rows of them that touch nothing; 39 s when the goals were set, and no goal of their own."""
    off = np.random.default_rng(1).random((count, 2))
    x, y = 3 * (np.arange(count) % 140) + off[:, 0], 3 * (np.arange(count) // 140) + off[:, 1]
    rects = "".join(
        f'<rect x="{a:.2f}" y="{b:.2f}" width="2" height="2"/>' for a, b in zip(x, y, strict=True)
    )
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="430mm" height="430mm"'
    svg = f'{head} viewBox="0 0 430 430">{rects}</svg>'.encode()
    yardstick = writing_s(long_sample_holes())
    drawing = benchmark.pedantic(read_svg, (svg, "rectangles.svg"), rounds=1)
    name = f"{count:,} rectangles in a drawing"
    tell(benchmark, name, benchmark.stats.stats.min, yardstick, "39 s before")
    assert drawing.shape.area == pytest.approx(4 * count, rel=0.01)
