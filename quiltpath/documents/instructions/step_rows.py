"""What stands on a printed page, as rows: headings, tasks with their boxes, cautions, pictures.

A step's pictures stand beside its words, so that hand and eye find both in one place; one that is
wide, such as the whole runner, goes across the page. Text in large print leaves no room beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from quiltpath.documents.instructions.step import Step
from quiltpath.drawing.page_model import GREY, INK, Group, Item, Line, Style, Text
from quiltpath.drawing.pdf import POINTS_PER_MM
from quiltpath.drawing.sketch import Picture, PictureRoom
from quiltpath.drawing.text_width import size_that_fits, text_width, wrap_words
from quiltpath.language import message, say_known, with_a_capital

PAPER_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4), "A4 or Letter": (210.0, 279.4)}
MARGIN_MM = 17.0
NORMAL_MM = 11 / POINTS_PER_MM
LARGE_MM = 18 / POINTS_PER_MM
"""18 points is the large print that readers ask for."""

LEADING = 1.35
PICTURE_LETTERS = 10.5
"""Height that a picture may take, in letter heights; in large print, so much less of them."""

LARGE_PICTURE_LETTERS = 7.5
PICTURE_SHARE = 0.44
"""Of the width between the margins, for a picture beside its words."""

GUTTER_MM = 6.0
LONGER_MM = 45.0
"""Words that are longer than their picture by more go on below it, over the whole width."""

SHORT_SHARE = 0.6
"""Of the pictures' height: shorter words leave room for pictures in pairs."""

BOX = Style(INK, 0.35)
RULE = Style(GREY, 0.25)
CAUTION_EDGE = Style(INK, 0.35)
CAUTION = message("CAUTION")


@dataclass(frozen=True)
class Layout:
    """Page size and letters, in mm; ``beside`` is true where pictures stand beside words."""

    width_mm: float
    height_mm: float
    letter_mm: float
    beside: bool = True

    @classmethod
    def of(cls, paper: str, large_print: bool) -> Layout:
        """The layout for a paper size."""
        letter = LARGE_MM if large_print else NORMAL_MM
        return cls(*PAPER_MM[paper], letter, beside=not large_print)

    @property
    def room_mm(self) -> float:
        """Width between the margins."""
        return self.width_mm - 2 * MARGIN_MM

    @property
    def picture_mm(self) -> float:
        """Width of a picture that is not a wide one."""
        return PICTURE_SHARE * self.room_mm if self.beside else self.room_mm

    @property
    def picture_room(self) -> PictureRoom:
        """Room for one picture."""
        letters = PICTURE_LETTERS if self.beside else LARGE_PICTURE_LETTERS
        high, letter = letters * self.letter_mm, max(3.0, 0.8 * self.letter_mm)
        return PictureRoom(self.picture_mm, high, letter, page_mm=self.room_mm)


@dataclass(frozen=True)
class StepRow:
    """Something that takes a height on the page; ``drawn`` gives its items below a top.

    ``states``  of which states the measures of its pictures are
    ``opens``   true for the room above a step, which may be larger to fill the page
    """

    height_mm: float
    drawn: Callable[[float], tuple[Item | Group, ...]]
    states: tuple[str, ...] = ()
    opens: bool = False


@dataclass(frozen=True)
class Column:
    """Where words run: left edge, width and size of letters, mm."""

    left_mm: float
    width_mm: float
    letter_mm: float


def step_rows(number: int, step: Step, layout: Layout) -> Iterator[StepRow]:
    """A step as rows: its heading and what stands beside its picture are one row."""
    letter = layout.letter_mm
    yield space(0.9 * letter)
    size, words = 1.35 * letter, f"{number}  {step.title}"
    heading = wrap_words(words, size, layout.room_mm, bold=True)
    head = _text_row(heading, size, MARGIN_MM, bold=True, after=0.3)
    wide = [p for p in step.pictures if p.width_mm > layout.picture_mm + 1.0 or not layout.beside]
    small = [picture for picture in step.pictures if picture not in wide]
    across, _ = _shelves(wide, layout, all_of_them=True)
    body = [*across, *_body(step, small, layout)]
    yield _below(head, *body[:1])
    yield from body[1:]


def _body(step: Step, pictures: list[Picture], layout: Layout) -> list[StepRow]:
    """The words of a step, beside its pictures where it has any that leave room."""
    whole = Column(MARGIN_MM, layout.room_mm, layout.letter_mm)
    if not pictures:
        return _word_rows(step, whole)
    left = MARGIN_MM + layout.picture_mm + GUTTER_MM
    beside = Column(left, layout.room_mm - layout.picture_mm - GUTTER_MM, layout.letter_mm)
    words = _word_rows(step, beside)
    high = _height([_picture_row(p, MARGIN_MM, layout.letter_mm) for p in pictures])
    told = _height(words)
    rows: list[StepRow] = []
    if len(pictures) > 1 and not SHORT_SHARE * high <= told <= high + LONGER_MM:
        rows, pictures = _shelves(pictures, layout, all_of_them=told > high)
    if not pictures:
        return [*rows, *_word_rows(step, whole)]
    drawn = [_picture_row(picture, MARGIN_MM, layout.letter_mm) for picture in pictures]
    high = _height(drawn)
    fits = int(np.searchsorted(np.cumsum([row.height_mm for row in words]), high)) + 1
    first = _side_by_side(_below(*drawn), _below(*words[:fits]))
    rest = words if told <= high + LONGER_MM else _word_rows(step, whole)
    return [*rows, first, *rest[fits:]]


def _shelves(
    pictures: list[Picture], layout: Layout, *, all_of_them: bool
) -> tuple[list[StepRow], list[Picture]]:
    """Pictures side by side as long as they fit; a last one alone may be left for the words."""
    rows: list[StepRow] = []
    left = list(pictures)
    while len(left) > 1 or (left and all_of_them):
        x, shelf = MARGIN_MM, StepRow(0.0, lambda _: ())
        while left and x + left[0].width_mm <= MARGIN_MM + layout.room_mm + 0.1:
            shelf = _side_by_side(shelf, _picture_row(left[0], x, layout.letter_mm))
            x += left.pop(0).width_mm + GUTTER_MM
        rows.append(shelf)
    return rows, left


def _height(rows: Sequence[StepRow]) -> float:
    return sum(row.height_mm for row in rows)


def _below(*rows: StepRow) -> StepRow:
    """Rows under each other that stay together."""

    def drawn(top: float) -> tuple[Item | Group, ...]:
        tops = top - np.cumsum([0.0, *(row.height_mm for row in rows)])
        return tuple(
            item for row, y in zip(rows, tops.tolist(), strict=False) for item in row.drawn(y)
        )

    return StepRow(_height(rows), drawn, tuple(state for row in rows for state in row.states))


def _side_by_side(left: StepRow, right: StepRow) -> StepRow:
    def drawn(top: float) -> tuple[Item | Group, ...]:
        return (*left.drawn(top), *right.drawn(top))

    return StepRow(max(left.height_mm, right.height_mm), drawn, (*left.states, *right.states))


def _word_rows(step: Step, column: Column) -> list[StepRow]:
    """Cautions, then what is to be done, then notes."""
    letter = column.letter_mm
    notes = [
        _text_row(wrap_words(note, letter, column.width_mm), letter, column.left_mm, after=0.3)
        for note in step.notes
    ]
    return [
        *([_caution_row(step.cautions, column)] if step.cautions else ()),
        *(_task_row(task, column) for task in step.tasks),
        *notes,
    ]


def space(height: float) -> StepRow:
    """Empty room above a step."""
    return StepRow(height, lambda _: (), opens=True)


def title_row(title: str, layout: Layout) -> StepRow:
    """The title of the whole."""
    size = 2.2 * layout.letter_mm
    lines = wrap_words(title, size, layout.room_mm, bold=True)
    return _text_row(lines, size, MARGIN_MM, bold=True, after=0.3)


def cover_rows(facts: Sequence[str], picture: Picture, layout: Layout) -> Iterator[StepRow]:
    """The finished piece across the page, and what it is in a few lines; the first is large."""
    letter = layout.letter_mm
    yield _picture_row(picture, MARGIN_MM, letter)
    for number, fact in enumerate(facts):
        size = letter * (1.0 if number else 1.35)
        lines = wrap_words(fact, size, layout.room_mm, bold=not number)
        yield _text_row(lines, size, MARGIN_MM, bold=not number, after=0.2)


def _text_row(
    lines: Sequence[str], size: float, left: float, *, bold: bool = False, after: float
) -> StepRow:
    def drawn(top: float) -> tuple[Item | Group, ...]:
        return tuple(
            Text((left, top - size * (0.95 + LEADING * row)), line, size, bold=bold)
            for row, line in enumerate(lines)
        )

    return StepRow(size * (LEADING * len(lines) + after), drawn)


def _task_row(task: str, column: Column) -> StepRow:
    """A check box and its task."""
    letter = column.letter_mm
    indent = 1.7 * letter
    lines = wrap_words(task, letter, column.width_mm - indent)
    text = _text_row(lines, letter, column.left_mm + indent, after=0.3)

    def drawn(top: float) -> tuple[Item | Group, ...]:
        low, side = np.array([column.left_mm, top - letter]), 0.85 * letter
        square = low + side * np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
        return (Line(square, BOX, closed=True), *text.drawn(top))

    return StepRow(text.height_mm, drawn)


def _caution_row(cautions: Sequence[str], column: Column) -> StepRow:
    """All cautions of a step in one frame, told apart by it and its first word, not by colour."""
    letter = column.letter_mm
    pad, lead = 0.5 * letter, f"{say_known(CAUTION)}  "
    room = column.width_mm - 2 * pad
    lines = wrap_words(lead + cautions[0], letter, room, bold=True)
    lines[0] = lines[0].removeprefix(say_known(CAUTION)).lstrip()
    lines += [line for more in cautions[1:] for line in wrap_words(more, letter, room)]
    left, height = column.left_mm + pad, letter * LEADING * len(lines) + pad
    first = left + text_width(lead, letter, bold=True)

    def drawn(top: float) -> tuple[Item | Group, ...]:
        low, right = top - height, column.left_mm + column.width_mm
        frame = np.array([(left - pad, low), (right, low), (right, top), (left - pad, top)])
        level = top - 0.5 * pad - 0.95 * letter
        words = [
            Text((left if row else first, level - LEADING * letter * row), line, letter)
            for row, line in enumerate(lines)
        ]
        head = Text((left, level), say_known(CAUTION), letter, bold=True)
        return (Line(frame, CAUTION_EDGE, closed=True), head, *words)

    return StepRow(height + 0.5 * letter, drawn)


def _picture_row(picture: Picture, left: float, letter: float) -> StepRow:
    """The picture, and below it what it shows, and of which state its measures are."""
    state = say_known(picture.state)
    size = size_that_fits(state, 0.7 * letter, picture.width_mm)
    shows = f"{with_a_capital(picture.shows)}."
    told = [*wrap_words(shows, size, picture.width_mm), state]

    def drawn(top: float) -> tuple[Item | Group, ...]:
        low = top - picture.height_mm - 1.0
        lines = (
            Text((left, low - 1.1 * size - LEADING * size * number), line, size)
            for number, line in enumerate(told)
        )
        return (Group(picture.name, picture.items, shift_mm=(left, low)), *lines)

    return StepRow(picture.height_mm + 3.0 + len(told) * LEADING * size, drawn, (picture.state,))
