"""The grid that follows from printed panels, and whether they are joined.

Panels are described once: their blocks, sashing and end strips make the grid of the runner. Two
panels are joined where one is too short, unless the file says how it is to be.
"""

from __future__ import annotations

from quiltpath.errors import InputError
from quiltpath.project.materials_sections import PanelSection
from quiltpath.project.project_file import Project
from quiltpath.project.runner_sections import GridSection
from quiltpath.units import both_units, count

SAME_MM = 1.0


def with_grid_of_panels(project: Project) -> Project:
    """The project with the join and the grid that its panels make; raises what contradicts."""
    if not project.panel:
        return project
    runner = project.runner
    if "panel_join" not in runner.model_fields_set:
        join = "centre" if _takes_two(project) else "none"
        runner = runner.model_copy(update={"panel_join": join})
    told = next((panel for panel in project.panel if panel.blocks_along), None)
    grid = _grid(project.grid, told or project.panel[0], runner.panel_join != "none")
    return project.replaced(runner=runner, **({} if grid is None else {"grid": grid}))


def _takes_two(project: Project) -> bool:
    """True where there are two panels of a kind for each copy and none is long enough by itself."""
    runner = project.runner
    along = [x for x, _ in runner.outline] if runner.outline else []
    wished = runner.length or (max(along) - min(along) if along else 0.0)
    longest = max(panel.print_mm[0] for panel in project.panel)
    copies = project.materials.copies
    return wished > longest and any(panel.count // copies > 1 for panel in project.panel)


def _grid(given: GridSection | None, panel: PanelSection, joined: bool) -> GridSection | None:
    if panel.blocks_along is None:
        if given is not None:
            _compare_with_print(given, panel, joined)
        return _filled_from_print(given, panel, joined)
    blocks = _joined_blocks(panel, panel.blocks_along) if joined else panel.blocks_along
    if given is None or (given.along == 1 and not _says_blocks(given)):
        base = given or GridSection()
        across = panel.blocks_across
        rows = {} if across is None else {"blocks_across": across, "across": len(across)}
        changes = {"along": len(blocks), "blocks_along": blocks, "sashing": panel.sashing, **rows}
        return base.model_copy(update=changes)
    _compare(given, blocks)
    return given


def _says_blocks(grid: GridSection) -> bool:
    return bool(grid.block or grid.blocks_along or grid.printed_along)


def _joined_blocks(panel: PanelSection, one: tuple[float, ...]) -> tuple[float, ...]:
    """The blocks of two panels in a row; across a printed join two halves make one block."""
    if panel.overlap > 0:
        return (*one[:-1], one[-1] + one[0], *one[1:])
    if panel.end_strip > 0:
        return (*one, *one)
    if panel.sashing > 0:
        raise InputError(
            "",
            "panel",
            "two panels with sashing are joined, but they have no end strip to meet in",
            "give end_strip, or overlap where the print runs on across the join",
        )
    return (*one[:-1], one[-1] - panel.seam, one[0] - panel.seam, *one[1:])


def _compare(grid: GridSection, blocks: tuple[float, ...]) -> None:
    """The blocks that the grid gives are those of the panels."""
    own = _own_blocks(grid)
    if own is None:
        return
    if len(own) != len(blocks):
        raise InputError(
            "",
            "panel",
            f"[grid] has {len(own)} blocks along, the panels have {len(blocks)}",
            "describe the blocks once: take them out of [grid]",
        )
    worst = max(range(len(own)), key=lambda i: abs(own[i] - blocks[i]))
    if abs(own[worst] - blocks[worst]) > SAME_MM:
        raise InputError(
            "",
            "panel",
            f"block {worst + 1} along is {own[worst]:.1f} mm in [grid] and {blocks[worst]:.1f} mm"
            " on the panels",
            "describe the blocks once: take them out of [grid]",
        )


def _compare_with_print(grid: GridSection, panel: PanelSection, joined: bool) -> None:
    """The blocks that the grid gives are as long as what is printed between the end strips.

    Without end strips nobody said where the blocks end: then the print must only hold them.
    """
    own = _own_blocks(grid)
    _check_width(grid, panel)
    if own is None:
        return
    near = SAME_MM * len(own)
    if joined and panel.end_strip > 0 and panel.overlap == 0:
        _check_halves(own)
        own, joined = own[: len(own) // 2], False
    blocks = sum(own) + (len(own) - 1) * grid.sashing
    printed = _printed_mm(panel, joined) - 2 * panel.end_strip
    exact = panel.end_strip > 0 and panel.overlap == 0
    if blocks <= printed + near and (not exact or blocks >= printed - near):
        return
    held = "between the end strips of a panel" if panel.end_strip > 0 else "on the panels"
    raise InputError(
        "",
        "panel",
        f"[grid] gives {count(len(own), 'block')} with their sashing, {both_units(blocks)};"
        f" {held} there are {both_units(printed)} of print",
        "measure printed, end_strip and the blocks again, or give blocks_along under [[panel]]",
    )


def _check_width(grid: GridSection, panel: PanelSection) -> None:
    """The rows of blocks lie on the print."""
    if grid.block_size is None or grid.blocks_across is not None:
        return
    rows = grid.across * grid.block_size[1] + (grid.across - 1) * grid.sashing
    if rows > panel.print_mm[1] + SAME_MM * grid.across:
        raise InputError(
            "",
            "panel",
            f"the blocks of [grid] are {both_units(rows)} across, the print is"
            f" {both_units(panel.print_mm[1])} wide",
            "measure printed and the blocks again",
        )


def _printed_mm(panel: PanelSection, joined: bool) -> float:
    """Length of print on one panel, or on two that are joined, in mm."""
    if not joined:
        return panel.print_mm[0]
    return 2 * (panel.print_mm[0] - (panel.overlap or panel.seam))


def _check_halves(own: tuple[float, ...]) -> None:
    if len(own) % 2:
        raise InputError(
            "",
            "panel",
            f"{len(own)} blocks along cannot be shared by two panels",
            "give the blocks on one panel as blocks_along under [[panel]]",
        )


def _own_blocks(grid: GridSection) -> tuple[float, ...] | None:
    if grid.printed_along is not None:
        ends = grid.printed_along
        return tuple(high - low for low, high in zip(ends[::2], ends[1::2], strict=True))
    if grid.blocks_along is not None:
        count = grid.along if "along" in grid.model_fields_set else len(grid.blocks_along)
        return tuple(grid.blocks_along[i % len(grid.blocks_along)] for i in range(count))
    return None if grid.block_size is None else (grid.block_size[0],) * grid.along


def _filled_from_print(
    grid: GridSection | None, panel: PanelSection, joined: bool
) -> GridSection | None:
    """Blocks that were only counted share what is printed between the end strips."""
    if grid is None or _says_blocks(grid) or panel.end_strip <= 0:
        return None
    panels = 2 if joined else 1
    if joined:
        _check_halves((0.0,) * grid.along)
    each = grid.along // panels
    block = (panel.print_mm[0] - 2 * panel.end_strip - (each - 1) * grid.sashing) / each
    return grid.model_copy(update={"blocks_along": (block,) * grid.along})
