"""instructions.pdf and instructions.html: this runner's own steps with its own numbers."""

from __future__ import annotations

from collections.abc import Iterator

from quiltpath.documents.instructions.binding_steps import binding_steps
from quiltpath.documents.instructions.cloth_steps import layer_steps, top_steps
from quiltpath.documents.instructions.cutting_layout import cutting_drawing
from quiltpath.documents.instructions.printed_pages import PAPER_MM, Layout, instruction_pages
from quiltpath.documents.instructions.quilting_steps import marking_steps, quilting_steps
from quiltpath.documents.instructions.step import Step, full_cautions_once
from quiltpath.documents.instructions.web_page import instruction_page
from quiltpath.drawing import pdf, svg
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.project import Project
from quiltpath.result.values import Result
from quiltpath.units import Measures


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


def _paper(project: Project) -> str:
    """The size that the project names for its instructions or for its guides, else A4."""
    size = project.instructions.paper or project.paper.size
    return size if isinstance(size, str) and size in PAPER_MM else "A4"


def instruction_files(result: Result) -> Iterator[tuple[str, bytes, str]]:
    """Name, content and kind of each file: instructions as PDF and HTML, cutting layouts."""
    told, title = result.project.instructions, result.project.title
    layout = Layout.of(_paper(result.project), told.large_print)
    words = Measures(told.units)
    own = tuple(full_cautions_once(steps(result, layout.picture_room, words)))
    yield "instructions.pdf", pdf.render(instruction_pages(title, own, layout)), "instructions"
    page = instruction_page(title, own, large_print=told.large_print)
    yield "instructions.html", page, "instructions"
    cutting = cutting_drawing(result.cutting, words, title)
    yield "cutting.svg", svg.render(cutting), "cutting layouts"
