"""Lines that reach the finished edge run on past it, to start and stop in the margin."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.errors import InputError
from quiltpath.quilting.strokes import Geometries
from quiltpath.runner.runner import Runner
from quiltpath.units import both_units

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
    samples = [shapely.line_interpolate_point(lines, t, normalized=True) for t in SAMPLED]
    distance = [shapely.distance(points, outline.exterior) for points in samples]
    return np.logical_and.reduce([each <= within_mm for each in distance])


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
