"""The whole job as a process, against the least that any such job must do in the same run.

Yardstick: the same interpreter imports numpy, shapely and pyembroidery and writes the same
stitches as DST and PES. Aim: under 3 times that for the complete folder of the long sample.

    python -m pytest tests/benchmarks --benchmark-only -s
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

from quiltpath.jobs.make import load_and_compute

SAMPLE = Path(__file__).parents[2] / "samples" / "harvest-supper" / "runner.toml"
PAIRS = 7

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
    print(f"\nmake / yardstick: median {statistics.median(ratios):.2f} of {PAIRS} (aim: under 3)")
    benchmark.pedantic(seconds, args=(make,), rounds=3)
    assert (tmp_path / "out" / "report.json").stat().st_size > 0
