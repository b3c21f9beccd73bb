"""SVG sink: one page of the drawing model, true to size in mm, through svgwrite."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

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
from quiltpath.drawing.polylines import polylines, svg_path

if TYPE_CHECKING:
    import svgwrite


FONT = "Helvetica, Arial, sans-serif"


def render(drawing: Drawing | Page, *, decimals: int = 2, validate: bool = False) -> bytes:
    """The page as UTF-8 SVG; width and height in mm, one viewBox unit to the millimetre.

    Coordinates are rounded to ``decimals`` places of a mm. ``validate`` has svgwrite check every
    element against SVG 1.1, which costs more than all the writing. Raises :class:`ValueError` for
    a drawing that has not exactly one page: SVG has no pages.
    """
    page = _only_page(drawing)
    writer = _Writer(page, decimals, validate)
    for group in page.groups:
        writer.document.add(writer.group(group, PageFrame()))
    return (writer.document.tostring() + "\n").encode()


def _only_page(drawing: Drawing | Page) -> Page:
    if isinstance(drawing, Page):
        return drawing
    if len(drawing.pages) != 1:
        raise ValueError("an SVG file holds exactly one page")
    return drawing.pages[0]


class _Writer:
    """Keeps the document and the ids that are taken while one page is written."""

    def __init__(self, page: Page, decimals: int, validate: bool) -> None:
        import svgwrite

        self.height = page.height_mm
        self.decimals = decimals
        self.taken: set[str] = set()
        width, height = self.number(page.width_mm), self.number(page.height_mm)
        self.document: svgwrite.Drawing = svgwrite.Drawing(
            size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=validate
        )
        self.document.set_desc(title=page.title or None)

    def number(self, value: float) -> str:
        return f"{round(value, self.decimals) + 0.0:.8g}"

    def new_id(self, name: str) -> str:
        """The name as an XML id, each one once."""
        plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "group"
        base = plain if plain[0].isalpha() else f"g-{plain}"
        wanted, count = base, 1
        while wanted in self.taken:
            count += 1
            wanted = f"{base}-{count}"
        self.taken.add(wanted)
        return wanted

    def group(self, group: Group, frame: PageFrame) -> Any:
        own_id = self.new_id(group.name)
        made = self.document.g(id=own_id, **self.clip(group, frame, own_id))
        made.set_desc(title=group.title or group.name)
        inside = frame.inside(group)
        for item in group.items:
            if isinstance(item, Group):
                made.add(self.group(item, inside))
            else:
                made.add(self.item(item, inside))
        return made

    def clip(self, group: Group, frame: PageFrame, own_id: str) -> dict[str, str]:
        if group.clip_mm is None:
            return {}
        x0, y0, x1, y1 = frame.box(group.clip_mm)
        clip_id = self.new_id(f"{own_id}-window")
        path = self.document.clipPath(id=clip_id)
        corner = self.number(x0), self.number(self.height - y1)
        path.add(self.document.rect(corner, (self.number(x1 - x0), self.number(y1 - y0))))
        self.document.defs.add(path)
        return {"clip_path": f"url(#{clip_id})"}

    def item(self, item: Item, frame: PageFrame) -> Any:
        if isinstance(item, Text):
            return self.text(item, frame)
        if isinstance(item, Raster):
            return self.raster(item, frame)
        points, start, closed = polylines(item)
        down = frame.points(points) * (1.0, -1.0) + (0.0, self.height)
        words = svg_path(down, start, closed, self.decimals)
        return self.document.path(d=words or "M0 0", **self.looks(item.style, frame.scale))

    def looks(self, style: Style, scale: float) -> dict[str, str]:
        found = {"fill": style.fill or "none"}
        if style.fill:
            found["fill_rule"] = "evenodd"
        if style.opacity < 1:
            found["opacity"] = f"{style.opacity:g}"
        if style.stroke and style.width_mm > 0:
            found |= {"stroke": style.stroke, "stroke_width": f"{style.width_mm * scale:.4g}"}
            if style.dash_mm:
                found["stroke_dasharray"] = " ".join(f"{d * scale:.4g}" for d in style.dash_mm)
            if style.round_ends:
                found |= {"stroke_linecap": "round", "stroke_linejoin": "round"}
        return found

    def raster(self, raster: Raster, frame: PageFrame) -> Any:
        from quiltpath.drawing.bitmaps import data_url

        x0, y0, x1, y1 = frame.box(raster.box)
        corner = self.number(x0), self.number(self.height - y1)
        size = self.number(x1 - x0), self.number(y1 - y0)
        made = self.document.image(data_url(raster.rgb), corner, size)
        made.set_desc(title=raster.words)
        made.stretch()
        return made

    def text(self, text: Text, frame: PageFrame) -> Any:
        x, up = frame.point(text.at)
        # plain floats: svgwrite takes a string for a list of one-character lengths
        across, down = float(self.number(x)), float(self.number(self.height - up))
        place: dict[str, Any] = {"insert": (across, down)}
        turn = f" rotate({-text.angle_deg:.6g})" if text.angle_deg else ""
        if frame.mirrored or turn:
            flip = " scale(-1 1)" if frame.mirrored else ""
            place = {"transform": f"translate({across:g} {down:g}){flip}{turn}"}
        if text.anchor != "start":
            place["text_anchor"] = text.anchor
        if text.bold:
            place["font_weight"] = "bold"
        size = f"{text.size_mm * frame.scale:.4g}"
        words = "".join(letter for letter in text.text if letter.isprintable())
        return self.document.text(
            words, font_family=FONT, font_size=size, fill=text.colour, **place
        )
