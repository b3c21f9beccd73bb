"""Printed sheets: each with its window, its name and its own check, the first with large squares.

Rows of text and pictures flow down as many sheets as they need.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from quiltpath.drawing.page_model import GREY, INK, Group, Item, Line, Page, Shape, Style, Text
from quiltpath.drawing.sketch import BAR_IN_MM, BAR_MM, square
from quiltpath.drawing.text_width import size_that_fits, wrap_words
from quiltpath.language import message, say, say_known
from quiltpath.marking.paper_sizes import FOOT_MM, LEAST_WINDOW_MM, PaperSetting
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.units import MM_PER_INCH

CAUTION = message("Print at 100 %; the upper bar is 2 in long, the lower 50 mm.")
MEASURE = (
    message(
        "Print this page first, at 100 %, never 'fit to page', and measure both dotted"
        " squares, across and up, before you mark or cut: the outer one is 4 in, the inner"
        " 100 mm. If they are off, write what the 100 mm measure into the file, bar_across"
        " and bar_up under [paper], and print again. A single page can come out at another"
        " scale: look at the small bars on each."
    ),
    message(
        "Try the marker on a scrap of the same cloth: ink that heat takes away can come"
        " back in the cold, and chalk and wash-out ink can stay after ironing."
    ),
)
CHECK = Style(GREY, 0.2, (0.6, 1.4))
FRAME = Style(GREY, 0.15)
BAR = Style(INK, 0.2)
HALF_MARK = Style(stroke=None, fill=INK)
HALF_MARK_MM = 4.0
NAME_MM, CAUTION_MM = 3.6, 2.9

SQUARES_MM = BAR_IN_MM + 8.0
"""Rows of the first page end above the check squares, so that nothing is printed over text."""

BARS_MM = (2 * MM_PER_INCH, 50.0)
"""The small bars in every foot, upper and lower."""

TEXT_MM, HEADING_MM = 4.0, 5.0
"""11 points and more: read over the cloth, at arm's length."""

LEADING = 1.4


@dataclass(frozen=True)
class Sheet:
    """What one page shows: groups in cloth mm from the window's lower left corner, and its name.

    ``used_mm`` is how far to the right something stands; a page from a roll is cut off there.
    """

    name: str
    turn: str
    groups: tuple[Group, ...]
    used_mm: float = math.inf


def pages(title: str, sheets: Sequence[Sheet], setting: PaperSetting) -> tuple[Page, ...]:
    """The sheets as pages, each with its foot, which says the cloth's state, and its own check.

    The first sheet is one of text: it holds the large check squares as well.
    """
    of = len(sheets)
    return tuple(
        _page(
            sheet,
            say(
                "{title} · {name} · sheet {number} of {sheets} · {state}",
                title=title,
                name=sheet.name,
                number=number,
                sheets=of,
                state=say_known(FLAT_WORDS),
            ),
            setting,
            first=number == 1,
        )
        for number, sheet in enumerate(sheets, start=1)
    )


def _page(sheet: Sheet, words: str, setting: PaperSetting, *, first: bool) -> Page:
    x0, y0, x1, y1 = setting.window(sheet.turn)
    width, height = setting.page(sheet.turn)
    if setting.roll and x0 + sheet.used_mm < x1:
        spared = x1 - x0 - max(sheet.used_mm, LEAST_WINDOW_MM)
        x1, width = x1 - spared, width - spared * setting.stretch[0]
    shown = Group("window", sheet.groups, shift_mm=(x0, y0), clip_mm=(x0, y0, x1, y1))
    squares = check_squares() if first else ()
    checks = Group("check squares", squares, shift_mm=(x0, y0))
    foot = Group("foot", _foot(words, x1 - x0), shift_mm=(x0, y0 - FOOT_MM))
    # the stretch makes up for a printer that is off, for the page as a whole
    whole = Group("sheet", (shown, checks, foot), stretch=setting.stretch)
    return Page(width, height, (whole,), title=sheet.name)


def check_squares() -> tuple[Item, ...]:
    """The 100 mm and the 4 in square, one corner together, 4 mm inside the window, and their words.

    The words stand inside: beside the squares they would be printed over the marks.
    """
    words = text_block(tuple(map(say_known, MEASURE)), BAR_MM - 14.0, (11.0, BAR_MM - 3.0))
    return square(4.0, 4.0, BAR_MM, CHECK), square(4.0, 4.0, BAR_IN_MM, CHECK), *words


def text_block(
    paragraphs: Sequence[str], room: float, top: tuple[float, float]
) -> tuple[Text, ...]:
    """Paragraphs from a top left corner down, half a line between them."""
    x, y = top
    texts: list[Text] = []
    for told in paragraphs:
        for line in wrap_words(told, TEXT_MM, room):
            y -= LEADING * TEXT_MM
            texts.append(Text((x, y), line, TEXT_MM))
        y -= 0.5 * TEXT_MM
    return tuple(texts)


def _foot(words: str, room: float) -> tuple[Item, ...]:
    """The sheet's name, the caution, and at the right the two small bars that it speaks of."""
    left, caution = room - BARS_MM[0] - 2.0, say_known(CAUTION)
    return (
        Line(np.array([(0.0, FOOT_MM - 0.4), (room, FOOT_MM - 0.4)]), FRAME),
        Text((0.5, FOOT_MM - 4.0), words, size_that_fits(words, NAME_MM, room - 1)),
        Text((0.5, 0.8), caution, size_that_fits(caution, CAUTION_MM, left - 2)),
        *_small_bar(left, 2.6, BARS_MM[0]),
        *_small_bar(left, 0.8, BARS_MM[1]),
    )


def _small_bar(x: float, y: float, long: float) -> tuple[Item, ...]:
    """A bar of exactly ``long`` mm between its two ticks."""
    ends = [np.array([(at, y - 0.6), (at, y + 0.6)]) for at in (x, x + long)]
    return tuple(Line(points, BAR) for points in (np.array([(x, y), (x + long, y)]), *ends))


def half_marks(room: tuple[float, float], overlap: float, sides: str) -> Group:
    """Half diamonds along the joining lines with the neighbours on the given ``sides``.

    ``sides`` holds some of the letters l, r, b, t. The neighbour prints the other halves; the
    joining line is half an overlap inside the window.
    """
    width, height = room
    half = overlap / 2
    items: list[Item] = []
    for side in sides:
        upright = side in "lr"
        far = (width if side == "r" else height) - half if side in "rt" else half
        inward = -1.0 if side in "rt" else 1.0
        long = height if upright else width
        items.append(_joining_line(far, long, upright))
        items += [
            _half(far, half + (long - overlap) * share, inward, upright) for share in (0.25, 0.75)
        ]
    return Group("joining marks", tuple(items))


def _joining_line(far: float, long: float, upright: bool) -> Line:
    ends = np.array([(far, 0.0), (far, long)])
    return Line(ends if upright else ends[:, ::-1], Style(GREY, 0.15, (4, 2)))


def _half(far: float, along: float, inward: float, upright: bool) -> Shape:
    tip = HALF_MARK_MM * inward
    points = np.array(
        [(far, along - HALF_MARK_MM), (far + tip, along), (far, along + HALF_MARK_MM)]
    )
    return Shape((points if upright else points[:, ::-1],), HALF_MARK)


@dataclass(frozen=True)
class SheetRow:
    """Something as high as ``height``; its items lie above its own lower left corner."""

    height: float
    items: tuple[Item | Group, ...]
    keep: bool = False
    """true where the next row must follow on the same page"""


def heading(words: str, room: float) -> SheetRow:
    """A bold line that stays with what follows."""
    size = size_that_fits(words, HEADING_MM, room, bold=True)
    return SheetRow(HEADING_MM * 2.1, (Text((0.0, 2.0), words, size, bold=True),), keep=True)


def paragraph(words: str, room: float) -> list[SheetRow]:
    """Running text."""
    height = TEXT_MM * LEADING
    return [
        SheetRow(height, (Text((0.0, 1.2), w, TEXT_MM),)) for w in wrap_words(words, TEXT_MM, room)
    ]


def cells(
    words: Sequence[str], starts: Sequence[float], room: float, *, bold: bool = False
) -> SheetRow:
    """One line of a table: texts that begin at ``starts`` mm and end before the next."""
    ends = [*starts[1:], room]
    texts = tuple(
        Text((x, 1.2), text, size_that_fits(text, TEXT_MM, end - x - 2, bold=bold), bold=bold)
        for text, x, end in zip(words, starts, ends, strict=True)
    )
    return SheetRow(TEXT_MM * LEADING, texts, keep=bold)


def first_sheets(
    rows: Iterable[SheetRow], name: str, turn: str, setting: PaperSetting
) -> list[Sheet]:
    """The rows over the first pages of a set; a row that keeps the next goes over with it.

    The first page holds the check squares below the rows.
    """
    _, height = setting.room(turn)
    full: list[list[SheetRow]] = [[]]
    left = height - SQUARES_MM
    for chunk in _chunks(rows):
        tall = sum(row.height for row in chunk)
        if tall > left and full[-1]:
            full.append([])
            left = height - 2.0
        full[-1] += chunk
        left -= tall
    sheets = [_stack(page, height) for page in full if page]
    used = setting.text_room(turn) + 2.0
    return [
        Sheet(f"{name} {number}" if len(sheets) > 1 else name, turn, groups, used)
        for number, groups in enumerate(sheets, start=1)
    ]


def _chunks(rows: Iterable[SheetRow]) -> Iterable[list[SheetRow]]:
    chunk: list[SheetRow] = []
    for row in rows:
        chunk.append(row)
        if not row.keep:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


def _stack(rows: Sequence[SheetRow], height: float) -> tuple[Group, ...]:
    groups = []
    y = height
    for row in rows:
        y -= row.height
        groups.append(Group("row", row.items, shift_mm=(1.0, y)))
    return (Group("text", tuple(groups)),)
