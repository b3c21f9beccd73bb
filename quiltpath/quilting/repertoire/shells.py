"""Clamshells and fans: half circles in rows that rest between those of the row below."""

from __future__ import annotations

import math

import numpy as np

from quiltpath.project.repertoire_sections import ClamshellsLayer, FansLayer
from quiltpath.quilting.curves import Points, arc, chained
from quiltpath.quilting.frame import Fitting, Frame, Tiling, fitted


def clamshells(layer: ClamshellsLayer, frame: Frame) -> list[Points]:
    """Rows of half circles; every second row begins and ends with a quarter circle.

    The valleys of a row stand on the tops of the row below, and the ends of a quarter-circle row
    on the ends of the row above it. With an odd number of rows only the two lowest ends are odd,
    so that the whole is one path.
    """
    fit = fitted(frame, layer.size, 2.0, Tiling(column=2.0, row=1.0, odd_rows=True))
    return [_row(fit, row) for row in range(fit.rows)]


def _row(fit: Fitting, row: int) -> Points:
    radius, base = fit.unit, fit.below + row * fit.unit
    if row % 2 == 0:
        centres = fit.left + radius * (1 + 2 * np.arange(fit.columns))
        return chained([quarter for x in centres for quarter in _half_circle((x, base), radius)])
    centres = fit.left + 2 * radius * np.arange(fit.columns + 1)
    inner = [q for x in centres[1:-1] for q in _half_circle((x, base), radius)]
    first, last = (centres[0], base), (centres[-1], base)
    return chained([arc(first, radius, 90, 0), *inner, arc(last, radius, 180, 90)])


def _half_circle(centre: tuple[float, float], radius: float) -> list[Points]:
    """Two quarters, so that the top is a point of the line, on which the row above stands."""
    return [arc(centre, radius, 180, 90), arc(centre, radius, 90, 0)]


def fans(layer: FansLayer, frame: Frame) -> list[Points]:
    """Fans of concentric arcs; each row lies half a radius behind the one in front of it.

    Every arc stops where it meets the outermost arc of a fan in front.
    """
    tiling = Tiling(column=2.0, row=0.5, extra_width=0.5)
    fit = fitted(frame, layer.size, 2.0, tiling)
    radii = fit.unit * np.arange(1, layer.arcs + 1) / layer.arcs
    drawn = []
    for row in range(fit.rows):
        for centre in _fan_centres(fit, row):
            drawn += [_visible(centre, r, fit, row) for r in radii]
    return [points for points in drawn if len(points)]


def _fan_centres(fit: Fitting, row: int) -> list[tuple[float, float]]:
    """Whole fans in even rows, half fans at the ends of odd rows."""
    shift = 1 if row % 2 == 0 else 0
    number = fit.columns + row % 2
    base = fit.below + row * fit.unit / 2
    return [(fit.left + fit.unit * (shift + 2 * i), base) for i in range(number)]


def _visible(centre: tuple[float, float], radius: float, fit: Fitting, row: int) -> Points:
    """The part of one arc that no fan in front and no side of the field cuts off."""
    low = 0.0 if row == 0 else -math.degrees(_down_to_front(radius / fit.unit))
    start, end = 180.0 - low, low
    right = fit.left + 2 * fit.unit * fit.columns
    if centre[0] - fit.unit < fit.left - 1e-9:
        start = 90.0
    if centre[0] + fit.unit > right + 1e-9:
        end = 90.0
    return arc(centre, radius, start, end)


def _down_to_front(share: float) -> float:
    """How far below level, in radians, an arc of ``share`` of the fan's radius meets the front fan.

    With the fan's radius as 1 the fan in front is centred at (1, -1/2). A point of the arc,
    share (cos t, sin t), lies on it where share (2 cos t - sin t) = share^2 + 1/4.
    """
    cosine = (share**2 + 0.25) / (share * math.sqrt(5.0))
    return -(math.acos(min(1.0, cosine)) - math.atan2(1.0, 2.0))
