"""report.json: the figures of a result under the keys that other programs rely on."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from quiltpath.checks import Finding, too_wide
from quiltpath.materials import as_report
from quiltpath.output.sewing_report import sewing_report
from quiltpath.result import Result
from quiltpath.version import __version__

Entry = Mapping[str, object]


def report_json(
    result: Result,
    files: Sequence[Entry],
    machine: Entry | None = None,
    paper: Sequence[Entry] = (),
    sewing: Entry | None = None,
    also: Entry | None = None,
) -> bytes:
    """The report as UTF-8 JSON; numbers are rounded so that a reader can compare them.

    ``machine`` tells of the parts that a machine sews, where the project names a machine;
    ``paper`` of the pages of each printed file; ``sewing`` is what :func:`sewing_report` says,
    where it is known already; ``also`` tells of what [also] asks for, under its keys.
    """
    told: dict[str, Any] = {"machine": machine} if machine else {}
    if paper:
        told["paper"] = list(paper)
    if also:
        told["also"] = also
    content = _rounded({**report(result, files, sewing), **told})
    return (json.dumps(content, indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def report(result: Result, files: Sequence[Entry], sewing: Entry | None = None) -> dict[str, Any]:
    """The report's content; lengths in mm, thread in m, time in minutes."""
    return {
        "title": result.project.title,
        "quiltpath_version": __version__,
        "runner": {
            "length_mm": result.runner.length_mm,
            "width_mm": result.runner.width_mm,
            "outline_area_mm2": float(result.runner.outline.area),
        },
        "stitching": _stitching(result),
        "thread": _thread(result),
        "time": _time(result),
        "gap": _gap(result),
        "sewing": sewing or sewing_report(result),
        "cutting": as_report(result.cutting),
        "warnings": [_warning(finding) for finding in result.findings],
        "files": list(files),
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
    return {"sewing_min": result.time.sewing_min, **asdict(result.time)}


def _gap(result: Result) -> dict[str, Any]:
    gaps, limit = result.gaps, result.gap_limit_mm
    first = gaps.widest[0] if gaps.widest else None
    return {
        "widest_mm": gaps.widest_mm,
        "at_mm": list(first.centre) if first else None,
        "limit_mm": limit,
        "within_limit": None if limit is None else not too_wide(gaps, limit),
        "places": [
            {"diameter_mm": gap.diameter_mm, "at_mm": list(gap.centre)} for gap in gaps.widest
        ],
        "line_gaps": [
            {"layer": layer, "distance_mm": gap.distance_mm, "at_mm": list(gap.at_mm)}
            for layer, gap in zip(result.lines.layers, result.line_gaps, strict=False)
            if gap is not None
        ],
    }


def _warning(finding: Finding) -> dict[str, Any]:
    entry: dict[str, Any] = {"code": finding.code, "message": finding.text}
    if finding.at_mm is not None:
        entry["at_mm"] = list(finding.at_mm)
    return entry


def _rounded(content: Any) -> Any:
    """Floats to a thousandth (areas and shares too): finer is noise of the arithmetic."""
    if isinstance(content, float):
        return round(content, 4)
    if isinstance(content, dict):
        return {key: _rounded(entry) for key, entry in content.items()}
    if isinstance(content, list | tuple):
        return [_rounded(entry) for entry in content]
    return content
