"""Instructions as printed pages: steps flow down the page, none is broken where it can be helped.

The pages are drawings like all others here, so that the PDF's text can be selected and searched.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from quiltpath.documents.instructions.step import Cover, Step
from quiltpath.documents.instructions.step_rows import (
    MARGIN_MM,
    RULE,
    Layout,
    StepRow,
    cover_rows,
    step_rows,
    title_row,
)
from quiltpath.drawing.page_model import Drawing, Group, Item, Line, Page, Text
from quiltpath.language import say, say_known

MOST_EMPTY = 0.12
"""Share of a page that may stay empty below a step; where it would be more, the next is broken."""

NOTE_LETTERS = 2.2
FEWEST_NOTES = 3

MOST_MORE_LETTERS = 2.5
"""By so much, in letter heights, the room above a step grows to fill its page."""


@dataclass
class _PageRows:
    """The rows of a page, and the first step that begins on it."""

    rows: list[StepRow] = field(default_factory=list)
    first: str = ""

    @property
    def height_mm(self) -> float:
        return sum(row.height_mm for row in self.rows)


def instruction_pages(
    title: str, steps: Iterable[Step], layout: Layout, cover: Cover | None = None
) -> Drawing:
    """The whole instructions as pages; the first begins with the cover where there is one."""
    head = [title_row(title, layout)]
    if cover is not None:
        head += cover_rows(cover.facts, cover.picture, layout)
    bodies = list(_break_into_pages(head, layout, steps))
    pages = []
    for number, body in enumerate(bodies, 1):
        last = number == len(bodies)
        items = _laid_out(body.rows, layout, last=last)
        items += _room_for_notes(body, layout) if last else ()
        states = "; ".join(
            dict.fromkeys(say_known(state) for row in body.rows for state in row.states)
        )
        foot = _footer(
            title,
            states,
            say("page {number} of {pages}", number=number, pages=len(bodies)),
            layout,
        )
        groups = (Group(f"page {number}", items), foot)
        pages.append(Page(layout.width_mm, layout.height_mm, groups, title=body.first))
    return Drawing(say("{title}: instructions", title=title), tuple(pages))


def _room_mm(layout: Layout) -> float:
    """Height between the margins, above the foot."""
    return layout.height_mm - 2 * MARGIN_MM - 8.0


def _break_into_pages(
    head: list[StepRow], layout: Layout, steps: Iterable[Step]
) -> Iterator[_PageRows]:
    """Rows down the pages; a step is broken only where much of a page would stay empty."""
    high = _room_mm(layout)
    page = _PageRows(head)
    for number, step in enumerate(steps, 1):
        rows, name = list(step_rows(number, step, layout)), f"{number} {step.title}"
        left = high - page.height_mm
        whole = sum(row.height_mm for row in rows)
        broken = whole > left and (left > MOST_EMPTY * high or whole > high)
        if page.rows and ((whole > left and not broken) or _head_mm(rows) > left):
            yield page
            page = _PageRows()
        page.first = page.first or name
        for row in rows:
            if page.rows and page.height_mm + row.height_mm > high:
                yield page
                page = _PageRows(first=name)
            if page.rows or not row.opens:
                page.rows.append(row)
    yield page


def _head_mm(rows: Sequence[StepRow]) -> float:
    """Of a step that is broken its heading, its picture and one row more stay together."""
    return sum(row.height_mm for row in rows[:3])


def _laid_out(rows: Sequence[StepRow], layout: Layout, *, last: bool) -> tuple[Item | Group, ...]:
    """The rows from the top down, with what is left of the page shared among its steps."""
    spare = 0.0 if last else _room_mm(layout) - sum(row.height_mm for row in rows)
    gaps = sum(row.opens for row in rows)
    more = min(spare / gaps, MOST_MORE_LETTERS * layout.letter_mm) if gaps else 0.0
    items: list[Item | Group] = []
    y = layout.height_mm - MARGIN_MM
    for row in rows:
        y -= more if row.opens else 0.0
        items += row.drawn(y)
        y -= row.height_mm
    return tuple(items)


def _room_for_notes(page: _PageRows, layout: Layout) -> tuple[Item | Group, ...]:
    """Ruled lines on what is left of the last page, where a few of them have room."""
    letter, right = layout.letter_mm, layout.width_mm - MARGIN_MM
    apart, top = NOTE_LETTERS * letter, layout.height_mm - MARGIN_MM - page.height_mm
    left = _room_mm(layout) - page.height_mm
    lines = int((left - 3.4 * letter) / apart)
    if lines < FEWEST_NOTES:
        return ()
    level = top - 2.4 * letter
    items: list[Item | Group] = [Text((MARGIN_MM, level), say("Notes"), 1.35 * letter, bold=True)]
    for y in level - apart * np.arange(1, lines + 1):
        items.append(Line(np.array([(MARGIN_MM, y), (right, y)]), RULE))
    return tuple(items)


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
