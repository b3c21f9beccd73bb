"""The marking set: first page, ruler lists, tick strips and templates as one PDF.

The first page has the check squares and says how each set of lines is marked; ruler lists and page
maps follow on it as long as they have room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import compress

import numpy as np
import shapely

from quiltpath.drawing.page_model import (
    GREY,
    INK,
    PALE,
    Drawing,
    Group,
    Item,
    Line,
    Raster,
    Shape,
    Style,
    Text,
)
from quiltpath.drawing.text_width import size_that_fits, text_width
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import message, say, say_known
from quiltpath.marking.page_tiling import plain_tiling
from quiltpath.marking.paper_sizes import PaperSetting
from quiltpath.marking.ruler_rows import ruler_rows
from quiltpath.marking.sheet import (
    HEADING_MM,
    SQUARES_MM,
    Sheet,
    SheetRow,
    first_sheets,
    heading,
    pages,
    paragraph,
    text_block,
)
from quiltpath.marking.taping import (
    PaperPiece,
    TiledPiece,
    fits,
    packed_sheets,
    tile_piece,
    tiled_sheets,
)
from quiltpath.marking.template_piece import template_piece
from quiltpath.marking.templates import Template, sample_of, templates
from quiltpath.marking.tick_strips import strip_pieces, strips_of
from quiltpath.patterns import Lines
from quiltpath.patterns.layer import Layer
from quiltpath.result.marking_ways import Marking, Way, markings
from quiltpath.runner.layer_names import layer_words
from quiltpath.runner.runner_picture import many
from quiltpath.units import Units, both_units, count, say_in_units

WAY_WORDS = {
    Way.RULER: message("by ruler"),
    Way.TICKS: message("by paper strips with ticks"),
    Way.TEMPLATE: message("by template"),
    Way.NONE: message("no marks"),
}
MAPS = message(
    "Pages that are taped: cut one along its dashed line and lay it on the next so that"
    " the half diamonds make whole ones. Lay a tape measure along the small crosses of"
    " a row: each says how far it should be from the first; where one is off, tape the"
    " join before it again. Pages that are crossed out are empty and not printed."
)
CROSS = message(
    "The cross on a template is its middle; the arrow lies along the runner, with the"
    " upper edge of the runner at the top of the page."
)
MOST_PAGES = 40
"""Pages of one template that anybody would tape together."""

VAST_MAP_MM = 150.0
MOVED_ON = message(
    "A template in a dotted frame is one part of lines that go on alike. Lay it on the"
    " middle first, then move it on so that frame meets frame, along and across, up to"
    " the edge."
)
LEAST_HEADING = 0.7
"""Share of a heading's letters that still reads well at arm's length."""

SAME_PLACE_MM = 0.5
LEAST_COLUMN_MM = 60.0
MAP_WIDTH_MM, MAP_HEIGHT_MM = 150.0, 34.0
CELL = Style(GREY, 0.2)
EMPTY = Style(GREY, 0.2, fill=PALE)


@dataclass(frozen=True)
class MarkingSet:
    """The pages, the way of each layer, and what full-size pages would have taken.

    ``full_size_pages`` are those of the whole runner laid over upright sheets.
    """

    drawing: Drawing
    ways: tuple[Marking, ...]
    pages: int
    full_size_pages: int


def marking_set(
    runner: Runner, lines: Lines, layers: Sequence[Layer], setting: PaperSetting, title: str
) -> MarkingSet:
    """Everything that is printed to bring the lines on to the cloth.

    Raises :class:`InputError` where a layer asks for a way of marking that its lines do not allow.
    """
    ways = markings(runner, lines, layers)
    rooms = [setting.room(turn) for turn in setting.turns]
    wholes = templates(runner, lines, ways)
    is_vast = [pages_of(whole, setting) > MOST_PAGES for whole in wholes]
    found = [
        sample_of(runner, lines, whole) if vast else whole
        for whole, vast in zip(wholes, is_vast, strict=True)
    ]
    small: list[PaperPiece] = []
    large: list[TiledPiece] = []
    for template in found:
        piece = template_piece(runner, lines, template, rooms)
        if any(fits(piece, room) for room in rooms):
            small.append(piece)
        else:
            large.append(tile_piece(piece, setting))
    sheets = _strip_sheets(ways, setting)
    sheets += fewest_packed(small, setting, say("templates"))
    for done in large:
        sheets += tiled_sheets(done, setting)
    full = plain_tiling(runner.outline.bounds, rooms[0], setting.overlap)
    room = setting.text_room(setting.turns[0])
    ways_told = way_words(ways, _counts(len(sheets)))
    beside = _beside_squares(ways_told, setting)
    first = first_rows(title, () if beside else ways_told, room)
    first += template_rows(runner, found, room, setting.units)
    first += ruler_rows(ways, room, setting.units, runner)
    for whole in compress(wholes, is_vast):
        first += vast_rows(runner, lines, whole, setting, room)
    sheets = [*_first_sheets(first, beside, large, setting), *sheets]
    drawing = Drawing(say("{title}: marking", title=title), pages(title, sheets, setting))
    return MarkingSet(drawing, ways, len(sheets), full)


def pages_of(template: Template, setting: PaperSetting) -> int:
    """Pages that the template takes, laid over upright sheets."""
    return plain_tiling(template.box, setting.room(setting.turns[0]), setting.overlap)


def vast_rows(
    runner: Runner, lines: Lines, whole: Template, setting: PaperSetting, room: float
) -> list[SheetRow]:
    """What is printed in place of more pages than anybody tapes, and a map of the whole."""
    x0, y0, x1, y1 = runner.outline.bounds
    part, count = sample_of(runner, lines, whole).places[0], pages_of(whole, setting)
    told = say(
        "At full size these lines take {pages} pages, and no part of them stands for"
        " all others. Printed is {part} alone, to show how large they are: draw the"
        ' rest freehand by this map, or write sheets = ["projector"] under [paper], or'
        ' sheets = ["tiled"] for all pages.',
        pages=count,
        part=part,
    )
    scale = min((room - 4) / (x1 - x0), VAST_MAP_MM / (y1 - y0))
    drawn = shapely.simplify(lines.geometry[whole.chosen], 0.3 / scale)
    blocks = [block.shape.exterior for block in runner.blocks]
    edges = many([runner.outline.exterior, *blocks], Style(GREY, 0.2 / scale))
    size = min(4.0 / scale, 0.35 * min([*(b.length / 4 for b in blocks), y1 - y0]))
    names = [
        Text(
            (block.shape.centroid.x, block.shape.centroid.y), block.name, size, "middle", bold=True
        )
        for block in runner.blocks
    ]
    lines_drawn = many(drawn, Style(INK, 0.15 / scale))
    shift = (1.0 - scale * x0, 2.0 - scale * y0)
    map_of = Group("map", (edges, lines_drawn, *names), shift_mm=shift, scale=scale)
    high = scale * (y1 - y0) + 5.0
    return [heading(whole.name, room), *paragraph(told, room), SheetRow(high, (map_of,))]


def _counts(count: int) -> str:
    if not count:
        return say("No templates are needed.")
    if count == 1:
        return say("After the lists come 1 page of strips and templates.")
    return say("After the lists come {pages} pages of strips and templates.", pages=count)


def _first_sheets(
    first: Sequence[SheetRow],
    beside: Group | None,
    large: Sequence[TiledPiece],
    setting: PaperSetting,
) -> list[Sheet]:
    turn = setting.turns[0]
    rows = [*first, *map_rows(large, setting.text_room(turn))]
    sheets = first_sheets(rows, say("first page"), turn, setting)
    if beside is None:
        return sheets
    return [replace(sheets[0], groups=(*sheets[0].groups, beside)), *sheets[1:]]


HOW = message("How each set of lines is marked")


def way_words(ways: Sequence[Marking], counts: str) -> tuple[str, ...]:
    """The way of every set of lines, and how many pages there are."""
    told = []
    for way in ways:
        words = say_known(way.reason)
        if way.way is not Way.TEMPLATE and len(way.templated):
            words += say("; {lines} by template", lines=count(len(way.templated), "more line"))
        words = f"{say_known(WAY_WORDS[way.way])}, {words}"
        told.append(say("{name}: {told}.", name=layer_words(way.name), told=words))
    return (*told, counts)


def _beside_squares(told: Sequence[str], setting: PaperSetting) -> Group | None:
    """How lines are marked, to the right of the check squares, where that has room for it."""
    left = SQUARES_MM + 2.0
    room = setting.text_room(setting.turns[0]) - left
    if room < LEAST_COLUMN_MM:
        return None
    how = say_known(HOW)
    size = size_that_fits(how, HEADING_MM, room, bold=True)
    head = Text((left, SQUARES_MM - 8.0), how, size, bold=True)
    texts = text_block(told, room, (left, SQUARES_MM - 10.0))
    return None if texts[-1].at[1] < 2.0 else Group("ways", (head, *texts))


def first_rows(title: str, told: Sequence[str], room: float) -> list[SheetRow]:
    """The title; below it the ways of marking, where they do not stand beside the squares."""
    rows = [heading(say("{title}: marking", title=title), room)]
    if told:
        rows.append(heading(say_known(HOW), room))
    for words in told:
        rows += paragraph(words, room)
    return rows


def template_rows(
    runner: Runner, found: Sequence[Template], room: float, units: Units
) -> list[SheetRow]:
    """What the cross is, and where it lies in each block that has a template of its own."""
    if not found:
        return []
    rows = [heading(say("How templates are laid"), room), *paragraph(say_known(CROSS), room)]
    if any(template.moved_on for template in found):
        rows += paragraph(say_known(MOVED_ON), room)
    blocks = {block.name: block.shape.bounds for block in runner.blocks}
    for template in found:
        told: dict[str, list[str]] = {}
        for place, (x, y) in zip(template.places, template.centres, strict=False):
            if place in blocks:
                told.setdefault(_cross_place(x, y, blocks[place]), []).append(place)
        for where, places in told.items():
            told_here = say(
                "{name}, {places}: cross {where}.",
                name=template.name,
                places=", ".join(places),
                where=where,
            )
            rows += paragraph(say_in_units(told_here, units), room)
    return rows


def _cross_place(x: float, y: float, box: tuple[float, float, float, float]) -> str:
    """Where the cross lies in a block, as it is measured."""
    from_left, from_below = x - box[0], y - box[1]
    off = abs(from_left - (box[2] - x)), abs(from_below - (box[3] - y))
    if max(off) < 2 * SAME_PLACE_MM:
        return say("on the middle of the block")
    return say(
        "{from_left} from its left and {from_below} from its lower edge",
        from_left=both_units(from_left, 16),
        from_below=both_units(from_below, 16),
    )


def map_rows(pieces: Sequence[TiledPiece], room: float) -> list[SheetRow]:
    """A map of the pages for each piece that takes several; pages left out are crossed."""
    rows: list[SheetRow] = []
    if pieces:
        rows += paragraph(say_known(MAPS), room)
    told = [
        (say("{name}: {pages} pages", name=done.piece.name, pages=done.tiling.pages), done)
        for done in pieces
    ]
    half = room / 2
    while told:
        pair = told[:2] if all(_fits_in(half - 4.0, *each) for each in told[:2]) else told[:1]
        wide = half - 4.0 if len(pair) > 1 else room
        shown = [(heading(words, wide), _map(done, room)) for words, done in pair]
        for row in zip(*shown, strict=True):
            items = [
                Group("column", one.items, shift_mm=(number * half, 0.0))
                for number, one in enumerate(row)
            ]
            rows.append(SheetRow(max(one.height for one in row), tuple(items), row[0].keep))
        told = told[len(pair) :]
    return rows


def _fits_in(room: float, words: str, done: TiledPiece) -> bool:
    """Whether a map and its heading leave room for another beside them."""
    tiling = done.tiling
    wide, high = tiling.across[-1] - tiling.across[0], tiling.up[-1] - tiling.up[0]
    named = LEAST_HEADING * text_width(words, HEADING_MM, bold=True)
    return max(named, float(wide / high) * MAP_HEIGHT_MM) <= room


def _map(done: TiledPiece, room: float) -> SheetRow:
    tiling, piece = done.tiling, done.piece
    wide, high = tiling.across[-1] - tiling.across[0], tiling.up[-1] - tiling.up[0]
    scale = float(min(min(MAP_WIDTH_MM, room - 4) / wide, MAP_HEIGHT_MM / high))
    shift = (-scale * float(tiling.across[0]), -scale * float(tiling.up[0]))
    drawn = _thin(piece.map or piece.group)
    shown = Group("drawing", (drawn,), shift_mm=shift, scale=scale, mirrored=done.mirrored)
    items = (*_crosses(done, scale), shown, *_names(done, scale))
    return SheetRow(scale * float(high) + 5.0, (Group("page map", items, shift_mm=(1.0, 2.0)),))


def _thin(group: Group) -> Group:
    """The drawing in hairlines without its text: it is shown small."""
    items: list[Item | Group] = []
    for item in group.items:
        if isinstance(item, Group):
            items.append(_thin(item))
        elif not isinstance(item, Text | Raster):
            items.append(replace(item, style=Style(GREY, 0.8)))
    return Group(group.name, tuple(items), group.shift_mm, group.scale, mirrored=group.mirrored)


def _boxes(done: TiledPiece, scale: float) -> list[tuple[int, int, float, float, float, float]]:
    tiling = done.tiling
    rows, columns = tiling.needed.shape
    found = []
    for row in range(rows):
        for column in range(columns):
            x0, y0, x1, y1 = tiling.cell(row, column)
            x, y = x0 - float(tiling.across[0]), y0 - float(tiling.up[0])
            size = scale * (x1 - x0), scale * (y1 - y0)
            found.append((row, column, scale * x, scale * y, *size))
    return found


def _crosses(done: TiledPiece, scale: float) -> list[Item]:
    items: list[Item] = []
    for row, column, x, y, wide, high in _boxes(done, scale):
        ring = np.array([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)])
        if done.tiling.needed[row, column]:
            items.append(Line(ring, CELL, closed=True))
        else:
            items.append(Shape((ring,), EMPTY))
            items.append(Line(ring[[0, 2]], CELL))
            items.append(Line(ring[[1, 3]], CELL))
    return items


def _names(done: TiledPiece, scale: float) -> list[Item]:
    return [
        Text(
            (x + wide / 2, y + high / 2 - 1),
            done.tiling.name(row, column),
            max(2.0, min(4.0, 0.35 * min(wide, high))),
            "middle",
            colour=INK,
            bold=True,
        )
        for row, column, x, y, wide, high in _boxes(done, scale)
        if done.tiling.needed[row, column]
    ]


def _strip_sheets(ways: Sequence[Marking], setting: PaperSetting) -> list[Sheet]:
    """Strips in the orientation that takes the fewest pages, then the fewest joins."""
    strips = [
        strip for way in ways if way.way is Way.TICKS for strip in strips_of(way.name, way.lists)
    ]
    choices = []
    for turn in setting.turns:
        room = setting.room(turn)
        pieces = [piece for strip in strips for piece in strip_pieces(strip, room[0])]
        choices.append((packed_sheets(pieces, turn, setting, say("tick strips")), len(pieces)))
    return min(choices, key=lambda choice: (len(choice[0]), choice[1]))[0]


def fewest_packed(pieces: Sequence[PaperPiece], setting: PaperSetting, name: str) -> list[Sheet]:
    """Each piece on a page it fits; all in one orientation where that takes the fewest pages."""
    choices = []
    for turn in setting.turns:
        others = [other for other in setting.turns if other != turn]
        here = [piece for piece in pieces if fits(piece, setting.room(turn))]
        sheets = packed_sheets(here, turn, setting, name)
        rest = [piece for piece in pieces if piece not in here]
        for other in others:
            sheets = [*sheets, *packed_sheets(rest, other, setting, name)]
        choices.append(sheets)
    return min(choices, key=len)
