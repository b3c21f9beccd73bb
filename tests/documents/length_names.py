"""What each printed length is a length of, and in which state: by the words that stand about it.

Rules are the lines of ``length_rules.txt``: patterns, for one document where its name stands
before an ``@``. In a rule ``<state: thing>`` stands for a length and names it. The states are those
of the cloth, ``flat``, ``quilted``, ``washed``, ``cloth`` as bought, ``used`` for the runner's size
as it is asked for (quilted or washed, at the user's word), and ``tool`` for what is no length of
the runner: thread, stitches, paper, machines. ``{word}`` in a name is a group of the same rule, or
``{part}``, the part of the work that a sheet is for. A name that ends in ``*`` is given to many
lengths, each with a place of its own, such as the marks of one edge. ``~right``, ``~top`` and
``~minus`` make a distance from the far edge, or beyond the near one, a place; ``~least`` and
``~most`` are ends of a range.
"""

from __future__ import annotations

from pathlib import Path

RULES = (Path(__file__).parent / "length_rules.txt").read_text(encoding="utf-8")

REPORT = {
    "states.flat.length_mm": "flat: length",
    "states.flat.width_mm": "flat: width",
    "states.quilted.length_mm": "quilted: length",
    "states.quilted.width_mm": "quilted: width",
    "states.washed.length_mm": "washed: length",
    "states.washed.width_mm": "washed: width",
    "runner.length_mm": "used: length",
    "runner.width_mm": "used: width",
    "cutting.top.length_mm": "flat: length",
    "cutting.top.width_mm": "flat: width",
    "cutting.top.by_swatches.length_mm[0]": "flat: length",
    "cutting.top.by_swatches.length_mm[1]": "flat: shortest",
    "cutting.top.by_swatches.length_mm[2]": "flat: longest",
    "cutting.top.by_swatches.width_mm[0]": "flat: width",
    "cutting.top.by_swatches.width_mm[1]": "flat: narrowest",
    "cutting.top.by_swatches.width_mm[2]": "flat: widest",
    "cutting.fit.drop_mm": "used: drop",
    "cutting.fit.table_mm[0]": "tool: table's length",
    "cutting.fit.table_mm[1]": "tool: table's width",
    "stitching.stitched_mm": "tool: sewn",
    "stitching.stitch_length.set_mm": "tool: stitch",
    "thread.needle_m": "tool: needle thread",
    "thread.bobbin_m": "tool: bobbin thread",
    "thread.model.bobbin_m": "tool: a bobbin holds",
    "gap.widest_mm": "flat: widest gap",
    "gap.limit_mm": "flat: wadding's limit",
    "cutting.backing.length_mm": "flat: Backing, length",
    "cutting.backing.width_mm": "flat: Backing, width",
    "cutting.wadding.length_mm": "flat: Wadding, length",
    "cutting.wadding.width_mm": "flat: Wadding, width",
    "cutting.basting.pins_apart_mm[0]": "flat: pins apart along",
    "cutting.basting.pins_apart_mm[1]": "flat: pins apart across",
    "cutting.binding.strip_width_mm": "quilted: binding strip",
    "cutting.binding.total_mm": "quilted: binding needed",
    "cutting.binding.spare_mm": "quilted: binding over",
    "cutting.binding.perimeter_mm": "quilted: edge",
    "cutting.binding.seam_mm": "quilted: binding's seam",
    "cutting.binding.clearance_mm": "quilted: joins keep off corners",
    "cutting.layouts[].length_mm": "cloth: {0}, used",
    "cutting.layouts[].width_mm": "cloth: {0}, wide",
    "cutting.shopping[].need_mm": "cloth: {0}, bought",
    "cutting.shopping[].width_mm": "cloth: {0}, wide",
    "cutting.shopping[].allowance_mm": "cloth: {0}, allowance",
    "machine.parts[].size_mm[0]": "flat: {0} along",
    "machine.parts[].size_mm[1]": "flat: {0} across",
    "machine.parts[].centre_mm[0]": "flat: {0} middle along",
    "machine.parts[].centre_mm[1]": "flat: {0} middle across",
    "machine.division.overlap_mm": "flat: parts overlap",
    "machine.runner_up.overlap_mm": "flat: parts of the next best overlap",
    "machine.worst_misplacement_mm": "flat: a join misses",
    "sewing.checkpoints[].at_mm[0]": "flat: {0} along",
    "sewing.checkpoints[].at_mm[1]": "flat: {0} across",
    "sewing.checkpoints[].sewn_before_mm": "tool: {part} sewn before {number}",
    "sewing.one_line[].gap_mm": "flat: one line's gap",
    "sewing.one_line[].sewn_mm": "tool: one line sewn",
    "sewing.one_line[].turns_inside_mm": "flat: one line turns inside",
    "sewing.seams[].best_fit.gap_mm": "flat: {0} fitted apart",
    "sewing.seams[].best_fit.offset_mm": "flat: {0} fitted from the corner",
    "distortion.worst_mm": "quilted: uneven by",
    "cutting.binding.mitres[].stop_mm": "quilted: stop at {0} degrees",
    "cutting.layouts[].pieces[].on_length_mm": "cloth: {1}, piece along",
    "cutting.layouts[].pieces[].on_width_mm": "cloth: {1}, piece across",
    "cutting.shopping[].buy_m": "cloth: {0}, sold",
    "cutting.top.pieced.size_mm[0]": "flat: length",
    "cutting.top.pieced.size_mm[1]": "flat: width",
    "cutting.top.pieced.border.middle_mm[0]": "flat: middle's length",
    "cutting.top.pieced.border.middle_mm[1]": "flat: middle's width",
    "cutting.top.cuts[].along_mm": "flat: piece {0} along",
    "cutting.top.cuts[].across_mm": "flat: piece {0} across",
    "also.ask.longest_mm": "used: longest",
    "also.ask.longest_bound_mm": "quilted: longest bound",
    "also.ask.closest.thread_m": "tool: thread at the closest spacing",
    "also.ask.thread_m": "tool: thread at hand",
    "also.ask.binding_mm": "tool: binding cloth at hand",
    "also.look.distance_mm": "tool: far",
    "also.look.cloths[].vanish_m": "tool: {0} seen to",
    "also.nest.backing_mm[0]": "flat: load's backing across",
    "also.nest.backing_mm[1]": "flat: load's backing along",
    "also.sizes.each[].length_mm": "used: {0} length",
    "also.sizes.each[].width_mm": "used: {0} width",
    "also.sizes.each[].widest_gap_mm": "flat: {0} gap",
    "also.sizes.each[].line_gap_mm": "flat: {0} line gap",
    "sewing.skew.pull_mm": "flat: one edge shifts by*",
    "sewing.skew.partner_mm": "tool: line that balances",
    "relief.loft_mm": "flat: loft",
    "relief.puff.middle_mm": "tool: puff",
}
"""Numbers of the report that are printed elsewhere too, with the names they go by there. A
``[name]`` in a key stands in the name as ``{name}``."""

REPORT_ALONE = """
also.look.cloths[].merge_m
also.look.gap_mm
also.nest.at_least_mm
also.nest.runners[].box_mm[]
cutting.backing.cloth_mm
cutting.backing.cloth_width_mm
cutting.backing.join_mm
cutting.backing.pieces[].on_length_mm
cutting.backing.pieces[].on_width_mm
cutting.backing.seams_mm[]
cutting.basting.tape_mm
cutting.binding.apart_mm
cutting.binding.joins_mm[]
cutting.binding.start_at_mm[]
cutting.binding.start_mm
cutting.binding.strips_mm[]
cutting.binding.turn_under_mm
cutting.fit.mat_clearance_mm
cutting.layouts[].pieces[].across_mm
cutting.layouts[].pieces[].along_mm
cutting.panels[].drop_mm
cutting.panels[].length_mm
cutting.panels[].trims[].offset_mm
cutting.panels[].width_mm
cutting.top.pieced.units[].size_mm[]
cutting.wadding.cloth_mm
cutting.wadding.cloth_width_mm
cutting.wadding.join_mm
cutting.wadding.pieces[].on_length_mm
cutting.wadding.pieces[].on_width_mm
distortion.lengths.at_mm[]
distortion.lengths.bows_out_mm.left end
distortion.lengths.bows_out_mm.right end
distortion.lengths.more_mm[]
distortion.lengths.spread_mm
distortion.off_mm
distortion.widths.at_mm[]
distortion.widths.bows_out_mm.lower edge
distortion.widths.bows_out_mm.upper edge
distortion.widths.more_mm[]
distortion.widths.spread_mm
gap.at_mm[]
gap.in_use_mm
gap.line_gaps[].at_mm[]
gap.line_gaps[].distance_mm
gap.places[].at_mm[]
gap.places[].diameter_mm
paper[].taping[].each_mm
paper[].taping[].typical_mm
paper[].taping[].worst_mm
relief.puff.high_mm
relief.puff.low_mm
sewing.guide_bar[].steps[].enters_mm[]
sewing.guide_bar[].steps[].in_throat_mm
sewing.guide_bar[].steps[].leaves_mm[]
sewing.guide_bar[].steps[].setting_mm
sewing.one_line[].cell_mm[]
sewing.seams[].best_fit.worst_mm
sewing.seams[].near_misses[].at_mm[]
sewing.seams[].near_misses[].miss_mm
sewing.skew.by_turns_mm
sewing.skew.end_shift_mm
sewing.skew.peak_mm
sewing.skew.sewn_mm
stitching.forced_short.each[].at_mm[]
stitching.forced_short.each[].length_mm
stitching.forced_short.each[].stitch_mm
stitching.stitch_length.high_mm
stitching.stitch_length.low_mm
stitching.stitch_length.max_mm
stitching.stitch_length.median_mm
stitching.stitch_length.min_mm
stitching.travel_mm
thread.model.diameter_mm
thread.model.tail_mm
thread.model.thickness_mm
thread.tails_m
warnings[].at_mm[]
"""
"""Numbers of the report that no page prints: places, shares of the whole, what checks found."""

UNNAMED = """
marking.pdf: # <>
marking.pdf: <>
marking.pdf:  # # in from the left end, <> from the left end a
report.json: also.ask.closest_spacing
report.json: also.ask.words[][]
report.json: also.look.words[][]
report.json: also.sizes.each[].size
report.json: distortion.how
report.json: relief.stiffness.how
report.json: sewing.seams[].best_fit.project
report.json: warnings[].message
"""
"""Lengths that no rule names, by the words about them, or by their key where the report alone says
them. A row that is no longer printed has to go; a new one is a rule that is missing."""
