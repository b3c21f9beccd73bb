"""Project to runner: the flat top, as it is marked and sewn.

Where the print was measured, blocks, strips, lines and motifs lie where they really are.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import LineString, Polygon

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import distinct
from quiltpath.geometry.print_warp import PrintWarp, from_measures
from quiltpath.geometry.runner_shapes import PlacedMotif, Region, RegionKind, Runner, Seam
from quiltpath.language import message
from quiltpath.project import Project
from quiltpath.project.runner_sections import PrintSection
from quiltpath.runner.grid import (
    SUM_TOLERANCE_MM,
    AxisSize,
    Bands,
    bands,
    printed_lines,
    regions,
    whole_blocks,
)
from quiltpath.runner.motifs import place_motifs, trimmed_motifs
from quiltpath.runner.outlines import finished_outline
from quiltpath.runner.panel_steps import reachable_size_mm
from quiltpath.runner.states import Pair, stretch_shape
from quiltpath.units import both_units

ON_THE_EDGE_MM = 1e-6

NEARLY_EVEN_MM = 1.0
"""A print that lies nearer than this to the even drawing is even: a tape tells no less, and a
straight line stays one that a ruler can draw."""


def build(project: Project, kept: Pair = (1.0, 1.0)) -> Runner:
    """The flat runner: the top before quilting.

    What is placed on the runner keeps its distance from the middle; what was measured on the cloth
    stays where it was measured.

    Args:
        project: what the file says of the runner, its grid, print and motifs.
        kept: what is left of 1 mm of flat top in the state in which the project gives the runner's
            size, along and across.

    Returns:
        Named shapes in mm, x along the runner, y across it.

    Raises:
        InputError: sizes that contradict each other, with the sum.

    Example:
        >>> from quiltpath.project import parse
        >>> build(parse('runner = { length = "600 mm", width = "200 mm" }'), kept=(0.96, 1.0))
        Runner(625.0 x 200.0 mm, 0 blocks, 0 motifs)
    """
    wished = finished_outline(project)
    wanted = reachable_size_mm(project, (wished.bounds[2] / kept[0], wished.bounds[3] / kept[1]))
    along, across = _bands(project, wished, wanted)
    pieced = project.top.made == "pieced"
    outline = _flat_outline(wished, along, across, wanted, pieced=pieced)
    named, printed = _grid(project, along, across, outline)
    blocks = tuple(region for region in named if region.kind is RegionKind.BLOCK)
    shift = _shift_mm(project, wished, outline)
    even = Runner(
        outline=outline,
        regions=named,
        printed=printed,
        motifs=_motifs(project, blocks, outline, shift, (along, across)),
        seams=_seams(project, outline, shift[0]),
        margin_mm=project.runner.margin,
        shift_mm=shift,
        trimmed_mm=(_cut_into(along), _cut_into(across)),
    )
    return as_printed(even, project.print, (wished.bounds[2], wished.bounds[3]))


def flat_bands(project: Project, kept: Pair) -> tuple[Bands, Bands]:
    """The grid's bands on the flat runner, along and across; none without a grid."""
    wished = finished_outline(project)
    wanted = reachable_size_mm(project, (wished.bounds[2] / kept[0], wished.bounds[3] / kept[1]))
    return _bands(project, wished, wanted)


def _bands(project: Project, wished: Polygon, wanted: Pair) -> tuple[Bands, Bands]:
    if project.grid is None:
        return (), ()
    top = project.top
    pieced, mark = top.made == "pieced", project.ruler_mark_mm
    sizes = [
        AxisSize(size, flat, top.grows or "", pieced, mark, of_table)
        for size, flat, of_table in zip(
            wished.bounds[2:], wanted, project.sizes_of_table, strict=True
        )
    ]
    return bands(project.grid, 0, sizes[0]), bands(project.grid, 1, sizes[1])


def _flat_outline(
    wished: Polygon, along: Bands, across: Bands, wanted: Pair, *, pieced: bool
) -> Polygon:
    """The wished outline as it lies flat: as large as wanted, or as the bands come to."""
    by = []
    for size, flat, laid in zip(wished.bounds[2:], wanted, (along, across), strict=True):
        # A print without a part that grows ends where its last band does; so does what is pieced.
        ends = bool(laid) and (pieced or laid[-1].high < flat - SUM_TOLERANCE_MM)
        by.append((laid[-1].high if ends else flat) / size)
    if by == [1.0, 1.0]:
        return wished
    return stretch_shape(wished, (by[0], by[1]))


def _shift_mm(project: Project, wished: Polygon, outline: Polygon) -> Pair:
    """What brings a place on the wished runner to the flat one, along and across.

    The middle stays the middle. Where positions were measured on the cloth nothing moves.
    """
    measured = project.grid is not None and project.grid.measured
    if measured or (project.print is not None and project.print.points is not None):
        return 0.0, 0.0
    more = [flat - size for flat, size in zip(outline.bounds[2:], wished.bounds[2:], strict=True)]
    return more[0] / 2, more[1] / 2


def _motifs(
    project: Project,
    blocks: tuple[Region, ...],
    outline: Polygon,
    shift: Pair,
    laid: tuple[Bands, Bands],
) -> tuple[PlacedMotif, ...]:
    """Motifs in their blocks; where ends are trimmed into blocks, what is left of the motifs."""
    if not any(_cut_into(bands_) for bands_ in laid):
        return place_motifs(project, blocks, outline, shift)
    return trimmed_motifs(place_motifs(project, whole_blocks(*laid), None, shift), outline)


def _cut_into(laid: Bands) -> float:
    """How far each end is trimmed into the printed blocks, in mm."""
    return max(0.0, -laid[0].low) if laid else 0.0


def _grid(
    project: Project, along: Bands, across: Bands, outline: Polygon
) -> tuple[tuple[Region, ...], tuple[LineString, ...]]:
    if project.grid is None:
        return (), ()
    named = regions(along, across, outline, project.grid.cornerstones)
    return named, printed_lines(along, across, outline)


def _seams(project: Project, outline: Polygon, shift: float) -> tuple[Seam, ...]:
    """The join of two panels, across the whole width."""
    join = project.runner.panel_join
    if join == "none":
        return ()
    low_x, low_y, high_x, high_y = outline.bounds
    at = (low_x + high_x) / 2 if join == "centre" else float(join) + shift
    if not low_x < at < high_x:
        raise InputError(
            "",
            "runner.panel_join",
            f"{both_units(float(join))} is not on the runner",
            f"give a position between 0 and {both_units(high_x)}, or 'centre'",
        )
    _, low, _, high = outline.intersection(LineString([(at, low_y), (at, high_y)])).bounds
    return (Seam(message("panel join"), LineString([(at, low), (at, high)]), is_panel_join=True),)


def as_printed(even: Runner, section: PrintSection | None, wished: Pair | None = None) -> Runner:
    """The runner as it lies on the cloth; the even one is kept beside it for drawing on.

    A print that is all but even keeps its straight lines: only how it lies is kept, to be told.

    The outline stays as it is: the runner is cut to it with a ruler. Motifs move with their
    middles and keep their shape. ``wished`` is the wished size, which a print that was measured
    before its ends were trimmed may have. Raises :class:`InputError` for measures that cannot be.
    """
    if section is None:
        return even
    warp = _warp(even, section, wished or (even.length_mm, even.width_mm))
    if warp.largest_shift_mm < NEARLY_EVEN_MM:
        return replace(even, print_warp=warp)
    return replace(
        even,
        regions=_moved_regions(even, warp),
        printed=_moved_printed(even, warp),
        motifs=tuple(_moved_motif(motif, warp) for motif in even.motifs),
        print_warp=warp,
        even=even,
    )


def _objects(values: tuple[object, ...]) -> np.ndarray:
    out = np.empty(len(values), dtype=object)
    out[:] = values
    return out


def _warp(even: Runner, section: PrintSection, wished: Pair) -> PrintWarp:
    if section.points is not None:
        return _from_points(even, section.points)
    flat = even.length_mm, even.width_mm
    long, wide = _measured_size(section, flat, wished)
    try:
        warp = from_measures(
            long,
            wide,
            lengths=section.lengths,
            widths=section.widths,
            diagonals=section.diagonals,
            bow=section.bow,
            bow_lengthwise=section.bow_lengthwise,
        )
        return warp.shifted((flat[0] - long) / 2, (flat[1] - wide) / 2)
    except ValueError as error:
        raise InputError.parted("print.diagonals", error) from None


def _measured_size(section: PrintSection, flat: Pair, wished: Pair) -> Pair:
    """The size that the measures are about: the trimmed top's, or the print's as designed."""

    def misfit(size: Pair) -> float:
        means = [
            abs(float(np.mean(measures)) - side)
            for measures, side in zip((section.lengths, section.widths), size, strict=True)
            if measures is not None
        ]
        if section.diagonals is not None:
            means.append(abs(math.hypot(*section.diagonals) / math.sqrt(2) - math.hypot(*size)))
        return sum(means)

    return min((flat, wished), key=misfit)


def _from_points(even: Runner, points: tuple[tuple[tuple[float, float], ...], ...]) -> PrintWarp:
    """One node for each crossing of the printed lines."""
    bounds = shapely.bounds(_objects(even.printed)).reshape(-1, 4)
    upright = bounds[:, 2] - bounds[:, 0] < 1e-6
    x, y = distinct(np.round(bounds[upright, 0], 6)), distinct(np.round(bounds[~upright, 1], 6))
    at = np.array(points, dtype=np.float64)
    if at.shape[:2] != (len(y), len(x)):
        raise InputError(
            "",
            "print.points",
            f"{at.shape[0]} rows of {at.shape[1]} points are given, but the grid has {len(y)}"
            f" lengthwise and {len(x)} crosswise lines",
            "give one row for each lengthwise line and one point for each crosswise line",
        )
    if (np.diff(at[..., 0], axis=1) <= 0).any() or (np.diff(at[..., 1], axis=0) <= 0).any():
        raise InputError("", "print.points", "the points are out of order", "go up row by row")
    return PrintWarp(x, y, at)


def _moved_regions(even: Runner, warp: PrintWarp) -> tuple[Region, ...]:
    bent = warp.bent(_objects(tuple(region.shape for region in even.regions)))
    shapes = shapely.intersection(bent, even.outline)
    return tuple(
        replace(region, shape=shape)
        for region, shape in zip(even.regions, shapes, strict=True)
        if isinstance(shape, Polygon) and not shape.is_empty
    )


def _moved_printed(even: Runner, warp: PrintWarp) -> tuple[LineString, ...]:
    """The printed lines as they lie; those that ran to the finished edge still do."""
    reach = 2 * warp.largest_shift_mm + 5.0
    longer = tuple(_reaching(line, even.outline, reach) for line in even.printed)
    cut = shapely.intersection(warp.bent(_objects(longer)), even.outline)
    return tuple(part for part in shapely.get_parts(cut) if isinstance(part, LineString))


def _reaching(line: LineString, outline: Polygon, reach_mm: float) -> LineString:
    """A straight printed line, carried on at each end that lies on the finished edge."""
    start, end = np.array(line.coords)[[0, -1]]
    step = (end - start) / line.length * reach_mm
    if shapely.distance(shapely.Point(start), outline.exterior) < ON_THE_EDGE_MM:
        start = start - step
    if shapely.distance(shapely.Point(end), outline.exterior) < ON_THE_EDGE_MM:
        end = end + step
    return LineString([start, end])


def _moved_motif(motif: PlacedMotif, warp: PrintWarp) -> PlacedMotif:
    low_x, low_y, high_x, high_y = motif.shape.bounds
    middle = np.array([[(low_x + high_x) / 2, (low_y + high_y) / 2]])
    dx, dy = (warp.moved(middle) - middle)[0]
    outlines = tuple(translate(line, dx, dy) for line in motif.outlines)
    return replace(motif, shape=translate(motif.shape, dx, dy), outlines=outlines)
