"""Designs to compare: the project with its spacing, its pattern or its stitch length changed.

One design over several tables and place mats: the same blocks, motifs and gaps, not stretched.

A runner is as long as its table and twice the drop. With a grid the number of blocks changes and
their size stays, so that the length comes as near as whole blocks allow; motifs follow one another
as they did. Without a grid motifs keep their size and their place in proportion. An outline that is
given by its corners is cut open in the middle and made longer or shorter there, so that its ends
stay as they are. Spacings keep their wish and divide each size evenly by themselves.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from pydantic import ValidationError

from quiltpath.errors import InputError
from quiltpath.patterns.book import PatternBook, shipped_folder
from quiltpath.patterns.kinds import KINDS, fill_spacing, is_fill
from quiltpath.patterns.layer import Layer
from quiltpath.project import Project
from quiltpath.project.faults import first_fault
from quiltpath.project.materials_sections import TableSection
from quiltpath.project.runner_sections import GridSection, MotifSection, RunnerSection
from quiltpath.runner.grid import column_letter
from quiltpath.schema import MAX_LENGTH_MM, Spacing
from quiltpath.units import both_units, parse_length

MOST_VARIANTS = 12
"""More would not be compared by eye."""


@dataclass(frozen=True)
class Variant:
    """A project under the name of what was changed in it; ``spacing_mm`` where that is it.

    ``varies`` are the layers that were changed, by number; the fill layers where it is left out.
    ``near_mm`` is where it is seen from nearby, from the runner's middle.
    """

    label: str
    project: Project
    spacing_mm: float | None = None
    varies: tuple[int, ...] = ()
    near_mm: tuple[float, float] | None = None


def variants(
    project: Project,
    spacings: Sequence[str],
    patterns: Sequence[str],
    stitches: Sequence[str],
    sizes: Sequence[str] = (),
    policies: Sequence[str] = (),
    waddings: Sequence[str] = (),
) -> tuple[Variant, ...]:
    """One variant for each wish, in the order given; raises :class:`InputError` for a bad one."""
    made = [
        *_each(spacings, "--spacing", lambda text: with_spacing(project, text)),
        *_each(patterns, "--pattern", lambda name: _with_pattern(project, name)),
        *_each(stitches, "--stitch", lambda text: _with_stitch(project, text)),
        *_each(sizes, "--size", lambda text: Variant(*with_size(project, text))),
        *(_with_policy(project, name) for name in policies),
        *(_with_wadding(project, kind) for kind in waddings),
    ]
    if not 1 <= len(made) <= MOST_VARIANTS:
        raise InputError(
            "compare", "", f"{len(made)} designs were named", f"name 1 to {MOST_VARIANTS} of them"
        )
    return tuple(made)


def _each(wishes: Sequence[str], option: str, variant: Callable[[str], Variant]) -> list[Variant]:
    made = []
    for wish in wishes:
        try:
            made.append(variant(wish.strip()))
        except ValueError as error:
            raise InputError(
                "compare", option, str(error), 'write it as "1 in" or "32 mm"'
            ) from None
    return made


def _length(text: str, project: Project) -> float:
    mm = parse_length(text.removeprefix("about "), project.units)
    if mm <= 0:
        raise ValueError(f"{text!r} is not above 0")
    return mm


def _with_its_unit(text: str, project: Project) -> str:
    """A length as it was written; a bare number with the unit that the file gives those."""
    return text if text[-1].isalpha() or text[-1] in "\"'" else f"{text} {project.units}"


def with_spacing(project: Project, text: str) -> Variant:
    """Every fill layer at this spacing; ``"about 1 in"`` lets it divide evenly."""
    spacing = Spacing(mm=_length(text, project), about=text.startswith("about "))
    may_change = [fill_spacing(layer) is not None for layer in project.quilting]
    layers = tuple(
        layer.model_copy(update={"spacing": spacing}) if may else layer
        for layer, may in zip(project.quilting, may_change, strict=True)
    )
    if not any(may_change):
        raise InputError(
            project.file_name, "quilting", "no fill layer has a spacing to change", "add one"
        )
    changed = tuple(index for index, may in enumerate(may_change) if may)
    label = _with_its_unit(text, project)
    return Variant(label, project.replaced(quilting=layers), spacing.mm, changed)


def _with_pattern(project: Project, name: str) -> Variant:
    """The fill layers replaced by a named pattern, in the region they had."""
    kept = tuple(layer for layer in project.quilting if not is_fill(layer))
    replaced = [layer for layer in project.quilting if is_fill(layer)]
    book = PatternBook((shipped_folder(),))
    changes = {"region": replaced[0].region} if replaced else {}
    drawn = tuple(_layer(table, name) for table in book.layers(name, changes))
    changed = tuple(range(len(kept), len(kept) + len(drawn)))
    return Variant(name, project.replaced(quilting=(*kept, *drawn)), varies=changed)


def _with_policy(project: Project, name: str) -> Variant:
    """Another policy of the sewing order, with its own figures."""
    settings = project.sewing.settings if name == project.sewing.policy else {}
    changed = project.sewing.model_copy(update={"policy": name, "settings": settings})
    return Variant(name, project.replaced(sewing=changed))


def _with_wadding(project: Project, kind: str) -> Variant:
    """Another wadding, by its kind; swatches and a packet's limit are of the project's own."""
    if kind == project.wadding.kind:
        return Variant(kind, project)
    wadding = project.wadding.model_copy(update={"kind": kind, "limit": None})
    return Variant(kind, project.replaced(wadding=wadding, swatch=()))


def _layer(table: dict[str, object], name: str) -> Layer:
    model = KINDS[str(table["kind"])].model
    known = {key: value for key, value in table.items() if key in model.model_fields}
    try:
        return model.model_validate(known, context={"units": None})
    except ValidationError as error:
        raise first_fault(error, known, model, name) from None


def _with_stitch(project: Project, text: str) -> Variant:
    """The set stitch length changed; its bounds give way where they must."""
    mm, stitch = _length(text, project), project.stitch
    bounds = {"shortest": min(stitch.shortest, mm), "longest": max(stitch.longest, mm)}
    changed = stitch.model_copy(update={"length": mm, **bounds})
    return Variant(f"{_with_its_unit(text, project)} stitches", project.replaced(stitch=changed))


MAT = "mat "
SAME_MM = 0.01
EXAMPLE = 'write a table as "72 x 36 in" and a place mat as "mat 18 x 12 in"'
_BY = re.compile(r"\s*[x×]\s*")


def with_size(project: Project, text: str) -> tuple[str, Project]:
    """The design for a table, or for a place mat of a finished size, and its label.

    Raises :class:`InputError` for a design whose size cannot change by itself.
    """
    if not may_change(project):
        raise InputError(
            project.file_name,
            "runner",
            "a drawn outline or a measured print has one size",
            "give runner.length and runner.width, or the corners of the outline",
        )
    is_mat = text.startswith(MAT)
    long, wide = _two(text.removeprefix(MAT).removeprefix("table "), project)
    drop = project.table.drop if project.table else TableSection.model_fields["drop"].default
    sizes = {"length": long, "width": wide, "drop": drop}
    table = None if is_mat else TableSection.model_validate(sizes, context={"units": "mm"})
    length = long if is_mat else long + 2 * drop
    width = wide if is_mat and project.grid is None else size_of(project)[1]
    label = _with_its_unit(text, project)
    return label, resize(project, length, width).model_copy(update={"table": table})


def may_change(project: Project) -> bool:
    """True for a design whose size may change by itself."""
    runner = project.runner
    by_corners = runner.outline is not None and project.grid is None
    both = runner.length is not None and runner.width is not None
    return (by_corners or both) and not _measured(project)


def size_of(project: Project) -> tuple[float, float]:
    """Finished length and width of a design whose size may change, in mm."""
    runner = project.runner
    if runner.outline is not None:
        along, across = ([point[axis] for point in runner.outline] for axis in (0, 1))
        return max(along) - min(along), max(across) - min(across)
    assert runner.length is not None and runner.width is not None
    return runner.length, runner.width


def _measured(project: Project) -> bool:
    grid = project.grid
    unequal = grid is not None and len(set(grid.blocks_along or ())) > 1
    return project.print is not None or unequal or (grid is not None and grid.measured)


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
    if max(long, wide) > MAX_LENGTH_MM:
        raise ValueError(f"{text!r} is more than 100 m; check the numbers and their unit")
    return long, wide


def resize(project: Project, length_mm: float, width_mm: float) -> Project:
    """The design as near that size as it allows; one whose size :func:`may_change`.

    The panels at hand are left out: they are as long as they are.

    Raises :class:`InputError` where the ends of an outline leave no room.
    """
    project = project.replaced(panel=())
    base = project.runner
    if base.outline is not None:
        return _lengthen_outline(project, (length_mm, width_mm))
    if project.grid is not None:
        grid, length_mm, width_mm = _lengthen_grid(project.grid, base, length_mm)
        motifs = tuple(
            _repeat_in_blocks(motif, project.grid.along, grid.along) for motif in project.motif
        )
        project = project.replaced(grid=grid)
    else:
        by = length_mm / (base.length or length_mm), width_mm / (base.width or width_mm)
        motifs = tuple(_in_proportion(motif, by) for motif in project.motif)
    changes = {"length": length_mm, "width": width_mm, "panel_join": _join(base, length_mm)}
    return project.replaced(runner=base.model_copy(update=changes), motif=motifs)


def _lengthen_outline(project: Project, size_mm: tuple[float, float]) -> Project:
    """An outline given by its corners, made longer or shorter in the middle; motifs go with it."""
    outline = project.runner.outline
    assert outline is not None
    sides = [[point[axis] for point in outline] for axis in (0, 1)]
    moved = [_move(project, side, wanted) for side, wanted in zip(sides, size_mm, strict=True)]
    low = [min(side) for side in sides]

    def placed(point: tuple[float, float]) -> tuple[float, float]:
        """A place from the lower left corner of the finished rectangle."""
        return moved[0](point[0] + low[0]) - low[0], moved[1](point[1] + low[1]) - low[1]

    changes: dict[str, object] = {"outline": tuple((moved[0](x), moved[1](y)) for x, y in outline)}
    if not isinstance(join := project.runner.panel_join, str):
        changes["panel_join"] = placed((join, 0.0))[0]
    motifs = tuple(
        motif.model_copy(update={"at": tuple(placed(at) for at in motif.at)})
        for motif in project.motif
    )
    runner = project.runner.model_copy(update=changes)
    return project.replaced(runner=runner, motif=motifs)


def _move(project: Project, at: Sequence[float], wanted_mm: float) -> Callable[[float], float]:
    """Where a place along one axis comes to: nothing moves before the middle, all after it."""
    middle, more = (min(at) + max(at)) / 2, wanted_mm - (max(at) - min(at))
    before = max(place for place in at if place < middle - SAME_MM)
    after = min(place for place in at if place > middle + SAME_MM)
    if after - before + more < SAME_MM:
        raise InputError(
            project.file_name,
            "runner.outline",
            f"its ends leave no room at {both_units(wanted_mm)}",
            f"give more than {both_units(wanted_mm - (after - before + more))}",
        )

    def moved(place: float) -> float:
        share = 0.5 if abs(place - middle) <= SAME_MM else float(place > middle)
        return place + share * more

    return moved


def block_step_mm(project: Project) -> tuple[float, float]:
    """Length of a runner of one block, and what each further block adds, in mm."""
    grid = project.grid
    assert grid is not None
    block = _block_mm(grid, project.runner)
    return block[0] + 2 * (grid.outer_sashing + grid.border), block[0] + grid.sashing


def _block_mm(grid: GridSection, base: RunnerSection) -> tuple[float, float]:
    """Size of a block along and across, whether the file gives it or it follows."""
    assert base.length is not None and base.width is not None
    edge = 2 * (grid.outer_sashing + grid.border)
    across = (base.width - edge - (grid.across - 1) * grid.sashing) / grid.across
    if grid.blocks_along:
        return grid.blocks_along[0], across
    return grid.block_size or (
        (base.length - edge - (grid.along - 1) * grid.sashing) / grid.along,
        across,
    )


def _lengthen_grid(
    grid: GridSection, base: RunnerSection, length_mm: float
) -> tuple[GridSection, float, float]:
    """The grid with as many blocks of the same size as come nearest the length, and its size."""
    assert base.width is not None
    edge, block = 2 * (grid.outer_sashing + grid.border), _block_mm(grid, base)
    step = block[0] + grid.sashing
    along = max(1, round((length_mm - edge + grid.sashing) / step - 1e-9))
    changed = grid.model_copy(update={"along": along, "block": block, "blocks_along": None})
    return changed, edge + along * step - grid.sashing, base.width


def _repeat_in_blocks(motif: MotifSection, before: int, after: int) -> MotifSection:
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
