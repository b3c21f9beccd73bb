"""The ``cutting`` part of report.json: plain numbers under stable keys, lengths in mm."""

from __future__ import annotations

import math
from typing import Any

from quiltpath.materials import CuttingPlan
from quiltpath.materials.basting import Basting
from quiltpath.materials.binding_plan import BindingPlan
from quiltpath.materials.cutting_plan import OffSquare
from quiltpath.materials.pieced_top import PiecedTop
from quiltpath.materials.piecing import Piecing
from quiltpath.materials.shopping import ShoppingItem
from quiltpath.materials.strip_packing import ClothLayout
from quiltpath.runner.panels import Fit, PanelChoice

Report = dict[str, Any]


def cutting_report(plan: CuttingPlan) -> Report:
    """``backing``, ``wadding``, ``binding`` and ``shopping`` for other programs, and more."""
    return {
        "copies": plan.copies,
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
        "washing_share": plan.draw_up.washing_share,
        "by_swatches": _by_swatches(plan),
        "squared_mm": [squared.length_mm, squared.width_mm] if squared else None,
        "cuts": [
            {
                "kind": cut.kind.value,
                "letter": cut.letter,
                "count": cut.count,
                "along_mm": cut.along_mm,
                "across_mm": cut.across_mm,
            }
            for cut in plan.top_cuts
        ],
        "pieced": _pieced(plan.pieced) if plan.pieced else None,
    }


def _pieced(top: PiecedTop) -> Report:
    """The order of piecing: rows or columns by letters, and what each must measure."""
    return {
        "by": top.by,
        "size_mm": list(top.size_mm),
        "units": [
            {
                "numbers": list(u.numbers),
                "letters": list(u.letters),
                "size_mm": [u.along_mm, u.across_mm],
            }
            for u in top.units
        ],
        "border": None
        if top.border is None
        else {
            "corners": top.border.corners,
            "middle_mm": list(top.border.middle_mm),
            "sides": top.border.sides.letter,
            "ends": top.border.ends.letter,
        },
    }


def _by_swatches(plan: CuttingPlan) -> Report | None:
    """Size to cut as the user's own swatches say: likely, least and greatest."""
    states = plan.states
    if states.by != "swatches":
        return None
    low, high = states.flat_between
    return {
        "length_mm": [states.flat.length_mm, low.length_mm, high.length_mm],
        "width_mm": [states.flat.width_mm, low.width_mm, high.width_mm],
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
        "method": basting.method,
        "pins": pins.count if pins else None,
        "pins_apart_mm": [pins.apart_along_mm, pins.apart_across_mm] if pins else None,
        "sections_mm": list(basting.sections_mm),
        "tape_mm": basting.tape_mm,
        "herringbone_stitches": stitches.stitches if stitches else None,
    }


def _finite(radius_mm: float) -> float | None:
    """A radius, or None where the edge is straight."""
    return radius_mm if math.isfinite(radius_mm) else None


def _binding(binding: BindingPlan) -> Report:
    joins = binding.joins
    return {
        "fold": binding.setting.fold,
        "seen_from": binding.setting.first_to,
        "grain": binding.setting.cut,
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
        "closing_radius_mm": _finite(binding.closing_radius_mm),
        "join_radius_mm": _finite(binding.join_radius_mm),
        "edge_radius_mm": _finite(binding.edge.bends.tightest_mm),
        "needs_bias": binding.needs_bias,
        "spare_mm": binding.spare_mm,
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
        "share": layout.share or None,
        "width_mm": layout.cloth.usable_mm,
        "length_mm": layout.length_mm,
        "waste_share": layout.waste_share,
        "pieces": [
            {
                "name": p.piece.name,
                "pieces": p.piece.holds,
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
        entry |= {"allowance_mm": item.allowance_mm}
    else:
        entry |= {"buy": item.buy_packs}
    return entry | {"note": item.note}
