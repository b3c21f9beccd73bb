"""One drawing, three sinks: what is filed, printed and shown is the same."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import numpy as np
import pdfplumber
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from quiltpath.drawing import pdf, png, svg
from quiltpath.drawing.page_model import Drawing, Group, Line, Page, Polylines, Shape, Style, Text
from quiltpath.drawing.polylines import cut_into_dashes
from tests.documents.pictures import darkness, extent_mm, svg_pixels

SVG = "{http://www.w3.org/2000/svg}"
INK = Style(stroke=None, fill="#000000")
MM_PER_POINT = 25.4 / 72
PIXEL = 0.11
"""Pictures are compared to one pixel of a tenth of a mm."""


def block(x: float, y: float, width: float, height: float, style: Style = INK) -> Shape:
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return Shape((np.array(corners, dtype=float),), style)


def flag() -> Page:
    """60 x 40 mm with an L in one corner: mirrored or turned, it cannot pass for itself."""
    shapes = (block(10, 5, 30, 2), block(10, 5, 2, 20))
    return Page(60, 40, (Group("flag", shapes),), title="flag")


def raster(page: Page) -> dict[str, np.ndarray]:
    """The page as each sink's file shows it, 10 pixels to the mm."""
    pages = pypdfium2.PdfDocument(pdf.render(page))
    from_pdf = pages[0].render(scale=10 * MM_PER_POINT).to_pil()
    from_png = Image.open(io.BytesIO(png.render(page, 10)))
    return {
        "svg": svg_pixels(svg.render(page)),
        "pdf": darkness(from_pdf),
        "png": darkness(from_png),
    }


@pytest.mark.parametrize("sink", ["svg", "pdf", "png"])
def test_an_asymmetric_figure_lies_the_same_way_in_every_file(sink: str) -> None:
    dark = raster(flag())[sink]
    assert dark.shape == pytest.approx((400, 600), abs=1)
    across = extent_mm(dark[340 - 5], 10)  # 5 to 7 mm above the lower edge: the long arm
    assert across == pytest.approx((10, 40), abs=PIXEL)
    up = extent_mm(dark[:, 110], 10)  # the short arm; rows count from the top
    assert up == pytest.approx((40 - 25, 40 - 5), abs=PIXEL)
    assert dark[150:328, 125:].max() < 0.05


def test_a_pdf_unit_is_one_seventy_second_of_an_inch() -> None:
    """ISO 32000-1, 8.3.2.3 (from memory); measured by pdfplumber."""
    page = pdfplumber.open(
        io.BytesIO(pdf.render(Page(300, 200, (Group("g", (block(20, 30, 101.6, 5),)),))))
    ).pages[0]
    assert float(page.width) * MM_PER_POINT == pytest.approx(300, abs=0.01)
    bar = (page.rects or page.curves)[0]
    assert float(bar["x1"] - bar["x0"]) == pytest.approx(4 * 72, abs=0.01)
    assert float(bar["x0"]) * MM_PER_POINT == pytest.approx(20, abs=0.01)


def test_svg_is_true_to_size_in_millimetres() -> None:
    root = ET.fromstring(svg.render(flag()))
    assert (root.get("width"), root.get("height")) == ("60mm", "40mm")
    assert root.get("viewBox") == "0 0 60 40"


def nested() -> Page:
    inner = Group("inner", (block(0, 0, 10, 10),), shift_mm=(5, 2), scale=2)
    outer = Group("outer", (inner,), shift_mm=(10, 6), scale=0.5)
    return Page(60, 40, (outer,))


@pytest.mark.parametrize("sink", ["svg", "pdf", "png"])
def test_groups_nest_with_their_shifts_and_scales(sink: str) -> None:
    """Inside out: 10 mm doubled, moved by 5; halved, moved by 10: 12.5 to 22.5 mm across."""
    dark = raster(nested())[sink]
    assert extent_mm(dark[400 - 120], 10) == pytest.approx((12.5, 22.5), abs=PIXEL)
    assert extent_mm(dark[:, 150], 10) == pytest.approx((40 - 17, 40 - 7), abs=PIXEL)


@pytest.mark.parametrize("sink", ["svg", "pdf", "png"])
def test_a_window_hides_what_lies_outside_it(sink: str) -> None:
    group = Group("tile", (block(0, 0, 100, 100),), shift_mm=(-20, -20), clip_mm=(10, 5, 30, 25))
    dark = raster(Page(60, 40, (group,)))[sink]
    assert extent_mm(dark[400 - 150], 10) == pytest.approx((10, 30), abs=PIXEL)
    assert extent_mm(dark[:, 200], 10) == pytest.approx((15, 35), abs=PIXEL)


@pytest.mark.parametrize("sink", ["svg", "pdf", "png"])
def test_a_mirrored_group_swaps_left_and_right_and_a_stretched_one_corrects_the_printer(
    sink: str,
) -> None:
    group = Group("m", (block(0, 0, 20, 10),), shift_mm=(50, 5), mirrored=True, stretch=(1.5, 0.8))
    dark = raster(Page(60, 40, (group,)))[sink]
    assert extent_mm(dark[400 - 90], 10) == pytest.approx((20, 50), abs=PIXEL)
    assert extent_mm(dark[:, 300], 10) == pytest.approx((27, 35), abs=PIXEL)


@pytest.mark.parametrize("sink", ["svg", "pdf", "png"])
def test_a_hole_stays_open(sink: str) -> None:
    rings = (block(5, 5, 30, 30).rings[0], block(15, 15, 10, 10).rings[0])
    dark = raster(Page(40, 40, (Group("g", (Shape(rings, INK),)),)))[sink]
    assert dark[200, 200] < 0.05
    assert dark[200, 100] > 0.95


def test_ids_are_unique_and_groups_have_titles() -> None:
    twice = Group("numbers", (), title="sewing order")
    page = Page(10, 10, (twice, twice, Group("42 Ångström & <b>", (twice,))))
    root = ET.fromstring(svg.render(page))
    groups = root.findall(f".//{SVG}g")
    ids = [group.get("id") or "" for group in groups]
    assert len(set(ids)) == len(ids) == 4
    assert all(re.fullmatch(r"[a-z][a-z0-9-]*", name) for name in ids)
    assert groups[0].findtext(f"{SVG}title") == "sewing order"


def test_many_stitches_of_one_style_become_one_element() -> None:
    points = np.arange(40_000, dtype=float).reshape(-1, 2) % 97
    stitches = Polylines(points, np.arange(0, 20_001, 2))
    root = ET.fromstring(svg.render(Page(100, 100, (Group("thread", (stitches,)),))))
    paths = root.findall(f".//{SVG}path")
    assert len(paths) == 1
    assert (paths[0].get("d") or "").count("M") == 10_000


@given(st.lists(st.tuples(st.floats(-2500, 2500), st.floats(-2500, 2500)), min_size=2, max_size=12))
def test_coordinates_are_written_to_a_hundredth_of_a_millimetre(
    corners: list[tuple[float, float]],
) -> None:
    points = np.array(corners)
    page = Page(5000, 5000, (Group("g", (Line(points),), shift_mm=(2500, 2500)),))
    words = ET.fromstring(svg.render(page)).find(f".//{SVG}path").get("d")  # type: ignore[union-attr]
    numbers = np.array(re.findall(r"-?[\d.]+(?:e-?\d+)?", words), dtype=float).reshape(-1, 2)
    back = numbers * (1, -1) + (-2500, 2500)
    assert np.abs(back - points).max() <= 0.005 + 1e-9


def test_the_same_drawing_gives_the_same_bytes() -> None:
    for one, other in ((nested(), nested()), (flag(), flag())):
        assert svg.render(one) == svg.render(other)
        assert pdf.render(one) == pdf.render(other)
        assert png.render(one, 3) == png.render(other, 3)


def test_a_pdf_asks_not_to_be_scaled_and_carries_no_date() -> None:
    written = pdf.render(Drawing("guide", (flag(), flag())))
    assert len(pypdfium2.PdfDocument(written)) == 2
    assert b"/PrintScaling /None" in written
    assert b"(D:2000" in written or b"CreationDate" not in written


@pytest.mark.parametrize(
    ("written", "printed"),
    [("1¼ in × 45°", "1¼ in × 45°"), ("Łódź café", "?ódz café"), ("⅛ & \x07", "1 & ")],
)
def test_text_prints_in_every_readers_own_letters(written: str, printed: str) -> None:
    page = Page(100, 20, (Group("g", (Text((5, 5), written),)),))
    with pdfplumber.open(io.BytesIO(pdf.render(page))) as read:
        assert read.pages[0].extract_text().strip() == printed.strip()


def test_a_page_larger_than_pdf_allows_is_refused() -> None:
    with pytest.raises(ValueError, match="5080 mm"):
        pdf.render(Page(5081, 100, ()))


def test_a_huge_page_makes_a_picture_of_bounded_size() -> None:
    picture = Image.open(io.BytesIO(png.render(Page(50_000, 400, ()), 10)))
    assert picture.width * picture.height * png.ENLARGED**2 <= png.MOST_PIXELS * 1.001
    assert picture.width / picture.height == pytest.approx(125, rel=0.01)


def test_dashes_cover_their_share_of_a_line_and_keep_its_corners() -> None:
    """6 on, 2 off along 100 mm with a corner at 50: 12 whole periods and 4 mm of ink."""
    line = np.array([(0, 0), (50, 0), (50, 50)], dtype=float)
    points, start = cut_into_dashes(line, np.array([0, 3]), False, (6, 2))
    inked = sum(np.hypot(*np.diff(points[a:b], axis=0).T).sum() for a, b in pairwise(start))
    assert inked == pytest.approx(12 * 6 + 4)
    assert (points == (50, 0)).all(axis=1).any()


def test_an_svg_file_holds_one_page() -> None:
    with pytest.raises(ValueError, match="exactly one page"):
        svg.render(Drawing("two", (flag(), flag())))
