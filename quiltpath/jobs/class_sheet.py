"""One sheet for a class: who makes what, what is bought for all, how each cloth is cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from quiltpath.documents.instructions.cutting_layout import layout_picture
from quiltpath.documents.instructions.gather_step import shopping_line
from quiltpath.documents.instructions.printed_pages import instruction_pages
from quiltpath.documents.instructions.step import CUTTER, Step, for_left_hands
from quiltpath.documents.instructions.step_rows import Layout
from quiltpath.documents.instructions.web_page import instruction_page
from quiltpath.drawing import pdf
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.materials.merged_shopping import MergedShopping
from quiltpath.result.values import Result
from quiltpath.units import Measures, count

WORTH_TELLING_MM = 25.0
"""A common layout that saves less than an inch is not told."""

Told = tuple[str, str, Result]
"""Whose, the folder's name, and everything computed."""


def class_sheet(
    members: Sequence[Told], merged: MergedShopping
) -> Iterator[tuple[str, bytes, str]]:
    """Name, content and kind of the sheet as PDF and as a page."""
    told = members[0][2].project.instructions
    title, layout = f"{members[0][2].project.title.split(':')[0]}: class", _layout(members)
    words = Measures(members[0][2].project.handout_units)
    steps: tuple[Step, ...] = (
        _who(members, words),
        _buy(merged, words),
        _cut(merged, layout.picture_room, words),
        _bring(members, words),
    )
    steps = tuple(for_left_hands(steps)) if told.left_handed else steps
    yield "class.pdf", pdf.render(instruction_pages(title, steps, layout)), "class"
    yield "class.html", instruction_page(title, steps, large_print=told.large_print), "class"


def _layout(members: Sequence[Told]) -> Layout:
    told = members[0][2].project.instructions
    return Layout.of(told.paper or "A4", told.large_print)


def _who(members: Sequence[Told], words: Measures) -> Step:
    tasks = [
        f"{name}: {words.size(*result.states.in_use.pair)} finished"
        f"{_times(result)}, {len(result.lines)} lines,"
        f" {result.sewing_time.sewing_min:.0f} minutes at"
        f" the machine; folder {folder}."
        for name, folder, result in members
    ]
    return Step("Who makes what", tuple(tasks))


def _times(result: Result) -> str:
    return f", {result.cutting.copies} of it" if result.cutting.copies > 1 else ""


def _buy(merged: MergedShopping, words: Measures) -> Step:
    tasks = tuple(shopping_line(item, words) for item in merged.items)
    saved = [
        f"Of {name} the common layout takes {words.cut(mm)} less than one for each."
        for name, mm in merged.saved_mm
        if mm >= WORTH_TELLING_MM
    ]
    note = "What is at hand or in the drawer is taken off once for all."
    return Step("Buy for all", tasks, (), (note, *saved))


def _cut(merged: MergedShopping, room: PictureRoom, words: Measures) -> Step:
    tasks = [
        f"Cut {layout.name}: {count(layout.piece_count, 'piece')} from"
        f" {words.cut(layout.length_mm)} of it."
        for layout in merged.layouts
    ]
    pictures = tuple(layout_picture(layout, room, words) for layout in merged.layouts)
    note = "Each piece bears the name of whose it is: pin a label on it before the next is cut."
    return Step("Cut for all", tuple(tasks), pictures, (note,), (CUTTER,))


def _bring(members: Sequence[Told], words: Measures) -> Step:
    """What each finds in their own bag, to be checked before the first lesson."""
    tasks = []
    for name, _, result in members:
        plan = result.cutting
        backing, wadding = plan.layers.backing.size, plan.layers.wadding.size
        tasks.append(
            f"{name}: top {words.size(plan.top.cut_length_mm, plan.top.cut_width_mm)}, backing"
            f" {words.size(backing.length_mm, backing.width_mm)}, wadding"
            f" {words.size(wadding.length_mm, wadding.width_mm)},"
            f" {count(len(plan.binding.strips.lengths_mm), 'binding strip')}{_each(result)}."
        )
    return Step("What everybody has before quilting", tuple(tasks))


def _each(result: Result) -> str:
    return " for each of them" if result.cutting.copies > 1 else ""
