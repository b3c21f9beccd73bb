"""Faults that somebody could make, each in one place: the first ones were put in by a stranger."""

from __future__ import annotations

from tests.outside.outside_slip import slips_in
from tests.outside.slips_of_drawing import DRAWING
from tests.outside.slips_of_files import FILES
from tests.outside.slips_of_order import ORDER
from tests.outside.slips_of_paper import PAPER
from tests.outside.slips_of_sewing import SEWING
from tests.outside.slips_of_sizes import SIZES

SLIPS = (
    *slips_in(
        "runner/states",
        (
            "shares taken off the size that is wished, not added to it",
            "Size(self.wished.length_mm / along, self.wished.width_mm / across)",
            "Size(self.wished.length_mm * along, self.wished.width_mm * across)",
        ),
    ),
    *slips_in(
        "patterns/finishing",
        (
            "a clearance 3 mm too small",
            "reach = clearance_mm + COARSER_MM",
            "reach = clearance_mm - 3.0 + COARSER_MM",
        ),
    ),
    *slips_in(
        "stitching/thread_and_time",
        ("starts left out of the time", "starts_and_stops_min=runs *", "starts_and_stops_min=0 *"),
        ("corners left out of the time", "pivots_min=pivots *", "pivots_min=0 *"),
        ("a bobbin change for the first bobbin too", "max(bobbins - 1, 0)", "max(bobbins, 0)"),
        (
            "one stitch in a hundred left out of the time",
            "stitching_min=stitch_count /",
            "stitching_min=0.99 * stitch_count /",
        ),
        (
            "bobbins rounded down",
            "bobbins=math.ceil(bobbin_mm / MM_PER_M / setting.bobbin_m - 1e-9)",
            "bobbins=math.floor(bobbin_mm / MM_PER_M / setting.bobbin_m)",
        ),
        ("tails of one thread only", "tails_m=2 * tails_mm", "tails_m=tails_mm"),
        (
            "wastage left out of the needle thread",
            "needle_mm = (setting.needle_mm(seam_mm, count) + tails_mm) * with_waste",
            "needle_mm = setting.needle_mm(seam_mm, count) + tails_mm",
        ),
        (
            "a measured factor of thread halved",
            "return seam_mm * factor",
            "return seam_mm * factor / 2",
        ),
        (
            "cloth left out of the thread",
            "return seam_mm + stitch_count * (self.thickness_mm + self.diameter_mm)",
            "return seam_mm * 1.25",
        ),
    ),
    *slips_in(
        "materials/binding",
        (
            "a binding without its mitres and ends to handle",
            "return StripLength(edge_mm, setting.width_mm, mitres, setting.open)",
            "return StripLength(edge_mm, setting.width_mm, 0 * mitres, 0.0)",
        ),
        ("a mitre of a binding takes nothing", "mitres = corners * setting.mitre", "mitres = 0.0"),
        (
            "an allowance of a binding counted twice",
            "return StripLength(edge_mm, 0.0, 0.0, setting.allowance)",
            "return StripLength(edge_mm, 0.0, 0.0, 2 * setting.allowance)",
        ),
        (
            "a bias square a quarter too small",
            "side = both + math.sqrt(both**2 + total_mm * width_mm)",
            "side = 0.75 * (both + math.sqrt(both**2 + total_mm * width_mm))",
        ),
        (
            "a curve never asks for bias",
            "return edge.is_curved and tight and setting.cut",
            "return False and setting.cut",
        ),
    ),
    *slips_in(
        "documents/cutting_report",
        (
            "the closing join told 200 mm farther on",
            '"start_mm": joins.start_mm,',
            '"start_mm": joins.start_mm + 200,',
        ),
        (
            "the closing join's point 200 mm farther on",
            "binding.edge.point_at(joins.start_mm)",
            "binding.edge.point_at(joins.start_mm + 200)",
        ),
    ),
    *slips_in(
        "routing/local_search",
        (
            "more than eight runs ordered by the nearest alone",
            "    path.improve(range(2 * len(ends)))\n    if",
            "    return nearest_neighbour_tour(\n"
            "        ends.reshape(-1, 2), neighbour_lists(ends.reshape(-1, 2)), 0\n    )\n    if",
        ),
    ),
    *slips_in(
        "materials/cutting_plan",
        (
            "a panel's diagonals swapped where its lean is told",
            "*sheet.diagonals",
            "*sheet.diagonals[::-1]",
        ),
    ),
    *slips_in(
        "runner/build",
        (
            "a panel's diagonals swapped where lines follow the print",
            "diagonals=section.diagonals,",
            "diagonals=section.diagonals and section.diagonals[::-1],",
        ),
    ),
    *slips_in(
        "marking/sheet",
        (
            "all that a page shows 2 mm to the right on it",
            'Group("window", sheet.groups, shift_mm=(x0, y0)',
            'Group("window", sheet.groups, shift_mm=(x0 + 2, y0)',
        ),
    ),
    *slips_in(
        "marking/taping",
        (
            "every page's part 2 mm off the one before",
            "(part,), shift_mm=(-x0, -y0)",
            "(part,), shift_mm=(2 * column - x0, -y0)",
        ),
    ),
    *slips_in(
        "materials/layers",
        (
            "half of what the backing is larger by",
            "end, side = setting.extra_end_mm, setting.extra_side_mm",
            "end, side = setting.extra_end_mm / 2, setting.extra_side_mm / 2",
        ),
        (
            "a seam of the backing takes nothing",
            "return replace(setting, seam_mm=section.seam, rollers=wound)",
            "return replace(setting, rollers=wound)",
        ),
    ),
    *slips_in(
        "documents/report",
        (
            "the widest gap told by half",
            '"widest_mm": gaps.widest_mm,',
            '"widest_mm": gaps.widest_mm / 2,',
        ),
    ),
    *slips_in(
        "geometry/named_outlines",
        ("an oval drawn too thin", "b + b * np.sin(turn)", "b + 0.99 * b * np.sin(turn)"),
        ("points half as deep", "depth = width / 2 / math.tan", "depth = width / 4 / math.tan"),
        (
            "an octagon cut too little",
            "min(length, width) / (2 + math.sqrt(2))",
            "min(length, width) / 3.5",
        ),
        (
            "corners cut off twice as far",
            "cut = width / 4 if cut is None else cut",
            "cut = width / 4 if cut is None else 2 * cut",
        ),
        (
            "round ends of a smaller radius",
            "radius = min(length, width) / 2 if radius is None else radius",
            "radius = min(length, width) / 2.1 if radius is None else radius",
        ),
        (
            "scallops too flat",
            "radius = (length**2 / 4 + depth**2) / (2 * depth)",
            "radius = (length**2 / 4 + depth**2) / (1.8 * depth)",
        ),
    ),
    *slips_in(
        "project/materials_sections",
        (
            "a single binding cut three seams wide",
            "return 4 * self.seam_mm",
            "return 3 * self.seam_mm",
        ),
        (
            "the bulk counted twice in what is turned under",
            "self.width_mm - 3 * self.seam_mm - self.bulk if",
            "self.width_mm - 3 * self.seam_mm - 2 * self.bulk if",
        ),
        (
            "a double binding without its cover",
            "return 2 * (3 * self.seam_mm + self.bulk + self.cover)",
            "return 2 * (3 * self.seam_mm + self.bulk)",
        ),
    ),
    *slips_in(
        "materials/basting",
        (
            "pins a quarter farther apart",
            "along = max(1, math.ceil(length_mm / apart_mm - 1e-9))",
            "along = max(1, math.ceil(length_mm / apart_mm / 1.25 - 1e-9))",
        ),
        ("spray on half the sections", "count = 2 * in_half", "count = in_half"),
    ),
    *slips_in(
        "patterns/spacing",
        (
            "about a spacing: one gap too many",
            "math.floor(width_mm / wanted_mm + 0.5)",
            "math.floor(width_mm / wanted_mm + 1.5)",
        ),
        (
            "lines off the centre by a tenth of their gap",
            "return middle - _mirror_axes(gaps)[0]",
            "return middle - _mirror_axes(gaps)[0] + 0.1 * float(gaps[0])",
        ),
        (
            "lines halfway laid on the centre",
            "return middle - _mirror_axes(gaps)[1]",
            "return middle - _mirror_axes(gaps)[0]",
        ),
    ),
    *slips_in(
        "patterns/rows",
        ("waves twice as high", "amplitude = layer.height / 2", "amplitude = layer.height"),
        ("arcs of a serpentine too flat", "sweeps = layer.sweep *", "sweeps = 0.9 * layer.sweep *"),
    ),
    *slips_in(
        "stitching/division",
        (
            "never fewer stitches than the longest allows, forgotten",
            "number = np.maximum(np.minimum(nearest, most), fewest)",
            "number = np.maximum(nearest - 1, 1)",
        ),
        (
            "always the larger stitch of two",
            "return np.where(length / fewer - wanted <= wanted - length / more, fewer, more)",
            "return fewer",
        ),
        (
            "tiny stitches twice as long",
            "np.round(length / stitch.securing_length)",
            "np.round(length / stitch.securing_length / 2)",
        ),
        (
            "corners without a needle hole",
            "breaks = distinct(np.concatenate([path.run_arc, corners, zone_low, zone_high]))",
            "breaks = distinct(np.concatenate([path.run_arc, zone_low, zone_high]))",
        ),
    ),
    *slips_in(
        "formats/dxf",
        ("a DXF that says inches", "MILLIMETRES = 4", "MILLIMETRES = 1"),
        (
            "a DXF without its last line",
            "for line, layer in zip(lines, layers, strict=True):\n            space",
            "for line, layer in list(zip(lines, layers, strict=True))[:-1]:\n            space",
        ),
    ),
    *slips_in(
        "formats/gcode",
        (
            "a program that does not say millimetres",
            'f"({title})", "G21", "G90"',
            'f"({title})", "G90"',
        ),
        (
            "no stop between threads",
            "        if number:\n            program.append(words.wait)\n",
            "",
        ),
        ("a feed a tenth too fast", 'f" F{feed:.0f}"', 'f" F{1.1 * feed:.0f}"'),
    ),
    *slips_in(
        "marking/paper_sizes",
        ("A4 as wide as Letter", '"A4": (210.0, 297.0)', '"A4": (215.9, 297.0)'),
        ("A3 a millimetre short", '"A3": (297.0, 420.0)', '"A3": (297.0, 419.0)'),
        (
            "Legal as long as Letter",
            '"Legal": (8.5 * MM_PER_INCH, 14 *',
            '"Legal": (8.5 * MM_PER_INCH, 11 *',
        ),
        (
            "a printer's error put right the wrong way",
            "return BAR_MM / self.measured[0], BAR_MM / self.measured[1]",
            "return self.measured[0] / BAR_MM, self.measured[1] / BAR_MM",
        ),
    ),
    *slips_in(
        "checks/wadding",
        ("wool allowed 4 in", '"wool", 3, 4', '"wool", 4, 4'),
        ("polyester allowed 2 in", '"polyester", 3, 4', '"polyester", 2, 4'),
        (
            "cotton with scrim allowed 10 in",
            '"cotton with scrim", 8, 10',
            '"cotton with scrim", 10, 10',
        ),
    ),
    *slips_in(
        "formats/file_variants",
        ("mirrored upside down", '"mirrored": (-1.0, 1.0)', '"mirrored": (1.0, -1.0)'),
    ),
    *slips_in(
        "materials/shopping",
        (
            "spools rounded down",
            "return math.ceil(self.short / (self.pack or 1.0) - _SLACK)",
            "return math.floor(self.short / (self.pack or 1.0))",
        ),
        (
            "cloth to buy short of what is needed",
            "return eighths_of_a_yard(self.short)",
            "return eighths_of_a_yard(self.short) - 0.125",
        ),
    ),
    *slips_in(
        "routing/policy",
        (
            "what holds the layers mixed in with the rest",
            'roles="one-by-one",\n',
            'roles="mixed",\n',
        ),
        (
            "a walking foot that goes wherever it is nearest",
            'order="centre-outwards",\n        direction',
            'order="least-travel",\n        direction',
        ),
        (
            "blocks not finished one by one",
            'regions="centre-outwards",\n        order',
            'regions="mixed",\n        order',
        ),
        (
            "a frame that may not run along the margin",
            "margin=True,\n        margin_cost=0.5",
            "margin=False,\n        margin_cost=0.5",
        ),
    ),
    *slips_in(
        "patterns/echo",
        (
            "rings a little farther apart than asked",
            "return first + gap * np.arange(count)",
            "return first + 1.05 * gap * np.arange(count)",
        ),
    ),
    *slips_in(
        "materials/pieced_top",
        (
            "one seam where two are sewn",
            "return shown + self.seam_mm * (low + high)",
            "return shown + self.seam_mm * (low or high)",
        ),
    ),
    *slips_in(
        "materials/draw_up",
        (
            "a sample of the same density not believed",
            "float((taken * usual).sum() / (usual**2).sum())",
            "1.0",
        ),
    ),
    *DRAWING,
    *SEWING,
    *PAPER,
    *SIZES,
    *FILES,
    *ORDER,
)
