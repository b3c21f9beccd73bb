"""Pieces of paper that are cut out and used, over one page or several that are taped together.

Every join of taped pages adds its own small error: with an error of e at each of n joins the far
end is off by n e at worst, when all go the same way, and by sqrt(n) e typically, the root mean
square of n independent errors of that size. Check marks show where a row has crept.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.drawing.page_model import GREY, Box, Group, Line, Style, Text
from quiltpath.drawing.polylines import crop_to_window
from quiltpath.language import say
from quiltpath.marking.page_tiling import PageTiling, fewest_pages, pack, plain_tiling
from quiltpath.marking.paper_sizes import PaperSetting
from quiltpath.marking.sheet import Sheet, half_marks
from quiltpath.units import inch_fraction

EACH_MM = 0.5
"""How true a join is taped by eye (common practice)."""

CROSS_MM = 3.0
MARK = Style(GREY, 0.25)

GAP_MM = 3.0


@dataclass(frozen=True, eq=False)
class PaperPiece:
    """Something to print true to size.

    ``box``    what it takes up, mm in its own coordinates
    ``group``  its drawing in the same coordinates
    ``marks``  shapely lines that must be printed: pages without any are left out
    ``map``    a plain drawing of it for the page map, where it is larger than a page
    """

    name: str
    box: Box
    group: Group
    marks: NDArray[np.object_]
    map: Group | None = None

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        x0, y0, x1, y1 = self.box
        return x1 - x0, y1 - y0


@dataclass(frozen=True)
class TiledPiece:
    """A piece over several pages, and how many pages plain tiling would take."""

    piece: PaperPiece
    tiling: PageTiling
    plain_pages: int
    mirrored: bool = False


def tile_piece(piece: PaperPiece, setting: PaperSetting) -> TiledPiece:
    """The piece over the fewest pages that were found."""
    rooms = {turn: setting.room(turn) for turn in setting.turns}
    marks = piece.marks
    if setting.mirrored:
        marks = shapely.transform(marks, lambda points: points * (-1.0, 1.0))
    tiling = fewest_pages(marks, rooms, setting.overlap)
    plain = plain_tiling(piece.box, setting.room(setting.turns[0]), setting.overlap)
    return TiledPiece(piece, tiling, plain, setting.mirrored)


def tiled_sheets(done: TiledPiece, setting: PaperSetting) -> list[Sheet]:
    """The printed pages of a tiled piece, top row first, with matching half marks."""
    tiling = done.tiling
    room = setting.room(tiling.turn)
    sheets = []
    for row, column in tiling.cells():
        window = tiling.window(row, column)
        x0, y0, x1, y1 = window
        seen = (-x1, y0, -x0, y1) if setting.mirrored else window
        part = crop_to_window(done.piece.group, seen)
        shown = Group(done.piece.name, (part,), shift_mm=(-x0, -y0), mirrored=setting.mirrored)
        joins = half_marks(room, tiling.overlap, neighbours(tiling, row, column))
        name = say("{name}, page {row}", name=done.piece.name, row=tiling.name(row, column))
        check = check_mark(tiling, row, column)
        sheets.append(Sheet(name, tiling.turn, (shown, joins, check)))
    return sheets


def neighbours(tiling: PageTiling, row: int, column: int) -> str:
    """The sides (l, r, b, t) on which a printed page lies next to this one."""
    rows, columns = tiling.needed.shape
    beside = {"l": (row, column - 1), "r": (row, column + 1)}
    beside |= {"b": (row - 1, column), "t": (row + 1, column)}
    return "".join(
        side
        for side, (r, c) in beside.items()
        if 0 <= r < rows and 0 <= c < columns and tiling.needed[r, c]
    )


def packed_sheets(
    pieces: Sequence[PaperPiece], turn: str, setting: PaperSetting, name: str
) -> list[Sheet]:
    """Pieces that each fit a page, several to the page."""
    places = pack([piece.size for piece in pieces], setting.room(turn), GAP_MM)
    sheets: dict[int, list[Group]] = {}
    used: dict[int, float] = {}
    for piece, (page, x, y) in zip(pieces, places, strict=True):
        sheets.setdefault(page, []).append(_laid(piece, x, y, setting.mirrored))
        used[page] = max(used.get(page, 0.0), x + piece.size[0])
    return [
        Sheet(
            f"{name} {number}" if len(sheets) > 1 else name, turn, tuple(sheets[page]), used[page]
        )
        for number, page in enumerate(sorted(sheets), start=1)
    ]


def _laid(piece: PaperPiece, x: float, y: float, mirrored: bool) -> Group:
    x0, y0, x1, _ = piece.box
    shift = (x + x1 if mirrored else x - x0, y - y0)
    return Group(piece.name, (piece.group,), shift_mm=shift, mirrored=mirrored)


def fits(piece: PaperPiece, room: tuple[float, float]) -> bool:
    """Whether the piece goes on one page."""
    width, height = piece.size
    return width <= room[0] and height <= room[1]


@dataclass(frozen=True)
class TapingBudget:
    """Joins in a row from the first page to the last, and the error of each in mm."""

    joins: int
    each_mm: float = EACH_MM

    @property
    def worst_mm(self) -> float:
        """All errors the same way."""
        return self.joins * self.each_mm

    @property
    def typical_mm(self) -> float:
        """Root mean square of independent errors."""
        return math.sqrt(self.joins) * self.each_mm


def along_and_up(tiling: PageTiling) -> tuple[TapingBudget, TapingBudget]:
    """The most joins between printed pages of one row, and of one column."""
    return TapingBudget(_most(tiling.needed)), TapingBudget(_most(tiling.needed.T))


def _most(needed: np.ndarray) -> int:
    """Joins between the first and the last page of the longest row."""
    spans = [np.flatnonzero(row) for row in needed]
    return max((int(span[-1] - span[0]) for span in spans if len(span)), default=0)


def check_mark(tiling: PageTiling, row: int, column: int) -> Group:
    """A small cross in the middle of a page's cell with its distance from the row's first one.

    In the coordinates of the page's window. Pages without a neighbour in their row have none.
    """
    if np.count_nonzero(tiling.needed[row]) < 2:
        return Group("check mark")
    x0, y0, x1, y1 = tiling.cell(row, column)
    left, low, _, _ = tiling.window(row, column)
    x, y = (x0 + x1) / 2 - left, (y0 + y1) / 2 - low
    arms = np.array([(-CROSS_MM, 0.0), (CROSS_MM, 0.0)])
    level, upright = arms + np.array([x, y]), arms[:, ::-1] + np.array([x, y])
    away = check_distance_mm(tiling, row, column)
    words = say("check {inches} ({mm:.1f} mm)", inches=inch_fraction(away, 32), mm=away)
    items = (
        Line(level, MARK),
        Line(upright, MARK),
        Text((x + 1.0, y + 1.0), words, 2.5, colour=GREY),
    )
    return Group("check mark", items, title=words)


def check_distance_mm(tiling: PageTiling, row: int, column: int) -> float:
    """From the check mark of the first printed page of the row to this page's."""
    first = int(np.flatnonzero(tiling.needed[row])[0])
    return _middle(tiling, column) - _middle(tiling, first)


def _middle(tiling: PageTiling, column: int) -> float:
    return float(tiling.across[column] + tiling.across[column + 1]) / 2
