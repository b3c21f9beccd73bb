"""How fast the pages are in a real browser: printed, not asserted.

    python -m pytest tests/benchmarks/test_page_speed.py --benchmark-only -s

A change on the live page is timed from the event to the frame that shows each part of its answer.
The yardstick is the library's writing of the long sample's stitches as DST in the same run; a frame
of preview.html with 330,000 stitches aims at 100 ms.
"""

from __future__ import annotations

import statistics
from pathlib import Path
from typing import Any

import pytest

from quiltpath.documents.preview_page import preview_page
from quiltpath.process import look_seldom_for_garbage
from quiltpath.project import parse
from quiltpath.result.computing import compute
from tests.benchmarks.yardsticks import long_sample_holes, writing_s
from tests.page.served import copied, serving
from tests.pages import wait_for_rest

PARTS = {"lines": (0.4, 1.5), "stitches and figures": (1.2, 4), "gaps and warnings": (2, 10)}
"""What the frame with each part shows; aims as times the yardstick on samples, on a large quilt."""

CHANGES = 15
SAMPLES = ("harvest-supper", "galley", "allotment-ends", "committee-table", "regatta-tea")

ROUND = '<svg xmlns="http://www.w3.org/2000/svg"><circle cx="50" cy="50" r="50"/></svg>'
QUILT = """
title = "80 x 60 in, crossed at 1/2 in, a motif in each of 20 blocks"
units = "in"
runner = { length = 80, width = 60 }
grid = { along = 5, across = 4 }
motif = [{ name = "round", file = "round.svg", size = 5, blocks = "all" }]
quilting = [{ kind = "grid", spacing = "1/2 in", clearance = "1/4 in" }]
"""

LARGE = """
[runner]
length = "110 in"
width = "110 in"
[[quilting]]
kind = "straight"
spacing = "1/4 in"
"""


def file_of(design: str, folder: Path) -> Path:
    if design in SAMPLES:
        return copied(design, folder)
    (folder / "round.svg").write_text(ROUND)
    file = folder / "runner.toml"
    file.write_text(QUILT)
    return file


@pytest.mark.parametrize("design", [*SAMPLES, "large quilt"])
def test_a_change_on_the_live_page(
    benchmark: Any, watched: Any, tmp_path: Path, design: str
) -> None:
    """From the change to the frame that shows it, a layer's clearance moved to and fro."""
    with serving(file_of(design, tmp_path)) as served:
        page = watched().page
        before = writing_s(long_sample_holes())
        page.goto(served.server.address)
        look_seldom_for_garbage()  # as the command line does
        slider = page.locator("[id^=clearance-]").last.get_attribute("id")

        def change() -> None:
            page.evaluate(
                """id => { const s = document.getElementById(id);
                s.value = Number(s.value) + Number(s.step) * (Number(s.value) > 12 ? -3 : 1);
                s.dispatchEvent(new Event('input')); s.dispatchEvent(new Event('change')); }""",
                slider,
            )
            wait_for_rest(page)

        change()
        page.evaluate("() => { window.quiltpath.waited.length = 0; }")
        benchmark.pedantic(change, rounds=CHANGES)
        waited = page.evaluate("() => window.quiltpath.waited")
        unit = 500 * (before + writing_s(long_sample_holes()))
    print(f"\n{design}: the long sample's stitches written as DST {unit:.0f} ms")
    for number, (name, aims) in enumerate(PARTS.items()):
        ms = sorted(entry["ms"] for entry in waited if entry["part"] == number)
        middle = statistics.median(ms)
        aim = aims[design not in SAMPLES]
        print(
            f"  {name:<22} median {middle:4.0f} ms = {middle / unit:.2f} x (aim: {aim}),"
            f" slowest {ms[-1]:4.0f} ms"
        )
    assert len(waited) == len(PARTS) * CHANGES


FRAMES = """async () => {
  const q = window.quiltpath, c = document.getElementById('cloth'), p = c.getContext('2d');
  const out = {};
  const keys = (key, n) => { for (let i = 0; i < n; i++)
    c.dispatchEvent(new KeyboardEvent('keydown', { key })); };
  for (const [name, prepare] of [['all of it', []], ['4 times', ['+', 6]], ['30 times', ['+', 15]],
                                 ['150 times', ['+', 22]]]) {
    keys('0', 1); if (prepare.length) keys(...prepare);
    await new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r)));
    const times = [];
    for (let i = 0; i < 8; i++) {
      q.view.x += (i % 2 ? -3 : 3) / q.view.scale;
      const t = performance.now(); q.draw(); p.getImageData(0, 0, 1, 1);
      times.push(performance.now() - t);
    }
    out[name] = times.sort((a, b) => a - b);
  }
  return out;
}"""


def test_a_frame_of_a_large_preview(benchmark: Any, watched: Any, tmp_path: Path) -> None:
    """Panned at several sizes; each frame is read back, so that it really was drawn."""
    result = compute(parse(LARGE))
    file = tmp_path / "preview.html"
    file.write_bytes(preview_page(result))
    page = watched().page
    page.goto(file.as_uri())
    frames = benchmark.pedantic(page.evaluate, args=(FRAMES,), rounds=1)
    megabytes = file.stat().st_size / 1e6
    print(f"\n{result.stitches.stitch_count:,} stitches: preview.html {megabytes:.2f} MB")
    for name, ms in frames.items():
        print(f"  {name:<10} frame: median {statistics.median(ms):4.0f} ms, slowest {ms[-1]:4.0f}")
    assert result.stitches.stitch_count > 300_000
