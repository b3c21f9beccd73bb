"""Pictures of the order of sewing, for a home printer: the whole in big numbers, and near views."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.drawing.page_model import (
    GREY,
    INK,
    PALE,
    WHITE,
    Box,
    Item,
    Polylines,
    Shape,
    Style,
    Text,
)
from quiltpath.drawing.sketch import (
    EDGE,
    Picture,
    PictureRoom,
    View,
    box_corners,
    polyline,
)
from quiltpath.geometry.runner_shapes import Region
from quiltpath.language import say
from quiltpath.result.values import Result
from quiltpath.runner.order_marks import DIGIT_SHARE, arrows, number_runs
from quiltpath.runner.runner_picture import many
from quiltpath.runner.states import FLAT_WORDS

SMALLEST_MM = 2.6
"""Height of a number on paper: 7.4 points."""

MOST_BLOCKS = 4
"""Near views of so many kinds of block; more sizes and motifs are shown by the whole alone."""

SAME_LENGTH_SHARE = 0.02
"""Lines in two blocks that are sewn alike differ by no more: lines that run on from block to block
lie elsewhere in each."""

EDGE_MM = 2.0
MOST_HIGH_MM = 75.0
GUTTER_MM = 6.0
HEAD_MM = 1.8
PAD_ROUNDS = 4
"""Room for numbers makes the picture smaller, and numbers that stay as large need more room."""

THREAD = Style(GREY, 0.2)
PATCH = Style(None, fill=WHITE)
MOTIF = Style(None, fill=PALE)


def order_pictures(result: Result, room: PictureRoom) -> tuple[Picture, ...]:
    """The whole across the page, and one of each kind of block, with starts and directions."""
    if not len(result.runs):
        return ()
    wide = replace(room.across_the_page, most_high_mm=MOST_HIGH_MM)
    kinds = _one_of_each_kind(result)
    if len({key for *_, key in kinds}) > MOST_BLOCKS or len(result.runner.blocks) < 2:
        kinds = []
    kinds = kinds[:MOST_BLOCKS]
    if len(kinds) > 1:
        each = (wide.width_mm - GUTTER_MM * (len(kinds) - 1)) / len(kinds)
        room = replace(room, width_mm=min(room.width_mm, each))
    blocks = tuple(_block_picture(result, block, alike, room) for block, alike, _ in kinds)
    return (_whole(result, wide), *blocks)


def _one_of_each_kind(result: Result) -> list[tuple[Region, list[str], Hashable]]:
    """The first block of each size, motif and sewing, with the names of those like it and its
    size and motifs: a block of other starts or other lines is no picture of another."""
    runner = result.runner
    found: list[tuple[Region, list[str], Hashable]] = []
    sewn: list[tuple[int, float]] = []
    for block in runner.blocks:
        x0, y0, x1, y1 = block.shape.bounds
        motifs = sorted(m.name for m in runner.motifs if shapely.intersects(m.shape, block.shape))
        look = round(x1 - x0), round(y1 - y0), *motifs
        starts, line_mm = len(_starts_in(result, block.shape)), _line_mm(result, block.shape)
        for (_, alike, other), (as_many, as_long) in zip(found, sewn, strict=True):
            same = abs(line_mm - as_long) <= SAME_LENGTH_SHARE * as_long
            if look == other and starts == as_many and same:
                alike.append(block.name)
                break
        else:
            found.append((block, [block.name], look))
            sewn.append((starts, line_mm))
    return found


def _line_mm(result: Result, shape: BaseGeometry) -> float:
    """Length of the lines inside the shape; those along its edge belong to its neighbours too."""
    inside = shapely.intersection(result.lines.geometry, shape.buffer(-EDGE_MM))
    return float(shapely.length(inside).sum())


def _whole(result: Result, room: PictureRoom) -> Picture:
    runner = result.runner
    reach = tuple(runner.outline.buffer(runner.margin_mm).bounds)
    wanted_mm, pad = max(SMALLEST_MM, 0.9 * room.letter_mm), 0.0
    for _ in range(PAD_ROUNDS):
        box = reach[0] - pad, reach[1] - pad, reach[2] + pad, reach[3] + pad
        view = room.view(box)
        pad = 2.0 * wanted_mm / view.scale
    text_mm = wanted_mm / view.scale
    items = _cloth(result, view, box)
    items += _marked(result, view, box, text_mm)
    shows = say("the order of sewing: a number at each start, arrows in the direction of sewing")
    return Picture("quilting", room.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def _block_picture(result: Result, block: Region, alike: list[str], room: PictureRoom) -> Picture:
    """A block from near, with a little of what is round it."""
    letter = room.letter_mm
    x0, y0, x1, y1 = block.shape.bounds
    near = 0.06 * max(x1 - x0, y1 - y0)
    box = x0 - near, y0 - near, x1 + near, y1 + near
    view = room.view(box, foot_mm=1.8 * letter)
    items = _cloth(result, view, box)
    own = _starts_in(result, block.shape)
    items += _marked(result, view, box, max(SMALLEST_MM, 0.8 * letter) / view.scale, own)
    items.append(Text((0.0, 0.4 * letter), _caption(result, block, alike), letter))
    shows = say("block {name} from near, with its starts and directions", name=block.name)
    name = f"order in {block.name}"
    return Picture(name, room.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def _caption(result: Result, block: Region, alike: list[str]) -> str:
    """The block's name, and the numbers of those that are sewn in the same way."""
    shapes = {one.name: one.shape for one in result.runner.blocks}
    told = [say("block {name}", name=block.name)]
    for name in alike:
        numbers = _starts_in(result, shapes[name])
        if name != block.name:
            start = (
                say("{block} from {start}", block=name, start=int(numbers[0]))
                if len(numbers)
                else name
            )
            told.append(start)
    return (
        told[0]
        if len(told) == 1
        else say("{block}; alike: {others}", block=told[0], others=", ".join(told[1:]))
    )


def _starts_in(result: Result, shape: BaseGeometry) -> list[int]:
    """Numbers of the starts that lie in or on the edge of the shape."""
    starts = shapely.points(result.runs.ends[:, 0])
    return (np.flatnonzero(shapely.intersects(starts, shape)) + 1).tolist()


def _cloth(result: Result, view: View, box: Box) -> list[Item]:
    """Edge, motifs and quilting lines within the box."""
    runner = result.runner
    window = shapely.box(*box)
    items: list[Item] = []
    for motif in runner.motifs:
        shape = shapely.intersection(motif.shape, window)
        for part in shapely.get_parts(shape):
            if part.geom_type == "Polygon":
                rings = (part.exterior, *part.interiors)
                points = tuple(view.points(shapely.get_coordinates(ring)) for ring in rings)
                items.append(Shape(points, MOTIF))
    lines = shapely.clip_by_rect(shapely.simplify(result.lines.geometry, 0.3 / view.scale), *box)
    edges = shapely.clip_by_rect(np.array([runner.outline.exterior, *runner.printed]), *box)
    for geometry, style in ((edges, EDGE), (lines, THREAD)):
        parts = shapely.get_parts(geometry)
        parts = parts[(shapely.get_type_id(parts) == 1) & ~shapely.is_empty(parts)]
        if len(parts):
            items.append(many(shapely.transform(parts, view.points), style))
    return items


def _marked(
    result: Result, view: View, box: Box, text_mm: float, own: Sequence[int] = ()
) -> list[Item]:
    """Arrows and numbers whose places lie within the box, in picture mm.

    Numbers of ``own`` that would stand beyond the box are brought to its edge: none is missing.
    """
    few = len(result.runs) == 1
    every = (22.0 if few else 60.0) / view.scale
    head = HEAD_MM / view.scale
    drawn = arrows(result.runs, head, min(2.5 * head, every), every)
    numbers = number_runs(result.runner, result.runs, text_mm)
    items: list[Item] = []
    for item in (*drawn.walk(), *numbers.group.walk()):
        if isinstance(item, Polylines):
            items += _inside(item, view, box)
    for item in numbers.group.walk():
        if not isinstance(item, Text):
            continue
        text = _brought_in(item, box) if int(item.text) in own else item
        x, y = text.at
        if box[0] <= x <= box[2] and box[1] <= y <= box[3]:
            items += _number(text, view)
    return items


def _brought_in(text: Text, box: Box) -> Text:
    """The number as a whole within the box, centred on its place."""
    half = DIGIT_SHARE * text.size_mm * len(text.text) / 2
    middle = text.at[0] + {"start": half, "end": -half}.get(text.anchor, 0.0)
    x = min(max(middle, box[0] + half), box[2] - half)
    y = min(max(text.at[1], box[1]), box[3] - text.size_mm)
    return replace(text, at=(x, y), anchor="middle")


def _inside(lines: Polylines, view: View, box: Box) -> list[Item]:
    """Those of short lines that lie in the box as a whole."""
    kept: list[Item] = []
    inner = np.all((lines.points >= box[:2]) & (lines.points <= box[2:]), axis=1)
    style = Style(lines.style.stroke, 0.3)
    for low, high in zip(lines.start[:-1].tolist(), lines.start[1:].tolist(), strict=True):
        if inner[low:high].all():
            kept.append(polyline(view.points(lines.points[low:high]), style))
    return kept


def _number(text: Text, view: View) -> list[Item]:
    """A number on a patch of paper, so that no line crosses it."""
    size = text.size_mm * view.scale
    x, y = view.at(*text.at)
    wide = 0.556 * size * len(text.text) + 0.5
    left = {"middle": x - wide / 2, "end": x - wide + 0.25}.get(text.anchor, x - 0.25)
    patch = Shape((box_corners(left, y - 0.25, wide, 0.72 * size + 0.5),), PATCH)
    return [patch, Text((x, y), text.text, size, text.anchor, bold=True, colour=INK)]
