"""PDF sink: pages of the drawing model as vectors, true to size, through reportlab.

One PDF unit is 1/72 in (ISO 32000-1, 8.3.2.3); 1 in is 25.4 mm exactly. Files carry no date, ask
the viewer not to scale when printing, and are the same bytes for the same drawing.
"""

from __future__ import annotations

import hashlib
import io
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from quiltpath.drawing.page_model import (
    Drawing,
    Group,
    Item,
    Page,
    PageFrame,
    Raster,
    Style,
    Text,
)
from quiltpath.drawing.polylines import pdf_path, polylines
from quiltpath.units import MM_PER_INCH

POINTS_PER_MM = 72.0 / MM_PER_INCH

NO_DATE = "D:20000101000000+00'00'"
"""PDF asks for a date; the same one each time keeps the clock out."""

LARGEST_PAGE_MM = 14_400 / POINTS_PER_MM
"""5080 mm: readers refuse pages of more than 14 400 units (ISO 32000-1, annex C)."""


def render(drawing: Drawing | Page) -> bytes:
    """All pages as one PDF file. Raises :class:`ValueError` for a page larger than PDF allows."""
    from reportlab.pdfgen.canvas import Canvas

    pages = (drawing,) if isinstance(drawing, Page) else drawing.pages
    written = io.BytesIO()
    with _binary_streams():
        canvas = Canvas(written, pageCompression=1, invariant=1)
        # Left to itself the library takes the date of a build from the environment.
        canvas.setDateFormatter(lambda *_: NO_DATE)
        canvas._doc.signature = hashlib.md5(b"quiltpath", usedforsecurity=False)
        canvas.setTitle(printable(drawing.title))
        canvas.setAuthor("")
        canvas.setCreator("quiltpath")
        canvas.setViewerPreference("PrintScaling", "None")
        for number, page in enumerate(pages):
            _page(canvas, page, f"page-{number}")
        canvas.save()
    return written.getvalue()


@contextmanager
def _binary_streams() -> Iterator[None]:
    """Without reportlab's text armour round compressed pages: a quarter larger, and slow."""
    from reportlab import rl_config

    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def _page(canvas: Any, page: Page, key: str) -> None:
    if max(page.width_mm, page.height_mm) > LARGEST_PAGE_MM:
        raise ValueError(f"a PDF page cannot be larger than {LARGEST_PAGE_MM:.0f} mm")
    canvas.setPageSize((page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM))
    if page.title:
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(printable(page.title), key)
    in_points = PageFrame(POINTS_PER_MM, POINTS_PER_MM)
    for group in page.groups:
        _group(canvas, group, in_points)
    canvas.showPage()


def _group(canvas: Any, group: Group, frame: PageFrame) -> None:
    canvas.saveState()
    if group.clip_mm is not None:
        x0, y0, x1, y1 = frame.box(group.clip_mm)
        window = canvas.beginPath()
        window.rect(x0, y0, x1 - x0, y1 - y0)
        canvas.clipPath(window, stroke=0, fill=0)
    inside = frame.inside(group)
    for item in group.items:
        if isinstance(item, Group):
            _group(canvas, item, inside)
        else:
            _item(canvas, item, inside)
    canvas.restoreState()


def _item(canvas: Any, item: Item, frame: PageFrame) -> None:
    if isinstance(item, Text):
        return _text(canvas, item, frame)
    if isinstance(item, Raster):
        return _raster(canvas, item, frame)
    from reportlab.pdfgen.pathobject import PDFPathObject

    points, start, closed = polylines(item)
    words = pdf_path(frame.points(points), start, closed)
    if not words:
        return None
    _looks(canvas, item.style, frame.scale)
    stroked = bool(item.style.stroke and item.style.width_mm > 0)
    path = PDFPathObject(code=["n", words.rstrip()])
    # fillMode 0 is the even-odd rule, which leaves holes open
    return canvas.drawPath(path, stroke=int(stroked), fill=int(bool(item.style.fill)), fillMode=0)


def _looks(canvas: Any, style: Style, scale: float) -> None:
    if style.fill:
        canvas.setFillColorRGB(*_rgb(style.fill))
    if style.stroke:
        canvas.setStrokeColorRGB(*_rgb(style.stroke))
        canvas.setLineWidth(round(style.width_mm * scale, 4))
        canvas.setDash([round(dash * scale, 3) for dash in style.dash_mm])
        canvas.setLineCap(int(style.round_ends))
        canvas.setLineJoin(int(style.round_ends))
    canvas.setFillAlpha(style.opacity)
    canvas.setStrokeAlpha(style.opacity)


def _raster(canvas: Any, raster: Raster, frame: PageFrame) -> None:
    from reportlab.lib.utils import ImageReader

    from quiltpath.drawing.bitmaps import jpeg_bytes

    x0, y0, x1, y1 = frame.box(raster.box)
    picture = ImageReader(io.BytesIO(jpeg_bytes(raster.rgb)))
    canvas.drawImage(picture, x0, y0, x1 - x0, y1 - y0)


def _text(canvas: Any, text: Text, frame: PageFrame) -> None:
    canvas.saveState()
    canvas.setFillColorRGB(*_rgb(text.colour))
    canvas.setFont("Helvetica-Bold" if text.bold else "Helvetica", text.size_mm * frame.scale)
    canvas.translate(*frame.point(text.at))
    if frame.mirrored:
        canvas.scale(-1, 1)
    if text.angle_deg:
        canvas.rotate(text.angle_deg)
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString}
    draw.get(text.anchor, canvas.drawRightString)(0, 0, printable(text.text))
    canvas.restoreState()


def _rgb(colour: str) -> tuple[float, ...]:
    return tuple(int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))


def printable(text: str) -> str:
    """The text in the letters that every PDF reader's own Helvetica has (WinAnsi encoding).

    Those hold the fractions a quarter, a half and three quarters, the degree and the times sign;
    other letters lose their accent, or print as a question mark.
    """
    if text.isascii() and text.isprintable():
        return text
    plain = text.replace("\N{NO-BREAK SPACE}", " ")
    return "".join(_letter(character) for character in plain if character.isprintable())


def _letter(character: str) -> str:
    for form in (character, *unicodedata.normalize("NFKD", character)[:1]):
        try:
            form.encode("cp1252")
        except UnicodeEncodeError:
            continue
        return form
    return "?"
