"""Faults that somebody could make in files, gaps, lines and papers: each is one row's alone."""

from __future__ import annotations

from tests.outside.outside_slip import slips_in

FILES = (
    *slips_in(
        "formats/stitch_writing",
        (
            "a DST with a record after its last",
            "coded[:_DST_HEADER], coded[_DST_HEADER:]",
            'coded[:_DST_HEADER], coded[_DST_HEADER:] + b"\\0\\0\\0"',
        ),
        (
            "stitches of a DST without the two bits that always stand",
            "header, body = coded[:_DST_HEADER], coded[_DST_HEADER:]",
            "header, body = coded[:_DST_HEADER], bytearray(coded[_DST_HEADER:])\n"
            "    body[2::3] = bytes(last & 0x3C if last == 3 else last for last in body[2::3])",
        ),
        (
            "a JEF that jumps to every hole and then stitches there",
            "counts = np.where(path.moved, counts, 0)",
            'counts = np.where(path.moved | (form.extension == "jef"), counts, 0)',
        ),
        asked="files machine stitches",
    ),
    *slips_in(
        "formats/gcode",
        (
            "a program that tells places up, then across",
            'return f"X{x:.{_DECIMALS}f} Y{y:.{_DECIMALS}f}"',
            'return f"Y{y:.{_DECIMALS}f} X{x:.{_DECIMALS}f}"',
        ),
        asked="files machine stitches",
    ),
    *slips_in(
        "formats/thread_paths",
        (
            "one hole of the lines of a path file taken for the one before it",
            "holes = path.holes - load.zero_mm\n",
            "holes = path.holes - load.zero_mm\n    holes[50:51] = holes[49:50]\n",
        ),
        asked="files lines machine stitches order",
    ),
    *slips_in(
        "formats/path_formats",
        (
            "lines of a path file a tenth farther off their holes than may be",
            "paths = thread_paths(stitches, tolerance_mm,",
            "tolerance_mm *= 1.1\n    paths = thread_paths(stitches, tolerance_mm,",
        ),
        asked="files lines machine stitches order",
    ),
    *slips_in(
        "patterns/spacing",
        (
            "distances by turns of two inches at the most",
            "return np.asarray(layer.spacings, dtype=np.float64)",
            "return np.minimum(layer.spacings, 50.8)",
        ),
        (
            "distances by turns of half an inch at the least",
            "return np.asarray(layer.spacings, dtype=np.float64)",
            "return np.maximum(layer.spacings, 12.7)",
        ),
        asked="gap lines",
    ),
    *slips_in(
        "patterns/straight",
        (
            "diamonds as long in their sides as the lines are to be apart",
            "    second = layer.model_copy(\n",
            "    slant = abs(np.sin(np.radians(layer.angles[1] - layer.angles[0])))\n"
            "    apart = Spacing(mm=layer.spacing.mm * slant)\n"
            '    layer = layer.model_copy(update={"spacing": apart})\n'
            "    second = layer.model_copy(\n",
        ),
        (
            "the second family of a grid always laid on the centre",
            '            "spacings": layer.spacings_2 or',
            '            "anchor": "centre",\n            "spacings": layer.spacings_2 or',
        ),
        asked="gap lines",
    ),
    *slips_in(
        "checks/obstacles",
        (
            "the widest place sought in the box round the runner",
            "[*stitched, *_rings(outline)]",
            "[*stitched, *_rings(outline.envelope)]",
        ),
        asked="gap",
    ),
    *slips_in(
        "marking/page_tiling",
        (
            "pages that end half of what is shared beyond the drawing",
            "    half = overlap / 2\n    phases",
            "    half = 0.0\n    phases",
        ),
        asked="paper",
    ),
    *slips_in(
        "marking/paper_files",
        (
            "a guide on one page fitted to it with a thousandth to spare",
            '        yield PaperFile("guide.pdf", pdf.render(drawing),',
            '        page = replace(page, groups=(Group("page", page.groups, scale=0.999),))\n'
            '        yield PaperFile("guide.pdf", pdf.render(replace(drawing, pages=(page,))),',
        ),
        asked="paper",
    ),
    *slips_in(
        "runner/runner_picture",
        (
            "the edge drawn in tenths of a millimetre",
            "edge = shapely.get_coordinates(runner.outline.exterior)[:-1]",
            "edge = shapely.get_coordinates(runner.outline.exterior)[:-1].round(1)",
        ),
        asked="paper lines sizes",
    ),
    *slips_in(
        "drawing/svg",
        (
            "pens of a drawing twice as thick",
            'f"{style.width_mm * scale:.4g}"}',
            'f"{2 * style.width_mm * scale:.4g}"}',
        ),
        (
            "a drawing that is told a millimetre wider than it is",
            'size=(f"{width}mm",',
            'size=(f"{float(width) + 1:g}mm",',
        ),
        asked="paper lines sizes",
    ),
)
