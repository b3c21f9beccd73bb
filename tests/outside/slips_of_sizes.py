"""Faults that somebody could make in sizes, binding, cloth and thread, each noticed by one row."""

from __future__ import annotations

from tests.outside.outside_slip import slips_in

SIZES = (
    *slips_in(
        "project/runner_sections",
        (
            "a drop longer than is usual taken for the usual one",
            'drop = parse_length(table["drop"], units) if "drop" in table else usual',
            'drop = min(parse_length(table["drop"], units), usual) if "drop" in table else usual',
        ),
        asked="sizes",
    ),
    *slips_in(
        "geometry/named_outlines",
        (
            "corners cut off at 45 degrees on a square alone",
            "(length, cut), (length, width - cut),",
            "(length, cut * width / length), (length, width - cut),",
        ),
        asked="sizes binding",
    ),
    *slips_in(
        "runner/outlines",
        (
            "a notch in a traced outline filled up",
            "_normalise(Polygon(section.outline),",
            "_normalise(Polygon(section.outline).convex_hull,",
        ),
        asked="sizes gap paper",
    ),
    *slips_in(
        "result/computing",
        (
            "a top drawn as if it were never washed",
            "    runner = reuse.runner(project, kept)\n    return DrawingStep(",
            '    runner = reuse.runner(project, states.kept("quilted"))\n    return DrawingStep(',
        ),
        asked="sizes cloth binding paper",
    ),
    *slips_in(
        "materials/binding_plan",
        (
            "joins of a binding kept clear of no corner",
            "corners_mm=tuple(corner.along_mm for corner in edge.corners)",
            "corners_mm=()",
        ),
        asked="binding",
    ),
    *slips_in(
        "documents/cutting_report",
        (
            "the cloth of one width told for that of all",
            '"cloth_mm": layer.cloth_mm,',
            '"cloth_mm": max(piece.on_length_mm for piece in layer.pieces),',
        ),
        asked="cloth",
    ),
    *slips_in(
        "materials/pieced_top",
        (
            "rows of a pieced top cut with a seam on one side",
            "high = rows.cut_mm(j, j)",
            "high = rows.cut_mm(j, j) - rows.seam_mm",
        ),
        asked="cloth",
    ),
    *slips_in(
        "materials/draw_up",
        (
            "dense quilting that draws up too little",
            "DENSE_M_PER_M2, DENSE_SHARE = 80.0, 0.03",
            "DENSE_M_PER_M2, DENSE_SHARE = 100.0, 0.03",
        ),
        asked="cloth sizes",
    ),
    *slips_in(
        "checks/puff",
        (
            "a wadding without a name whose width is in metres",
            '"wadding not named", 4.0, 40.0',
            '"wadding not named", 4.0, 0.04',
        ),
        asked="cloth",
    ),
    *slips_in(
        "project/sewing_sections",
        (
            "layers without a thickness unless it is told",
            "thickness: Length = 1.0",
            "thickness: Length = 1e-9",
        ),
        asked="thread",
    ),
    *slips_in(
        "documents/report",
        (
            "bobbins told without the first",
            '"bobbins": thread.bobbins,',
            '"bobbins": max(thread.bobbins - 1, 0),',
        ),
        (
            "minutes of all that hands do told for corners",
            '{"sewing_min": time.sewing_min, **asdict(time)}',
            '{"sewing_min": time.sewing_min, **asdict(time), "pivots_min": time.hand_min}',
        ),
        asked="thread",
    ),
)
