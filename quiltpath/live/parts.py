"""What the page is handed at each step of a computing, soonest first."""

from __future__ import annotations

from functools import singledispatch
from typing import Any

from quiltpath.estimate.bobbin_changes import bobbin_changes
from quiltpath.live.motifs import rooms_of
from quiltpath.make.compute import Drawn, Sewn, thread_setting
from quiltpath.output.page import payload
from quiltpath.output.page.page import drawn_figures, gap_figures, sewn_figures
from quiltpath.result import Result

Part = dict[str, Any]


@singledispatch
def part(step: Drawn | Sewn | Result) -> Part:
    """``data`` for the picture, ``figures`` to stand beside it, and what else is known by then."""
    raise TypeError(step)


@part.register
def _(step: Drawn) -> Part:
    data = {
        **payload.cloth(step.runner),
        "layers": payload.layers(step.lines),
        "stitches": payload.drawn_points(step.lines),
        "gaps": [],
    }
    return {"data": data, "figures": drawn_figures(step.runner, step.lines)}


@part.register
def _(step: Sewn) -> Part:
    lines, stitches = step.drawn.lines, step.stitches
    changes = bobbin_changes(stitches, thread_setting(step.drawn.project)).tolist()
    data = {
        "stitches": payload.sewn_points(stitches, lines, changes),
        "time": payload.timing(step.drawn.project, step.time),
    }
    return {"data": data, "figures": sewn_figures(step.runs, stitches, step.thread, step.time)}


@part.register
def _(step: Result) -> Part:
    return {
        "data": {"gaps": payload.gap_circles(step.gaps)},
        "figures": gap_figures(step.gaps, step.gap_limit_mm),
        "rooms": rooms_of(step.project, step.runner),
        "warnings": [finding.text for finding in step.findings],
    }
