"""PNG sink: one page of the drawing model as a picture, through Pillow.

Drawn larger and reduced (supersampling), since Pillow's lines have hard edges.
"""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltpath.drawing.page_model import (
    Box,
    Drawn,
    Group,
    Item,
    Page,
    PageFrame,
    Points,
    Raster,
    Shape,
    Style,
    Text,
)
from quiltpath.drawing.polylines import cut_into_dashes, polylines

MOST_PIXELS = 40_000_000
"""Of the enlarged picture, 3 bytes each: bounds the memory whatever the page's size."""

ENLARGED = 2


def render(
    page: Page,
    pixels_per_mm: float,
    *,
    background: str = "#ffffff",
    colours: int | None = None,
) -> bytes:
    """The page as PNG of about ``pixels_per_mm``, less where the page is so large that it must be.

    The resolution that came out stands in the file (pixels per metre, PNG pHYs). ``colours`` keeps
    a page with photographs small: so many, 256 at most, chosen for it.
    """
    from PIL import Image

    scale = fitting_scale(page, pixels_per_mm)
    size = (max(1, round(page.width_mm * scale)), max(1, round(page.height_mm * scale)))
    image = Image.new("RGB", (size[0] * ENLARGED, size[1] * ENLARGED), background)
    picture = _Picture(image, scale * ENLARGED)
    for group in page.groups:
        picture.group(group, picture.frame, None)
    small = picture.reduced()
    dpi = (scale * 25.4, scale * 25.4)
    if colours is not None:
        from quiltpath.drawing.bitmaps import png_bytes

        return png_bytes(np.asarray(small), colours, dpi)
    written = io.BytesIO()
    small.save(written, "PNG", compress_level=2, dpi=dpi)
    return written.getvalue()


def fitting_scale(page: Page, pixels_per_mm: float) -> float:
    """The wanted pixels per mm, or as many as :data:`MOST_PIXELS` allows."""
    area = page.width_mm * page.height_mm * ENLARGED**2
    return float(min(pixels_per_mm, (MOST_PIXELS / area) ** 0.5))


class _Picture:
    """The enlarged picture while it is drawn; text waits until it is reduced, Pillow smooths it."""

    def __init__(self, image: Any, pixels_per_mm: float) -> None:
        from PIL import ImageDraw

        self.image = image
        self.pen = ImageDraw.Draw(image, "RGBA")
        self.frame = PageFrame(pixels_per_mm, -pixels_per_mm, 0.0, float(image.height))
        self.words: list[tuple[Text, PageFrame]] = []

    def group(self, group: Group, frame: PageFrame, clip: Box | None) -> None:
        if group.clip_mm is not None:
            clip = _overlap(frame.box(group.clip_mm), clip)
            return self.clipped(group, frame, clip)
        inside = frame.inside(group)
        for item in group.items:
            if isinstance(item, Group):
                self.group(item, inside, clip)
            else:
                self.item(item, inside)
        return None

    def clipped(self, group: Group, frame: PageFrame, clip: Box) -> None:
        """The group on a copy of its window, which is then put back."""
        x0, y0, x1, y1 = (round(edge) for edge in clip)
        x0, y0 = max(x0, 0), max(y0, 0)
        x1, y1 = min(x1, self.image.width), min(y1, self.image.height)
        if x1 <= x0 or y1 <= y0:
            return
        window = _Picture(self.image.crop((x0, y0, x1, y1)), 1.0)
        window.frame = PageFrame(
            frame.factor_x, frame.factor_y, frame.shift_x - x0, frame.shift_y - y0
        )
        window.group(replace(group, clip_mm=None), window.frame, None)
        self.image.paste(window.image, (x0, y0))
        self.words += [
            (text, PageFrame(f.factor_x, f.factor_y, f.shift_x + x0, f.shift_y + y0))
            for text, f in window.words
        ]

    def item(self, item: Item, frame: PageFrame) -> None:
        if isinstance(item, Text):
            self.words.append((item, frame))
            return
        if isinstance(item, Raster):
            self.raster(item, frame)
            return
        points, start, closed = polylines(item)
        placed = frame.points(points)
        if item.style.fill:
            self.filled(item, placed, start)
        if item.style.stroke and item.style.width_mm > 0:
            self.stroked(item.style, placed, start, closed, frame.scale)

    def raster(self, item: Raster, frame: PageFrame) -> None:
        from PIL import Image

        x0, y0, x1, y1 = (round(edge) for edge in frame.box(item.box))
        if x1 <= x0 or y1 <= y0:
            return
        picture = Image.fromarray(item.rgb)
        whole = x1 - x0 >= 2 * picture.width
        method = Image.Resampling.NEAREST if whole else Image.Resampling.LANCZOS
        self.image.paste(picture.resize((x1 - x0, y1 - y0), method), (x0, y0))

    def filled(self, item: Drawn, points: Points, start: NDArray[np.intp]) -> None:
        colour = _colour(item.style.fill, item.style.opacity)
        if len(start) == 2 or not isinstance(item, Shape):
            for first, last in zip(start[:-1].tolist(), start[1:].tolist(), strict=True):
                self.pen.polygon(points[first:last].ravel().tolist(), fill=colour)
            return
        self.with_holes(points, start, colour)

    def with_holes(self, points: Points, start: NDArray[np.intp], colour: Any) -> None:
        """Even-odd: a pixel is inside when an odd number of rings hold it."""
        from PIL import Image, ImageChops, ImageDraw

        low = np.floor(points.min(axis=0)).astype(int)
        size = tuple((np.ceil(points.max(axis=0)).astype(int) - low + 1).tolist())
        inside = Image.new("1", size)
        for first, last in zip(start[:-1].tolist(), start[1:].tolist(), strict=True):
            ring = Image.new("1", size)
            ImageDraw.Draw(ring).polygon((points[first:last] - low).ravel().tolist(), fill=1)
            inside = ImageChops.logical_xor(inside, ring)
        self.pen.bitmap(tuple(low.tolist()), inside, fill=colour)

    def stroked(
        self,
        style: Style,
        points: Points,
        start: NDArray[np.intp],
        closed: bool,
        scale: float,
    ) -> None:
        if style.dash_mm:
            lengths = [dash * scale for dash in style.dash_mm]
            points, start, closed = *cut_into_dashes(points, start, closed, lengths), False
        width = max(1, round(style.width_mm * scale))
        colour = _colour(style.stroke, style.opacity)
        flat = points.ravel().tolist()
        for first, last in zip((2 * start[:-1]).tolist(), (2 * start[1:]).tolist(), strict=True):
            line = flat[first:last]
            self.pen.line(line + line[:2] if closed else line, fill=colour, width=width)

    def reduced(self) -> Any:
        """The picture at its final size, with its text."""
        from PIL import ImageDraw

        small = self.image.reduce(ENLARGED)
        pen = ImageDraw.Draw(small)
        for text, frame in self.words:
            _write(small, pen, text, frame)
        return small


def _overlap(one: Box, other: Box | None) -> Box:
    if other is None:
        return one
    low_x, low_y = max(one[0], other[0]), max(one[1], other[1])
    return low_x, low_y, min(one[2], other[2]), min(one[3], other[3])


def _colour(colour: str | None, opacity: float) -> tuple[int, int, int, int]:
    name = colour or "#000000"
    red, green, blue = (int(name[i : i + 2], 16) for i in (1, 3, 5))
    return red, green, blue, round(255 * opacity)


def _face(text: str, size: float) -> Any:
    """Pillow's own scalable face, or for signs that it lacks the one that comes with reportlab."""
    from PIL import ImageFont

    font = ImageFont.load_default(size)
    if all(map(_is_in_own_face, text)):
        return font
    return ImageFont.truetype(io.BytesIO(_other_face()), 0.92 * size)


@cache
def _other_face() -> bytes:
    return files("reportlab").joinpath("fonts/Vera.ttf").read_bytes()


@cache
def _is_in_own_face(sign: str) -> bool:
    """Whether Pillow's own face draws it otherwise than a sign that no face has."""
    from PIL import ImageFont

    font = ImageFont.load_default(20)
    return bytes(font.getmask(sign)) != bytes(font.getmask("\uffff"))


def _write(image: Any, pen: Any, text: Text, frame: PageFrame) -> None:
    """Text from its baseline."""
    from PIL import Image, ImageOps

    size = text.size_mm * frame.scale / ENLARGED
    x, y = (value / ENLARGED for value in frame.point(text.at))
    if size < 2:
        return
    font = _face(text.text, size)
    anchor = {"start": "ls", "middle": "ms"}.get(text.anchor, "rs")
    if not text.angle_deg and not frame.mirrored:
        pen.text((x, y), text.text, fill=text.colour, font=font, anchor=anchor)
        return
    reach = int(font.getlength(text.text) + 2 * size) + 1
    words = Image.new("L", (2 * reach, 2 * reach))
    from PIL import ImageDraw

    ImageDraw.Draw(words).text((reach, reach), text.text, fill=255, font=font, anchor=anchor)
    words = words.rotate(text.angle_deg, Image.Resampling.BICUBIC)
    words = ImageOps.mirror(words) if frame.mirrored else words
    image.paste(text.colour, (round(x) - reach, round(y) - reach), words)
