"""Printed sheets, guides and pictures measured by other people's readers and renderers."""

from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET
from functools import cache

import numpy as np
import pdfplumber
import pypdfium2
from PIL import Image
from shapely.geometry import Polygon

from tests.documents.pictures import darkness, extent_mm, svg_pixels
from tests.outside.check import outside
from tests.outside.gap import AS_GIVEN, disc
from tests.outside.job import IN, drawn, files, guide, project, straight

ISO, ANSI = "ISO 216 (memory)", "ANSI/ASME Y14.1 (memory)"
POINT = IN / 72
PDF = "ISO 32000-1 (memory): 1/72 in"


def paper(sheet: str, more: str = "") -> str:
    """A small runner with a disc of radius 60, for one set of sheets."""
    section = f'[paper]\nsheets = ["{sheet}"]\n{more}\n'
    return project(600, 300, AS_GIVEN + disc(60, 300, 150) + straight(40) + section)


def sheets(sheet: str, more: str = "") -> bytes:
    (content,) = files("printed sheets", paper(sheet, more)).values()
    return content


@cache
def pages(sheet: str, more: str = "") -> list[pdfplumber.page.Page]:
    return pdfplumber.open(io.BytesIO(sheets(sheet, more))).pages


def upright(size: str) -> tuple[float, ...]:
    """Sides of the marking sheets' pages in mm, the shorter first."""
    found = {
        tuple(sorted((float(page.width) * POINT, float(page.height) * POINT)))
        for page in pages("marking", f'size = "{size}"')
    }
    (sides,) = found
    return sides


@outside("paper", "A4: sides of the pages printed", ISO + "; pdfplumber", (210.0, 297.0), 0.01)
def a4() -> tuple[float, ...]:
    return upright("A4")


@outside("paper", "A3: sides of the pages printed", ISO + "; pdfplumber", (297.0, 420.0), 0.01)
def a3() -> tuple[float, ...]:
    return upright("A3")


@outside("paper", "A2: sides of the pages printed", ISO + "; pdfplumber", (420.0, 594.0), 0.01)
def a2() -> tuple[float, ...]:
    return upright("A2")


@outside("paper", "A0: area of a page in square metres", ISO + ": one, to the mm", 1.0, 0.001)
def a0() -> float:
    return math.prod(upright("A0")) / 1e6


@outside("paper", "Letter: sides of the pages in inches", ANSI + "; pdfplumber", (8.5, 11.0), 0.001)
def letter() -> tuple[float, ...]:
    return tuple(side / IN for side in upright("Letter"))


@outside("paper", "Legal: sides of the pages in inches", ANSI + "; pdfplumber", (8.5, 14.0), 0.001)
def legal() -> tuple[float, ...]:
    return tuple(side / IN for side in upright("Legal"))


@outside(
    "paper", "Tabloid: sides of the pages in inches", ANSI + "; pdfplumber", (11.0, 17.0), 0.001
)
def tabloid() -> tuple[float, ...]:
    return tuple(side / IN for side in upright("Tabloid"))


def sizes_of(page: pdfplumber.page.Page, kind: str) -> list[tuple[float, float]]:
    """Widths and heights of a page's rectangles or curves, in mm."""
    return [(each["width"] * POINT, each["height"] * POINT) for each in getattr(page, kind)]


@outside(
    "paper",
    "check squares on the first of the marking sheets: 100 mm and 4 in, both ways",
    PDF + "; pdfplumber",
    (100.0, 100.0, 101.6, 101.6),
    0.02,
)
def check_squares() -> tuple[float, ...]:
    metric, inches = sizes_of(pages("marking")[0], "rects")[-2:]
    return (*metric, *inches)


@outside(
    "paper",
    "template of a disc of radius 60: its width and height on the page, and across and up where a"
    " printer prints 100 mm as 99 across",
    PDF + "; arithmetic: 120 x 100 / 99 across, up as it is; pdfplumber",
    (120.0, 120.0, 120 * 100 / 99, 120.0),
    0.05,
)
def template() -> tuple[float, ...]:
    true, shrinks = pages("marking"), pages("marking", 'bar_across = "99 mm"')
    as_printed, put_right = (
        max(size for page in found for size in sizes_of(page, "curves"))
        for found in (true, shrinks)
    )
    return (*as_printed, *put_right)


@outside(
    "paper",
    "guide on one page: the runner's width and height",
    PDF + "; pdfplumber",
    (600.0, 300.0),
    0.02,
)
def whole_guide() -> tuple[float, ...]:
    (page,) = pages("whole")
    return sorted(sizes_of(page, "rects"))[-2]


@outside(
    "paper",
    "the same, rendered at 2 pixels to the mm: mm from the runner's left edge to its right",
    "pypdfium2 renders, dark pixels are counted",
    600.0,
    1.5,
)
def whole_guide_rendered() -> float:
    page = pypdfium2.PdfDocument(sheets("whole"))[0]
    dark = darkness(page.render(scale=2 * POINT).to_pil())
    rows = [extent_mm(row, 2) for row in dark if row.max() > 0.4]
    # the edge is the longest dark line of the sheet that is no longer than the cloth
    return float(np.median([right - left for left, right in rows if 595 < right - left < 620]))


@outside(
    "paper",
    "projector's picture: the runner's width and height",
    PDF + "; pdfplumber",
    (600.0, 300.0),
    0.05,
)
def projector() -> tuple[float, ...]:
    (page,) = pages("projector")
    return sorted(sizes_of(page, "rects"))[-2]


@outside(
    "paper",
    "stencil of a disc of radius 60: mean of the nearest and the farthest side of its slots",
    "SVG 2, W3C (memory): absolute units; svgelements",
    60.0,
    0.1,
)
def stencil() -> float:
    slots = np.concatenate([np.array(line.coords) for line in drawn(sheets("stencils"), "slots")])
    away = np.hypot(*(slots - (slots.max(axis=0) + slots.min(axis=0)) / 2).T)
    return float(away.max() + away.min()) / 2


@outside(
    "paper",
    "pages of a tiled guide of 760 by 300 on upright A4 with a margin of 6 and 10 shared",
    "arithmetic: (760 - 10) / 188 x (300 - 10) / 267 with 8 for the foot, rounded up; one of maps",
    4 * 2 + 1,
)
def tiled_pages() -> int:
    asked = 'size = "A4"\norientation = "upright"\nmargin = 6\noverlap = 10\nsheets = ["tiled"]\n'
    text = project(760, 300, AS_GIVEN + straight(40) + "[paper]\n" + asked)
    (content,) = files("printed sheets", text).values()
    return len(pdfplumber.open(io.BytesIO(content)).pages)


TILED = project(
    1800, 400, AS_GIVEN + straight(40)
    + '[paper]\nsize = "A4"\nmargin = 6\noverlap = 10\nsheets = ["tiled"]\n',
)  # fmt: skip
DASHED = "11.339"


@cache
def taped_pages() -> dict[int, tuple[tuple[float, float], list[float], list[float]]]:
    """By number: where the runner's lower left corner stands on the page, from the left and from
    above, and where its upright and its level joining lines are, in mm."""
    found = {}
    (content,) = files("printed sheets", TILED).values()
    with pdfplumber.open(io.BytesIO(content)) as taped:
        for page in taped.pages[1:]:
            name = int(re.findall(r"page ([0-9]+)", page.extract_text())[0])
            runner = max(page.rects, key=lambda rect: rect["width"])
            joins = [line for line in page.lines if DASHED in str(line["dash"])]
            across = sorted(j["x0"] * POINT for j in joins if j["x0"] == j["x1"])
            level = sorted(j["top"] * POINT for j in joins if j["top"] == j["bottom"])
            found[name] = (runner["x0"] * POINT, runner["bottom"] * POINT), across, level
    return found


def pages_in_a_row() -> int:
    """Pages are counted row by row: so many until one stands at the left end again."""
    left = {name: corner[0] for name, (corner, _, _) in taped_pages().items()}
    return next(name for name in sorted(left) if left.get(name + 1, left[1]) >= left[name])


@outside(
    "paper",
    "tiled guide taped along its joining lines: mm by which pages miss each other's drawing",
    "Euclid: one page's last line laid on the next one's first; pdfplumber",
    0.0,
    0.02,
)
def taped() -> float:
    known, apart = taped_pages(), []
    across = pages_in_a_row()
    for name, (corner, upright, level) in known.items():
        if name + 1 in known and name % across:
            other, lines, _ = known[name + 1]
            apart.append((corner[0] - upright[-1]) - (other[0] - lines[0]))
        if name + across in known:
            other, _, lines = known[name + across]
            apart.append((corner[1] - level[-1]) - (other[1] - lines[0]))
    assert len(apart) > 12
    return float(np.abs(apart).max())


@outside(
    "paper",
    "tiled guide with a margin of 6 and 10 shared: from the paper's edge to the joining line, mm",
    "arithmetic: the margin and half of what is shared; pdfplumber",
    (11.0, 11.0),
    0.02,
)
def joining_line() -> tuple[float, ...]:
    """On every page with a neighbour on its left: the nearest and the farthest."""
    across = pages_in_a_row()
    found = [lines[0] for name, (_, lines, _) in taped_pages().items() if name % across != 1]
    return min(found), max(found)


GUIDED = project(600, 300, AS_GIVEN + straight(40))


@outside(
    "paper",
    "guide: mm to a user unit, across and up",
    "SVG 2, W3C (memory): width, height, viewBox",
    (1.0, 1.0),
    1e-6,
)
def user_unit() -> tuple[float, ...]:
    root = ET.fromstring(files("guide", GUIDED)["guide.svg"])
    box = [float(number) for number in str(root.get("viewBox")).split()]
    sides = (str(root.get(side)) for side in ("width", "height"))
    assert all(side.endswith("mm") for side in (str(root.get("width")), str(root.get("height"))))
    across, up = (float(side.removesuffix("mm")) for side in sides)
    return across / box[2], up / box[3]


@outside(
    "paper",
    "guide: the runner's length and width, and from line to line across it, least and greatest",
    "svgelements, at its own 25.4 to the inch; arithmetic: the spacing that is asked for",
    (600.06, 300.06, 40.0, 40.0),
    0.01,
)
def guide_size() -> tuple[float, ...]:
    text = project(600.06, 300.06, AS_GIVEN + straight(40))
    (edge,) = guide(text, "outline")
    low_x, low_y, high_x, high_y = edge.bounds
    steps = np.diff(sorted(line.coords[0][1] for line in guide(text, "layer-1-straight")))
    return high_x - low_x, high_y - low_y, float(steps.min()), float(steps.max())


@outside(
    "paper",
    "guide of a small one rendered at 10 pixels to the mm: mm of its lower edge, pen included",
    "resvg renders, dark pixels are counted",
    120.6,
    0.3,
)
def guide_rendered() -> float:
    small = project(120, 60, AS_GIVEN + straight(20))
    (edge,) = guide(small, "outline")
    pixels = svg_pixels(files("guide", small)["guide.svg"])
    row = pixels[round(edge.bounds[3] * 10)]
    middle = row[round(edge.bounds[0] * 10) - 40 : round(edge.bounds[2] * 10) + 40]
    left, right = extent_mm(middle, 10)
    return right - left


@outside(
    "paper",
    "disc that is a motif: its area on the guide",
    "closed form: pi r squared; svgelements, GEOS",
    math.pi * 3600,
    2.0,
)
def motif_area() -> float:
    text = project(600, 300, AS_GIVEN + disc(60, 300, 150))
    return max(float(Polygon(line).area) for line in guide(text, "motifs"))


@outside(
    "paper",
    "preview: its picture's length over its height, against the drawing's",
    "PNG specification, IHDR, read by Pillow; SVG 2, viewBox",
    1.0,
    0.01,
)
def preview_shape() -> float:
    made = files("preview in lines", GUIDED) | files("lit previews", GUIDED)
    wide, high = Image.open(io.BytesIO(made["preview.png"])).size
    box = [float(n) for n in str(ET.fromstring(made["preview.svg"]).get("viewBox")).split()]
    return (wide / high) / (box[2] / box[3])
