"""One design over several tables and place mats: the same blocks, motifs and gaps, not stretched.

A runner is as long as its table and twice the drop. With a grid the number of blocks changes and
their size stays, so that the length comes as near as whole blocks allow; motifs follow one another
as they did. Without a grid motifs keep their size and their place in proportion. Spacings keep
their wish and divide each size evenly by themselves.
"""

from __future__ import annotations

import re
from string import ascii_uppercase

from quiltpath.errors import InputError
from quiltpath.project import Project
from quiltpath.project.materials_sections import TableSection
from quiltpath.project.motif_section import MotifSection
from quiltpath.project.runner_sections import GridSection, RunnerSection
from quiltpath.runner.regions import column_letter
from quiltpath.units import parse_length

MAT = "mat "
EXAMPLE = 'write a table as "72 x 36 in" and a place mat as "mat 18 x 12 in"'
_BY = re.compile(r"\s*[x×]\s*")


def sized(project: Project, text: str) -> tuple[str, Project]:
    """The design for a table, or for a place mat of a finished size, and its label.

    Raises :class:`InputError` for a design whose size cannot change by itself.
    """
    if project.runner.length is None or project.runner.width is None or _measured(project):
        raise InputError(
            project.file_name,
            "runner",
            "a drawn outline or a measured print has one size",
            "give runner.length and runner.width",
        )
    is_mat = text.startswith(MAT)
    long, wide = _two(text.removeprefix(MAT).removeprefix("table "), project)
    drop = project.table.drop if project.table else TableSection.model_fields["drop"].default
    sizes = {"length": long, "width": wide, "drop": drop}
    table = None if is_mat else TableSection.model_validate(sizes, context={"units": "mm"})
    length = long if is_mat else long + 2 * drop
    width = wide if is_mat and project.grid is None else project.runner.width
    return text, _resized(project, length, width).model_copy(update={"table": table})


def _measured(project: Project) -> bool:
    return project.print is not None or (project.grid is not None and project.grid.measured)


def _two(text: str, project: Project) -> tuple[float, float]:
    """Length and width in mm; one unit after both stands for both."""
    parts = _BY.split(text.strip())
    if len(parts) != 2:
        raise ValueError(f"{text!r} is not length x width; {EXAMPLE}")
    unit = re.sub(r"[\d\s./-]", "", parts[1])
    first = parts[0] if re.search(r"[^\d\s./-]", parts[0]) else f"{parts[0]} {unit}"
    long, wide = parse_length(first, project.units), parse_length(parts[1], project.units)
    if min(long, wide) <= 0:
        raise ValueError(f"{text!r} is not above 0")
    return long, wide


def _resized(project: Project, length_mm: float, width_mm: float) -> Project:
    base = project.runner
    if project.grid is not None:
        grid, length_mm, width_mm = _regridded(project.grid, base, length_mm)
        motifs = tuple(_reblocked(motif, project.grid.along, grid.along) for motif in project.motif)
        project = project.replaced(grid=grid)
    else:
        by = length_mm / (base.length or length_mm), width_mm / (base.width or width_mm)
        motifs = tuple(_in_proportion(motif, by) for motif in project.motif)
    changes = {"length": length_mm, "width": width_mm, "panel_join": _join(base, length_mm)}
    return project.replaced(runner=base.model_copy(update=changes), motif=motifs)


def _regridded(
    grid: GridSection, base: RunnerSection, length_mm: float
) -> tuple[GridSection, float, float]:
    """The grid with as many blocks of the same size as come nearest the length, and its size."""
    assert base.length is not None and base.width is not None
    edge = 2 * (grid.outer_sashing + grid.border)
    block = grid.block_size or (
        (base.length - edge - (grid.along - 1) * grid.sashing) / grid.along,
        (base.width - edge - (grid.across - 1) * grid.sashing) / grid.across,
    )
    step = block[0] + grid.sashing
    along = max(1, round((length_mm - edge + grid.sashing) / step - 1e-9))
    changed = grid.model_copy(update={"along": along, "block": block})
    return changed, edge + along * step - grid.sashing, base.width


def _reblocked(motif: MotifSection, before: int, after: int) -> MotifSection:
    """The motif in the blocks of a longer or shorter row: columns follow one another as before."""
    if not isinstance(motif.blocks, tuple):
        return motif
    had = set(motif.blocks)
    rows = sorted({name.lstrip(ascii_uppercase) for name in had})
    blocks = [
        column_letter(column) + row
        for column in range(after)
        for row in rows
        if column_letter(column % before) + row in had
    ]
    return motif.model_copy(update={"blocks": tuple(blocks)})


def _in_proportion(motif: MotifSection, by: tuple[float, float]) -> MotifSection:
    return motif.model_copy(update={"at": tuple((x * by[0], y * by[1]) for x, y in motif.at)})


def _join(base: RunnerSection, length_mm: float) -> str | float:
    """No panel join where one panel is long enough; one at a distance moves in proportion."""
    assert base.length is not None
    if base.panel_join != "none" and length_mm <= base.length / 2 + 1e-6:
        return "none"
    if isinstance(base.panel_join, str):
        return base.panel_join
    return base.panel_join * length_mm / base.length
