"""instructions.pdf and instructions.html: this runner's own steps with its own numbers."""

from __future__ import annotations

from collections.abc import Iterator

from quiltpath.documents.instructions.binding_steps import binding_steps
from quiltpath.documents.instructions.cloth_steps import top_steps
from quiltpath.documents.instructions.cutting_layout import cutting_drawing
from quiltpath.documents.instructions.layer_steps import layer_steps
from quiltpath.documents.instructions.marking_steps import marking_steps
from quiltpath.documents.instructions.printed_pages import instruction_pages
from quiltpath.documents.instructions.quilting_steps import quilting_steps
from quiltpath.documents.instructions.runner_pictures import cover_picture
from quiltpath.documents.instructions.step import (
    Cover,
    Step,
    for_left_hands,
    full_cautions_once,
    with_words_inside,
)
from quiltpath.documents.instructions.step_rows import PAPER_MM, Layout
from quiltpath.documents.instructions.web_page import instruction_page
from quiltpath.drawing import pdf, svg
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.language import say, speaking
from quiltpath.project import Project
from quiltpath.result.values import Result
from quiltpath.units import Measures, count


def steps(result: Result, sheet: PictureRoom, words: Measures) -> tuple[Step, ...]:
    """All steps in order; every number in them comes from ``result``."""
    return (
        *top_steps(result, sheet, words),
        *marking_steps(result, sheet, words, layered=False),
        *layer_steps(result, sheet, words),
        *marking_steps(result, sheet, words, layered=True),
        *quilting_steps(result, sheet, words),
        *binding_steps(result, sheet, words),
    )


def cover(result: Result, sheet: PictureRoom, words: Measures) -> Cover:
    """The finished piece with its size, what it is for, and how long it takes."""
    states, fit = result.states, result.cutting.fit
    facts = [say("Finished size {size}", size=words.size(*states.in_use.pair))]
    if fit is not None:
        table = words.size(fit.table.length_mm, fit.table.width_mm)
        told = say("For a table of {table}.", table=table)
        if fit.drop_mm > 0:
            told = say(
                "For a table of {table}; it hangs down {drop} at each end.",
                table=table,
                drop=words.cut(fit.drop_mm),
            )
        facts.append(told)
    starts = result.as_sewn.starts
    thread = say("without a stop")
    if starts > 1:
        thread = say("with {starts} starts of thread", starts=starts)
    facts.append(
        say(
            "{lines} of quilting, sewn {thread}: about {minutes:.0f} minutes at the machine."
            " Cutting, marking, basting and binding come on top.",
            lines=count(len(result.lines), "line"),
            thread=thread,
            minutes=result.as_sewn.minutes,
        )
    )
    return Cover(tuple(facts), cover_picture(result, sheet))


def _paper(project: Project) -> str:
    """The size that the project names for its instructions or for its guides, else A4."""
    size = project.instructions.paper or project.paper.size
    return size if isinstance(size, str) and size in PAPER_MM else "A4"


def instruction_files(result: Result) -> Iterator[tuple[str, bytes, str]]:
    """Name, content and kind of each file: instructions as PDF and HTML, cutting layouts."""
    with speaking(result.project.instructions.language):
        files = tuple(_files(result))
    yield from files


def _files(result: Result) -> Iterator[tuple[str, bytes, str]]:
    told, title = result.project.instructions, result.project.title
    layout = Layout.of(_paper(result.project), told.large_print)
    words = Measures(result.project.handout_units)
    own = tuple(with_words_inside(steps(result, layout.picture_room, words)))
    own = tuple(full_cautions_once(own))
    own = tuple(for_left_hands(own)) if told.left_handed else own
    first = cover(result, layout.picture_room, words)
    pages = instruction_pages(title, own, layout, first)
    yield "instructions.pdf", pdf.render(pages), "instructions"
    page = instruction_page(title, own, first, large_print=told.large_print)
    yield "instructions.html", page, "instructions"
    cutting = cutting_drawing(result.cutting, words, title)
    yield "cutting.svg", svg.render(cutting), "cutting layouts"
