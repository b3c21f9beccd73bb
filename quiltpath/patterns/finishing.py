"""What befalls every layer's lines once they are drawn.

They are bent with a print that lies askew, cut away where they come too near a motif, dropped where
they lie along the finished edge, and carried on past it to start and stop in the wadding.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Geometries
from quiltpath.geometry.print_warp import PrintWarp
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns.echo import arc_pieces
from quiltpath.patterns.lines import Remark
from quiltpath.patterns.strokes import Strokes, clip_strokes, objects, pieces, strokes
from quiltpath.units import both_units

COARSER_MM = 0.01
"""Zones are simplified by this much, and made larger by it first, so that none falls short."""


def keep_clear(drawn: Strokes, runner: Runner, clearance_mm: float) -> Strokes:
    """The strokes without what lies within ``clearance_mm`` of any motif.

    A tree finds which lines meet which motifs, so that each line is cut by its own motifs alone:
    all lines by the first of theirs, then all by the second, until none is left. Work grows with
    the number of such meetings.
    """
    zones = _zones(runner, clearance_mm)
    line, zone = _meetings(drawn.geometry, zones)
    if not len(line):
        return drawn
    rank = np.arange(len(line)) - np.searchsorted(line, line)
    cut = drawn.geometry.copy()
    for turn in range(int(rank.max()) + 1):
        now = rank == turn
        cut[line[now]] = shapely.difference(cut[line[now]], zones[zone[now]])
    return pieces(drawn, cut)


def clearance_curves(runner: Runner, clearance_mm: float, area: BaseGeometry) -> Geometries:
    """(k,) LineStrings at ``clearance_mm`` from the motifs, as far as they lie in ``area``.

    Lines that are kept clear end on them.
    """
    zones = shapely.union_all(_zones(runner, clearance_mm))
    inside = shapely.intersection(area, runner.outline)
    curves = shapely.get_parts(shapely.line_merge(shapely.intersection(zones.boundary, inside)))
    return curves[shapely.get_type_id(curves) == shapely.GeometryType.LINESTRING]


def drop_crumbs(drawn: Strokes, runner: Runner, clearance_mm: float, apart_mm: float) -> Strokes:
    """The strokes without those in holes of motifs where two lines ``apart_mm`` find no room.

    What is left of a fill there is a crumb with two securings. A hole is measured by the widest
    circle in what the clearance leaves of it.
    """
    parts = shapely.get_parts(objects([motif.shape for motif in runner.motifs]))
    rings = [hole for part in parts for hole in part.interiors]
    if not rings or not len(drawn):
        return drawn
    holes = shapely.get_parts(shapely.buffer(shapely.polygons(rings), -clearance_mm))
    holes = holes[~shapely.is_empty(holes)]
    if not len(holes):
        return drawn
    width = 2 * shapely.length(shapely.maximum_inscribed_circle(holes, 0.1))
    narrow = shapely.buffer(holes[width < 2 * apart_mm], COARSER_MM)
    line, hole = shapely.STRtree(narrow).query(drawn.geometry)
    inside = shapely.covers(narrow[hole], drawn.geometry[line])
    kept = np.setdiff1d(np.arange(len(drawn)), line[inside])
    return Strokes(drawn.geometry[kept], drawn.within[kept], drawn.source[kept])


def _meetings(lines: Geometries, zones: Geometries) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Indices of lines, rising, and of the zones that each one meets."""
    line, zone = shapely.STRtree(zones).query(lines)
    shapely.prepare(zones)
    met = shapely.intersects(zones[zone], lines[line])
    line, zone = line[met], zone[met]
    order = np.lexsort((zone, line))
    return line[order], zone[order]


def _zones(runner: Runner, clearance_mm: float) -> Geometries:
    """The shapes that lines stay out of, one for each part of each motif."""
    parts = shapely.get_parts(objects([motif.shape for motif in runner.motifs]))
    if clearance_mm > 0:
        reach = clearance_mm + COARSER_MM
        parts = shapely.buffer(parts, reach, quad_segs=arc_pieces(reach))
        coarser = shapely.simplify(parts, COARSER_MM, preserve_topology=False)
        parts = shapely.get_parts(np.where(shapely.is_valid(coarser), coarser, parts))
    return parts


USUAL_OVERRUN_MM = 12.0
"""About half an inch is enough to start and stop in the wadding (common practice)."""

AT_THE_EDGE_MM = 1e-6

SEAM_MM = 6.35
"""A double-fold binding is sewn on with a 1/4 in seam (common practice)."""

SAMPLED = (0.31, 0.53, 0.72)
"""Shares of a line's length at which it is looked at."""


def overrun_length(runner: Runner, wanted_mm: float | None) -> float:
    """The overrun in mm; raises :class:`InputError` where there is no wadding to carry it."""
    if wanted_mm is None:
        return min(USUAL_OVERRUN_MM, runner.margin_mm)
    if wanted_mm > runner.margin_mm:
        raise InputError(
            "",
            "overrun",
            f"{both_units(wanted_mm)} is past the wadding, whose margin is"
            f" {both_units(runner.margin_mm)}",
            "give that much or less, or widen runner.margin",
        )
    return wanted_mm


def off_the_edge(lines: Geometries, outline: Polygon) -> NDArray[np.bool_]:
    """(n,) false for lines that lie along the finished edge, where the binding would hide them."""
    along = _beside_edge(lines, outline, AT_THE_EDGE_MM)
    # A scalloped row may touch the edge at every sample and still be none of it.
    band = shapely.buffer(outline.exterior, 10 * AT_THE_EDGE_MM)
    beside = shapely.length(shapely.intersection(lines[along], band))
    along[along] = beside > 0.99 * shapely.length(lines[along])
    return ~along


def under_the_binding(lines: Geometries, outline: Polygon) -> NDArray[np.bool_]:
    """(n,) true for lines that run beside the finished edge, less than a seam's width from it."""
    return _beside_edge(lines, outline, SEAM_MM - AT_THE_EDGE_MM)


def _beside_edge(lines: Geometries, outline: Polygon, within_mm: float) -> NDArray[np.bool_]:
    edge = outline.exterior
    shapely.prepare(edge)
    beside = shapely.dwithin(edge, lines, within_mm + AT_THE_EDGE_MM)
    for share in SAMPLED:
        samples = shapely.line_interpolate_point(lines[beside], share, normalized=True)
        beside[beside] = shapely.distance(samples, edge) <= within_mm
    return np.asarray(beside, dtype=np.bool_)


def run_on(lines: Geometries, outline: Polygon, overrun_mm: float) -> Geometries:
    """The lines, each end that lies on the outline carried on straight by ``overrun_mm``."""
    points, index = shapely.get_coordinates(lines, return_index=True)
    first = np.searchsorted(index, np.arange(len(lines)))
    last = np.searchsorted(index, np.arange(len(lines)), side="right") - 1
    is_open = ~shapely.is_closed(lines)
    moved = points.copy()
    for end, inner in ((first, first + 1), (last, last - 1)):
        gap = shapely.distance(shapely.points(points[end]), outline.exterior)
        on_edge = is_open & (gap <= AT_THE_EDGE_MM)
        onward = (points[end] - points[inner])[on_edge]
        moved[end[on_edge]] += onward * (overrun_mm / np.hypot(*onward.T))[:, None]
    return shapely.linestrings(moved, indices=index)


def bend_to_print(drawn: Strokes, runner: Runner) -> Strokes:
    """Strokes of the even runner as they lie on the cloth, cut to the finished outline.

    Those that end on the even outline are carried on first, so that they reach the true one.
    """
    if runner.print_warp is None or runner.even is None:
        return drawn
    reach = 2 * runner.print_warp.largest_shift_mm + 5.0
    longer = run_on(drawn.geometry, runner.even.outline, reach)
    bent = strokes(runner.print_warp.bent(longer), runner.outline, "")
    return clip_strokes(Strokes(bent.geometry, bent.within, drawn.source))


def distortion_facts(warp: PrintWarp) -> Remark:
    """The distortion in figures."""
    along, across = (_percent(*range_) for range_ in warp.stretch)
    return Remark(
        "print-followed",
        f"lines follow the print, which lies up to {warp.largest_shift_mm:.1f} mm from even:"
        f" it leans by {warp.skew_deg:+.1f} degrees, distances along change by {along},"
        f" across by {across}",
        'write follow = "ruler" in a layer to keep its lines straight',
    )


def near_even_facts(warp: PrintWarp) -> Remark:
    """That the print was measured, and is so nearly even that nothing follows it."""
    return Remark(
        "print-nearly-even",
        f"the print lies within {warp.largest_shift_mm:.1f} mm of an even one: straight lines stay"
        " straight",
    )


def _percent(least: float, greatest: float) -> str:
    return f"{100 * (least - 1):+.1f} to {100 * (greatest - 1):+.1f} percent"
