"""Pictures of the runner itself: table, top, layers, basting, quilting, squaring up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LineString

from quiltpath.documents.instructions.square_up import measured_by
from quiltpath.drawing.page_model import GREY, INK, LAYER_DASHES, Box, Item, Shape, Style, Text
from quiltpath.drawing.sketch import (
    CLOTH,
    DARK_CLOTH,
    DASHED,
    DOTTED,
    EDGE,
    FAINT,
    THIN,
    Picture,
    PictureRoom,
    View,
    across,
    along,
    polyline,
    rectangle,
)
from quiltpath.language import say, say_known
from quiltpath.materials.piecing import Piecing
from quiltpath.result.values import Result
from quiltpath.runner.runner_picture import many, rings_of
from quiltpath.runner.states import FLAT_WORDS, WORDS
from quiltpath.units import Measures

PALE_CLOTH = Style(None, fill="#e4e4e4")
PAPER = Style(None, fill="#ffffff")
THREAD = Style(INK, 0.15)
BOUND = Style(INK, 0.9)

SIMPLE_MM = 1.5
"""Quilting lines in a small picture are drawn to this: less cannot be seen."""


def cover_picture(result: Result, room: PictureRoom) -> Picture:
    """The finished piece: cloth, motifs and quilting, as large as the page allows."""
    wide, runner = room.across_the_page, result.runner
    view = wide.view(_box(result), pad_mm=0.5, foot_mm=0.5)
    items: list[Item] = [_filled(result, view, PALE_CLOTH)]
    for shapes, style in (
        ([block.shape for block in runner.blocks], PAPER),
        ([motif.shape for motif in runner.motifs], DARK_CLOTH),
    ):
        items += [
            Shape(tuple(map(view.points, rings_of(part))), style)
            for shape in shapes
            for part in shapely.get_parts(shape)
        ]
    inner = shapely.intersection(shapely.simplify(result.lines.geometry, 0.5), runner.outline)
    parts = shapely.get_parts(inner)
    parts = parts[(shapely.get_type_id(parts) == 1) & ~shapely.is_empty(parts)]
    if len(parts):
        items.append(many(shapely.transform(parts, view.points), THREAD))
    ring = view.points(shapely.get_coordinates(runner.outline.exterior))
    items.append(polyline(ring, BOUND))
    shows = say("the quilted runner")
    return Picture("cover", wide.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def table_picture(result: Result, room: PictureRoom, words: Measures) -> Picture:
    """The runner on its table from above, or the runner alone, with its sizes."""
    fit, letter = result.cutting.fit, room.letter_mm
    length, width = result.states.in_use.pair
    box: Box = (0.0, 0.0, length, width)
    table: Box | None = None
    if fit is not None:
        margin = (fit.table.width_mm - width) / 2
        table = (fit.drop_mm, -margin, length - fit.drop_mm, width + margin)
        box = (min(0.0, table[0]), table[1], max(length, table[2]), table[3])
    view = room.view(box, pad_mm=2.4 * letter, foot_mm=2.4 * letter)
    items: list[Item] = [rectangle(view, table, FAINT)] if table else []
    items += [_in_use(result, view, CLOTH)]
    foot = view.at(0, box[1])[1] - 0.7 * letter
    items += along(view, 0, length, foot, words.short(length), letter)
    items += across(
        view, 0, width, view.at(box[2], 0)[0] + 0.7 * letter, words.short(width), letter
    )
    if fit is not None and fit.drop_mm > 0:
        top, drop = view.at(0, box[3])[1] + 0.6 * letter, words.short(fit.drop_mm)
        items += along(view, 0, fit.drop_mm, top, say("drop {drop}", drop=drop), letter, above=True)
    shows = say("the runner on its table, from above") if table else say("the runner in use")
    state = WORDS[result.states.used_state]
    return Picture("size", room.width_mm, view.height_mm + letter, tuple(items), shows, state)


def _in_use(result: Result, view: View, style: Style) -> Shape:
    """The outline as it lies in use."""
    ring = shapely.get_coordinates(result.runner.outline.exterior)[:-1]
    flat, used = result.states.flat, result.states.in_use
    by = used.length_mm / flat.length_mm, used.width_mm / flat.width_mm
    return Shape((view.points(ring * by),), style)


def _filled(result: Result, view: View, style: Style) -> Shape:
    ring = shapely.get_coordinates(result.runner.outline.exterior)[:-1]
    return Shape((view.points(ring),), style)


def top_picture(result: Result, room: PictureRoom) -> Picture:
    """The top with its printed or sewn lines and its join, in the rectangle that it is for now."""
    letter = room.letter_mm
    view = room.view(_box(result), pad_mm=1.6 * letter, foot_mm=2.4 * letter)
    items: list[Item] = [_filled(result, view, CLOTH), *_printed(result, view)]
    shows = say("the top")
    if result.cutting.trimming.diagonals_mm is None:
        low, high = np.reshape(_box(result), (2, 2))
        items.append(rectangle(view, _box(result), DASHED))
        shows = say("the top, dashed the rectangle that it stays until it is squared up")
        if result.machine_parts is None:
            items += measured_by(result.flat_trimming, low, high, view, letter)
    for seam in result.runner.seams:
        points = view.points(shapely.get_coordinates(seam.line))
        items.append(polyline(points, DASHED))
        words_at = (float(points[0, 0]), float(points[0, 1]) - 1.2 * letter)
        items.append(Text(words_at, say_known(seam.name), letter, "middle"))
    return Picture("top", room.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def _printed(result: Result, view: View) -> list[Item]:
    return [
        polyline(view.points(shapely.get_coordinates(line)), FAINT)
        for line in result.runner.printed
    ]


def _box(result: Result) -> Box:
    low_x, low_y, high_x, high_y = result.runner.outline.bounds
    return low_x, low_y, high_x, high_y


def layer_picture(
    result: Result, layer: Piecing, name: str, room: PictureRoom, words: Measures
) -> Picture:
    """A layer with its seams, the top's place on it and the top's own join."""
    size, letter = layer.size, room.letter_mm
    box = (size.low_x, size.low_y, size.high_x, size.high_y)
    view = room.view(box, pad_mm=2.4 * letter, foot_mm=2.6 * letter)
    top = result.cutting.top
    items: list[Item] = [rectangle(view, box, CLOTH)]
    items.append(rectangle(view, (0, 0, top.cut_length_mm, top.cut_width_mm), DASHED))
    for x in top.panel_joins_mm:
        items.append(polyline([view.at(x, 0), view.at(x, top.cut_width_mm)], DOTTED))
    items += [_seam(layer, at, view) for at in layer.seams_mm]
    foot = view.at(0, size.low_y)[1] - 0.8 * letter
    items += along(view, size.low_x, size.high_x, foot, words.short(size.length_mm), letter)
    right = view.at(size.high_x, 0)[0] + 0.7 * letter
    items += across(view, size.low_y, size.high_y, right, words.short(size.width_mm), letter)
    shows = say("{layer}, the top's place dashed, its own join dotted", layer=say_known(name))
    return Picture(name, room.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def _seam(layer: Piecing, at: float, view: View) -> Item:
    size = layer.size
    if layer.axis == 0:
        return polyline([view.at(at, size.low_y), view.at(at, size.high_y)], EDGE)
    return polyline([view.at(size.low_x, at), view.at(size.high_x, at)], EDGE)


def basting_picture(result: Result, room: PictureRoom) -> Picture:
    """Backing, wadding and top on each other, with the pins or the sections of spray."""
    plan, letter = result.cutting, room.letter_mm
    backing, wadding = plan.layers.backing.size, plan.layers.wadding.size
    box = (backing.low_x, backing.low_y, backing.high_x, backing.high_y)
    view = room.view(box, pad_mm=0.6 * letter, foot_mm=0.6 * letter)
    top: Box = (0.0, 0.0, plan.top.cut_length_mm, plan.top.cut_width_mm)
    inner = (wadding.low_x, wadding.low_y, wadding.high_x, wadding.high_y)
    items: list[Item] = [rectangle(view, box, DARK_CLOTH), rectangle(view, inner, CLOTH)]
    items.append(rectangle(view, top, Style(INK, 0.35, (), "#ffffff")))
    if plan.basting.pins is not None:
        items += _pins(result, view)
    for at in plan.basting.sections_mm[:-1]:
        items.append(polyline([view.at(at, 0), view.at(at, top[3])], DASHED))
    if plan.basting.on_a_frame:
        inside = 0.4 * letter  # to be seen: 3 mm would lie on the edge
        (left, low), (right, high) = view.at(*top[:2]), view.at(*top[2:])
        ring = shapely.get_coordinates(shapely.box(left, low, right, high).buffer(-inside).exterior)
        items.append(polyline(ring.tolist(), DASHED))
    shows = say("backing (dark), wadding and top (white) with the sections of spray")
    if plan.basting.on_a_frame:
        shows = say("backing (dark), wadding and top (white), basted along its edges (dashed)")
    if plan.basting.pins:
        shows = say("backing (dark), wadding and top (white) with the pins")
    return Picture("basting", room.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def _pins(result: Result, view: View) -> list[Item]:
    plan = result.cutting
    grid = plan.basting.pins
    assert grid is not None
    x = (np.arange(grid.along) + 0.5) * grid.apart_along_mm
    y = (np.arange(grid.across) + 0.5) * grid.apart_across_mm
    places = view.points(np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2))
    half = np.array([0.6, 0.0])
    marks = [LineString([a, b]) for a, b in zip(places - half, places + half, strict=True)]
    return [many(marks, EDGE)]


def quilting_picture(result: Result, room: PictureRoom, name: str) -> Picture:
    """Quilting lines on the runner, each layer with its own dashes."""
    view = _quilting_view(result, room)
    lines = result.lines
    items: list[Item] = [_filled(result, view, EDGE)]
    for index in range(len(lines.layers)):
        chosen = lines.geometry[lines.layer == index]
        if len(chosen):
            small = shapely.transform(shapely.simplify(chosen, SIMPLE_MM), view.points)
            dashes = tuple(0.5 * dash for dash in LAYER_DASHES[index % len(LAYER_DASHES)])
            items.append(many(small, Style(INK, 0.2, dashes)))
    shows = say("the quilting lines")
    return Picture(name, room.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def _quilting_view(result: Result, room: PictureRoom) -> View:
    """Round the runner and whatever runs on into the margin, with room for a number."""
    low_x, low_y, high_x, high_y = _box(result)
    if len(result.lines):
        reach = shapely.total_bounds(result.lines.geometry)
        low_x, low_y = min(low_x, float(reach[0])), min(low_y, float(reach[1]))
        high_x, high_y = max(high_x, float(reach[2])), max(high_y, float(reach[3]))
    pad = room.letter_mm
    return room.view((low_x, low_y, high_x, high_y), pad_mm=pad, foot_mm=pad)


def sewing_picture(result: Result, room: PictureRoom) -> Picture:
    """The quilting lines with the places where the first and the last begin."""
    plain = quilting_picture(result, room, "quilting")
    if not len(result.runs):
        return plain
    letter = room.letter_mm
    view = _quilting_view(result, room)
    first_and_last = sorted({1, len(result.runs)})
    starts = view.points(result.runs.ends[[n - 1 for n in first_and_last], 0])
    items = list(plain.items)
    for (x, y), number in zip(starts.tolist(), first_and_last, strict=True):
        half = letter * (0.55 + 0.3 * len(str(number)))
        tag = np.array([(-half, -0.7), (half, -0.7), (half, 0.7), (-half, 0.7)])
        ring = tag * (1.0, letter) + (x, y)
        items.append(Shape((ring,), Style(INK, 0.35, (), "#ffffff")))
        items.append(Text((x, y - 0.36 * letter), str(number), letter, "middle", bold=True))
    shows = say("the quilting lines; the numbers stand where the first and the last begin")
    return replace(plain, items=tuple(items), shows=shows)


def hanging_picture(result: Result, room: PictureRoom, words: Measures) -> Picture:
    """The runner on its table from the side, with its drop."""
    fit, letter = result.cutting.fit, room.letter_mm
    if fit is None or fit.drop_mm <= 0:
        return table_picture(result, room, words).renamed("in use")
    table, drop = fit.table.length_mm, fit.drop_mm
    legs = max(1.6 * drop, 0.25 * table)
    view = room.view((-0.1 * table, -legs, 1.1 * table, 0.04 * table), foot_mm=0.5 * letter)
    items: list[Item] = [rectangle(view, (0, -0.03 * table, table, 0), CLOTH)]
    for x in (0.03 * table, 0.97 * table):
        items.append(polyline([view.at(x, -0.03 * table), view.at(x, -legs)], THIN))
    cloth = [(-6, -drop), (-6, 8), (table + 6, 8), (table + 6, -drop)]
    items.append(polyline(view.points(np.array(cloth, float)), Style(INK, 0.8)))
    label = say("drop {drop}", drop=words.short(drop))
    side = view.at(-0.012 * table, -drop / 2)
    items.append(Text((side[0] - 0.3 * letter, side[1]), label, letter, "middle", 90))
    items.append(Text(view.at(table / 2, -legs / 2), words.short(result.states.in_use.length_mm),
                      letter, "middle", colour=GREY))  # fmt: skip
    shows, state = say("the runner in use"), WORDS[result.states.used_state]
    return Picture("hanging", room.width_mm, view.height_mm, tuple(items), shows, state)
