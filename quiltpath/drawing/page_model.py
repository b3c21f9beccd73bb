"""One small drawing model behind SVG, PDF and PNG: pages, groups, lines, shapes, text.

All lengths are millimetres; the origin is the lower left corner of the page and y runs upwards.
Writers alone flip or scale; where a group lies on its page is reckoned here, for all of them
alike. A drawing holds no format's idea: adding a format touches no drawing, and adding a drawing
touches no format.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
"""(n, 2) x and y in mm, y upwards."""


Box = tuple[float, float, float, float]
"""Lowest x and y, highest x and y, mm."""


# Okabe and Ito's colour-blind-safe palette (jfly, 2008), under names that say what we use it for.
INK = "#000000"


GREY = "#6b6b6b"


PALE = "#d9d9d9"


WHITE = "#ffffff"


ORANGE = "#e69f00"


SKY = "#56b4e9"


GREEN = "#009e73"


YELLOW = "#f0e442"


BLUE = "#0072b2"


VERMILION = "#d55e00"


PURPLE = "#cc79a7"


LAYER_COLOURS = (BLUE, VERMILION, GREEN, PURPLE, ORANGE, SKY)


LAYER_DASHES: tuple[tuple[float, ...], ...] = ((), (6, 2), (2, 2), (8, 2, 1, 2), (4, 1), (1, 2))


@dataclass(frozen=True)
class Style:
    """How a line or shape looks: colours as ``#rrggbb``, widths and dashes in mm."""

    stroke: str | None = INK
    width_mm: float = 0.3
    dash_mm: tuple[float, ...] = ()
    fill: str | None = None
    opacity: float = 1.0
    round_ends: bool = False


@dataclass(frozen=True)
class Line:
    """An open or closed polyline through (n, 2) points."""

    points: Points
    style: Style = Style()
    closed: bool = False


@dataclass(frozen=True)
class Polylines:
    """Many open polylines in one style: (m, 2) points, ``start`` (n + 1,) offsets into them."""

    points: Points
    start: NDArray[np.intp]
    style: Style = Style()


@dataclass(frozen=True)
class Shape:
    """A filled shape of one or more rings; inner rings are holes (even-odd rule)."""

    rings: tuple[Points, ...]
    style: Style = Style()


@dataclass(frozen=True)
class Text:
    """A line of text; ``anchor`` is ``start``, ``middle`` or ``end`` along its baseline."""

    at: tuple[float, float]
    text: str
    size_mm: float = 4.0
    anchor: str = "start"
    angle_deg: float = 0.0
    colour: str = INK
    bold: bool = False


@dataclass(frozen=True)
class Raster:
    """A picture of (rows, columns, 3) uint8 that fills a box in mm, row 0 at its top.

    ``words`` say what is seen, for those who do not see it.
    """

    box: Box
    rgb: NDArray[np.uint8]
    words: str


Drawn = Line | Polylines | Shape
"""What is drawn with a style, along points."""

Item = Drawn | Text | Raster


@dataclass(frozen=True)
class Group:
    """Items under one name (an SVG group, a PDF optional layer); groups nest.

    The contents are mirrored left to right if ``mirrored``, then scaled, then moved by
    ``shift_mm``. ``clip_mm`` (x0, y0, x1, y1) hides what lies outside, in the parent's coordinates.
    ``stretch`` scales across and up apart, for a printer that is off.
    """

    name: str
    items: tuple[Item | Group, ...] = ()
    shift_mm: tuple[float, float] = (0.0, 0.0)
    scale: float = 1.0
    clip_mm: tuple[float, float, float, float] | None = None
    title: str = ""
    mirrored: bool = False
    stretch: tuple[float, float] = (1.0, 1.0)

    def walk(self) -> Iterator[Item]:
        """All items of this group and those below it, in drawing order."""
        for item in self.items:
            if isinstance(item, Group):
                yield from item.walk()
            else:
                yield item


@dataclass(frozen=True)
class Page:
    """One page of the given size; ``title`` names it for screen readers and bookmarks."""

    width_mm: float
    height_mm: float
    groups: tuple[Group, ...]
    title: str = ""


@dataclass(frozen=True)
class Drawing:
    """Pages in order, with a document title."""

    title: str
    pages: tuple[Page, ...] = field(default=())


def reword_drawing(drawing: Drawing, words: Callable[[str], str]) -> Drawing:
    """The drawing with each of its texts as ``words`` says it."""

    def said(group: Group) -> Group:
        return replace(group, items=tuple(one(item) for item in group.items))

    def one(item: Item | Group) -> Item | Group:
        if isinstance(item, Text):
            return replace(item, text=words(item.text))
        return said(item) if isinstance(item, Group) else item

    pages = (
        replace(page, groups=tuple(map(said, page.groups)), title=words(page.title))
        for page in drawing.pages
    )
    return replace(drawing, pages=tuple(pages))


@dataclass(frozen=True)
class PageFrame:
    """Where a group lies on its page, in mm: ``page = factor * point + shift``.

    A negative ``factor_x`` mirrors left to right. There is no rotation in the drawing model.
    """

    factor_x: float = 1.0
    factor_y: float = 1.0
    shift_x: float = 0.0
    shift_y: float = 0.0

    def inside(self, group: Group) -> PageFrame:
        """The frame of what ``group`` holds."""
        across = group.scale * group.stretch[0] * (-1.0 if group.mirrored else 1.0)
        up = group.scale * group.stretch[1]
        return PageFrame(
            self.factor_x * across,
            self.factor_y * up,
            self.factor_x * group.shift_mm[0] + self.shift_x,
            self.factor_y * group.shift_mm[1] + self.shift_y,
        )

    @property
    def scale(self) -> float:
        """How much line widths and text grow."""
        return (abs(self.factor_x) * abs(self.factor_y)) ** 0.5

    @property
    def mirrored(self) -> bool:
        """True where left and right are swapped."""
        return self.factor_x < 0

    def points(self, points: Points) -> Points:
        """(n, 2) points on the page, in mm."""
        return points * (self.factor_x, self.factor_y) + (self.shift_x, self.shift_y)

    def point(self, at: tuple[float, float]) -> tuple[float, float]:
        """One point on the page, in mm."""
        return self.factor_x * at[0] + self.shift_x, self.factor_y * at[1] + self.shift_y

    def box(self, box: Box) -> Box:
        """A box on the page, lower left corner first."""
        (x0, y0), (x1, y1) = self.point(box[:2]), self.point(box[2:])
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)
