"""What the page is told of a computing, step by step: data for its picture, figures in words."""

from __future__ import annotations

from functools import singledispatch
from typing import Any

import shapely

from quiltpath.documents import preview_page
from quiltpath.documents.lying import lying_figure
from quiltpath.documents.preview_page import drawn_figures, gap_figures, sewn_figures
from quiltpath.page.motif_rooms import rooms_of
from quiltpath.page.remedies import remedies
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.result.computing import DrawingStep, SewingStep
from quiltpath.result.values import Result
from quiltpath.stitching.thread_and_time import bobbin_changes
from quiltpath.units import Measures, say_in_units

Part = dict[str, Any]


def told(step: DrawingStep | SewingStep | Result, project: Project) -> Part:
    """The part of an answer for a step, its figures in the units of the project's papers."""
    said, units = part(step), project.handout_units
    return {
        **said,
        "figures": [(name, say_in_units(text, units)) for name, text in said["figures"]],
    }


@singledispatch
def part(step: DrawingStep | SewingStep | Result) -> Part:
    """``data`` for the picture, ``figures`` to stand beside it, and what else is known by then."""
    raise TypeError(step)


@part.register
def _(step: DrawingStep) -> Part:
    data = {
        "layers": preview_page.layers(step.lines),
        "stitches": preview_page.drawn_points(step.lines),
        "gaps": [],
    }
    return {
        "data": data,
        "figures": drawn_figures(step.states, step.lines),
        "drawn_m": drawn_m(step.lines),
    }


@part.register
def _(step: SewingStep) -> Part:
    lines, stitches = step.drawn.lines, step.stitches
    changes = bobbin_changes(stitches, step.thread.setting).tolist()
    data = {
        "stitches": preview_page.sewn_points(stitches, lines, changes),
        "time": preview_page.timing(step.drawn.project, step.time),
    }
    return {"data": data, "figures": sewn_figures(step.runs, stitches, step.thread, step.time)}


@part.register
def _(step: Result) -> Part:
    return {
        "data": {
            "gaps": preview_page.gap_circles(step.gaps, Measures(step.project.handout_units)),
            "photos": preview_page.photos(step),
            **_of_the_machine(step),
        },
        "figures": [
            *preview_page.machine_figures(step),
            *gap_figures(step.gaps, step.gap_limit_mm, step.holds),
        ],
        "rooms": rooms_of(step.project, step.runner),
        "warnings": [finding.text for finding in step.for_a_person],
        "places": preview_page.places(step),
        "remedies": remedies(step),
        "lying": lying_figure(step),
    }


def drawn_m(lines: Lines) -> float:
    """Metres of line: what sewing, thread and time follow, before they are known."""
    return round(float(shapely.length(lines.geometry).sum()) / 1000, 3)


def _of_the_machine(step: Result) -> Part:
    """The time of the machine's parts, which were not known before."""
    if step.machine is None:
        return {}
    return {"time": preview_page.timing(step.project, step.sewing_time)}
