"""Paper sizes, and drawings measured by other people's readers and renderers."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from functools import cache

import numpy as np
import pdfplumber
import pypdfium2

from quiltpath.drawing import pdf, png, svg
from quiltpath.drawing.page_model import Drawing, Group, Page, Shape, Style, Text
from quiltpath.marking.paper_sizes import PAPERS_MM
from quiltpath.units import MM_PER_INCH as IN
from tests.documents.pictures import darkness, extent_mm, svg_pixels
from tests.outside.check import outside

ISO, ANSI = "ISO 216 (memory)", "ANSI/ASME Y14.1 (memory)"


def inches(name: str) -> tuple[float, ...]:
    return tuple(side / IN for side in PAPERS_MM[name])


@outside("paper", "A4", ISO, (210.0, 297.0))
def a4() -> tuple[float, ...]:
    return PAPERS_MM["A4"]


@outside("paper", "A3", ISO, (297.0, 420.0))
def a3() -> tuple[float, ...]:
    return PAPERS_MM["A3"]


@outside("paper", "A2", ISO, (420.0, 594.0))
def a2() -> tuple[float, ...]:
    return PAPERS_MM["A2"]


@outside("paper", "A0 in square metres", ISO + ": one, to the millimetre", 1.0, 0.001)
def a0() -> float:
    return PAPERS_MM["A0"][0] * PAPERS_MM["A0"][1] / 1e6


@outside(
    "paper",
    "long side of A4 over its short side",
    ISO + ": root of 2, to the millimetre",
    2**0.5,
    0.005,
)
def root_two() -> float:
    return PAPERS_MM["A4"][1] / PAPERS_MM["A4"][0]


@outside("paper", "Letter, inches", ANSI, (8.5, 11.0), 1e-9)
def letter() -> tuple[float, ...]:
    return inches("Letter")


@outside("paper", "Legal, inches", ANSI, (8.5, 14.0), 1e-9)
def legal() -> tuple[float, ...]:
    return inches("Legal")


@outside("paper", "Tabloid, inches", ANSI, (11.0, 17.0), 1e-9)
def tabloid() -> tuple[float, ...]:
    return inches("Tabloid")


@cache
def page() -> Page:
    """A bar of 101.6 by 5 mm on A4, its lower left corner at (20, 30)."""
    bar = np.array([(20.0, 30.0), (121.6, 30.0), (121.6, 35.0), (20.0, 35.0)])
    shape = Shape((bar,), Style(stroke=None, fill="#000000"))
    return Page(210, 297, (Group("bar", (shape, Text((20, 200), "Galley"))),), title="bar")


@cache
def printed() -> tuple[float, ...]:
    """Page width and height, bar width, left and bottom, in points, by pdfplumber."""
    sheet = pdfplumber.open(io.BytesIO(pdf.render(page()))).pages[0]
    bar = (sheet.rects or sheet.curves)[0]
    low = float(sheet.height) - float(bar["bottom"])
    return (
        float(sheet.width),
        float(sheet.height),
        float(bar["x1"] - bar["x0"]),
        float(bar["x0"]),
        low,
    )


@outside(
    "paper", "PDF: 4 in drawn, in points", "ISO 32000-1 (memory): 1/72 in; pdfplumber", 288.0, 0.02
)
def four_inches() -> float:
    return printed()[2]


@outside(
    "paper",
    "PDF: A4 page in points",
    "ISO 32000-1 (memory): 1/72 in; pdfplumber",
    (595.276, 841.89),
    0.02,
)
def page_in_points() -> tuple[float, ...]:
    return printed()[:2]


@outside(
    "paper",
    "PDF: a point at (20, 30) mm, from the left and from below",
    "ISO 32000-1 (memory): y upwards; pdfplumber",
    (20.0, 30.0),
    0.01,
)
def place() -> tuple[float, ...]:
    return tuple(points * IN / 72 for points in printed()[3:])


@outside(
    "paper",
    "PDF: mm of black in the row through the bar",
    "pypdfium2, rendered at 10 pixels to the mm",
    101.6,
    0.15,
)
def rendered() -> float:
    picture = pypdfium2.PdfDocument(pdf.render(page()))[0].render(scale=10 * IN / 72).to_pil()
    left, right = extent_mm(darkness(picture)[2970 - 325], 10)
    return right - left


@outside("paper", "PDF: the words on the page", "pypdfium2, text of the page", "Galley")
def words() -> str:
    text = pypdfium2.PdfDocument(pdf.render(page()))[0].get_textpage().get_text_range()
    return str(text).strip()


@outside("paper", "PDF: pages of a drawing of three", "pypdfium2", 3)
def three_pages() -> int:
    return len(pypdfium2.PdfDocument(pdf.render(Drawing("three", (page(),) * 3))))


@outside(
    "paper",
    "SVG: width and height as written",
    "SVG 2, W3C (memory): absolute units",
    ("210mm", "297mm"),
)
def written() -> tuple[str, ...]:
    root = ET.fromstring(svg.render(page()))
    return str(root.get("width")), str(root.get("height"))


@outside(
    "paper",
    "SVG: mm to a user unit, across and up",
    "SVG 2, W3C (memory): viewBox",
    (1.0, 1.0),
    1e-9,
)
def user_unit() -> tuple[float, ...]:
    root = ET.fromstring(svg.render(page()))
    box = [float(number) for number in str(root.get("viewBox")).split()]
    return 210 / box[2], 297 / box[3]


@outside(
    "paper",
    "SVG: mm of black in the row through the bar",
    "resvg, rendered at 10 pixels to the mm",
    101.6,
    0.15,
)
def svg_bar() -> float:
    left, right = extent_mm(svg_pixels(svg.render(page()))[2970 - 325], 10)
    return right - left


@outside(
    "paper",
    "SVG: pixels of an inch at 96 to the inch",
    "CSS Values and Units, W3C (memory); resvg",
    96.0,
    0.4,
)
def css_inch() -> float:
    import resvg_py
    from PIL import Image

    square = Page(IN, IN, (Group("g", ()),))
    drawn = resvg_py.svg_to_bytes(svg_string=svg.render(square).decode(), dpi=96)
    return float(Image.open(io.BytesIO(bytes(drawn))).width)


@outside(
    "paper",
    "PNG: pixels of A4 at 4 to the mm",
    "PNG specification, IHDR, read by Pillow",
    (840, 1188),
    0.4,
)
def png_size() -> tuple[float, ...]:
    from PIL import Image

    return Image.open(io.BytesIO(png.render(page(), 4.0))).size
