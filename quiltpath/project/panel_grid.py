"""The grid that follows from printed panels, and whether they are joined.

Panels are described once: their blocks, sashing and end strips make the grid of the runner. Two
panels are joined where one is too short, unless the file says how it is to be.
"""

from __future__ import annotations

from quiltpath.errors import InputError
from quiltpath.project.materials_sections import PanelSection
from quiltpath.project.project_file import Project
from quiltpath.project.runner_sections import GridSection

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
    """True where there are two panels of a kind and none is long enough by itself."""
    runner = project.runner
    along = [x for x, _ in runner.outline] if runner.outline else []
    wished = runner.length or (max(along) - min(along) if along else 0.0)
    longest = max(panel.print_mm[0] for panel in project.panel)
    return wished > longest and any(panel.count > 1 for panel in project.panel)


def _grid(given: GridSection | None, panel: PanelSection, joined: bool) -> GridSection | None:
    if panel.blocks_along is None:
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
    if grid.along % panels:
        raise InputError(
            "",
            "panel",
            f"{grid.along} blocks along cannot be shared by two panels",
            "give the blocks on one panel as blocks_along under [[panel]]",
        )
    count = grid.along // panels
    block = (panel.print_mm[0] - 2 * panel.end_strip - (count - 1) * grid.sashing) / count
    return grid.model_copy(update={"blocks_along": (block,) * grid.along})
