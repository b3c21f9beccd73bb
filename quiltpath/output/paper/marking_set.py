"""The marking set: first page, ruler lists, tick strips and templates as one PDF."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quiltpath.output.drawing import Drawing
from quiltpath.output.paper.choice import Marking, Way, markings
from quiltpath.output.paper.first_page import first_rows, map_rows
from quiltpath.output.paper.flow import Row, flowed
from quiltpath.output.paper.piece import (
    Piece,
    TiledPiece,
    fits,
    packed_sheets,
    tiled,
    tiled_sheets,
)
from quiltpath.output.paper.ruler_rows import ruler_rows
from quiltpath.output.paper.sheet import Sheet, pages
from quiltpath.output.paper.sizes import PaperSetting
from quiltpath.output.paper.strips import strip_pieces, strips_of
from quiltpath.output.paper.template_piece import template_piece
from quiltpath.output.paper.templates import templates
from quiltpath.output.paper.tiling import plain_tiling
from quiltpath.project.layer_section import Layer
from quiltpath.quilting.lines import Lines
from quiltpath.runner.runner import Runner


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
    large = [tiled(piece, setting) for piece in made if piece not in small]
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
    return f"After this page come {count} pages; the whole runner at full size would take {full}."


def _first_sheets(
    first: Sequence[Row], large: Sequence[TiledPiece], setting: PaperSetting
) -> list[Sheet]:
    turn = setting.turns[0]
    rows = [*first, *map_rows(large, setting.text_room(turn))]
    return flowed(rows, "first page", turn, setting)


def _ruler_sheets(ways: Sequence[Marking], setting: PaperSetting) -> list[Sheet]:
    turn = setting.turns[0]
    rows = ruler_rows(ways, setting.text_room(turn))
    return flowed(rows, "ruler lists", turn, setting)


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


def _fewest_packed(pieces: Sequence[Piece], setting: PaperSetting, name: str) -> list[Sheet]:
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
