"""The whole job as a process, against the least that any such job must do in the same run.

Yardstick: the same interpreter imports numpy, shapely and pyembroidery and writes the same
stitches as DST and PES. Goal: 2.5 times that for the complete folder of the long sample. What is
loaded is listed by library, since no job can be done in less.

    python -m pytest tests/benchmarks --benchmark-only -s
"""

from __future__ import annotations

import re
import statistics
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

from quiltpath.jobs.make import load_and_compute

SAMPLE = Path(__file__).parents[2] / "samples" / "harvest-supper" / "runner.toml"
PAIRS = 7
GOAL = 2.5
IMPORTED = re.compile(r"^import time:\s*(\d+) \|\s*\d+ \|\s*([\w]+)", re.M)
"""A line of ``-X importtime``: microseconds of the module alone, and its library."""

YARDSTICK = """
import sys
import numpy, shapely, pyembroidery
points = numpy.load(sys.argv[1])
pattern = pyembroidery.EmbPattern()
for x, y in (points * 10).tolist():
    pattern.add_stitch_absolute(pyembroidery.STITCH, x, y)
pattern.end()
pyembroidery.write_dst(pattern, sys.argv[2] + "/a.dst")
pyembroidery.write_pes(pattern, sys.argv[2] + "/a.pes")
"""


def seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - start


def test_the_long_sample_against_writing_its_stitches(benchmark: Any, tmp_path: Path) -> None:
    """Pairs in turn, so that a slow moment of the machine meets both."""
    holes = load_and_compute(SAMPLE).stitches.needle_holes
    np.save(tmp_path / "points.npy", holes)
    yardstick = [sys.executable, "-c", YARDSTICK, str(tmp_path / "points.npy"), str(tmp_path)]
    make = [sys.executable, "-m", "quiltpath", "make", str(SAMPLE), "--out", str(tmp_path / "out")]
    seconds(make), seconds(yardstick)
    ratios = [seconds(make) / seconds(yardstick) for _ in range(PAIRS)]
    benchmark.extra_info["ratio"] = statistics.median(ratios)
    print(f"\nmake / yardstick: median {statistics.median(ratios):.2f} of {PAIRS} (goal: {GOAL})")
    benchmark.pedantic(seconds, args=(make,), rounds=3)
    assert (tmp_path / "out" / "report.json").stat().st_size > 0


def test_what_is_loaded_for_the_long_sample(benchmark: Any, tmp_path: Path) -> None:
    """The share of the whole that is loading, and the libraries that take most of it."""
    make = [sys.executable, "-X", "importtime", "-m", "quiltpath", "make", str(SAMPLE)]
    start = time.perf_counter()
    done = subprocess.run(
        [*make, "--out", str(tmp_path / "out")], check=True, capture_output=True, text=True
    )
    whole_ms = 1000 * (time.perf_counter() - start)
    own_ms: Counter[str] = Counter()
    for us, library in IMPORTED.findall(done.stderr):
        own_ms[library] += int(us) / 1000
    assert {"numpy", "shapely", "pyembroidery", "quiltpath"} <= own_ms.keys()
    print(f"\nloading: {own_ms.total():.0f} of {whole_ms:.0f} ms, each module timed")
    print(*(f"  {library} {ms:.0f}" for library, ms in own_ms.most_common(12)), sep="\n")
    benchmark.pedantic(seconds, args=([*make, "--help"],), rounds=1)
