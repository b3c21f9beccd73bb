"""What report.json says of the sewing beyond stitches and thread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import shapely

from quiltpath.checks.needle_checks import OutermostTurn, outermost_turn
from quiltpath.checks.seam_fit import SeamFit, fit_of, in_project_words, spaced
from quiltpath.checks.seam_misses import near_misses, seams_of
from quiltpath.checks.skew_balance import skew_forecast
from quiltpath.geometry.runner_shapes import patches
from quiltpath.patterns import Lines
from quiltpath.patterns.one_line import OneLine, OneLineCrosshatchLayer, one_lines
from quiltpath.patterns.straight import GridLayer, StraightLayer
from quiltpath.result.values import Result
from quiltpath.routing.guide_bar import BarStep, ParallelRows, bar_steps, check_order, parallel_rows
from quiltpath.stitching.checkpoints import Checkpoints


def _guide_bar(result: Result) -> list[dict[str, Any]]:
    """For each family of straight lines: how a guide bar follows, row by row."""
    layers = [
        index
        for index, layer in enumerate(result.project.quilting)
        if isinstance(layer, StraightLayer | GridLayer)
    ]
    return [
        {
            "layer": result.lines.layers[family.layer],
            "region": family.place,
            "angle_deg": family.angle_deg,
            "rows": len(family.row_mm),
            "as_numbered": asdict(check_order(family, result.runs)),
            "steps": [_bar_step(family, step, result.lines) for step in bar_steps(family)],
        }
        for family in parallel_rows(result.lines, layers, result.runner.outline)
    ]


def _bar_step(family: ParallelRows, step: BarStep, lines: Lines) -> dict[str, Any]:
    """One row: where it is entered and left, and the bar's setting; the first one is marked."""
    members = family.members[step.row]
    ends = shapely.get_coordinates(lines.geometry[list(members)])
    at = ends @ family.along
    first, last = ends[at.argmin()].tolist(), ends[at.argmax()].tolist()
    return {
        "enters_mm": first if step.forwards else last,
        "leaves_mm": last if step.forwards else first,
        "bar": None if step.follows is None else "left",
        "setting_mm": step.setting_mm,
        "turn_before": step.turn,
        "in_throat_mm": family.throat_mm(step.row, step.forwards),
    }


def _checkpoints(marked: Sequence[tuple[str, Checkpoints]]) -> list[dict[str, Any]]:
    """The places marked c1, c2 ... on the guide; with their part where there are several."""
    return [
        {
            **({"part": part} if part else {}),
            "number": number,
            "at_mm": at,
            "sewn_before_mm": done,
        }
        for part, places in marked
        for number, (at, done) in enumerate(
            zip(places.at_mm.tolist(), places.done_mm.tolist(), strict=True), start=1
        )
    ]


def _skew(result: Result) -> dict[str, Any]:
    """How lines of the two leanings balance; ``draw_up_share`` is what the plan goes by."""
    forecast = skew_forecast(result.lines, result.runs)
    share = result.cutting.quilting_share
    return {
        **asdict(forecast),
        "share": forecast.share,
        "draw_up_share": share,
        "end_shift_mm": forecast.end_shift_mm(result.runner.width_mm, share),
    }


def _seams(result: Result) -> list[dict[str, Any]]:
    """For each straight or grid layer: near misses, and the figures that suit all seams best."""
    seams = seams_of(result.runner)
    return [
        {
            "layer": layer.name or layer.kind,
            "near_misses": [
                {"miss_mm": miss.miss_mm, "at_mm": list(miss.at_mm), "crossing": miss.crossing}
                for miss in near_misses(result.lines, [index], seams)
            ],
            "best_fit": _fit(fit_of(result.runner, layer, seams)),
        }
        for index, layer in enumerate(result.project.quilting)
        if spaced(layer)
    ]


def _fit(fit: SeamFit | None) -> dict[str, Any] | None:
    if fit is None:
        return None
    return {**asdict(fit), "good": fit.good, "project": in_project_words(fit)}


def _one_line_layers(result: Result) -> list[dict[str, Any]]:
    """Each crosshatch in one line: its cells, and the lines and starts that it replaces."""
    runner = result.runner.even or result.runner
    return [
        {"layer": layer.name or layer.kind, "region": place, **_one_line(one, turn)}
        for index, layer in enumerate(result.project.quilting)
        if isinstance(layer, OneLineCrosshatchLayer)
        for turn in [outermost_turn(result.runner, result.lines, index)]
        for place, one in one_lines(layer, patches(runner, layer.region))
    ]


def _one_line(one: OneLine, turn: OutermostTurn | None) -> dict[str, Any]:
    """``turns_inside_mm`` is None where something has cut the line open."""
    return {
        "cells_along": one.columns,
        "cells_across": one.rows,
        "cell_mm": list(one.cell_mm),
        "angle_deg": one.angle_deg,
        "gap_mm": one.gap_mm,
        "sewn_mm": one.sewn_mm,
        "replaces_lines": one.lines_replaced,
        "replaces_starts": one.lines_replaced,
        "turns_inside_mm": turn.inside_mm if turn else None,
    }
