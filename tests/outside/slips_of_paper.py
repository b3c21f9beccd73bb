"""Faults that somebody could make in cloth, binding, papers and the report."""

from __future__ import annotations

from tests.outside.outside_slip import slips_in

PAPER = (
    *slips_in(
        "project/materials_sections",
        (
            "a double binding without its bulk",
            "return 2 * (3 * self.seam_mm + self.bulk + self.cover)",
            "return 2 * (3 * self.seam_mm + self.cover)",
        ),
        (
            "a join of a binding takes nothing",
            "return self.width_mm if self.join_loss is None else self.join_loss",
            "return 0.0",
        ),
        asked="binding",
    ),
    *slips_in(
        "materials/binding_plan",
        (
            "strips of a binding cut two seams wider",
            "width = self.setting.width_mm\n        strips",
            "width = self.setting.width_mm + 2 * self.setting.seam_mm\n        strips",
        ),
        asked="binding",
    ),
    *slips_in(
        "materials/binding_joins",
        (
            "a binding begun at the corner",
            "return float(starts[int(np.argmin(np.round(far, 6)))] % edge)",
            "return 0.0 * edge",
        ),
        asked="binding",
    ),
    *slips_in(
        "materials/draw_up",
        (
            "what sparse quilting draws up counted twice",
            "slope * (density_m_per_m2 - SPARSE_M_PER_M2)",
            "slope * density_m_per_m2",
        ),
        asked="cloth",
    ),
    *slips_in(
        "materials/piecing",
        (
            "cloth for the pieces of one width only",
            "cloth_mm = max(along) if on_length else len(along) * cross",
            "cloth_mm = max(along) if on_length else cross",
        ),
        asked="cloth",
    ),
    *slips_in(
        "materials/strip_packing",
        (
            "the first piece left out of what lies on a cloth",
            "p.piece.on_width_mm for p in self.placed)",
            "p.piece.on_width_mm for p in self.placed[1:])",
        ),
        asked="cloth",
    ),
    *slips_in(
        "materials/pieced_top",
        ("of each size a piece too many", "CutCount(kind, 0, key[1]", "CutCount(kind, 1, key[1]"),
        (
            "a seam at the outer edge too",
            "low = first > 0 or self.sewn_outside",
            "low = True",
        ),
        asked="cloth",
    ),
    *slips_in(
        "drawing/pdf",
        (
            "a page cut off as if points were millimetres",
            "    if page.title:\n        canvas.bookmarkPage(key)",
            "    canvas.setCropBox((0, 0, page.width_mm, page.height_mm))\n"
            "    if page.title:\n        canvas.bookmarkPage(key)",
        ),
        asked="paper",
    ),
    *slips_in(
        "drawing/svg",
        (
            "a drawing whose size is told in pixels",
            'size=(f"{width}mm", f"{height}mm")',
            'size=(f"{width}px", f"{height}px")',
        ),
        asked="paper",
    ),
    *slips_in(
        "drawing/png",
        (
            "a picture always twice as long as high",
            "max(1, round(page.height_mm * scale))",
            "max(1, round(page.width_mm / 2 * scale))",
        ),
        asked="paper",
    ),
    *slips_in(
        "marking/paper_sizes",
        ("A2 a millimetre short", '"A2": (420.0, 594.0)', '"A2": (420.0, 593.0)'),
        ("A0 a centimetre short", '"A0": (841.0, 1189.0)', '"A0": (841.0, 1179.0)'),
        ("Letter as long as A4", '"Letter": (8.5 * MM_PER_INCH, 11 *', '"Letter": (215.9, 11.7 *'),
        ("Tabloid an inch short", '"Tabloid": (11 * MM_PER_INCH, 17', '"Tabloid": (279.4, 16'),
        asked="paper",
    ),
    *slips_in(
        "marking/sheet",
        (
            "a check square a millimetre small",
            "return square(4.0, 4.0, BAR_MM, CHECK),",
            "return square(4.0, 4.0, BAR_MM - 1.0, CHECK),",
        ),
        asked="paper",
    ),
    *slips_in(
        "marking/template_piece",
        (
            "a template a hundredth too small",
            "items.append(many(shown(lines, part), Style(INK, 0.4, dashes)))",
            "items.append(many(shapely.transform(shown(lines, part), lambda p: 0.99 * p),"
            " Style(INK, 0.4, dashes)))",
        ),
        asked="paper",
    ),
    *slips_in(
        "marking/projector",
        (
            "a projector's picture a hundredth too small",
            "        shift_mm=shift,\n    )\n    page",
            "        shift_mm=shift,\n        scale=0.99,\n    )\n    page",
        ),
        asked="paper",
    ),
    *slips_in(
        "marking/stencil",
        (
            "slots on one side of their line",
            'slot = piece.buffer(SLOT_MM / 2, cap_style="round")',
            "slot = piece.buffer(SLOT_MM, single_sided=True)",
        ),
        asked="paper",
    ),
    *slips_in(
        "marking/page_tiling",
        (
            "what pages share taken off twice",
            "total[i + 2], room[i] - overlap, overlap)",
            "total[i + 2], room[i] - 2 * overlap, overlap)",
        ),
        asked="paper",
    ),
    *slips_in(
        "documents/guide",
        (
            "a guide a hundredth too large",
            'cloth = Group("runner", groups, shift_mm=shift)',
            'cloth = Group("runner", groups, shift_mm=shift, scale=1.01)',
        ),
        asked="paper",
    ),
    *slips_in(
        "documents/cutting_report",
        (
            "strips told without the last",
            '"strips_mm": list(joins.strips_mm)',
            '"strips_mm": list(joins.strips_mm)[:-1]',
        ),
        (
            "joins told 150 mm too soon",
            '"joins_mm": list(joins.joins_mm)',
            '"joins_mm": [at - 150 for at in joins.joins_mm]',
        ),
        (
            "joins told without the last",
            '"joins_mm": list(joins.joins_mm)',
            '"joins_mm": list(joins.joins_mm)[:-1]',
        ),
        (
            "the edge of the binding told without a strip's width",
            '"perimeter_mm": binding.edge.length_mm',
            '"perimeter_mm": binding.edge.length_mm - 2.0',
        ),
        asked="binding sizes",
    ),
    *slips_in(
        "documents/report",
        (
            "washed and quilted told for each other",
            '("quilted", states.quilted),\n            ("washed", states.washed),',
            '("quilted", states.washed),\n            ("washed", states.quilted),',
        ),
        (
            "the area of the flat top told",
            "float(result.runner.outline.area) * result.states.area_left_in_use",
            "float(result.runner.outline.area)",
        ),
        (
            "the area of the box round the runner told",
            "float(result.runner.outline.area) *",
            "float(result.runner.outline.envelope.area) *",
        ),
        (
            "a wide place told by its height, then its length",
            '"at_mm": list(gap.centre)}',
            '"at_mm": list(gap.centre)[::-1]}',
        ),
        (
            "needle points told as stitches",
            '"stitch_count": stitches.stitch_count,\n        "stitched_mm"',
            '"stitch_count": len(stitches),\n        "stitched_mm"',
        ),
        (
            "the way without thread told as sewn",
            '"stitched_mm": stitches.stitched_mm,',
            '"stitched_mm": stitches.stitched_mm + stitches.travel_mm,',
        ),
        (
            "half of the way without thread told",
            '"travel_mm": stitches.travel_mm,',
            '"travel_mm": stitches.travel_mm / 2,',
        ),
        asked="sizes gap thread order files",
    ),
    *slips_in(
        "documents/report",
        (
            "a run too many told",
            '"runs": len(runs),',
            '"runs": len(runs) + 1,',
        ),
        asked="files",
    ),
)
