"""Faults that somebody could make in sizes, shapes, patterns and checks."""

from __future__ import annotations

from tests.outside.outside_slip import slips_in

DRAWING = (
    *slips_in(
        "units",
        ("a third written as a character taken for 33 hundredths", '"⅓": "1/3"', '"⅓": "33/100"'),
        ("a yard of 900 mm", '"yd": 36 * MM_PER_INCH', '"yd": 900.0'),
        asked="stitches",
    ),
    *slips_in(
        "project/runner_sections",
        ("one drop of the two left out", "length + 2 * drop:", "length + drop:"),
        ("a quarter of the table's width where a third is meant", "width / 3:", "width / 4:"),
        asked="sizes",
    ),
    *slips_in(
        "runner/states",
        (
            "washing taken off the flat size",
            "left *= [1 - getattr(share, which) for share in washing]",
            "left -= [getattr(share, which) for share in washing]",
        ),
        asked="sizes",
    ),
    *slips_in(
        "runner/grid",
        (
            "a strip of sashing too many taken off the blocks",
            "- (count - 1) * grid.sashing",
            "- count * grid.sashing",
        ),
        asked="lines order",
    ),
    *slips_in(
        "runner/panels",
        (
            "two seams left at a join of panels",
            "return sashing_mm / 2 + seam_mm",
            "return sashing_mm / 2 + 2 * seam_mm",
        ),
        asked="cloth",
    ),
    *slips_in(
        "runner/runner_picture",
        (
            "the edge drawn a millimetre inside itself",
            "shapely.get_coordinates(runner.outline.exterior)[:-1]",
            "shapely.get_coordinates(runner.outline.buffer(-1).exterior)[:-1]",
        ),
        (
            "the edge drawn twice as thick",
            'Group("outline", (Line(edge, style,',
            'Group("outline", (Line(edge, replace(style, width_mm=1.2),',
        ),
        (
            "motifs drawn with few points",
            "(many(motif.outlines, MOTIF),)",
            "(many(shapely.simplify(list(motif.outlines), 2.0), MOTIF),)",
        ),
        asked="paper sizes",
    ),
    *slips_in(
        "materials/edge_corners",
        ("a turn of 60 degrees taken for no corner", "> corner_deg\n", "> 4 * corner_deg + 5\n"),
        (
            "sewing stops where the fold begins",
            "seam_mm / math.tan(math.radians(self.angle_deg / 2))",
            "seam_mm / math.sin(math.radians(self.angle_deg / 2))",
        ),
        asked="sizes binding",
    ),
    *slips_in(
        "checks/largest_empty_circle",
        (
            "wide places that lie on each other",
            "        discs.append((centre, radius))\n",
            "        discs.append((centre, radius / 4))\n        radius /= 4\n",
        ),
        asked="gap",
    ),
    *slips_in(
        "checks/obstacles",
        (
            "curves taken with too few points where gaps are sought",
            "shapely.simplify(shapes, moved_mm,",
            "shapely.simplify(shapes, 80 * moved_mm,",
        ),
        asked="gap",
    ),
    *slips_in(
        "checks/wadding",
        ("what a packet says halved", "return packet_mm\n", "return packet_mm / 2\n"),
        asked="gap",
    ),
    *slips_in(
        "checks/lines_to_count",
        (
            "lines counted where they lie wholly in a section",
            '.query(shapes, predicate="intersects")',
            '.query(shapes, predicate="contains")',
        ),
        asked="machine",
    ),
    *slips_in(
        "checks/puff",
        (
            "what a sample's lines let rise taken for its loft",
            "most = float((rise @ height) / (rise @ rise))",
            "most = float(height.mean())",
        ),
        (
            "cloth as high as its loft wherever no line is",
            "np.tanh(np.sqrt(np.maximum(u.u_mm2, 0) / u0))",
            "np.tanh(np.sqrt(np.maximum(u.u_mm2, 0) / u0) * 1e6)",
        ),
        asked="cloth",
    ),
    *slips_in(
        "checks/plane_stress",
        (
            "half of what cells shrink by",
            "weight = -self._stiffness * share",
            "weight = -0.5 * self._stiffness * share",
        ),
        asked="cloth",
    ),
    *slips_in(
        "patterns/straight",
        (
            "slanted lines spaced along the runner",
            "gaps = gaps_of(layer, high - low)",
            "gaps = gaps_of(layer, high - low) * float(np.abs(normal).max())",
        ),
        (
            "both families of a grid as far apart as the second",
            "families = [family(layer,",
            "families = [family(second,",
        ),
        (
            "the sign of an angle lost",
            "np.radians(angle_deg % 180.0)",
            "np.radians(abs(angle_deg))",
        ),
        asked="gap lines",
    ),
    *slips_in(
        "patterns/spacing",
        (
            "distances by turns evened out",
            "return np.asarray(layer.spacings, dtype=np.float64)",
            "return np.full(2, np.mean(layer.spacings))",
        ),
        asked="gap lines",
    ),
    *slips_in(
        "patterns/finishing",
        (
            "no overrun longer than the usual one",
            "    return wanted_mm\n",
            "    return min(wanted_mm, USUAL_OVERRUN_MM)\n",
        ),
        asked="lines",
    ),
    *slips_in(
        "patterns/rows",
        (
            "waves half as long",
            "np.cos(2 * math.pi * (x - frame.length / 2) / wave)",
            "np.cos(4 * math.pi * (x - frame.length / 2) / wave)",
        ),
        asked="lines",
    ),
    *slips_in(
        "patterns/chevron",
        ("zigzags too flat", "rise = leg * math.tan(slope)", "rise = leg * math.sin(slope)"),
        asked="lines",
    ),
    *slips_in(
        "patterns/shells",
        (
            "rows of shells too far apart",
            "Tiling(column=2.0, row=1.0, odd_rows=True)",
            "Tiling(column=2.0, row=1.25, odd_rows=True)",
        ),
        asked="lines",
    ),
    *slips_in(
        "patterns/circles",
        ("circles too small", "circle((x, y), fit.unit)", "circle((x, y), 0.95 * fit.unit)"),
        ("petals too slender", "sweeps = 90.0 * side", "sweeps = 80.0 * side"),
        asked="lines",
    ),
    *slips_in(
        "patterns/echo",
        (
            "a first ring at half the distance",
            "gap = layer.spacing.mm\n    first = gap if",
            "gap = layer.spacing.mm\n    first = gap / 2 if",
        ),
        asked="lines",
    ),
    *slips_in(
        "patterns/medallions",
        (
            "squares a tenth too near each other",
            "cell.length / 2 - distance, cell.width / 2 - distance",
            "cell.length / 2 - 0.9 * distance, cell.width / 2 - 0.9 * distance",
        ),
        (
            "a spiral's arms twice as far in",
            "base = gap_of(layer.spacing, reach) / math.pi",
            "base = gap_of(layer.spacing, reach) / 2 / math.pi",
        ),
        asked="lines",
    ),
    *slips_in(
        "patterns/squares",
        (
            "hexagons pressed flat",
            "np.column_stack([np.cos(turn), np.sin(turn)]) * fit",
            "np.column_stack([np.cos(turn), 0.9 * np.sin(turn)]) * fit",
        ),
        asked="lines",
    ),
    *slips_in(
        "patterns/printed_lines",
        (
            "motifs sewn round with few points",
            "return objects(placed.outlines)",
            "return objects([line.simplify(4.0) for line in placed.outlines])",
        ),
        asked="lines stitches",
    ),
    *slips_in(
        "patterns/own_drawing",
        (
            "a drawing that is fitted keeps its proportions",
            "share = (dense - low) / span\n",
            "share = (dense - low) / span.max()\n",
        ),
        asked="order",
    ),
    *slips_in(
        "geometry/svg_elements",
        (
            "curves with one handle read as straight",
            "elif isinstance(segment, QuadraticBezier):",
            "elif False:",
        ),
        asked="order",
    ),
)
