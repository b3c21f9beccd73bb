"""A piece of paper that is cut out and used: a strip, a template, or a whole guide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.output.crop import cropped
from quiltpath.output.drawing import Group
from quiltpath.output.paper.sheet import Sheet, half_marks
from quiltpath.output.paper.sizes import PaperSetting
from quiltpath.output.paper.taping import check_mark
from quiltpath.output.paper.tiling import Box, Tiling, fewest_pages, pack, plain_tiling

GAP_MM = 3.0


@dataclass(frozen=True, eq=False)
class Piece:
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

    piece: Piece
    tiling: Tiling
    plain_pages: int
    mirrored: bool = False


def tiled(piece: Piece, setting: PaperSetting) -> TiledPiece:
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
        part = cropped(done.piece.group, seen)
        shown = Group(done.piece.name, (part,), shift_mm=(-x0, -y0), mirrored=setting.mirrored)
        joins = half_marks(room, tiling.overlap, neighbours(tiling, row, column))
        name = f"{done.piece.name}, page {tiling.name(row, column)}"
        check = check_mark(tiling, row, column)
        sheets.append(Sheet(name, tiling.turn, (shown, joins, check)))
    return sheets


def neighbours(tiling: Tiling, row: int, column: int) -> str:
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
    pieces: Sequence[Piece], turn: str, setting: PaperSetting, name: str
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


def _laid(piece: Piece, x: float, y: float, mirrored: bool) -> Group:
    x0, y0, x1, _ = piece.box
    shift = (x + x1 if mirrored else x - x0, y - y0)
    return Group(piece.name, (piece.group,), shift_mm=shift, mirrored=mirrored)


def fits(piece: Piece, room: tuple[float, float]) -> bool:
    """Whether the piece goes on one page."""
    width, height = piece.size
    return width <= room[0] and height <= room[1]
