"""What benchmarks are measured against, and the line each prints: today's ratio beside its goal."""

from __future__ import annotations

import io
import statistics
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pyembroidery

from quiltpath.geometry.arrays import Points
from quiltpath.process import look_seldom_for_garbage
from quiltpath.project import load
from quiltpath.result.computing import compute

SAMPLES = Path(__file__).parents[2] / "samples"
LONG_SAMPLE = SAMPLES / "harvest-supper" / "runner.toml"
ROUNDS = 3


def processor_s(work: Callable[[], Any], rounds: int = ROUNDS) -> float:
    """Median processor time of ``work``, in seconds; garbage is looked for as seldom as the command
    line does."""
    look_seldom_for_garbage()
    times = []
    for _ in range(rounds):
        begin = time.process_time()
        work()
        times.append(time.process_time() - begin)
    return statistics.median(times)


def write_dst(holes_mm: Points) -> None:
    """The library holds and writes these needle holes as DST."""
    pattern = pyembroidery.EmbPattern()
    for x, y in (holes_mm * 10).tolist():
        pattern.add_stitch_absolute(pyembroidery.STITCH, x, y)
    pattern.end()
    pyembroidery.write_dst(pattern, io.BytesIO())


def writing_s(holes_mm: Points) -> float:
    """Processor time of that, in seconds."""
    return processor_s(lambda: write_dst(holes_mm))


@cache
def long_sample_holes() -> Points:
    """(n, 2) the long sample's needle holes, mm: 12,915 stitches."""
    return compute(load(LONG_SAMPLE)).stitches.needle_holes


def tell(benchmark: Any, name: str, took_s: float, yardstick_s: float, goal: str) -> None:
    """Print and record how many yardsticks it took, and the goal in the same unit."""
    benchmark.extra_info |= {"ratio": took_s / yardstick_s, "goal": goal}
    print(f"\n| {name} | {took_s:.2f} s | {took_s / yardstick_s:.2f} | {goal} |")
