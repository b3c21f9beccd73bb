"""report.json: the figures of a result under the keys that other programs rely on."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from quiltpath.documents.cutting_report import cutting_report
from quiltpath.findings import Finding
from quiltpath.machine.part_choice import Choice, PartDivision
from quiltpath.result.distortion_facts import DistortionFacts
from quiltpath.result.machine_parts import MachineParts
from quiltpath.result.relief_facts import ReliefFacts
from quiltpath.result.sewing_facts import BarFacts, OneLineFacts, SeamFacts, SewingFacts, SkewFacts
from quiltpath.result.values import Result
from quiltpath.runner.states import States
from quiltpath.stitching.checkpoints import Checkpoints
from quiltpath.version import __version__

Entry = Mapping[str, object]
Report = dict[str, Any]


def report_json(
    result: Result,
    files: Sequence[Entry],
    paper: Sequence[Entry] = (),
    also: Entry | None = None,
    relief: ReliefFacts | None = None,
) -> bytes:
    """The report as UTF-8 JSON; numbers are rounded so that a reader can compare them.

    ``files`` has an entry for each file of the set, ``paper`` tells of the pages of each that is
    printed, ``also`` of what [also] asks for, under its keys; ``relief`` of how high it puffs.
    """
    content = report(result, files)
    if result.machine_parts is not None:
        content["machine"] = _machine(result.machine_parts)
    if paper:
        content["paper"] = list(paper)
    if relief:
        content["relief"] = relief_report(relief)
    if also:
        content["also"] = also
    return (json.dumps(_round(content), indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def report(result: Result, files: Sequence[Entry]) -> Report:
    """The report's content; lengths in mm, thread in m, time in minutes."""
    return {
        "title": result.project.title,
        "quiltpath_version": __version__,
        "states": _states(result.states),
        "runner": {
            "length_mm": result.states.in_use.length_mm,
            "width_mm": result.states.in_use.width_mm,
            "outline_area_mm2": float(result.runner.outline.area) * result.states.area_left_in_use,
        },
        "stitching": _stitching(result),
        "thread": _thread(result),
        "time": _time(result),
        "as_sewn": _as_sewn(result),
        "gap": _gap(result),
        "distortion": _distortion(result.distortion),
        "sewing": sewing_report(result.sewing),
        "cutting": cutting_report(result.cutting),
        "warnings": [_warning(finding) for finding in result.findings],
        "files": list(files),
    }


def _states(states: States) -> Report:
    """The runner's size in each state, and where what lies between them comes from."""
    sizes = {
        name: {"length_mm": size.length_mm, "width_mm": size.width_mm}
        for name, size in (
            ("flat", states.flat),
            ("quilted", states.quilted),
            ("washed", states.washed),
        )
    }
    return {**sizes, "by": states.by, "size_is": states.used}


def relief_report(relief: ReliefFacts) -> dict[str, Any]:
    """How high the cloth puffs and how it handles, with how that was obtained."""
    return {
        "loft_mm": relief.loft.loft_mm,
        "loft_from": relief.loft.source,
        "puff": asdict(relief.puff),
        "stiffness": asdict(relief.stiffness),
    }


def _stitching(result: Result) -> dict[str, Any]:
    stitches, runs = result.stitches, result.runs
    return {
        "stitch_count": stitches.stitch_count,
        "stitched_mm": stitches.stitched_mm,
        "travel_mm": stitches.travel_mm,
        "lines": len(result.lines),
        "runs": len(runs),
        "runs_lower_bound": runs.runs_lower_bound,
        "runs_note": result.starts.words,
        "trims": stitches.trims,
        "turns": runs.turns,
        "policy": result.project.sewing.policy,
        "stitch_length": _stitch_length(result),
        "forced_short": _forced_short(result),
    }


def _stitch_length(result: Result) -> dict[str, Any]:
    setting = result.project.stitch
    steps = result.stitches.step_mm[result.stitches.is_stitch]
    within = (steps >= setting.shortest - 1e-6) & (steps <= setting.longest + 1e-6)
    some = len(steps) > 0
    return {
        "set_mm": setting.length,
        "low_mm": setting.shortest,
        "high_mm": setting.longest,
        "min_mm": float(steps.min()) if some else 0.0,
        "median_mm": float(np.median(steps)) if some else 0.0,
        "max_mm": float(steps.max()) if some else 0.0,
        "share_within": float(within.mean()) if some else 1.0,
    }


def _forced_short(result: Result) -> dict[str, Any]:
    """Stretches that no whole number of stitches within the bounds can fill, each listed."""
    points = result.stitches.points
    return {
        "stretches": len(result.stitches.forced_short),
        "stitches": int(result.stitches.forced_short[:, 1].sum()),
        "each": [
            {
                "length_mm": float(length),
                "stitches": int(number),
                "stitch_mm": float(length / number),
                "at_mm": points[int(first)].tolist(),
            }
            for length, number, first in result.stitches.forced_short
        ],
    }


def _thread(result: Result) -> dict[str, Any]:
    thread = result.thread
    return {
        "needle_m": thread.needle_m,
        "bobbin_m": thread.bobbin_m,
        "wastage_share": thread.setting.wastage_share,
        "bobbins": thread.bobbins,
        "tails_m": thread.tails_m,
        "model": {"source": thread.source, **asdict(thread.setting)},
    }


def _time(result: Result) -> dict[str, Any]:
    """Minutes, in all and by what they go into; loading is told of a machine alone."""
    time = result.sewing_time
    told = {"sewing_min": time.sewing_min, **asdict(time)}
    return told if result.sewable_parts else {k: m for k, m in told.items() if k != "loading_min"}


def _as_sewn(result: Result) -> dict[str, Any]:
    """What sewing takes; of a machine with needle, hands and loading apart."""
    told = asdict(result.as_sewn)
    apart = ("needle_min", "hand_min", "loading_min")
    return told if result.sewable_parts else {k: v for k, v in told.items() if k not in apart}


def _gap(result: Result) -> dict[str, Any]:
    gaps, limit = result.gaps, result.gap_limit_mm
    first = gaps.widest[0] if gaps.widest else None
    return {
        "widest_mm": gaps.widest_mm,
        "in_use_mm": gaps.widest_mm * max(result.states.kept(result.states.used_state)),
        "state": "flat",
        "at_mm": list(first.centre) if first else None,
        "limit_mm": limit,
        "within_limit": result.holds,
        "places": [
            {"diameter_mm": gap.diameter_mm, "at_mm": list(gap.centre)} for gap in gaps.widest
        ],
        "line_gaps": [
            {"layer": layer, "distance_mm": gap.distance_mm, "at_mm": list(gap.at_mm)}
            for layer, gap in zip(result.lines.layers, result.line_gaps, strict=False)
            if gap is not None
        ],
    }


def _distortion(facts: DistortionFacts) -> Report:
    """How the quilted piece lies before it is squared up; sizes at every fourth station."""
    return {
        "state": "quilted",
        "worst_mm": facts.lies.worst_mm,
        "off_mm": facts.lies.off_mm,
        "told": facts.is_told,
        "draw_up_share": list(facts.lies.share),
        **{
            name: {
                "spread_mm": sizes.spread_mm,
                "at_mm": sizes.at_mm[::4].tolist(),
                "more_mm": sizes.more_mm[::4].tolist(),
                "bows_out_mm": {edge.name: edge.bow_mm for edge in (sizes.low, sizes.high)},
            }
            for name, sizes in (("widths", facts.lies.widths), ("lengths", facts.lies.lengths))
        },
        "evened_out_by": facts.evening and asdict(facts.evening),
        "how": facts.how,
        "trust": facts.trust,
    }


def sewing_report(facts: SewingFacts) -> Report:
    """The content of the key ``sewing``; lengths in mm, angles in degrees."""
    return {
        "one_line": [_one_line(one) for one in facts.one_lines],
        "seams": [_seams(seams) for seams in facts.seams],
        "skew": _skew(facts.skew),
        "checkpoints": _checkpoints(facts.checkpoints),
        "guide_bar": [_guide_bar(bar) for bar in facts.guide_bar],
        "to_count": [asdict(place) for place in facts.to_count],
    }


def _one_line(facts: OneLineFacts) -> Report:
    """``turns_inside_mm`` is None where something has cut the line open."""
    one = facts.line
    return {
        "layer": facts.layer,
        "region": facts.region,
        "cells_along": one.columns,
        "cells_across": one.rows,
        "cell_mm": list(one.cell_mm),
        "angle_deg": one.angle_deg,
        "gap_mm": one.gap_mm,
        "sewn_mm": facts.sewn_mm,
        "replaces_lines": one.lines_replaced,
        "replaces_starts": one.lines_replaced,
        "turns_inside_mm": facts.turns_inside_mm,
    }


def _seams(facts: SeamFacts) -> Report:
    fit = facts.fit
    return {
        "layer": facts.layer,
        "near_misses": [
            {"miss_mm": miss.miss_mm, "at_mm": list(miss.at_mm), "crossing": miss.crossing}
            for miss in facts.near_misses
        ],
        "best_fit": fit and {**asdict(fit), "good": fit.good, "project": facts.in_project},
    }


def _skew(facts: SkewFacts) -> Report:
    """How lines of the two leanings balance; ``draw_up_share`` is what the plan goes by."""
    return {
        **asdict(facts.forecast),
        "share": facts.forecast.share,
        "draw_up_share": facts.draw_up_share,
        "end_shift_mm": facts.end_shift_mm,
    }


def _checkpoints(marked: Sequence[tuple[str, Checkpoints]]) -> list[Report]:
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


def _guide_bar(facts: BarFacts) -> Report:
    """How a guide bar follows, row by row; the first row is marked."""
    return {
        "layer": facts.layer,
        "region": facts.region,
        "angle_deg": facts.angle_deg,
        "rows": facts.rows,
        "as_numbered": asdict(facts.as_numbered),
        "steps": [
            {
                "enters_mm": list(step.enters_mm),
                "leaves_mm": list(step.leaves_mm),
                "bar": None if step.setting_mm is None else "left",
                "setting_mm": step.setting_mm,
                "turn_before": step.turn_before,
                "in_throat_mm": step.in_throat_mm,
            }
            for step in facts.steps
        ],
    }


def _machine(machine: MachineParts) -> Report:
    """What the machine is given; lengths in mm, time in minutes."""
    return {
        "profile": machine.profile.title,
        "parts": [
            {
                "name": part.name,
                "centre_mm": list(part.field.centre),
                "turned": part.field.turned,
                "size_mm": [fact.width_mm, fact.height_mm],
                "stitches": fact.stitches,
                "starts": fact.starts,
                "starts_lower_bound": part.fewest,
                "sewing_min": fact.sewing_min,
            }
            for part, fact in zip(machine.parts, machine.facts, strict=True)
        ],
        "cuts": len(machine.plan.cuts),
        "division": _division(machine.plan.choice.taken),
        "runner_up": _runner_up(machine.plan.choice),
        "fewest_parts": machine.plan.choice.fewest,
        "divisions_tried": machine.plan.choice.tried,
        "worst_misplacement_mm": machine.worst.offset_mm if machine.worst else None,
    }


def _division(division: PartDivision) -> Report:
    """What a way of dividing costs, dearest first, and its setting; lengths in mm."""
    way, cost = division.way, division.cost
    return {
        **cost._asdict(),
        "starts": cost.starts if division.sewn else None,
        "overlap_mm": way.overlap_mm,
        "overrun_mm": way.overrun_mm,
        "crosswise": way.crosswise,
    }


def _runner_up(choice: Choice) -> Report | None:
    return None if choice.runner_up is None else _division(choice.runner_up)


def _warning(finding: Finding) -> dict[str, Any]:
    entry: Report = {"code": finding.code, "rank": finding.rank.value, "message": finding.text}
    if finding.at_mm is not None:
        entry["at_mm"] = list(finding.at_mm)
    return entry


def _round(content: Any) -> Any:
    """Floats to a thousandth (areas and shares too): finer is noise of the arithmetic."""
    if isinstance(content, float):
        return round(content, 4)
    if isinstance(content, dict):
        return {key: _round(entry) for key, entry in content.items()}
    if isinstance(content, list | tuple):
        return [_round(entry) for entry in content]
    return content
