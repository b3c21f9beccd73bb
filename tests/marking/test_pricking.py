"""Sheets to prick or to trace: holes true to size on the lines, and no more paper than is needed.

A hole every 2 to 3 mm is common practice, from memory; positions are read by pdfplumber.
"""

from __future__ import annotations

import functools
import io

import numpy as np
import pdfplumber
import pytest
import shapely
from shapely.geometry import LineString

from quiltpath.drawing import pdf
from quiltpath.drawing.page_model import Drawing
from quiltpath.geometry.arrays import Points
from quiltpath.marking.marking_set import marking_set
from quiltpath.marking.paper_files import paper_setting
from quiltpath.marking.pricking import holes, pricking_set
from quiltpath.patterns import Lines, draw
from quiltpath.project import parse
from quiltpath.runner import build

MM_PER_POINT = 25.4 / 72
HOLE_MM = 0.8

BLOCKS = """
title = "Bean trug"
units = "mm"
[runner]
length = 730
width = 200
[grid]
along = 4
block = [160, 170]
sashing = 20
outer_sashing = 15
[[quilting]]
kind = "sashing"
[[quilting]]
kind = "spiral"
spacing = 20
region = "blocks"
"""


@functools.cache
def made(more: str = "", text: str = BLOCKS) -> tuple[Drawing | None, Lines]:
    project = parse(text + more)
    runner = build(project)
    lines = draw(runner, project.quilting)
    setting = paper_setting(project.paper, runner)
    return pricking_set(runner, lines, project.quilting, setting, project.title), lines


def printed_holes(page: pdfplumber.page.Page) -> Points:
    """Middles of the dots on a page, in mm from its lower left corner."""
    dots = [
        ((o["x0"] + o["x1"]) / 2, (o["y0"] + o["y1"]) / 2)
        for o in (*page.lines, *page.curves)
        if abs(float(o["linewidth"]) * MM_PER_POINT - HOLE_MM) < 0.01
    ]
    return np.array(dots, dtype=float).reshape(-1, 2) * MM_PER_POINT


@pytest.mark.parametrize(
    "line",
    [
        LineString([(0, 0), (100, 0), (100, 37)]),
        LineString([(0, 0), (1, 0)]),
        shapely.Point(0, 0).buffer(40, quad_segs=64).exterior,
        LineString([(0, 0), (30, 0), (0, 1)]),
    ],
)
def test_holes_lie_on_the_line_at_its_ends_and_corners_and_are_near(
    line: LineString,
) -> None:
    places = holes(line)
    assert shapely.distance(line, shapely.points(places)).max() < 1e-9
    steps = np.hypot(*np.diff(places, axis=0).T)
    assert steps.max() <= 2.5 + 1e-9
    corners = shapely.get_coordinates(line)[[0, -1]] if len(line.coords) > 10 else line.coords
    for corner in corners:
        assert np.hypot(*(places - corner).T).min() < 1e-9


def test_the_holes_of_a_block_are_printed_true_to_size() -> None:
    """Moved to their middle they are the block's own lines, to 0.1 mm, whatever the page."""
    drawing, lines = made()
    assert drawing is not None
    with pdfplumber.open(io.BytesIO(pdf.render(drawing))) as read:
        (dots,) = [found for page in read.pages if len(found := printed_holes(page))]
    wanted = lines.geometry[lines.layer == 1][:1]
    low, high = shapely.total_bounds(wanted).reshape(2, 2)
    assert np.ptp(dots, axis=0) == pytest.approx(high - low, abs=0.3)
    moved = dots - dots.min(axis=0) + low
    shift = np.array([moved.min(axis=0) - low, moved.max(axis=0) - high]).mean(axis=0)
    away = shapely.distance(shapely.union_all(wanted), shapely.points(moved - shift))
    assert away.max() < 0.2


def test_blocks_that_are_alike_are_printed_once_and_seams_are_not_pricked() -> None:
    drawing, _ = made()
    assert drawing is not None
    assert len(drawing.pages) <= 3
    text = "\n".join(page_words(drawing))
    assert "4 times: A1, B1, C1, D1" in text
    assert "sashing" not in text.split("How templates are laid")[1]


def page_words(drawing: Drawing) -> list[str]:
    with pdfplumber.open(io.BytesIO(pdf.render(drawing))) as read:
        return [page.extract_text() for page in read.pages]


def test_it_says_how_and_what_can_hurt() -> None:
    drawing, _ = made()
    assert drawing is not None
    text = " ".join(page_words(drawing)[0].split())
    for said in ("2.5 mm", "machine's manual comes first", "light box", "do not breathe it"):
        assert said in text


def test_where_nothing_is_marked_nothing_is_printed() -> None:
    text = BLOCKS[: BLOCKS.index('[[quilting]]\nkind = "spiral"')]
    assert made(text=text)[0] is None


LARGE = """
title = "Large quilt"
units = "in"
[runner]
length = "106 in"
width = "106 in"
[grid]
along = 8
across = 8
block = ["11 in", "11 in"]
sashing = "2 in"
outer_sashing = "2 in"
[[quilting]]
"""


@pytest.mark.parametrize(
    ("layer", "most", "told"),
    [
        ('kind = "waves"', 2, "times along"),
        ('kind = "clamshells"\nregion = "blocks"', 2, "64 times"),
        ('kind = "spiral"\nregion = "blocks"', 6, "times: A1"),
        ('kind = "meander"\nspacing = "6 in"', 4, "Printed is A1 alone"),
    ],
)
def test_a_large_quilt_takes_the_sheets_of_a_block(layer: str, most: int, told: str) -> None:
    """106 x 106 in is some 150 A4 pages; nobody tapes them."""
    project = parse(LARGE + layer)
    runner = build(project)
    lines = draw(runner, project.quilting)
    setting = paper_setting(project.paper, runner)
    done = marking_set(runner, lines, project.quilting, setting, project.title)
    assert done.full_size_pages > 140
    assert done.pages <= most
    assert told in " ".join(" ".join(page_words(done.drawing)).split())
