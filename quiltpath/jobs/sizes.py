"""The key ``sizes``: one design for other tables and place mats, side by side with itself."""

from __future__ import annotations

from collections.abc import Sequence

from quiltpath.documents.notes import ReportEntry, bullet_points, wrap_paragraph
from quiltpath.errors import InputError
from quiltpath.jobs.compare import compute_option, picture_option, sheet_files
from quiltpath.jobs.one_job import Design, Job, JobOutput
from quiltpath.jobs.summary import comparison_rows
from quiltpath.jobs.variants import Variant, with_size
from quiltpath.language import message, say, say_known
from quiltpath.project import Project
from quiltpath.units import both_units, count

AS_IT_IS = message("this one")


def other_sizes(designs: Sequence[Design], wishes: tuple[str, ...]) -> JobOutput:
    """The design as it is first, then each of the sizes. Raises :class:`InputError`."""
    design = designs[0]
    project = design.project
    others = [compute_option(_of_size(project, wish.strip())) for wish in wishes]
    made = [picture_option(AS_IT_IS, design.result), *others]
    options = [option for option, _ in made]
    title = f"{project.title}: sizes"
    each = [
        {
            "size": option.label,
            "length_mm": round(option.size_mm[0], 2),
            "width_mm": round(option.size_mm[1], 2),
            "lines": option.lines,
            "line_gap_mm": option.line_gap_mm and round(option.line_gap_mm, 3),
            "widest_gap_mm": round(option.widest_gap_mm, 2),
        }
        for option in options
        if option.size_mm is not None
    ]
    files = sheet_files("sizes", title, project, options, made)
    return JobOutput(title, files, {"each": each}, comparison_rows(options, project.handout_units))


def _of_size(project: Project, wish: str) -> Variant:
    try:
        return Variant(*with_size(project, wish))
    except ValueError as error:
        raise InputError("", "", str(error)) from None


def _notes(told: ReportEntry) -> list[str]:
    lines = [
        f"{say_known(one['size'])}: {both_units(one['length_mm'])} x {both_units(one['width_mm'])},"
        f" {count(one['lines'], 'line')}"
        + (say(", {far} apart", far=both_units(one["line_gap_mm"])) if one["line_gap_mm"] else "")
        for one in told["each"]
    ]
    return [
        wrap_paragraph(
            say("The same design without stretching; sizes.pdf sets them side by side.")
        ),
        *bullet_points(lines),
    ]


SIZES = Job("sizes", other_sizes, message("OTHER SIZES"), _notes)
"""For the command, ``compare --size`` does it beside spacings, patterns and stitches."""
