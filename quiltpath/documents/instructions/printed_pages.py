"""Instructions as printed pages: steps flow down the page, none is broken where it can be helped.

The pages are drawings like all others here, so that the PDF's text can be selected and searched.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from quiltpath.documents.instructions.step import Step
from quiltpath.drawing.page_model import GREY, INK, Drawing, Group, Item, Line, Page, Style, Text
from quiltpath.drawing.pdf import POINTS_PER_MM, printable
from quiltpath.drawing.sketch import Picture, PictureRoom

PAPER_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN_MM = 17.0
NORMAL_MM = 11 / POINTS_PER_MM
LARGE_MM = 18 / POINTS_PER_MM
"""18 points is the large print that readers ask for."""

LEADING = 1.35
PICTURE_LETTERS = 12.0
"""Height that a picture may take, in letter heights."""

HEAD_ROWS = 5
"""Of a step that is longer than a page, so many rows stay together."""

BOX = Style(INK, 0.35)
RULE = Style(GREY, 0.25)
CAUTION_EDGE = Style(INK, 0.6)


@dataclass(frozen=True)
class Layout:
    """Page size and letters, in mm."""

    width_mm: float
    height_mm: float
    letter_mm: float

    @classmethod
    def of(cls, paper: str, large_print: bool) -> Layout:
        """The layout for a paper size."""
        return cls(*PAPER_MM[paper], LARGE_MM if large_print else NORMAL_MM)

    @property
    def room_mm(self) -> float:
        """Width between the margins."""
        return self.width_mm - 2 * MARGIN_MM

    @property
    def picture_room(self) -> PictureRoom:
        """Room for one picture."""
        return PictureRoom(
            self.room_mm, PICTURE_LETTERS * self.letter_mm, max(3.0, 0.8 * self.letter_mm)
        )


@dataclass(frozen=True)
class StepRow:
    """Something that takes a height on the page; ``drawn`` gives its items below a top.

    ``state``  of which state the measures of its picture are, where it is one
    """

    height_mm: float
    drawn: Callable[[float], tuple[Item | Group, ...]]
    state: str = ""


def instruction_pages(title: str, steps: Iterable[Step], layout: Layout) -> Drawing:
    """The whole instructions as pages."""
    bodies = list(_break_into_pages([_heading(title, layout)], layout, steps))
    of = len(bodies)
    pages = []
    for number, (items, first, state) in enumerate(bodies, 1):
        foot = _footer(title, state, f"page {number} of {of}", layout)
        groups = (Group(f"page {number}", items), foot)
        pages.append(Page(layout.width_mm, layout.height_mm, groups, title=first))
    return Drawing(f"{title}: instructions", tuple(pages))


Body = tuple[tuple[Item | Group, ...], str, str]
"""What is drawn on a page, its first step, and the states that its measures are of."""


def _break_into_pages(rows: list[StepRow], layout: Layout, steps: Iterable[Step]) -> Iterator[Body]:
    """Rows down the pages; a step that fits on one page is not broken."""
    bottom, top = MARGIN_MM + 8.0, layout.height_mm - MARGIN_MM
    items: list[Item | Group] = []
    states: list[str] = []
    y, first = top, ""
    blocks = [("", rows)] + [
        (f"{number} {step.title}", list(_step_rows(number, step, layout)))
        for number, step in enumerate(steps, 1)
    ]
    for name, block in blocks:
        whole = sum(row.height_mm for row in block)
        if whole > top - bottom:
            whole = sum(row.height_mm for row in block[:HEAD_ROWS])
        if items and y - whole < bottom:
            yield tuple(items), first, _together(states)
            items, states, y, first = [], [], top, ""
        first = first or name
        for row in block:
            if items and y - row.height_mm < bottom:
                yield tuple(items), first, _together(states)
                items, states, y, first = [], states[-1:], top, name
            items += row.drawn(y)
            states += [row.state] if row.state else []
            y -= row.height_mm
    yield tuple(items), first, _together(states)


def _together(states: Sequence[str]) -> str:
    """The states of a page, each once; a step that runs on keeps its own."""
    return "; ".join(dict.fromkeys(states))


def _heading(title: str, layout: Layout) -> StepRow:
    size = 1.9 * layout.letter_mm
    return _text_row([title], size, MARGIN_MM, bold=True, after=0.6)


def _step_rows(number: int, step: Step, layout: Layout) -> Iterator[StepRow]:
    letter = layout.letter_mm
    yield _space(0.7 * letter)
    heading = wrap_in_helvetica(f"{number}  {step.title}", 1.35 * letter, layout.room_mm, bold=True)
    yield _text_row(heading, 1.35 * letter, MARGIN_MM, bold=True, after=0.25)
    for picture in step.pictures:
        yield _picture_row(picture, letter)
    for caution in step.cautions:
        yield _caution_row(caution, layout)
    for task in step.tasks:
        yield _task_row(task, layout)
    for note in step.notes:
        lines = wrap_in_helvetica(note, letter, layout.room_mm)
        yield _text_row(lines, letter, MARGIN_MM, after=0.3)


def _space(height: float) -> StepRow:
    return StepRow(height, lambda _: ())


def _text_row(
    lines: Sequence[str], size: float, left: float, *, bold: bool = False, after: float = 0.0
) -> StepRow:
    def drawn(top: float) -> tuple[Item | Group, ...]:
        return tuple(
            Text((left, top - size * (0.95 + LEADING * row)), line, size, bold=bold)
            for row, line in enumerate(lines)
        )

    return StepRow(size * (LEADING * len(lines) + after), drawn)


def _task_row(task: str, layout: Layout) -> StepRow:
    """A check box and its task."""
    letter = layout.letter_mm
    indent = 1.7 * letter
    text = _text_row(
        wrap_in_helvetica(task, letter, layout.room_mm - indent),
        letter,
        MARGIN_MM + indent,
        after=0.25,
    )

    def drawn(top: float) -> tuple[Item | Group, ...]:
        low, side = np.array([MARGIN_MM, top - letter]), 0.85 * letter
        square = low + side * np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
        return (Line(square, BOX, closed=True), *text.drawn(top))

    return StepRow(text.height_mm, drawn)


def _caution_row(caution: str, layout: Layout) -> StepRow:
    """A framed caution, told apart by its frame and its first word, not by colour."""
    letter = layout.letter_mm
    pad = 0.6 * letter
    text = _text_row(
        wrap_in_helvetica(f"CAUTION  {caution}", letter, layout.room_mm - 2 * pad, bold=True),
        letter,
        MARGIN_MM + pad,
        bold=True,
    )
    height = text.height_mm + pad

    def drawn(top: float) -> tuple[Item | Group, ...]:
        low, high = top - height, top
        left, right = MARGIN_MM, MARGIN_MM + layout.room_mm
        frame = np.array([(left, low), (right, low), (right, high), (left, high)])
        return (Line(frame, CAUTION_EDGE, closed=True), *text.drawn(top - 0.5 * pad))

    return StepRow(height + 0.5 * letter, drawn)


def _picture_row(picture: Picture, letter: float) -> StepRow:
    """The picture, and below it of which state its measures are."""
    size = 0.7 * letter

    def drawn(top: float) -> tuple[Item | Group, ...]:
        low = top - picture.height_mm - 1.0
        state = Text((MARGIN_MM, low - 1.1 * size), picture.state, size)
        return (Group(picture.name, picture.items, shift_mm=(MARGIN_MM, low)), state)

    return StepRow(picture.height_mm + 3.0 + LEADING * size, drawn, picture.state)


def _footer(title: str, state: str, page: str, layout: Layout) -> Group:
    """Title and page, and below them of which state the measures on the page are."""
    size = 0.8 * layout.letter_mm
    right, y = layout.width_mm - MARGIN_MM, MARGIN_MM - 2.0
    rule = Line(np.array([(MARGIN_MM, y + 5.0), (right, y + 5.0)]), RULE)
    return Group(
        "foot",
        (
            rule,
            Text((MARGIN_MM, y), title, size),
            Text((right, y), page, size, "end"),
            Text((MARGIN_MM, y - 1.3 * size), state, 0.8 * size),
        ),
    )


def wrap_in_helvetica(
    text: str, size_mm: float, width_mm: float, *, bold: bool = False
) -> list[str]:
    """Lines of ``text`` that fit ``width_mm`` in Helvetica; a word that is too long is split."""
    lines: list[str] = []
    line: list[str] = []
    gap, used = text_width(" ", size_mm, bold), 0.0
    for word in _words(text, size_mm, width_mm, bold):
        wide = text_width(word, size_mm, bold)
        if line and used + gap + wide > width_mm:
            lines.append(" ".join(line))
            line, used = [], 0.0
        used += wide + (gap if line else 0.0)
        line.append(word)
    return [*lines, " ".join(line)]


def _words(text: str, size_mm: float, width_mm: float, bold: bool) -> Iterator[str]:
    """The words; in place of one that is wider than the line, pieces of it."""
    for word in text.split():
        while (wide := text_width(word, size_mm, bold)) > width_mm and len(word) > 1:
            most = max(1, int(len(word) * width_mm / wide) - 1)
            yield word[:most]
            word = word[most:]
        yield word


def text_width(text: str, size_mm: float, bold: bool = False) -> float:
    """Width of a line in Helvetica, in mm."""
    advances = _advances(bold)
    return sum([advances[code] for code in printable(text).encode("cp1252")]) * size_mm


@cache
def _advances(bold: bool) -> tuple[float, ...]:
    """(256,) widths of Helvetica's letters for size 1, from Adobe's metrics in the PDF library."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    font = "Helvetica-Bold" if bold else "Helvetica"
    letters = [bytes([code]).decode("cp1252", "ignore") for code in range(256)]
    return tuple(float(stringWidth(letter, font, 1)) for letter in letters)
