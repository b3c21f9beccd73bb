"""The marking guide is true to size, complete, and readable without colour."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from collections import Counter
from itertools import pairwise

import numpy as np
import pdfplumber
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression

from quiltpath.documents.guide import guide
from quiltpath.documents.preview import GapMark, PreviewCloth, preview
from quiltpath.drawing import pdf, svg
from quiltpath.drawing.page_model import Drawing, Page, Text
from quiltpath.drawing.sketch import bars
from quiltpath.runner.order_marks import TEXT_MM, arrows, number_runs, spread_apart
from tests.documents.pictures import extent_mm, svg_pixels
from tests.documents.quilted import (
    LENGTH,
    WIDTH,
    a_run_a_line,
    galley_runner,
    quilting,
    stitched,
)

SVG = "{http://www.w3.org/2000/svg}"
MM_PER_POINT = 25.4 / 72


@pytest.fixture(scope="module")
def drawn() -> Drawing:
    runner = galley_runner()
    lines = quilting(runner)
    return guide(runner, lines, a_run_a_line(lines, runner), "Galley runner")


def only(page: Page, *names: str) -> Page:
    """The page with nothing on it but the named groups."""

    def kept(group):  # type: ignore[no-untyped-def]
        if group.name in names:
            return group
        inner = tuple(kept(item) for item in group.items if hasattr(item, "items"))
        return type(group)(**{**group.__dict__, "items": tuple(g for g in inner if g)})

    return Page(page.width_mm, page.height_mm, tuple(kept(group) for group in page.groups))


@pytest.mark.parametrize(("bar", "length"), [("bar 100 mm", 100.0), ("bar 4 in", 101.6)])
def test_check_bars_are_their_length_in_an_independent_renderer(
    drawn: Drawing, bar: str, length: float
) -> None:
    """Rendered by resvg at 254 dpi, which is 10 pixels to the mm."""
    page = only(drawn.pages[0], bar)
    dark = svg_pixels(svg.render(page))
    across = dark[(dark > 0.5).sum(axis=1).argmax()]
    start, end = extent_mm(across, 10)
    assert end - start == pytest.approx(length, abs=0.1)


def test_the_upright_bar_is_100_mm(drawn: Drawing) -> None:
    dark = svg_pixels(svg.render(only(drawn.pages[0], "bar 100 mm up")))
    start, end = extent_mm(dark[:, (dark > 0.5).sum(axis=0).argmax()], 10)
    assert end - start == pytest.approx(100, abs=0.1)


def test_the_outline_is_the_finished_size(drawn: Drawing) -> None:
    """From middle to middle of the line that draws it, 0.6 mm wide."""
    dark = svg_pixels(svg.render(only(drawn.pages[0], "outline")))
    rows, columns = dark.max(axis=1), dark.max(axis=0)
    (low, high), (left, right) = extent_mm(rows, 10), extent_mm(columns, 10)
    assert right - left - 0.6 == pytest.approx(LENGTH, abs=0.1)
    assert high - low - 0.6 == pytest.approx(WIDTH, abs=0.1)


def test_pdf_and_svg_have_the_bars_at_the_same_size(drawn: Drawing) -> None:
    with pdfplumber.open(io.BytesIO(pdf.render(drawn))) as read:
        rects = read.pages[0].rects
        lengths = {round(float(r["width"]) * MM_PER_POINT, 2) for r in rects}
    assert {100.0, 101.6} <= lengths


def test_every_part_is_a_group_of_its_own(drawn: Drawing) -> None:
    root = ET.fromstring(svg.render(drawn))
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert [name for name, count in Counter(ids).items() if count > 1] == []
    wanted = {"outline", "seams", "blocks", "sashing", "motifs", "sewing-order", "directions"}
    wanted |= {"check-bars", "layer-1-along-the-sashing", "layer-4-lengthwise"}
    assert wanted <= set(ids)
    assert all(g.find(f"{SVG}title") is not None for g in root.iter(f"{SVG}g"))


def test_the_svg_library_accepts_every_element(drawn: Drawing) -> None:
    """svgwrite checks each attribute against SVG 1.1; it raises on a fault."""
    assert svg.render(drawn, validate=True) == svg.render(drawn)


def test_layers_can_be_told_apart_without_colour(drawn: Drawing) -> None:
    root = ET.fromstring(svg.render(drawn))
    layers = [g for g in root.iter(f"{SVG}g") if re.match(r"layer-\d", g.get("id") or "")]
    dashes = [g.find(f"{SVG}path").get("stroke-dasharray", "") for g in layers]  # type: ignore[union-attr]
    assert len(dashes) == len(set(dashes)) == 4


def test_numbers_stand_at_their_runs_starts_and_never_touch() -> None:
    runner = galley_runner()
    runs = a_run_a_line(quilting(runner), runner)
    texts = [i for i in number_runs(runner, runs).group.walk() if isinstance(i, Text)]
    places = np.array([text.at for text in texts])
    starts = runs.ends[[int(text.text) - 1 for text in texts], 0]
    assert np.hypot(*(places - starts).T).max() < 60
    boxes = [
        (x - w / 2, y, x + w / 2, y + 0.72 * TEXT_MM)
        if t.anchor == "middle"
        else ((x, y, x + w, y + 0.72 * TEXT_MM) if t.anchor == "start" else (x - w, y, x, y + 3.6))
        for t in texts
        for (x, y), w in [(t.at, 0.556 * TEXT_MM * len(t.text))]
    ]
    clashes = [
        (texts[i].text, texts[j].text)
        for i, a in enumerate(boxes)
        for j, b in enumerate(boxes[:i])
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]
    assert clashes == []


def test_numbers_that_find_no_room_are_said_to_be_left_out() -> None:
    runner = galley_runner()
    runs = a_run_a_line(quilting(runner), runner)
    numbered = number_runs(runner, runs)
    shown = sum(isinstance(item, Text) for item in numbered.group.walk())
    assert numbered.shown == shown
    assert (str(shown) in numbered.note) and (str(len(runs)) in numbered.note)


@given(
    st.lists(st.floats(0, 100), min_size=1, max_size=15).map(sorted),
    st.floats(0.5, 6),
)
def test_spreading_moves_numbers_as_little_as_can_be(places: list[float], gap: float) -> None:
    """Least squares under a least distance is isotonic regression; scipy's is the check."""
    wanted = np.array(places)
    got = spread_apart(wanted, gap, 0.0, 100.0)
    assert (np.diff(got) >= gap - 1e-9).all()
    steps = gap * np.arange(len(wanted))
    best = np.clip(isotonic_regression(wanted - steps).x, 0, 100 - steps[-1]) + steps
    assert got == pytest.approx(best, abs=1e-6)


def test_arrows_point_the_way_the_needle_goes() -> None:
    runner = galley_runner()
    lines = quilting(runner)
    heads = next(iter(arrows(a_run_a_line(lines, runner)).walk())).points.reshape(-1, 3, 2)
    tips, barbs = heads[:, 1], (heads[:, 0] + heads[:, 2]) / 2
    along = lines.geometry[lines.layer == 3][0]
    on_it = np.abs(tips[:, 1] - along.coords[0][1]) < 1e-6
    forwards = np.sign(along.coords[-1][0] - along.coords[0][0])
    assert on_it.any()
    assert (np.sign(tips[on_it, 0] - barbs[on_it, 0]) == forwards).all()


def test_the_bars_warn_before_anything_is_cut(drawn: Drawing) -> None:
    words = " ".join(t.text for g in drawn.pages[0].groups for t in g.walk() if isinstance(t, Text))
    assert "Print at 100 %" in words and "before you cut" in words
    assert bars(0, 0).items


def test_every_stitch_is_in_the_preview_and_keeps_clear_of_its_needle_holes() -> None:
    runner = galley_runner()
    lines = quilting(runner)
    stitches = stitched(a_run_a_line(lines, runner))
    page = preview(runner, lines, stitches, cloth=PreviewCloth(hole_mm=0.5)).pages[0]
    thread = [g for g in page.groups[0].items if g.name.startswith("thread")]  # type: ignore[union-attr]
    drawn = np.concatenate([g.items[0].points.reshape(-1, 2, 2) for g in thread])  # type: ignore[union-attr]
    assert len(drawn) == stitches.stitch_count
    length = np.hypot(*(drawn[:, 1] - drawn[:, 0]).T)
    sewn = np.sort(stitches.step_mm[(stitches.kind == 1) | stitches.is_stitch])
    assert length.sum() < sewn.sum()
    assert (np.sort(length) > 0.39 * sewn).all()


def test_a_small_picture_draws_each_run_in_one_go() -> None:
    runner = galley_runner()
    lines = quilting(runner)
    runs = a_run_a_line(lines, runner)
    stitches = stitched(runs)
    page = preview(runner, lines, stitches, cloth=PreviewCloth(hole_mm=0)).pages[0]
    thread = [g.items[0] for g in page.groups[0].items if g.name.startswith("thread")]  # type: ignore[union-attr]
    assert sum(len(item.start) - 1 for item in thread) == len(runs)
    total = sum(
        np.hypot(*np.diff(item.points[a:b], axis=0).T).sum()
        for item in thread
        for a, b in pairwise(item.start)
    )
    assert total == pytest.approx(stitches.stitched_mm)


def test_a_gap_is_marked_where_it_is_and_as_wide_as_it_is() -> None:
    runner = galley_runner()
    lines = quilting(runner)
    stitches = stitched(a_run_a_line(lines, runner))
    mark = GapMark((300.0, 90.0), 48.0, "48 mm")
    page = preview(runner, lines, stitches, gaps=[mark]).pages[0]
    ring = next(i for i in page.groups[0].items[-1].walk() if not isinstance(i, Text))  # type: ignore[union-attr]
    assert np.hypot(*(ring.points - mark.centre).T) == pytest.approx(24.0)
