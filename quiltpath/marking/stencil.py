"""Stencils: a motif's lines as slots to draw through, with bridges so that nothing falls out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from quiltpath.drawing.page_model import GREY, INK, WHITE, Group, Line, Page, Shape, Style, Text
from quiltpath.drawing.sketch import box_corners
from quiltpath.drawing.text_width import size_that_fits
from quiltpath.language import say, say_known
from quiltpath.runner.runner_picture import rings_of
from quiltpath.runner.states import FLAT_WORDS

EDGE_MM = 20.0
"""Sheet left round the motif."""

SLOT_MM = 1.8
"""A slot that a pen or chalk fits."""

BRIDGE_MM, BRIDGE_EVERY_MM = 5.0, 60.0
"""Bridges that hold the sheet together, and how far apart they may be."""


@dataclass(frozen=True)
class Stencil:
    """``slots`` are cut out of ``sheet``; ``left`` is what stays, in one part.

    ``uncut`` mm of line are left for the free hand, because no bridge would hold there.
    """

    name: str
    slots: BaseGeometry
    sheet: BaseGeometry
    left: BaseGeometry
    uncut: float


def stencil(name: str, outlines: NDArray[np.object_]) -> Stencil:
    """The stencil for lines in mm.

    The lines are split where they cross, and every piece gets bridges evenly along it: a closed
    one at least two, an open one at least one. Pieces too short for a bridge between two slots are
    then left uncut where something would still fall out, the longest edge of each loose part first.
    """
    pieces = _pieces(outlines)
    slots = [_cut_slots(piece) for piece in pieces]
    x0, y0, x1, y1 = shapely.total_bounds(outlines).tolist()
    sheet = shapely.box(x0 - EDGE_MM, y0 - EDGE_MM, x1 + EDGE_MM, y1 + EDGE_MM)
    kept = set(range(len(pieces)))
    while True:
        cut = unary_union([slots[i] for i in sorted(kept)])
        parts = shapely.get_parts(sheet.difference(cut))
        if len(parts) == 1:
            break
        kept.discard(_holds_back(parts, slots, kept))
    uncut = sum(float(pieces[i].length) for i in range(len(pieces)) if i not in kept)
    return Stencil(name, cut, sheet, parts[0], uncut)


def _pieces(outlines: NDArray[np.object_]) -> list[BaseGeometry]:
    """Lines split at crossings and joined elsewhere; each once, however often it was drawn."""
    noded = shapely.line_merge(unary_union(list(outlines)))
    return [part for part in shapely.get_parts(noded) if part.length > 0]


def _cut_slots(piece: BaseGeometry) -> BaseGeometry:
    """The piece as slots with gaps for its bridges; empty where it is too short for two slots."""
    least = 2 if piece.is_closed else 1
    count = max(least, int(np.ceil(piece.length / BRIDGE_EVERY_MM)))
    if piece.length < count * (BRIDGE_MM + SLOT_MM):
        count = least
    pitch = piece.length / count
    if pitch < BRIDGE_MM + SLOT_MM:
        return piece.buffer(SLOT_MM / 2)
    lengths = shapely.line_interpolate_point(piece, np.linspace(0, piece.length, 2 * count + 1))
    middles = lengths[1::2]
    slot = piece.buffer(SLOT_MM / 2, cap_style="round")
    gaps = shapely.buffer(middles, (BRIDGE_MM + SLOT_MM) / 2)
    return slot.difference(unary_union(gaps))


def _holds_back(parts: NDArray[np.object_], slots: list[BaseGeometry], kept: set[int]) -> int:
    """The slot to leave uncut: the one that borders the smallest loose part longest."""
    loose = min(parts, key=lambda part: (part.area, part.bounds)).buffer(0.01)
    borders = {i: float(slots[i].intersection(loose).area) for i in sorted(kept)}
    return max(borders, key=lambda i: (borders[i], -i))


def stencil_page(made: Stencil) -> Page:
    """The stencil true to size: the sheet's edge, the slots as closed cut lines, name and grain."""
    x0, y0, x1, y1 = made.sheet.bounds
    room = x1 - x0
    words = say(
        "{name} · cut the slots out · arrow along the runner · {state}",
        name=made.name,
        state=say_known(FLAT_WORDS),
    )
    slots = Shape(rings_of(made.slots), Style(INK, 0.15, fill="#e4e4e4"))
    edge = Line(box_corners(x0, y0, room, y1 - y0), Style(INK, 0.3), closed=True)
    text = Text((x0 + 4, y0 + 4), words, size_that_fits(words, 4.0, room - 8), colour=GREY)
    arrow = Line(
        np.array([(x0 + 4, y0 + 11), (x0 + 34, y0 + 11), (x0 + 31, y0 + 12.5)]), Style(GREY, 0.3)
    )
    groups = (
        Group("sheet edge", (edge,)),
        Group("slots", (slots,)),
        Group("stencil text", (text, arrow)),
    )
    whole = Group("stencil", groups, shift_mm=(5 - x0, 5 - y0))
    return Page(room + 10, y1 - y0 + 10, (_white(room + 10, y1 - y0 + 10), whole), title=made.name)


def _white(width: float, height: float) -> Group:
    ground = Shape((box_corners(0, 0, width, height),), Style(stroke=None, fill=WHITE))
    return Group("ground", (ground,))
