"""What helps at the machine beyond lines and stitches: seams, balance, guide bar, checkpoints."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.lines_to_count import ToCount, count_lines_and_crossings
from quiltpath.checks.needle_checks import outermost_turn
from quiltpath.checks.seam_fit import SeamFit, fit_of, has_one_spacing, in_project_words
from quiltpath.checks.seam_misses import NearMiss, near_misses, seams_of
from quiltpath.checks.skew_balance import SkewForecast, skew_forecast
from quiltpath.geometry.runner_shapes import Runner, patches
from quiltpath.patterns import Lines
from quiltpath.patterns.kinds import reason_for_no_marks
from quiltpath.patterns.one_line import OneLine, OneLineCrosshatchLayer, one_lines
from quiltpath.patterns.straight import GridLayer, StraightLayer
from quiltpath.project import Project
from quiltpath.result.machine_parts import MachineParts
from quiltpath.routing import Runs
from quiltpath.routing.guide_bar import (
    BarStep,
    OrderCheck,
    ParallelRows,
    bar_steps,
    check_order,
    parallel_rows,
)
from quiltpath.stitching import Stitches
from quiltpath.stitching.checkpoints import Checkpoints, checkpoints
from quiltpath.stitching.thread_and_time import ThreadUse, bobbin_changes

NEAR_THE_TRIM_MM = 25.4
"""Turns so near to the finished edge are told to be kept when it is trimmed."""


@dataclass(frozen=True)
class OneLineFacts:
    """A crosshatch in one line in one region of the layer with that ``index``.

    ``sewn_mm`` is as long as it was drawn, round its motifs; in several regions alike, a part.
    ``turns_inside_mm`` is how far inside the finished edge the outermost turns of the layer lie,
    None where something has cut the line open.
    """

    index: int
    layer: str
    region: str
    line: OneLine
    sewn_mm: float
    turns_inside_mm: float | None


@dataclass(frozen=True)
class SeamFacts:
    """How a layer of even lines meets the seams; ``in_project`` has its best fit as keys."""

    layer: str
    near_misses: tuple[NearMiss, ...]
    fit: SeamFit | None
    in_project: str


@dataclass(frozen=True)
class SkewFacts:
    """How lines of both leanings balance, and by how much the ends may shift, in mm."""

    forecast: SkewForecast
    draw_up_share: float
    end_shift_mm: float


@dataclass(frozen=True)
class BarStepFacts:
    """One row with a guide bar: where it is entered and left, (x, y) mm, and how the bar is set.

    ``setting_mm`` is None for the first row, which is marked.
    """

    enters_mm: tuple[float, float]
    leaves_mm: tuple[float, float]
    setting_mm: float | None
    turn_before: bool
    in_throat_mm: float


@dataclass(frozen=True)
class BarFacts:
    """How a guide bar follows the parallel lines of a layer in a region, row by row."""

    layer: str
    region: str
    angle_deg: float
    rows: int
    as_numbered: OrderCheck
    steps: tuple[BarStepFacts, ...]


@dataclass(frozen=True)
class SewingFacts:
    """What a person at the machine is told beyond lines and stitches.

    ``one_lines``       each crosshatch in one line
    ``seams``           an entry for each layer of even lines
    ``guide_bar``       an entry for each family of straight lines
    ``checkpoints``     by the name of their part, "" for the whole
    ``to_count``        lines and crossings of each part or place
    ``bobbin_changes``  stitches after which the bobbin is changed
    ``unmarked``        for each layer why it needs no marks, None where it needs them
    """

    one_lines: tuple[OneLineFacts, ...]
    seams: tuple[SeamFacts, ...]
    skew: SkewFacts
    guide_bar: tuple[BarFacts, ...]
    checkpoints: tuple[tuple[str, Checkpoints], ...]
    to_count: tuple[ToCount, ...]
    bobbin_changes: NDArray[np.intp]
    unmarked: tuple[str | None, ...]


def sewing_facts(
    project: Project,
    runner: Runner,
    lines: Lines,
    runs: Runs,
    stitches: Stitches,
    thread: ThreadUse,
    draw_up_share: float,
    parts: MachineParts | None,
) -> SewingFacts:
    """The facts of one design; ``draw_up_share`` is what quilting takes up, as a share."""
    return SewingFacts(
        one_lines=_one_lines(project, runner, lines),
        seams=_seams(project, runner, lines),
        skew=_skew(runner, lines, runs, draw_up_share),
        guide_bar=_guide_bar(project, runner, lines, runs),
        checkpoints=_checkpoints(stitches, parts),
        to_count=parts.to_count if parts else count_lines_and_crossings(runner, lines),
        bobbin_changes=bobbin_changes(stitches, thread.setting),
        unmarked=tuple(reason_for_no_marks(layer, runner) for layer in project.quilting),
    )


def _one_lines(project: Project, runner: Runner, lines: Lines) -> tuple[OneLineFacts, ...]:
    even = runner.even or runner
    found = []
    for index, layer in enumerate(project.quilting):
        if not isinstance(layer, OneLineCrosshatchLayer):
            continue
        turn = outermost_turn(runner, lines, index)
        inside = turn.inside_mm if turn else None
        chosen = one_lines(layer, patches(even, layer.region))
        drawn = float(shapely.length(lines.geometry[lines.layer == index]).sum())
        whole = sum(line.sewn_mm for _, line in chosen)
        for place, line in chosen:
            sewn = drawn * line.sewn_mm / whole
            found.append(OneLineFacts(index, layer.name or layer.kind, place, line, sewn, inside))
    return tuple(found)


def _seams(project: Project, runner: Runner, lines: Lines) -> tuple[SeamFacts, ...]:
    """Near misses, and the figures that suit all seams best."""
    seams = seams_of(runner)
    found = []
    for index, layer in enumerate(project.quilting):
        if has_one_spacing(layer):
            fit = fit_of(runner, layer, seams)
            missed = near_misses(lines, [index], seams)
            words = in_project_words(fit) if fit else ""
            found.append(SeamFacts(layer.name or layer.kind, missed, fit, words))
    return tuple(found)


def _skew(runner: Runner, lines: Lines, runs: Runs, draw_up_share: float) -> SkewFacts:
    forecast = skew_forecast(lines, runs)
    shift_mm = forecast.end_shift_mm(runner.width_mm, draw_up_share)
    return SkewFacts(forecast, draw_up_share, shift_mm)


def _guide_bar(project: Project, runner: Runner, lines: Lines, runs: Runs) -> tuple[BarFacts, ...]:
    straight = [
        index
        for index, layer in enumerate(project.quilting)
        if isinstance(layer, StraightLayer | GridLayer)
    ]
    return tuple(
        BarFacts(
            lines.layers[family.layer],
            family.place,
            family.angle_deg,
            len(family.row_mm),
            check_order(family, runs),
            tuple(_bar_step(family, step, lines) for step in bar_steps(family)),
        )
        for family in parallel_rows(lines, straight, runner.outline)
    )


def _bar_step(family: ParallelRows, step: BarStep, lines: Lines) -> BarStepFacts:
    members = family.members[step.row]
    ends = shapely.get_coordinates(lines.geometry[list(members)])
    at = ends @ family.along
    first, last = ends[at.argmin()].tolist(), ends[at.argmax()].tolist()
    enters, leaves = (first, last) if step.forwards else (last, first)
    throat_mm = family.throat_mm(step.row, step.forwards)
    setting_mm = None if step.follows is None else step.setting_mm
    return BarStepFacts(tuple(enters), tuple(leaves), setting_mm, step.turn, throat_mm)


def _checkpoints(
    stitches: Stitches, parts: MachineParts | None
) -> tuple[tuple[str, Checkpoints], ...]:
    if parts is None or parts.in_one:
        return (("", checkpoints(stitches)),)
    names = (part.name for part in parts.parts)
    return tuple(zip(names, parts.checkpoints, strict=True))
