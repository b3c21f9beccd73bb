"""The whole computing, against the library's writing of the same stitches as DST in the same run.

    python -m pytest tests/benchmarks/test_compute_speed.py --benchmark-only -s

Figures are processor time; OPENBLAS_NUM_THREADS=1 keeps threads for matrices out, as the command
does. Goals: 2 writings for the long sample, 0.2 for the large ones, with growth within 1.1 a stitch
from the third of a million to the million and a half, and 0.6 GB there; after a change half of what
it took when the goal was set.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from quiltpath.project import Project, parse
from quiltpath.result.computing import compute, compute_by_steps
from quiltpath.result.reuse import Reuse
from quiltpath.routing import POLICIES
from tests.benchmarks.yardsticks import LONG_SAMPLE, SAMPLES, processor_s, tell, writing_s

ROUND = b'<svg xmlns="http://www.w3.org/2000/svg"><circle cx="50" cy="50" r="50"/></svg>'
LARGE = """
title = "Large"
units = "in"
[runner]
length = 110
width = 110
[grid]
along = 7
across = 7
[[motif]]
name = "round"
file = "round.svg"
size = "5 in"
blocks = "all"
[[quilting]]
{layer}
clearance = "1/4 in"
"""
LAYERS = {
    "1/4 in lines": 'kind = "straight"\nspacing = "1/4 in"',
    "1/8 in crossed": 'kind = "grid"\nspacing = "1/8 in"',
}
PEAK = """
import sys
from pathlib import Path
from quiltpath.project import load
from quiltpath.result.computing import compute
compute(load(sys.argv[1]))
print(Path("/proc/self/status").read_text().partition("VmHWM:")[2].split()[0])
"""
"""Not getrusage: what that says of a child goes on from the parent's own peak."""


def written(text: str, policy: str, folder: Path) -> Path:
    """The project file with that policy, beside what it names."""
    (folder / "round.svg").write_bytes(ROUND)
    file = folder / "runner.toml"
    file.write_text(f'{text}\n[sewing]\npolicy = "{policy}"\n', encoding="utf-8")
    return file


def sample(name: str, **changed: Any) -> Project:
    """A sample, with keys of its last layer changed."""
    file = next((SAMPLES / name).glob("*.toml"))
    text = file.read_text(encoding="utf-8")
    project = parse(text, folder=file.parent)
    if not changed:
        return project
    *others, last = project.quilting
    return project.model_copy(update={"quilting": (*others, last.model_copy(update=changed))})


@pytest.mark.parametrize("policy", POLICIES)
def test_long_sample(benchmark: Any, policy: str) -> None:
    project = parse(LONG_SAMPLE.read_text(encoding="utf-8"), folder=LONG_SAMPLE.parent)
    sewing = project.sewing.model_copy(update={"policy": policy})
    project = project.model_copy(update={"sewing": sewing})
    result = benchmark.pedantic(compute, (project,), rounds=1)
    took = processor_s(lambda: compute(project), 5)
    tell(benchmark, f"long sample, {policy}", took, writing_s(result.stitches.needle_holes), "2")
    assert result.stitches.stitch_count > 10_000


@pytest.mark.parametrize("policy", POLICIES)
@pytest.mark.parametrize("layer", LAYERS)
def test_large(benchmark: Any, layer: str, policy: str, tmp_path: Path) -> None:
    """110 x 110 in with 49 round motifs kept clear; memory is that of a process of its own."""
    file = written(LARGE.format(layer=LAYERS[layer]), policy, tmp_path)
    project = parse(file.read_text(encoding="utf-8"), folder=tmp_path)
    result = benchmark.pedantic(compute, (project,), rounds=1)
    took = processor_s(lambda: compute(project))
    count = result.stitches.stitch_count
    peak = subprocess.run(
        [sys.executable, "-c", PEAK, str(file)], check=True, capture_output=True, text=True
    )
    words = f"{layer}, {policy}: {count:,} stitches, {took / count * 1e6:.2f} s a million"
    words += f", {int(peak.stdout) / 1024:.0f} MB"
    yardstick = writing_s(result.stitches.needle_holes)
    tell(benchmark, words, took, yardstick, "0.2, growth 1.1 a stitch, 600 MB")
    assert count > 100_000


@pytest.mark.parametrize("name", ["harvest-supper", "galley", "allotment-ends"])
def test_figures_after_a_change(benchmark: Any, name: str) -> None:
    """The last layer is kept clear of the motifs by 1 mm more or less, as on the page; then the
    stitch is made longer or shorter, which moves no line."""
    closer = [sample(name, clearance=mm) for mm in (9.0, 10.0, 11.0, 12.0)]
    stitches = [sample(name).model_copy(update={"stitch": stitch(name, mm)}) for mm in (2.6, 2.8)]
    reuse = Reuse()
    *_, result = compute_by_steps(closer[0], reuse=reuse)
    turns, later = iter(closer[1:] * 4), iter(stitches * 5)
    benchmark.pedantic(lambda: list(compute_by_steps(next(turns), reuse=reuse)), rounds=1)
    took = processor_s(lambda: list(compute_by_steps(next(turns), reuse=reuse)), 9)
    yardstick = writing_s(result.stitches.needle_holes)
    tell(benchmark, f"{name} after another clearance", took, yardstick, GOALS[name])
    took = processor_s(lambda: list(compute_by_steps(next(later), reuse=reuse)), 9)
    tell(benchmark, f"{name} after another stitch length", took, yardstick, GOALS[name])
    assert result.stitches.stitch_count > 5_000


def stitch(name: str, length_mm: float) -> Any:
    """The sample's stitch section with that length."""
    return sample(name).stitch.model_copy(update={"length": length_mm})


GOALS = {"harvest-supper": "2.7", "galley": "4.1", "allotment-ends": "1.7"}
"""Half of what another clearance took on 28 November 2026."""
