"""The marking set: first page, ruler lists, tick strips and templates as one PDF.

The first page says how each layer is marked and what is in the set, and holds the page maps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

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
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.marking.choice import Marking, Way, markings
from quiltpath.marking.page_tiling import plain_tiling
from quiltpath.marking.paper_sizes import PaperSetting
from quiltpath.marking.ruler_rows import ruler_rows
from quiltpath.marking.sheet import Sheet, SheetRow, cells, flow_rows, heading, pages, paragraph
from quiltpath.marking.taping import (
    PaperPiece,
    TiledPiece,
    fits,
    in_words,
    packed_sheets,
    tile_piece,
    tiled_sheets,
)
from quiltpath.marking.template_piece import template_piece
from quiltpath.marking.templates import templates
from quiltpath.marking.tick_strips import strip_pieces, strips_of
from quiltpath.patterns import Lines
from quiltpath.patterns.layer import Layer

WAY_WORDS = {
    Way.RULER: "ruler list",
    Way.TICKS: "tick strips",
    Way.TEMPLATE: "template",
    Way.NONE: "not marked",
}
CAUTIONS = (
    "Print one page first, at 100 % and never 'fit to page'. Measure both squares on every page,"
    " across and up: one page alone can come out at another scale. If the 100 mm square is off, put"
    " what it measures into [paper] bar_across and bar_up and make the set again.",
    "Try the marker on a scrap of the same cloth. Heat-erased ink can come back in the cold; chalk"
    " and wash-out ink can stay after ironing. Close the rotary cutter when it leaves the hand.",
)
MAPS = (
    "Page maps: crossed pages are empty and left out. Cut one page along its dashed joining line"
    " and lay it on the other so that the half diamonds make whole ones."
)
MAP_WIDTH_MM, MAP_HEIGHT_MM = 150.0, 42.0
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
    found = templates(runner, lines, ways)
    made = [template_piece(runner, lines, template, rooms) for template in found]
    small = [piece for piece in made if any(fits(piece, room) for room in rooms)]
    large = [tile_piece(piece, setting) for piece in made if piece not in small]
    sheets = [*_ruler_sheets(ways, setting), *_strip_sheets(ways, setting)]
    sheets += _fewest_packed(small, setting, "templates")
    for done in large:
        sheets += tiled_sheets(done, setting)
    full = plain_tiling(runner.outline.bounds, rooms[0], setting.overlap)
    first = first_rows(title, ways, _counts(len(sheets), full), setting.text_room(setting.turns[0]))
    sheets = [*_first_sheets(first, large, setting), *sheets]
    drawing = Drawing(f"{title}: marking", pages(title, sheets, setting))
    return MarkingSet(drawing, ways, len(sheets), full)


def _counts(count: int, full: int) -> str:
    if not count:
        return "Nothing has to be printed beside this page."
    after = "comes 1 page" if count == 1 else f"come {count} pages"
    return f"After this page {after}; the whole runner at full size would take {full}."


def _first_sheets(
    first: Sequence[SheetRow], large: Sequence[TiledPiece], setting: PaperSetting
) -> list[Sheet]:
    turn = setting.turns[0]
    rows = [*first, *map_rows(large, setting.text_room(turn))]
    return flow_rows(rows, "first page", turn, setting)


def first_rows(title: str, ways: Sequence[Marking], counts: str, room: float) -> list[SheetRow]:
    """Title, cautions, the way of every layer, and how many pages there are."""
    rows = [heading(f"{title}: marking", room)]
    for caution in CAUTIONS:
        rows += paragraph(caution, room)
    rows.append(heading("How each layer is marked", room))
    starts = (0.0, room * 0.36, room * 0.56)
    for way in ways:
        words = way.reason
        if way.way is not Way.TEMPLATE and len(way.templated):
            words += f"; {len(way.templated)} lines by template"
        rows.append(cells((way.name, WAY_WORDS[way.way], words), starts, room))
    rows += paragraph(counts, room)
    return rows


def map_rows(pieces: Sequence[TiledPiece], room: float) -> list[SheetRow]:
    """A map of the pages for each piece that takes several; pages left out are crossed."""
    rows: list[SheetRow] = []
    if pieces:
        rows += paragraph(MAPS, room)
    for done in pieces:
        plain = f"{done.tiling.pages} pages, plainly laid {done.plain_pages}"
        rows.append(heading(f"{done.piece.name}: {plain}", room))
        rows += paragraph(in_words(done.tiling), room)
        rows.append(_map(done, room))
    return rows


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
            items.append(type(item)(**{**item.__dict__, "style": Style(GREY, 0.8)}))
    return Group(group.name, tuple(items), group.shift_mm, group.scale, mirrored=group.mirrored)


def _boxes(done: TiledPiece, scale: float) -> list[tuple[int, int, float, float, float, float]]:
    tiling = done.tiling
    rows, columns = tiling.needed.shape
    found = []
    for row in range(rows):
        for column in range(columns):
            x0, y0, x1, y1 = tiling.cell(row, column)
            corner = x0 - float(tiling.across[0]), y0 - float(tiling.up[0])
            size = x1 - x0, y1 - y0
            found.append((row, column, *(scale * v for v in (*corner, *size))))
    return found  # type: ignore[return-value]


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


def _ruler_sheets(ways: Sequence[Marking], setting: PaperSetting) -> list[Sheet]:
    turn = setting.turns[0]
    rows = ruler_rows(ways, setting.text_room(turn))
    return flow_rows(rows, "ruler lists", turn, setting)


def _strip_sheets(ways: Sequence[Marking], setting: PaperSetting) -> list[Sheet]:
    """Strips in the orientation that takes the fewest pages, then the fewest joins."""
    strips = [
        strip for way in ways if way.way is Way.TICKS for strip in strips_of(way.name, way.lists)
    ]
    choices = []
    for turn in setting.turns:
        room = setting.room(turn)
        pieces = [piece for strip in strips for piece in strip_pieces(strip, room[0])]
        choices.append((packed_sheets(pieces, turn, setting, "tick strips"), len(pieces)))
    return min(choices, key=lambda choice: (len(choice[0]), choice[1]))[0]


def _fewest_packed(pieces: Sequence[PaperPiece], setting: PaperSetting, name: str) -> list[Sheet]:
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
