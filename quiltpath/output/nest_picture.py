"""Runners on one backing, drawn to scale with their measures."""

from __future__ import annotations

import numpy as np

from quiltpath.materials.nesting import Nested
from quiltpath.output.drawing import GREY, INK, Drawing, Group, Item, Line, Page, Style, Text
from quiltpath.units import both_units

SIDE_MM = 240.0
EDGE_MM = 12.0
ROW_MM = 4.5
BACKING = Style(GREY, 0.4, (3, 1))
RUNNER = Style(INK, 0.5)


def nest_picture(title: str, nested: Nested) -> Drawing:
    """One page: the backing, its length to the right, with every runner and where it begins."""
    across, along = nested.backing_mm
    scale = SIDE_MM / max(across, along)
    items: list[Item] = [_box((0.0, 0.0, across, along), scale, BACKING)]
    for number, (name, box) in enumerate(nested.places, start=1):
        items.append(_box(box, scale, RUNNER))
        x, y = scale * (box[1] + box[3]) / 2, scale * (box[0] + box[2]) / 2
        # Words run the long way of the runner.
        turn = 90.0 if box[2] - box[0] > box[3] - box[1] else 0.0
        rows = [f"{both_units(box[1])} along", f"{both_units(box[0])} across"]
        long, wide = sorted((scale * (box[2] - box[0]), scale * (box[3] - box[1])), reverse=True)
        if wide < 4 * ROW_MM or long > 100.0:
            rows = [", ".join(rows)]
        items.append(Text((x, y), f"{number} {name}"[:36], 3.5, "middle", turn, bold=True))
        for row, words in enumerate(rows, start=1):
            below = (x + row * ROW_MM, y) if turn else (x, y - row * ROW_MM)
            items.append(Text(below, words, 2.8, "middle", turn))
    size = f"backing {both_units(along)} long, {both_units(across)} wide"
    head = Text((0.0, scale * across + 4), f"{title}: {size}", 4.5, bold=True)
    group = Group("backing", (*items, head), shift_mm=(EDGE_MM, EDGE_MM))
    width = max(scale * along, 200.0) + 2 * EDGE_MM
    page = Page(width, scale * across + 2 * EDGE_MM + 10, (group,), title=title)
    return Drawing(title, (page,))


def _box(box: tuple[float, float, float, float], scale: float, style: Style) -> Line:
    """A box (across, along) with the backing's length to the right."""
    x0, y0, x1, y1 = (scale * value for value in box)
    return Line(np.array([(y0, x0), (y1, x0), (y1, x1), (y0, x1)]), style, closed=True)
