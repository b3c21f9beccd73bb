"""Small pictures: cloth drawn to scale with words that can be read, and bars of known size.

The bars and squares are what a person measures before trusting a print.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from quiltpath.drawing.page_model import (
    GREY,
    INK,
    Box,
    Group,
    Item,
    Line,
    Page,
    Points,
    Raster,
    Shape,
    Style,
    Text,
)
from quiltpath.drawing.text_width import size_that_fits, text_width
from quiltpath.language import say
from quiltpath.units import MM_PER_INCH

EDGE = Style(INK, 0.5)
THIN = Style(INK, 0.25)
FAINT = Style(GREY, 0.2)
DASHED = Style(INK, 0.35, (2, 1))
DOTTED = Style(INK, 0.35, (0.5, 1))
CLOTH = Style(INK, 0.35, (), "#ececec")
DARK_CLOTH = Style(INK, 0.35, (), "#d0d0d0")

BAR_MM = 100.0
BAR_IN_MM = 4 * MM_PER_INCH
"""The two sizes of check: 100 mm and 4 in."""

THICK_MM = 2.0
SOLID = Style(stroke=None, fill=INK)


@dataclass(frozen=True)
class Picture:
    """A drawing for one step: its size and items in mm, its name and what it shows in words.

    ``state`` says of which state its measures are, as it is told below it. ``by_hand`` is true
    where it shows what a hand does, which a left hand does the other way round; what lies under a
    machine's needle does not change, for its arm is on the right for everybody.
    """

    name: str
    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    shows: str
    state: str
    by_hand: bool = False

    def renamed(self, name: str) -> Picture:
        """The same picture under another name."""
        return replace(self, name=name)

    @property
    def mirrored(self) -> Picture:
        """The picture left for right; its words read as before."""
        items = tuple(_mirrored(item, self.width_mm) for item in self.items)
        return replace(self, items=items)

    @property
    def words_inside(self) -> Picture:
        """The picture with words that would leave it set smaller: some languages take longer."""
        items = tuple(_inside(item, self.width_mm) for item in self.items)
        return replace(self, items=items)

    def page(self) -> Page:
        """The picture as a page of its own."""
        return Page(self.width_mm, self.height_mm, (Group(self.name, self.items),), self.shows)


MAY_LEAVE_MM = 1.0
"""By so much words may reach out of their picture: into the gutter beside it."""


def _inside(item: Item, width_mm: float) -> Item:
    """A line of text along the picture no longer than there is room; all else as it is."""
    if not isinstance(item, Text) or item.angle_deg:
        return item
    x = item.at[0]
    room = {"start": width_mm - x, "middle": 2 * min(x, width_mm - x)}.get(item.anchor, x)
    if room <= 0 or text_width(item.text, item.size_mm, bold=item.bold) <= room + MAY_LEAVE_MM:
        return item
    return replace(item, size_mm=size_that_fits(item.text, item.size_mm, room, bold=item.bold))


ANCHORS = {"start": "end", "end": "start"}
CAPITAL = 0.72
"""Height of a capital as a share of the letter size: Helvetica's, as its metrics (AFM) give it."""


def _mirrored(item: Item, width_mm: float) -> Item:
    """The item left for right in a picture of that width; words keep their way of running."""

    def turned(points: Points) -> Points:
        return points * (-1.0, 1.0) + (width_mm, 0.0)

    if isinstance(item, Text):
        x, y = item.at
        if item.angle_deg:
            return replace(item, at=(width_mm - x + CAPITAL * item.size_mm, y))
        return replace(item, at=(width_mm - x, y), anchor=ANCHORS.get(item.anchor, item.anchor))
    if isinstance(item, Shape):
        return replace(item, rings=tuple(map(turned, item.rings)))
    if isinstance(item, Raster):
        x0, y0, x1, y1 = item.box
        return replace(item, box=(width_mm - x1, y0, width_mm - x0, y1), rgb=item.rgb[:, ::-1])
    return replace(item, points=turned(item.points))


@dataclass(frozen=True)
class PictureRoom:
    """The room that a picture has: its width, its greatest height, the size of its letters.

    ``page_mm`` is the width of the page, for a picture that needs all of it.
    """

    width_mm: float
    most_high_mm: float
    letter_mm: float
    page_mm: float = 0.0

    @property
    def across_the_page(self) -> PictureRoom:
        """The room for a picture as wide as the page."""
        return replace(self, width_mm=max(self.page_mm, self.width_mm))

    def view(self, box: Box, pad_mm: float = 0.0, foot_mm: float = 0.0) -> View:
        """A view of ``box`` (mm of cloth) as large as fits, with room round it for words."""
        low_x, low_y, high_x, high_y = box
        across = (self.width_mm - 2 * pad_mm) / max(high_x - low_x, 1e-9)
        up = (self.most_high_mm - pad_mm - foot_mm) / max(high_y - low_y, 1e-9)
        scale = min(across, up)
        used = scale * (high_x - low_x)
        shift_x = (self.width_mm - used) / 2 - scale * low_x
        height = scale * (high_y - low_y) + pad_mm + foot_mm
        return View(scale, shift_x, foot_mm - scale * low_y, height)


@dataclass(frozen=True)
class View:
    """Cloth coordinates to picture coordinates."""

    scale: float
    shift_x: float
    shift_y: float
    height_mm: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """One place of the cloth in the picture."""
        return self.scale * x + self.shift_x, self.scale * y + self.shift_y

    def points(self, points: Points) -> Points:
        """(n, 2) places of the cloth in the picture."""
        return points * self.scale + (self.shift_x, self.shift_y)


def polyline(points: Sequence[tuple[float, float]] | Points, style: Style = THIN) -> Line:
    """An open line through picture points."""
    return Line(np.asarray(points, dtype=float), style)


def rectangle(view: View, box: Box, style: Style) -> Line:
    """A box of cloth."""
    x0, y0, x1, y1 = box
    corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=float)
    return Line(view.points(corners), style, closed=True)


def along(
    view: View,
    x0: float,
    x1: float,
    y_mm: float,
    words: str,
    letter_mm: float,
    *,
    above: bool = False,
) -> list[Item]:
    """A lengthwise dimension at picture height ``y_mm``, its words below or above it."""
    a, b = view.at(x0, 0)[0], view.at(x1, 0)[0]
    tick = letter_mm * 0.35
    line = polyline([(a, y_mm), (b, y_mm)], FAINT)
    ends = [polyline([(x, y_mm - tick), (x, y_mm + tick)], THIN) for x in (a, b)]
    level = y_mm + letter_mm * (0.55 if above else -1.05)
    return [line, *ends, Text(((a + b) / 2, level), words, letter_mm, "middle")]


def across(
    view: View, y0: float, y1: float, x_mm: float, words: str, letter_mm: float
) -> list[Item]:
    """A crosswise dimension at picture place ``x_mm``, its words to the right, upright."""
    a, b = view.at(0, y0)[1], view.at(0, y1)[1]
    tick = letter_mm * 0.35
    line = polyline([(x_mm, a), (x_mm, b)], FAINT)
    ends = [polyline([(x_mm - tick, y), (x_mm + tick, y)], THIN) for y in (a, b)]
    place = (x_mm + letter_mm * 1.05, (a + b) / 2)
    return [line, *ends, Text(place, words, letter_mm, "middle", angle_deg=90)]


def arrow(start: tuple[float, float], end: tuple[float, float], head_mm: float = 1.6) -> list[Item]:
    """A line with an open head at its end, in picture coordinates."""
    a, b = np.asarray(start, float), np.asarray(end, float)
    way = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
    side = np.array([-way[1], way[0]]) * head_mm * 0.5
    barbs = np.array([b - way * head_mm + side, b, b - way * head_mm - side])
    return [polyline(np.array([a, b])), polyline(barbs)]


def bar_across(x: float, y: float, length_mm: float, label: str) -> tuple[Item, ...]:
    """A solid bar of exactly ``length_mm`` along the page, its label above."""
    return (
        Shape((box_corners(x, y, length_mm, THICK_MM),), SOLID),
        Text((x, y + THICK_MM + 1.2), label, 4.0),
    )


def bar_up(x: float, y: float, length_mm: float, label: str) -> tuple[Item, ...]:
    """A solid bar of exactly ``length_mm`` up the page, its label along its right side."""
    return (
        Shape((box_corners(x, y, THICK_MM, length_mm),), SOLID),
        Text((x + THICK_MM + 4.2, y), label, 4.0, angle_deg=90),
    )


def square(x: float, y: float, side_mm: float, style: Style) -> Line:
    """A square whose side, from middle to middle of the line, is exactly ``side_mm``."""
    return Line(box_corners(x, y, side_mm, side_mm), style, closed=True)


def box_corners(x: float, y: float, width: float, height: float) -> np.ndarray:
    """(4, 2) corners, anticlockwise from the lower left."""
    return np.array([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])


def bars(x: float, y: float) -> Group:
    """The 100 mm and the 4 in bar, both along the page; 102 mm wide and 19 mm high."""
    return Group(
        "check bars",
        (
            Group("bar 100 mm", bar_across(x, y + 11, BAR_MM, "100 mm")),
            Group("bar 4 in", bar_across(x, y, BAR_IN_MM, f"4 {say('in')}")),
        ),
        title=say("check bars: measure before you trust the print"),
    )


def upright_bar(x: float, y: float) -> Group:
    """A 100 mm bar up the page: printers are often off in one direction only."""
    return Group("bar 100 mm up", bar_up(x, y, BAR_MM, "100 mm"))
