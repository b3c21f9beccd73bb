"""All printed outputs of a project, as bytes; nothing here touches a disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from quiltpath.drawing import pdf, svg
from quiltpath.drawing.page_model import Drawing, Group, reword_drawing
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import say, speaking
from quiltpath.marking.marking_set import map_rows, marking_set
from quiltpath.marking.paper_sizes import PaperSetting, check_setting, paper_named
from quiltpath.marking.pricking import pricking_set
from quiltpath.marking.projector import projector_drawing
from quiltpath.marking.sheet import first_sheets, pages
from quiltpath.marking.stencil import stencil, stencil_page
from quiltpath.marking.taping import (
    PaperPiece,
    TapingBudget,
    along_and_up,
    tile_piece,
    tiled_sheets,
)
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.project.document_sections import PaperSection
from quiltpath.routing import Runs
from quiltpath.runner.runner_picture import (
    layer_groups,
    motifs_group,
    outline_group,
    sashing_group,
    seams_group,
)
from quiltpath.units import say_in_units

Guide = Callable[[Runner, Lines, Runs, str], Drawing]
"""Draws the marking guide of a runner with its lines in their sewing order, under a title."""


@dataclass(frozen=True)
class PaperFile:
    """One printed file.

    ``pages``        sheets in it
    ``plain_pages``  sheets that plain tiling at full size would take, 0 where that has no meaning
    ``ways``         layer and way of marking, for a marking set
    ``taping``       joins along and up of pages that are taped together
    """

    name: str
    content: bytes
    kind: str
    pages: int = 1
    plain_pages: int = 0
    note: str = ""
    ways: tuple[tuple[str, str], ...] = ()
    taping: tuple[TapingBudget, ...] = ()

    def report_entry(self) -> dict[str, Any]:
        """The file's entry in the report; only what there is to say."""
        entry: dict[str, Any] = {"path": self.name, "pages": self.pages}
        if self.plain_pages:
            entry["plain_pages"] = self.plain_pages
        if self.note:
            entry["note"] = self.note
        if self.taping:
            entry["taping"] = [
                {
                    "joins": budget.joins,
                    "each_mm": budget.each_mm,
                    "worst_mm": budget.worst_mm,
                    "typical_mm": budget.typical_mm,
                }
                for budget in self.taping
            ]
        if self.ways:
            entry["layers"] = [{"layer": layer, "marked_by": way} for layer, way in self.ways]
        return entry


@dataclass(frozen=True)
class _Job:
    project: Project
    runner: Runner
    lines: Lines
    runs: Runs
    setting: PaperSetting
    title: str
    guide: Guide

    def said(self, drawing: Drawing) -> Drawing:
        """The drawing in the units that the project asks for."""
        units = self.project.handout_units
        return reword_drawing(drawing, lambda text: say_in_units(text, units))


def paper_outputs(
    project: Project,
    runner: Runner,
    lines: Lines,
    runs: Runs,
    guide: Guide,
) -> Iterator[PaperFile]:
    """The files that the project's [paper] asks for, in its order, each once.

    ``guide`` draws the marking guide, for a page that is the whole of it.

    Raises :class:`InputError` for a paper that is not known or too small, or a way of marking that
    a layer's lines do not allow.
    """
    if not project.sheets:
        return
    setting = replace(paper_setting(project.paper, runner), units=project.handout_units)
    job = _Job(project, runner, lines, runs, setting, project.title, guide)
    for wanted in dict.fromkeys(project.sheets):
        with speaking(project.instructions.language):
            made = tuple(MAKERS[wanted](job))
        yield from made


def paper_setting(paper: PaperSection, runner: Runner) -> PaperSetting:
    """The section as the pages need it; a roll is as long as the runner with its ends."""
    turns: tuple[str, ...] = ("upright", "sideways")
    if paper.roll is not None:
        long = min(runner.length_mm + 2 * paper.margin + 40.0, pdf.LARGEST_PAGE_MM - 1)
        size, turns = (long, paper.roll), ("upright",)
    else:
        size = paper_named(paper.size) if isinstance(paper.size, str) else paper.size
        turns = turns if paper.orientation == "fewest" else (paper.orientation,)
    setting = PaperSetting(
        size=size,
        margin=paper.margin,
        overlap=paper.overlap,
        turns=turns,
        measured=(paper.bar_across, paper.bar_up),
        mirrored=paper.mirrored,
        roll=paper.roll is not None,
    )
    return check_setting(setting)


def _marking(job: _Job) -> Iterator[PaperFile]:
    made = marking_set(job.runner, job.lines, job.project.quilting, job.setting, job.title)
    content = pdf.render(job.said(made.drawing))
    ways = tuple((way.name, way.way.value) for way in made.ways)
    full = made.full_size_pages
    yield PaperFile("marking.pdf", content, "marking pages", made.pages, full, "", ways)


def _pricking(job: _Job) -> Iterator[PaperFile]:
    made = pricking_set(job.runner, job.lines, job.project.quilting, job.setting, job.title)
    if made is not None:
        content = pdf.render(job.said(made))
        yield PaperFile("pricking.pdf", content, "pricking pages", len(made.pages))


def _tiled(job: _Job) -> Iterator[PaperFile]:
    done = tile_piece(guide_piece(job.runner, job.lines), job.setting)
    turn = job.setting.turns[0]
    maps = map_rows([done], job.setting.text_room(turn))
    first = first_sheets(maps, say("page map"), turn, job.setting)
    sheets = [*first, *tiled_sheets(done, job.setting)]
    drawing = Drawing(
        say("{title}: full size", title=job.title), pages(job.title, sheets, job.setting)
    )
    note = f"{done.tiling.pages} pages and the page map"
    content = pdf.render(job.said(drawing))
    count = len(sheets)
    yield PaperFile(
        "tiled-guide.pdf",
        content,
        "full-size pages",
        count,
        done.plain_pages,
        note,
        taping=along_and_up(done.tiling),
    )


def _whole(job: _Job) -> Iterator[PaperFile]:
    drawing = job.said(job.guide(job.runner, job.lines, job.runs, job.title))
    page = drawing.pages[0]
    if max(page.width_mm, page.height_mm) <= pdf.LARGEST_PAGE_MM:
        note = f"{page.width_mm:.0f} by {page.height_mm:.0f} mm, for a copy shop"
        yield PaperFile("guide.pdf", pdf.render(drawing), "full-size page", note=note)


def _stencils(job: _Job) -> Iterator[PaperFile]:
    """One file for each motif, as it is turned and sized on the runner."""
    by_name = {placed.name: placed for placed in reversed(job.runner.motifs)}
    for number, name in enumerate(sorted(by_name), start=1):
        made = stencil(name, np.array(by_name[name].outlines, dtype=object))
        note = f"{name}; {made.uncut:.0f} mm of line to draw by hand" if made.uncut else name
        content = svg.render(stencil_page(made))
        yield PaperFile(f"stencil-{number}.svg", content, "stencil", note=note)


def _projector(job: _Job) -> Iterator[PaperFile]:
    drawing = projector_drawing(job.runner, job.lines, job.title)
    page = drawing.pages[0]
    if max(page.width_mm, page.height_mm) <= pdf.LARGEST_PAGE_MM:
        yield PaperFile("projector.pdf", pdf.render(drawing), "projector page")


MAKERS: dict[str, Callable[[_Job], Iterator[PaperFile]]] = {
    "marking": _marking,
    "pricking": _pricking,
    "tiled": _tiled,
    "whole": _whole,
    "stencils": _stencils,
    "projector": _projector,
}
"""One row a set of sheets; its word is the one in [paper] sheets."""


def guide_piece(runner: Runner, lines: Lines) -> PaperPiece:
    """The whole runner as a piece to tile: edge, seams, printed lines, motifs and every line."""
    groups = (
        sashing_group(runner),
        motifs_group(runner),
        *layer_groups(lines, mono=True),
        outline_group(runner),
        seams_group(runner),
    )
    motif_lines = [line for motif in runner.motifs for line in motif.outlines]
    seams = [seam.line for seam in runner.seams]
    drawn = [runner.outline.exterior, *runner.printed, *motif_lines, *seams, *lines.geometry]
    marks = np.array([*drawn, shapely.LineString()], dtype=object)[:-1]
    x0, y0, x1, y1 = shapely.total_bounds(marks).tolist()
    group = Group("guide", groups)
    return PaperPiece(
        say("guide"), (x0, y0, x1, y1), group, marks, map=replace(group, name="small guide")
    )
