"""report.json: the figures of a result under the keys that other programs rely on.

Plain numbers under stable keys: lengths in mm, thread in m, times in minutes, angles in degrees.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from quiltpath.checks import too_wide
from quiltpath.checks.lines_to_count import ToCount, checklist
from quiltpath.findings import Finding
from quiltpath.materials import CuttingPlan
from quiltpath.materials.basting import Basting
from quiltpath.materials.binding_plan import BindingPlan
from quiltpath.materials.cutting_plan import OffSquare
from quiltpath.materials.piecing import Piecing
from quiltpath.materials.shopping import ShoppingItem
from quiltpath.materials.strip_packing import ClothLayout
from quiltpath.result.sewing_facts import _checkpoints, _guide_bar, _one_line_layers, _seams, _skew
from quiltpath.result.values import Result
from quiltpath.runner.panels import Fit, PanelChoice
from quiltpath.stitching.checkpoints import Checkpoints, checkpoints
from quiltpath.version import __version__

Entry = Mapping[str, object]

Report = dict[str, Any]


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


def sewing_report(
    result: Result,
    to_count: Sequence[ToCount] = (),
    in_parts: Sequence[tuple[str, Checkpoints]] = (),
) -> dict[str, Any]:
    """The content of the key ``sewing``; lengths in mm, angles in degrees.

    ``to_count`` are the parts that a machine sews, where it sews several, and ``in_parts`` the
    checkpoints of each by its name.
    """
    return {
        "one_line": _one_line_layers(result),
        "seams": _seams(result),
        "skew": _skew(result),
        "checkpoints": _checkpoints(in_parts or (("", checkpoints(result.stitches)),)),
        "guide_bar": _guide_bar(result),
        "to_count": [asdict(place) for place in to_count or checklist(result.runner, result.lines)],
    }


def as_report(plan: CuttingPlan) -> Report:
    """``backing``, ``wadding``, ``binding`` and ``shopping`` for other programs, and more."""
    return {
        "fit": _fit(plan.fit) if plan.fit else None,
        "panels": [_panels(choice) for choice in plan.panel_choices],
        "off_square": _off_square(plan.off_square) if plan.off_square else None,
        "top": _top(plan),
        "backing": _layer(plan.layers.backing),
        "wadding": _layer(plan.layers.wadding),
        "basting": _basting(plan.basting),
        "binding": _binding(plan.binding),
        "layouts": [_layout(layout) for layout in plan.layouts],
        "shopping": [_item(item) for item in plan.shopping],
    }


def _fit(fit: Fit) -> Report:
    return {
        "table_mm": [fit.table.length_mm, fit.table.width_mm],
        "drop_mm": fit.drop_mm,
        "width_share": fit.width_share,
        "mat_clearance_mm": fit.mat_clearance_mm if fit.table.place_mat_mm else None,
    }


def _panels(choice: PanelChoice) -> Report:
    return {
        "panel": choice.panel.name,
        "way": choice.join.value,
        "length_mm": choice.length_mm,
        "width_mm": choice.width_mm,
        "drop_mm": choice.drop_mm,
        "reaches": choice.reaches,
        "waste_share": choice.waste_share,
        "fault": choice.fault,
        "trims": [
            {"panel": t.panel, "where": t.where, "from": t.from_line, "offset_mm": t.offset_mm}
            for t in choice.trims
        ],
    }


def _off_square(found: OffSquare) -> Report:
    skew, rectangle = found.skew, found.rectangle
    return {
        "lean_deg": skew.skew_deg,
        "end_shift_mm": skew.end_shift_mm,
        "out_of_square_deg": skew.out_of_square_deg,
        "length_taper_mm": skew.length_taper_mm,
        "width_taper_mm": skew.width_taper_mm,
        "rectangle_mm": [rectangle.length_mm, rectangle.width_mm],
        "rectangle_corners_mm": rectangle.corners.tolist(),
    }


def _top(plan: CuttingPlan) -> Report:
    squared = plan.squared
    return {
        "length_mm": plan.top.cut_length_mm,
        "width_mm": plan.top.cut_width_mm,
        "quilting_share": plan.quilting_share,
        "washing_share": plan.setting.draw_up.washing_share,
        "by_swatches": _by_swatches(plan),
        "squared_mm": [squared.length_mm, squared.width_mm] if squared else None,
        "cuts": [
            {
                "kind": cut.kind.value,
                "count": cut.count,
                "along_mm": cut.along_mm,
                "across_mm": cut.across_mm,
            }
            for cut in plan.top_cuts
        ],
    }


def _by_swatches(plan: CuttingPlan) -> Report | None:
    """Size to cut as the user's own swatches say: likely, least and greatest."""
    if plan.cut_range_mm is None:
        return None
    length, width = plan.cut_range_mm
    return {
        "length_mm": [length.likely, length.low, length.high],
        "width_mm": [width.likely, width.low, width.high],
    }


def _layer(layer: Piecing) -> Report:
    return {
        "length_mm": layer.size.length_mm,
        "width_mm": layer.size.width_mm,
        "cloth": layer.cloth.name,
        "cloth_width_mm": layer.cloth.usable_mm,
        "cloth_mm": layer.cloth_mm,
        "widths": layer.widths,
        "grain_along_runner": layer.grain_along_runner,
        "seams_across": "length" if layer.axis == 0 else "width",
        "seams_mm": list(layer.seams_mm),
        "join_mm": layer.join_mm,
        "pieces": [
            {"name": p.name, "on_length_mm": p.on_length_mm, "on_width_mm": p.on_width_mm}
            for p in layer.pieces
        ],
        "near": list(layer.near),
    }


def _basting(basting: Basting) -> Report:
    pins, stitches = basting.pins, basting.stitches
    return {
        "method": basting.setting.method,
        "pins": pins.count if pins else None,
        "pins_apart_mm": [pins.apart_along_mm, pins.apart_across_mm] if pins else None,
        "sections_mm": list(basting.sections_mm),
        "tape_mm": basting.tape_mm,
        "herringbone_stitches": stitches.stitches if stitches else None,
    }


def _binding(binding: BindingPlan) -> Report:
    joins = binding.joins
    return {
        "fold": binding.setting.fold,
        "seen_from": binding.setting.first_to,
        "grain": binding.setting.grain,
        "strip_width_mm": binding.setting.width_mm,
        "seam_mm": binding.setting.seam_mm,
        "turn_under_mm": binding.setting.turn_under_mm,
        "perimeter_mm": binding.edge.length_mm,
        "total_mm": binding.needed.total_mm,
        "strips": len(binding.strips.lengths_mm),
        "strips_mm": list(joins.strips_mm),
        "bias_mm": list(binding.bias_mm) if binding.bias_mm else None,
        "start_mm": joins.start_mm,
        "start_at_mm": list(binding.edge.point_at(joins.start_mm)),
        "joins_mm": list(joins.joins_mm),
        "clearance_mm": joins.clearance_mm,
        "apart_mm": joins.apart_mm,
        "keeps_clear": binding.keeps_clear,
        "mitres": [
            {"angle_deg": m.angle_deg, "corners": m.corners, "stop_mm": m.stop_mm}
            for m in binding.mitres
        ],
    }


def _layout(layout: ClothLayout) -> Report:
    return {
        "cloth": layout.cloth.name,
        "width_mm": layout.cloth.usable_mm,
        "length_mm": layout.length_mm,
        "waste_share": layout.waste_share,
        "pieces": [
            {
                "name": p.piece.name,
                "across_mm": p.across_mm,
                "along_mm": p.along_mm,
                "on_width_mm": p.piece.on_width_mm,
                "on_length_mm": p.piece.on_length_mm,
            }
            for p in layout.placed
        ],
    }


def _item(item: ShoppingItem) -> Report:
    entry: Report = {"name": item.name, "unit": item.unit, "need": item.need, "have": item.have}
    if item.is_sold_by_length:
        entry |= {"buy_yd": item.buy_yd, "buy_m": item.buy_m, "width_mm": item.width_mm}
    else:
        entry |= {"buy": item.buy_packs}
    return entry | {"note": item.note}


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
