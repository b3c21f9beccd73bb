"""``nest``: several runners quilted on one backing in one load of the frame.

Runners on one backing, drawn to scale with their measures.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from quiltpath.documents.notes import ReportEntry, wrap_paragraph
from quiltpath.drawing import pdf, svg
from quiltpath.drawing.page_model import (
    GREY,
    INK,
    Drawing,
    Group,
    Item,
    Line,
    Page,
    Style,
    Text,
    reword_drawing,
)
from quiltpath.errors import InputError
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.one_job import Design, Job, JobOutput
from quiltpath.language import message, say
from quiltpath.materials.nesting import Nesting, nest
from quiltpath.project.document_sections import NestSection
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.units import Units, both_units, say_in_units

KIND = "nest"
TITLE = "One load"


def one_load(designs: Sequence[Design], asked: NestSection) -> JobOutput:
    """Copies of each design on one backing; raises :class:`InputError` where it is too small."""
    results = [design.result for design in designs for _ in range(asked.copies)]
    tops = [(result.project.title, result.cutting.top) for result in results]
    runners = [(title, top.cut_length_mm, top.cut_width_mm) for title, top in tops]
    edge = max(result.project.backing.extra for result in results)
    nested = nest(runners, asked.width, apart_mm=asked.apart, edge_mm=edge, turns=asked.turns)
    _check_length(nested, asked.length)
    units = results[0].project.handout_units
    rows = [(name, say_in_units(words, units)) for name, words in in_words(nested)]
    return JobOutput(TITLE, nest_files(nested, units), nest_report(nested), rows)


def _check_length(nested: Nesting, there_mm: float | None) -> None:
    needed = nested.backing_mm[1]
    if there_mm is not None and needed > there_mm + 1e-6:
        raise InputError(
            "nest",
            "--length",
            f"they take {both_units(needed)}, there is {both_units(there_mm)}",
            "leave one out, or join the backing",
        )


def nest_files(nested: Nesting, units: Units) -> tuple[OutputFile, ...]:
    """The picture on paper and as vectors."""
    drawing = nest_picture(TITLE, nested)
    drawing = reword_drawing(drawing, lambda words: say_in_units(words, units))
    return (
        OutputFile("nest.svg", svg.render(drawing), KIND),
        OutputFile("nest.pdf", pdf.render(drawing), KIND),
    )


def nest_report(nested: Nesting) -> dict[str, Any]:
    """The places for other programs."""
    return {
        "backing_mm": [round(mm, 2) for mm in nested.backing_mm],
        "at_least_mm": round(nested.bound_mm, 2),
        "is_least": nested.is_least,
        "waste_share": round(nested.waste_share, 4),
        "runners": [
            {"name": name, "box_mm": [round(mm, 2) for mm in box], "turned": turned}
            for (name, box), turned in zip(nested.places, nested.turned, strict=True)
        ],
    }


def in_words(nested: Nesting) -> list[tuple[str, str]]:
    """One row a runner, and what they take together."""
    rows = [
        (
            name,
            f"from {both_units(box[1])} along and {both_units(box[0])} across"
            + (", turned" if turned else ""),
        )
        for (name, box), turned in zip(nested.places, nested.turned, strict=True)
    ]
    across, along = nested.backing_mm
    size = f"{both_units(along)} of {both_units(across)} wide, {nested.waste_share:.0%} of it left"
    size += "; nothing shorter would do" if nested.is_least else ""
    return [*rows, ("backing", size)]


SIDE_MM = 240.0
EDGE_MM = 12.0
ROW_MM = 4.5
BACKING = Style(GREY, 0.4, (3, 1))
RUNNER = Style(INK, 0.5)


def nest_picture(title: str, nested: Nesting) -> Drawing:
    """One page: the backing, its length to the right, with every runner and where it begins."""
    across, along = nested.backing_mm
    scale = SIDE_MM / max(across, along)
    items: list[Item] = [_box((0.0, 0.0, across, along), scale, BACKING)]
    for number, (name, box) in enumerate(nested.places, start=1):
        items.append(_box(box, scale, RUNNER))
        x, y = scale * (box[1] + box[3]) / 2, scale * (box[0] + box[2]) / 2
        # Words run the long way of the runner.
        turn = 90.0 if box[2] - box[0] > box[3] - box[1] else 0.0
        rows = [f"{both_units(box[1])} along", f"{both_units(box[0])} across"]
        long, wide = sorted((scale * (box[2] - box[0]), scale * (box[3] - box[1])), reverse=True)
        if wide < 4 * ROW_MM or long > 100.0:
            rows = [", ".join(rows)]
        items.append(Text((x, y), f"{number} {name}"[:36], 3.5, "middle", turn, bold=True))
        for row, words in enumerate(rows, start=1):
            below = (x + row * ROW_MM, y) if turn else (x, y - row * ROW_MM)
            items.append(Text(below, words, 2.8, "middle", turn))
    size = f"backing {both_units(along)} long, {both_units(across)} wide"
    head = Text((0.0, scale * across + 4), f"{title}: {size}", 4.5, bold=True)
    foot = Text((0.0, -0.6 * EDGE_MM), FLAT_WORDS, 2.8, colour=GREY)
    group = Group("backing", (*items, head, foot), shift_mm=(EDGE_MM, EDGE_MM))
    width = max(scale * along, 200.0) + 2 * EDGE_MM
    page = Page(width, scale * across + 2 * EDGE_MM + 10, (group,), title=title)
    return Drawing(title, (page,))


def _box(box: tuple[float, float, float, float], scale: float, style: Style) -> Line:
    """A box (across, along) with the backing's length to the right."""
    x0, y0, x1, y1 = (scale * value for value in box)
    return Line(np.array([(y0, x0), (y1, x0), (y1, x1), (y0, x1)]), style, closed=True)


def _notes(told: ReportEntry) -> list[str]:
    across, along = told["backing_mm"]
    text = say(
        "{runners} on a backing of {across} by {along}; {share:.0%} of it is left over",
        runners=len(told["runners"]),
        across=both_units(across),
        along=both_units(along),
        share=told["waste_share"],
    )
    least = say("; no layout takes less") if told["is_least"] else ""
    return [wrap_paragraph(f"{text}{least}. {say('Places and measures: nest.pdf.')}")]


NEST = Job("nest", one_load, message("SEVERAL ON ONE BACKING"), _notes)
