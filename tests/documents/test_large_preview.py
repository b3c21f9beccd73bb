"""preview.html with 330,000 stitches: the file stays small, and moving it stays light.

What is counted is strokes, not time: a browser draws some tens of thousands of strokes at the rate
of a film (common practice), whatever the machine.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from quiltpath.documents.preview_page import preview_page
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.stitching import PointKind
from tests.pages import wait_for_frame

SQUARE = """
[runner]
length = "102 in"
width = "102 in"
[[quilting]]
kind = "straight"
spacing = "{spacing}"
"""

WITHIN_A_FILM = 40_000


@cache
def straight() -> Result:
    """A square as large as a bed, in lines a quarter of an inch apart."""
    return compute(parse(SQUARE.format(spacing="1/4 in")))


@cache
def curled() -> Result:
    """The same square in one spiral of 330,000 stitches of 3.2 mm, which is curved everywhere."""
    few = compute(parse(SQUARE.format(spacing="50 in")))
    count, apart = 330_000, 5.9
    turn = np.sqrt(np.arange(count) * 4 * np.pi * 3.2 / apart)
    points = 1295.4 + apart * (turn / (2 * np.pi))[:, None] * np.column_stack(
        [np.cos(turn), np.sin(turn)]
    )
    kind = np.full(count, PointKind.STITCH, dtype=np.int8)
    kind[0], kind[-1] = PointKind.TRAVEL, PointKind.TRIM
    ones = np.zeros(count, dtype=np.int32)
    sewn = replace(few.stitches, points=points, kind=kind, run=ones, line=ones, stretch=ones)
    return replace(few, stitches=sewn)


@pytest.mark.parametrize("result", [straight, curled], ids=["straight", "curled"])
def test_the_file_takes_six_bytes_a_stitch_before_it_is_text(result: Any) -> None:
    """Two steps of two bytes, kind and layer; 4/3 of that as text (RFC 4648, base 64). The page
    itself is some 110 kB: style, scripts, the library for hands, what stands beside the picture."""
    stitches = len(result().stitches)
    assert stitches >= 330_000
    assert len(preview_page(result())) < stitches * 6 * 4 / 3 + 115_000
    assert len(preview_page(result())) < 3_500_000


COUNT = """() => {
  const pen = document.getElementById('cloth').getContext('2d'), line = pen.lineTo.bind(pen);
  window.strokes = 0;
  pen.lineTo = (x, y) => { window.strokes++; line(x, y); };
}"""


def opened(watched: Any, tmp_path: Path, result: Result) -> Any:
    file = tmp_path / "preview.html"
    file.write_bytes(preview_page(result))
    seen = watched()
    seen.page.goto(file.as_uri())
    rest(seen.page)
    seen.page.evaluate(COUNT)
    return seen


def rest(page: Any) -> None:
    """Until the picture is drawn in full again."""
    page.wait_for_timeout(250)
    wait_for_frame(page)


def inked(page: Any) -> list[int]:
    """Pixels that are not bare, in each quarter of the picture."""
    counts: list[int] = page.evaluate(
        """() => { const c = document.getElementById('cloth'), n = [0, 0, 0, 0];
        const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
        for (let i = 3; i < d.length; i += 4) { const p = (i - 3) / 4, x = p % c.width;
            if (d[i]) n[(x < c.width / 2 ? 0 : 1) + (p < c.width * c.height / 2 ? 0 : 2)]++; }
        return n; }"""
    )
    return counts


@pytest.mark.parametrize("result", [straight, curled], ids=["straight", "curled"])
def test_no_frame_while_it_is_moved_draws_more_than_a_film_can(
    watched: Any, tmp_path: Path, result: Any
) -> None:
    """Dragged and zoomed from all of it down to single stitches: each frame is counted."""
    seen = opened(watched, tmp_path, result())
    page = seen.page
    page.focus("#cloth")
    for _ in range(8):
        for key in ("ArrowRight", "ArrowUp", "+", "+", "+"):
            page.evaluate("() => { window.strokes = 0; }")
            page.keyboard.press(key)
            page.evaluate("() => new Promise(requestAnimationFrame)")
            page.evaluate("() => new Promise(requestAnimationFrame)")
            assert page.evaluate("() => window.strokes") < WITHIN_A_FILM, key
        rest(page)
    assert seen.errors == []


def test_moved_as_it_stands_it_lies_where_it_is_drawn_when_it_rests(
    watched: Any, tmp_path: Path
) -> None:
    page = opened(watched, tmp_path, curled()).page
    page.focus("#cloth")
    for key in ("ArrowRight", "ArrowDown", "+"):
        page.keyboard.press(key)
        page.evaluate("() => new Promise(requestAnimationFrame)")
        page.evaluate("() => new Promise(requestAnimationFrame)")
        meanwhile = inked(page)
        rest(page)
        assert meanwhile == pytest.approx(inked(page), rel=0.06, abs=300), key
