"""Rows of text and pictures set one under the other over as many pages as they need."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from quiltpath.output.check_bars import BAR_IN_MM
from quiltpath.output.drawing import Group, Item, Text
from quiltpath.output.paper.sheet import Sheet
from quiltpath.output.paper.sizes import PaperSetting
from quiltpath.output.paper.text_width import fitted, wrapped

SQUARES_MM = BAR_IN_MM + 6.0
"""Rows end above the check squares, so that nothing is printed over text."""

TEXT_MM, HEADING_MM = 3.5, 4.6
LEADING = 1.45


@dataclass(frozen=True)
class Row:
    """Something as high as ``height``; its items lie above its own lower left corner."""

    height: float
    items: tuple[Item | Group, ...]
    keep: bool = False
    """true where the next row must follow on the same page"""


def heading(words: str, room: float) -> Row:
    """A bold line that stays with what follows."""
    size = fitted(words, HEADING_MM, room, bold=True)
    return Row(HEADING_MM * 2.1, (Text((0.0, 2.0), words, size, bold=True),), keep=True)


def paragraph(words: str, room: float) -> list[Row]:
    """Running text."""
    height = TEXT_MM * LEADING
    return [Row(height, (Text((0.0, 1.2), w, TEXT_MM),)) for w in wrapped(words, TEXT_MM, room)]


def cells(words: Sequence[str], starts: Sequence[float], room: float, *, bold: bool = False) -> Row:
    """One line of a table: texts that begin at ``starts`` mm and end before the next."""
    ends = [*starts[1:], room]
    texts = tuple(
        Text((x, 1.2), text, fitted(text, TEXT_MM, end - x - 2, bold=bold), bold=bold)
        for text, x, end in zip(words, starts, ends, strict=True)
    )
    return Row(TEXT_MM * LEADING, texts, keep=bold)


def flowed(rows: Iterable[Row], name: str, turn: str, setting: PaperSetting) -> list[Sheet]:
    """The rows over pages; a row that keeps the next goes over with it."""
    _, height = setting.room(turn)
    full: list[list[Row]] = [[]]
    left = height - SQUARES_MM
    for chunk in _chunks(rows):
        tall = sum(row.height for row in chunk)
        if tall > left and full[-1]:
            full.append([])
            left = height - SQUARES_MM
        full[-1] += chunk
        left -= tall
    sheets = [_stacked(page, height) for page in full if page]
    used = setting.text_room(turn) + 2.0
    return [
        Sheet(f"{name} {number}" if len(sheets) > 1 else name, turn, groups, used)
        for number, groups in enumerate(sheets, start=1)
    ]


def _chunks(rows: Iterable[Row]) -> Iterable[list[Row]]:
    chunk: list[Row] = []
    for row in rows:
        chunk.append(row)
        if not row.keep:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


def _stacked(rows: Sequence[Row], height: float) -> tuple[Group, ...]:
    groups = []
    y = height
    for row in rows:
        y -= row.height
        groups.append(Group("row", row.items, shift_mm=(1.0, y)))
    return (Group("text", tuple(groups)),)
