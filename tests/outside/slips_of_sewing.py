"""Faults that somebody could make in order, stitches, thread, machines and their files."""

from __future__ import annotations

from tests.outside.outside_slip import slips_in

SEWING = (
    *slips_in(
        "routing/overlaps",
        ("lines that lie on each other sewn twice", "    if not len(loser):\n", "    if True:\n"),
        asked="lines",
    ),
    *slips_in(
        "routing/euler_trail",
        (
            "circuits not taken into the trails that they meet",
            "    if open_label[label].all():\n",
            "    if True:\n",
        ),
        (
            "no more than four ends joined at a crossing",
            "for _ in range(size // 2):",
            "for _ in range(min(size // 2, 2)):",
        ),
        (
            "no more than two ends joined at a crossing",
            "for _ in range(size // 2):",
            "for _ in range(1):",
        ),
        asked="order",
    ),
    *slips_in(
        "routing/t_join",
        (
            "what is sewn again counted roughly",
            "np.round(weight * (WHOLE_WEIGHT / greatest))",
            "np.round(weight * (1.0 / greatest))",
        ),
        asked="order",
    ),
    *slips_in(
        "routing/centre_outwards",
        (
            "each half begun at the edge",
            "order = np.lexsort((off, side, family, layer))",
            "order = np.lexsort((-off, side, family, layer))",
        ),
        (
            "every second line of a half sewn back",
            "_backwards(row, side, layer, family, one_way) ^ flip",
            "_backwards(row, side, layer, family, False) ^ flip",
        ),
        asked="order machine",
    ),
    *slips_in(
        "routing/region_order",
        (
            "the half of a block that comes first not chosen",
            "                for flip in (False, True)\n",
            "                for flip in (False,)\n",
        ),
        (
            "blocks sewn by turns from here and there",
            "return [centres_in_order(regions, centre, onward)]",
            "return [sum((centres_in_order(regions, centre, onward)[n::2] for n in (0, 1)), [])]",
        ),
        asked="order",
    ),
    *slips_in(
        "routing/guide_bar",
        (
            "a guide bar set to half the distance",
            "abs(float(family.row_mm[row] - family.row_mm[follows]))",
            "abs(float(family.row_mm[row] - family.row_mm[follows])) / 2",
        ),
        asked="machine",
    ),
    *slips_in(
        "stitching/checkpoints",
        (
            "the way without thread counted before a checkpoint",
            "np.cumsum(np.where(stitches.is_sewn, stitches.step_mm, 0.0))",
            "np.cumsum(stitches.step_mm)",
        ),
        asked="order",
    ),
    *slips_in(
        "stitching/division",
        (
            "one stitch for what is too long for it",
            "fewest = np.maximum(np.ceil(length / stitch.longest - 1e-9), 1)",
            "fewest = np.maximum(np.floor(length / stitch.longest), 1)",
        ),
        (
            "stitches as near as can be, however short",
            "number = np.maximum(np.minimum(nearest, most), fewest)",
            "number = np.maximum(nearest, fewest)",
        ),
        (
            "the last stitch takes what others lack",
            "step * (parts.length / number)[part]",
            "step * (parts.length / number)[part] * 0.9999",
        ),
        (
            "the stitch that is asked for not heeded",
            "nearest = _nearest_number(length, stitch.length)",
            "nearest = _nearest_number(length, 3.2)",
        ),
        asked="stitches",
    ),
    *slips_in(
        "stitching/placing",
        (
            "a stitch on curves a little off them",
            "points[at] = division.points\n",
            "points[at] = division.points + 0.03 * np.sin(division.points[:, :1] / 5)\n",
        ),
        asked="stitches",
    ),
    *slips_in(
        "stitching/thread_and_time",
        (
            "cloth goes into the thread twice",
            "self.thickness_mm + self.diameter_mm",
            "2 * (self.thickness_mm + self.diameter_mm)",
        ),
        (
            "a factor for the bobbin taken for the needle",
            "self.needle_factor or self.bobbin_factor)",
            "self.bobbin_factor or self.needle_factor)  # needle",
        ),
        (
            "a factor for the bobbin not heeded",
            "self.bobbin_factor or self.needle_factor)",
            "None)",
        ),
        (
            "threads that lock nearer to the lower side",
            "return self._mm(seam_mm, stitch_count, self.needle_factor or self.bobbin_factor)\n\n"
            "    def bobbin_mm(self, seam_mm: float, stitch_count: int) -> float:\n"
            '        """Bobbin thread in a seam of so many stitches, in mm, before tails and'
            ' wastage."""\n'
            "        return self._mm(seam_mm, stitch_count, self",
            "return self._mm(\n            seam_mm, stitch_count * 1.1, self.needle_factor or"
            " self.bobbin_factor\n        )\n\n"
            "    def bobbin_mm(self, seam_mm: float, stitch_count: int) -> float:\n"
            "        return self._mm(seam_mm, stitch_count * 0.9, self",
        ),
        (
            "half of the time for a bobbin's change",
            "changes * time.bobbin_change / SECONDS_PER_MINUTE",
            "changes * time.bobbin_change / 2 / SECONDS_PER_MINUTE",
        ),
        asked="thread",
    ),
    *slips_in(
        "machine/hooping_cuts",
        (
            "sewing goes on two stitches after a cut",
            "at, field, cut_before = cut, onward, True",
            "at, field, cut_before = cut + 2, onward, True",
        ),
        (
            "six stitches sewn again at a cut",
            "at, field, cut_before = cut, onward, True",
            "at, field, cut_before = max(cut - 6, at), onward, True",
        ),
        asked="machine",
    ),
    *slips_in(
        "machine/part_plan",
        (
            "a part's middle told as the hoop's",
            "x, y = on_grid if holds else middle",
            "x, y = np.array(field.centre)",
        ),
        (
            "crosses counted as starts of thread",
            "                len(sewn.runs),\n",
            "                len(sewn.runs) + len(marks),\n",
        ),
        asked="machine",
    ),
    *slips_in(
        "machine/part_facts",
        ("holes counted as stitches", "stitches=count,", "stitches=len(path),"),
        (
            "a part as high as it is wide",
            "height_mm=high - low,",
            "height_mm=right - left,",
        ),
        asked="machine",
    ),
    *slips_in(
        "machine/pass_bands",
        (
            "a pass more than there must be",
            "return math.ceil((extent - self.overlap_mm) / each - 1e-6)",
            "return math.ceil((extent - self.overlap_mm) / each - 1e-6) + 1",
        ),
        asked="machine",
    ),
    *slips_in(
        "machine/passes",
        (
            "the last line of the far pass left out",
            "return SplitPasses((*pieces, rest), tuple(cuts))",
            "return SplitPasses((*pieces, rest.take(np.arange(len(rest) - 1))), tuple(cuts))",
        ),
        asked="machine",
    ),
    *slips_in(
        "machine/pass_cutting",
        (
            "lines that either pass reaches sewn by both",
            "_together([*above, pieces.take(rest[upper])])",
            "_together([*above, pieces.take(rest)])",
        ),
        asked="machine",
    ),
    *slips_in(
        "formats/short_names",
        (
            "names that end in more than three letters",
            "return _ENDINGS.get(ending, ending)",
            'return "-file" + ending',
        ),
        asked="machine",
    ),
    *slips_in(
        "formats/stitch_formats",
        ("a DST in fifths of a millimetre", '"dst", 0.1, 12.1, 12.1', '"dst", 0.2, 12.1, 12.1'),
        ("an EXP in fifths of a millimetre", '"exp", 0.1', '"exp", 0.2'),
        ("a PES in fifths of a millimetre", '"pes", 0.1', '"pes", 0.2'),
        ("a JEF in fifths of a millimetre", '"jef", 0.1', '"jef", 0.2'),
        (
            "a JEF with room for a millimetre a stitch",
            '"jef", 0.1, 12.7, 12.7',
            '"jef", 0.1, 1.27, 12.7',
        ),
        ("a VP3 in fifths of a millimetre", '"vp3", 0.1', '"vp3", 0.2'),
        ("a U01 in fifths of a millimetre", '"u01", 0.1', '"u01", 0.2'),
        ("an XXX in fifths of a millimetre", '"xxx", 0.1', '"xxx", 0.2'),
        ("a JSON in tenths of a millimetre", '"json", 0.001', '"json", 0.1'),
        ("jumps of a DST in halves", '"dst", 0.1, 12.1, 12.1', '"dst", 0.1, 12.1, 6.0'),
        asked="files",
    ),
    *slips_in(
        "formats/stitch_writing",
        (
            "a DST that counts a record less",
            "(len(body) // 3)",
            "(len(body) // 3 - 1)",
        ),
        (
            "the fields of a DST in another order",
            'b"+Y" + up[2:] + b"-Y" + down[2:]',
            'b"-Y" + down[2:] + b"+Y" + up[2:]',
        ),
        (
            "a DST that tells nothing above its start",
            'b"+Y" + up[2:]',
            'b"+Y:    0\\r"',
        ),
        (
            "the header of a DST filled up with noughts",
            "return fields + header[74:] + body",
            'return fields + header[74:].rstrip(b" ").ljust(438, b"\\0") + body',
        ),
        (
            "a DST without its last record",
            "coded[:_DST_HEADER], coded[_DST_HEADER:]",
            "coded[:_DST_HEADER], coded[_DST_HEADER:-3]",
        ),
        (
            "a PES of another version",
            '"date": _NO_DATE}',
            '"date": _NO_DATE, "version": 6}',
        ),
        asked="files",
    ),
    *slips_in(
        "formats/dxf",
        ("a DXF of another version", 'new("R2000",', 'new("R2010",'),
        (
            "a DXF's extent left to the library",
            'drawing.header["$EXTMIN"], drawing.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)',
            "pass",
        ),
        (
            "a cross at the zero of every DXF",
            "np.zeros((0, 2)) if place is None",
            "np.zeros((1, 2)) if place is None",
        ),
        asked="files",
    ),
    *slips_in(
        "formats/plain_paths",
        (
            "a page of paths in pixels",
            '"width": f"{width:.3f}mm",\n            "height": f"{height:.3f}mm",',
            '"width": f"{width:.3f}px",\n            "height": f"{height:.3f}px",',
        ),
        ("a table of points with another head", '["run", "point",', '["path", "point",'),
        asked="files",
    ),
    *slips_in(
        "formats/gcode",
        (
            "a program that counts from where it is",
            '"G21", "G90", words.needle_up]',
            '"G21", "G90", "G91", words.needle_up]',
        ),
        asked="files",
    ),
    *slips_in(
        "formats/path_formats",
        (
            "lines a tenth of a millimetre off their holes",
            "paths = thread_paths(stitches, tolerance_mm,",
            "tolerance_mm = 0.15\n    paths = thread_paths(stitches, tolerance_mm,",
        ),
        asked="files lines",
    ),
)
