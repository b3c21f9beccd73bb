"""Bars and squares of known size: what a person measures before trusting a print."""

from __future__ import annotations

import numpy as np

from quiltpath.output.drawing import INK, Group, Item, Line, Shape, Style, Text
from quiltpath.units import MM_PER_INCH

BAR_MM = 100.0
BAR_IN_MM = 4 * MM_PER_INCH
"""The two sizes of check: 100 mm and 4 in."""

THICK_MM = 2.0
SOLID = Style(stroke=None, fill=INK)


def bar_across(x: float, y: float, length_mm: float, label: str) -> tuple[Item, ...]:
    """A solid bar of exactly ``length_mm`` along the page, its label above."""
    return (
        Shape((rectangle(x, y, length_mm, THICK_MM),), SOLID),
        Text((x, y + THICK_MM + 1.2), label, 4.0),
    )


def bar_up(x: float, y: float, length_mm: float, label: str) -> tuple[Item, ...]:
    """A solid bar of exactly ``length_mm`` up the page, its label along its right side."""
    return (
        Shape((rectangle(x, y, THICK_MM, length_mm),), SOLID),
        Text((x + THICK_MM + 4.2, y), label, 4.0, angle_deg=90),
    )


def square(x: float, y: float, side_mm: float, style: Style) -> Line:
    """A square whose side, from middle to middle of the line, is exactly ``side_mm``."""
    return Line(rectangle(x, y, side_mm, side_mm), style, closed=True)


def rectangle(x: float, y: float, width: float, height: float) -> np.ndarray:
    """(4, 2) corners, anticlockwise from the lower left."""
    return np.array([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])


def bars(x: float, y: float) -> Group:
    """The 100 mm and the 4 in bar, both along the page; 102 mm wide and 19 mm high."""
    return Group(
        "check bars",
        (
            Group("bar 100 mm", bar_across(x, y + 11, BAR_MM, "100 mm")),
            Group("bar 4 in", bar_across(x, y, BAR_IN_MM, "4 in")),
        ),
        title="check bars: measure before you trust the print",
    )


def upright_bar(x: float, y: float) -> Group:
    """A 100 mm bar up the page: printers are often off in one direction only."""
    return Group("bar 100 mm up", bar_up(x, y, BAR_MM, "100 mm"))
