"""Clamshells and fans: half circles in rows that rest between those of the row below."""

from __future__ import annotations

import math
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from quiltpath.geometry.curves import Points, arc, chain_paths
from quiltpath.patterns.frame import FigureFit, Frame, Tiling, fit_figures, repeats
from quiltpath.patterns.kind import EITHER, Kind
from quiltpath.patterns.layer import INCH, RepeatingLayer, about
from quiltpath.schema import LengthOrZero, Spacing


class ClamshellsLayer(RepeatingLayer):
    """Half circles in rows, each resting between two of the row below."""

    kind: Literal["clamshells"]
    size: Spacing = about(3 * INCH)
    """width of one shell"""


class FansLayer(RepeatingLayer):
    """Overlapping fans of concentric arcs, as if swung from the elbow."""

    kind: Literal["fans"]
    inset: LengthOrZero = 0.0
    size: Spacing = about(6 * INCH)
    """width of one fan"""
    arcs: Annotated[int, Field(ge=2, le=8)] = 5
    """how many arcs lie in one fan"""

    @property
    def apart_mm(self) -> float:
        """Distance from arc to arc."""
        return self.size.mm / 2 / self.arcs


def clamshells(layer: ClamshellsLayer, frame: Frame) -> list[Points]:
    """Rows of half circles; every second row begins and ends with a quarter circle.

    The valleys of a row stand on the tops of the row below, and the ends of a quarter-circle row
    on the ends of the row above it. With an odd number of rows only the two lowest ends are odd,
    so that the whole is one path.
    """
    fit = fit_figures(frame, layer.size, 2.0, Tiling(column=2.0, row=1.0, odd_rows=True))
    return [_row(fit, row) for row in range(fit.rows)]


def _row(fit: FigureFit, row: int) -> Points:
    radius, base = fit.unit, fit.below + row * fit.unit
    if row % 2 == 0:
        centres = fit.left + radius * (1 + 2 * np.arange(fit.columns))
        return chain_paths(
            [quarter for x in centres for quarter in _half_circle((x, base), radius)]
        )
    centres = fit.left + 2 * radius * np.arange(fit.columns + 1)
    inner = [q for x in centres[1:-1] for q in _half_circle((x, base), radius)]
    first, last = (centres[0], base), (centres[-1], base)
    return chain_paths([arc(first, radius, 90, 0), *inner, arc(last, radius, 180, 90)])


def _half_circle(centre: tuple[float, float], radius: float) -> list[Points]:
    """Two quarters, so that the top is a point of the line, on which the row above stands."""
    return [arc(centre, radius, 180, 90), arc(centre, radius, 90, 0)]


def fans(layer: FansLayer, frame: Frame) -> list[Points]:
    """Fans of concentric arcs; each row stands behind the one in front, about half a radius higher.

    A whole number of fans fills the length and a whole number of rows the width. Every arc stops
    where it meets the outermost arc of a fan in front, so that the needle can step from arc to arc
    along it. What stands above the frame is cut off there.
    """
    columns, size = repeats(layer.size, frame.length)
    radius = size / 2
    rows = max(1, math.floor(2 * frame.width / radius + 0.5))
    rise = frame.width / rows
    left = (frame.length - columns * size) / 2
    radii = radius * np.arange(1, layer.arcs + 1) / layer.arcs
    drawn = []
    for row in range(rows):
        odd = row % 2
        for place in range(columns + odd):
            centre = (left + radius * (2 * place + 1 - odd), row * rise)
            half = (odd and place == 0, odd and place == columns)
            low = [_where_it_meets(r / radius, rise / radius) if row else 0.0 for r in radii]
            drawn += [
                arc(centre, float(r), 90.0 if half[0] else 180.0 - t, 90.0 if half[1] else t)
                for r, t in zip(radii, low, strict=True)
            ]
    return drawn


def _where_it_meets(share: float, rise: float) -> float:
    """Angle above level, in degrees, at which an arc comes down on the fan in front.

    With the fan's radius as 1 and the rows ``rise`` apart, the fan in front is centred at
    (1, -rise). The point share (cos t, sin t) lies on it where
    share (cos t - rise sin t) = (share^2 + rise^2) / 2.
    """
    cosine = (share**2 + rise**2) / (2 * share * math.hypot(1.0, rise))
    return math.degrees(math.acos(min(1.0, cosine)) - math.atan(rise))


KINDS = (
    Kind(ClamshellsLayer, EITHER, in_frame=clamshells, one_path=True),
    Kind(FansLayer, EITHER, in_frame=fans, hides_thread=True),
)
