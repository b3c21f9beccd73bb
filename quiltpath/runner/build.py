"""Project to runner: the cloth as it will lie finished."""

from __future__ import annotations

from shapely.geometry import LineString, Polygon

from quiltpath.errors import InputError
from quiltpath.project import Project
from quiltpath.runner.bands import bands
from quiltpath.runner.motifs import place_motifs
from quiltpath.runner.outline import finished_outline
from quiltpath.runner.printing import as_printed
from quiltpath.runner.regions import printed_lines, regions
from quiltpath.runner.runner import Region, RegionKind, Runner, Seam
from quiltpath.units import both_units


def build(project: Project) -> Runner:
    """The runner that ``project`` describes; raises :class:`InputError` for contradictions."""
    outline = finished_outline(project)
    named, printed = _grid(project, outline)
    blocks = tuple(region for region in named if region.kind is RegionKind.BLOCK)
    even = Runner(
        outline=outline,
        regions=named,
        printed=printed,
        motifs=place_motifs(project, blocks, outline),
        seams=_seams(project, outline),
        margin_mm=project.runner.margin,
    )
    return as_printed(even, project.print)


def _grid(project: Project, outline: Polygon) -> tuple[tuple[Region, ...], tuple[LineString, ...]]:
    if project.grid is None:
        return (), ()
    _, _, length, width = outline.bounds
    along, across = bands(project.grid, 0, length), bands(project.grid, 1, width)
    named = regions(along, across, outline, project.grid.cornerstones)
    return named, printed_lines(along, across, outline)


def _seams(project: Project, outline: Polygon) -> tuple[Seam, ...]:
    """The join of two panels, across the whole width."""
    join = project.runner.panel_join
    if join == "none":
        return ()
    low_x, low_y, high_x, high_y = outline.bounds
    at = (low_x + high_x) / 2 if join == "centre" else float(join)
    if not low_x < at < high_x:
        raise InputError(
            "",
            "runner.panel_join",
            f"{both_units(at)} is not on the runner",
            f"give a position between 0 and {both_units(high_x)}, or 'centre'",
        )
    _, low, _, high = outline.intersection(LineString([(at, low_y), (at, high_y)])).bounds
    return (Seam("panel join", LineString([(at, low), (at, high)]), is_panel_join=True),)
