"""Paper and pages can be read: contrast, size of print, and a second signal beside colour.

Contrast by the W3C's formula (WCAG 2.2, success criteria 1.4.3 and 1.4.11, from memory): text 4.5
to 1, large text and what is no text 3 to 1. Print of 7 points and more: common practice.
"""

from __future__ import annotations

import itertools
import re
from ctypes import c_uint
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from quiltpath.drawing import page_model as drawing
from quiltpath.drawing.page_model import LAYER_COLOURS, LAYER_DASHES
from tests.test_samples import NAMES, outputs_of

ROOT = Path(__file__).parent.parent
PAGES = sorted(
    path
    for path in (ROOT / "quiltpath").rglob("*")
    if path.suffix in (".css", ".html") and "font" in path.read_text(encoding="utf-8")
)
SCHEMES = [path for path in PAGES if ":root" in path.read_text(encoding="utf-8")]
SMALLEST_POINTS = 7.0


def luminance(colour: str) -> float:
    """Relative luminance of ``#rgb`` or ``#rrggbb``, as WCAG 2.2 defines it."""
    digits = colour.lstrip("#")
    pairs = [c * 2 for c in digits] if len(digits) == 3 else re.findall("..", digits)
    parts = [int(pair, 16) / 255 for pair in pairs[:3]]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """(L1 + 0.05) / (L2 + 0.05), the lighter above."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_published_ends() -> None:
    assert contrast("#000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#fff") == pytest.approx(4.48, abs=0.01)  # just fails 4.5, W3C


def schemes(page: Path) -> list[dict[str, str]]:
    """The colours by name of each colour scheme in a page, light first."""
    text = page.read_text(encoding="utf-8")
    blocks = re.findall(r":root\s*\{([^}]*)\}", text)
    found = [dict(re.findall(r"--(\w+):\s*(#[0-9a-fA-F]{3,8})", block)) for block in blocks]
    light = found[0]
    return [light, *({**light, **dark} for dark in found[1:])]


@pytest.mark.parametrize("page", SCHEMES, ids=lambda page: page.name)
def test_text_stands_out_from_every_ground_in_light_and_dark(page: Path) -> None:
    assert len(schemes(page)) >= 2, "a light and a dark scheme"
    for colours in schemes(page):
        for ground in ("paper", "sheet"):
            if ground in colours:
                assert contrast(colours["ink"], colours[ground]) >= 7.0
                assert contrast(colours.get("strong", colours["ink"]), colours[ground]) >= 4.5
                assert contrast(colours.get("rule", colours["ink"]), colours[ground]) >= 3.0


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_no_text_of_a_page_is_smaller_than_the_readers_own_by_a_fifth(page: Path) -> None:
    """Sizes in rem follow the reader's setting; none below 0.8."""
    text = page.read_text(encoding="utf-8")
    sizes = re.findall(r"font(?:-size)?:\s*([\d.]+)(rem|em|px|pt)", text)
    assert all(unit in ("rem", "em") and float(size) >= 0.8 for size, unit in sizes), sizes


def test_every_colour_of_lines_stands_out_from_paper_or_has_its_own_dash() -> None:
    """Okabe and Ito's palette holds three that are pale on white: the dash tells them apart."""
    dashes = list(LAYER_DASHES)
    assert len(set(dashes)) == len(dashes) == len(LAYER_COLOURS) == len(set(LAYER_COLOURS))
    strong = [colour for colour in LAYER_COLOURS if contrast(colour, "#ffffff") >= 3.0]
    assert strong == list(LAYER_COLOURS[: len(strong)]), "the strong ones come first"
    assert len(strong) >= 3


@pytest.mark.parametrize("lost", ["protan", "deutan", "tritan"])
def test_neighbouring_layers_differ_for_colour_blind_readers(lost: str) -> None:
    """Brettel's method made linear (Viénot, Brettel and Mollon 1999; from memory) for two kinds;
    for the third, the blue channel is lost. The first four layers stay apart."""
    seen = [simulated(colour, lost) for colour in LAYER_COLOURS[:4]]
    for one, other in itertools.combinations(seen, 2):
        assert sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5 > 0.08


def simulated(colour: str, lost: str) -> tuple[float, float, float]:
    """Linear red, green and blue as somebody sees it who lacks one kind of cone."""
    r, g, b = (int(pair, 16) / 255 for pair in re.findall("..", colour.lstrip("#")))
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in (r, g, b))
    if lost == "protan":
        y = 0.11238 * r + 0.88762 * g
        return y, y, 0.00401 * r - 0.00401 * g + b
    if lost == "deutan":
        y = 0.29275 * r + 0.70725 * g
        return y, y, -0.02234 * r + 0.02234 * g + b
    return r, g, g


def printed(name: str) -> list[tuple[str, float, str]]:
    """File, size in points and colour of every upright character on the sample's paper."""
    return sorted(
        (file.name, points, colour)
        for file in outputs_of(name).values()
        if file.name.endswith(".pdf")
        for points, colour in _letters(file.content)
    )


def _letters(content: bytes) -> set[tuple[float, str]]:
    """By pdfium: size and colour of each letter that stands upright; a turned one is a label."""
    found = set()
    matrix, rgba = pdfium.FS_MATRIX(), [c_uint() for _ in "rgba"]
    for page in pypdfium2.PdfDocument(content):
        text = page.get_textpage()
        for place in range(text.count_chars()):
            if not chr(pdfium.FPDFText_GetUnicode(text, place)).strip():
                continue
            pdfium.FPDFText_GetMatrix(text, place, matrix)
            upright = matrix.a > 0 and abs(matrix.b) < 1e-6
            if upright and not pdfium.FPDFText_IsGenerated(text, place):
                points = pdfium.FPDFText_GetFontSize(text, place) * matrix.d
                pdfium.FPDFText_GetFillColor(text, place, *rgba)
                found.add((points, *(level.value for level in rgba[:3])))
    return {(round(points, 1), f"#{r:02x}{g:02x}{b:02x}") for points, r, g, b in found}


@pytest.mark.parametrize("name", NAMES)
def test_what_is_printed_is_large_and_dark_enough(name: str) -> None:
    found = printed(name)
    assert found, "there is paper with words on it"
    for file, points, colour in found:
        assert points >= SMALLEST_POINTS, (file, points)
        assert contrast(colour, "#ffffff") >= 4.5, (file, colour)


def test_the_greys_of_drawings_are_dark_enough_for_what_they_do() -> None:
    assert contrast(drawing.INK, drawing.WHITE) == pytest.approx(21.0)
    assert contrast(drawing.GREY, drawing.WHITE) >= 4.5, "grey carries words"


def test_colours_are_told_by_lightness_too() -> None:
    """Neighbouring layers printed on a black-and-white printer keep different greys or dashes."""
    for (one, dash), (other, next_dash) in itertools.pairwise(
        zip(LAYER_COLOURS, LAYER_DASHES, strict=True)
    ):
        apart = abs(luminance(one) - luminance(other)) > 0.05
        assert apart or dash != next_dash
