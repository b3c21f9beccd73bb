"""Interlocking squares, nested hexagons, and squares or diamonds one inside the other."""

from __future__ import annotations

import math
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from quiltpath.geometry.curves import Points
from quiltpath.patterns.frame import Frame, Tiling, fitted
from quiltpath.patterns.layer import INCH, _Figures, _Medallion, about
from quiltpath.schema import Spacing

STEP = 2 / 3
"""From one square to the next, as a share of the side: they overlap by a third."""


def interlocking_squares(layer: InterlockingSquaresLayer, frame: Frame) -> list[Points]:
    """Squares on every second place of a grid, each overlapping its four diagonal neighbours.

    Three rows at the least, so that in a narrow strip the squares interlock as well.
    """
    tiling = Tiling(STEP, STEP, 1 - STEP, 1 - STEP, 3, odd_rows=True, odd_columns=True)
    fit = fitted(frame, layer.size, 1.0, tiling)
    pitch = STEP * fit.unit
    corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]]) * fit.unit
    return [
        corners + np.array([fit.left + column * pitch, fit.below + row * pitch])
        for row in range(fit.rows)
        for column in range(fit.columns)
        if (row + column) % 2 == 0
    ]


def nested_hexagons(layer: HexagonsLayer, frame: Frame) -> list[Points]:
    """Regular hexagons with points along the length, and smaller ones at even distances inside."""
    tiling = Tiling(
        0.75,
        math.sqrt(3) / 4,
        extra_length=0.25,
        extra_width=math.sqrt(3) / 4,
        odd_rows=True,
        odd_columns=True,
    )
    fit = fitted(frame, layer.size, 1.0, tiling)
    turn = np.radians(60.0 * np.arange(7))
    hexagon = np.column_stack([np.cos(turn), np.sin(turn)]) * fit.unit / 2
    hexagon[-1] = hexagon[0]
    high = math.sqrt(3) / 2 * fit.unit
    drawn = []
    for column in range(fit.columns):
        x = fit.left + fit.unit * (0.5 + 0.75 * column)
        for row in range(column % 2, fit.rows, 2):
            centre = (x, fit.below + high / 2 * (row + 1))
            shares = 1 - np.arange(layer.rings) / layer.rings
            drawn += [hexagon * share + centre for share in shares]
    return drawn


def concentric(layer: ConcentricLayer, frame: Frame) -> list[Points]:
    """Squares or diamonds at even distances, from the edge of each cell to its middle."""
    return [ring for cell in frame.cells(layer.spacing.mm) for ring in _in_cell(layer, cell)]


def _in_cell(layer: ConcentricLayer, cell: Frame) -> list[Points]:
    """Rings of one cell, the innermost as far from its fellow side as from the next ring."""
    length, width = cell.length, cell.width
    # Distance of a diamond's side from its middle: half the height of a right-angled triangle.
    depth = min(length, width) / 2
    if layer.shape == "diamonds":
        depth = length * width / (2 * math.hypot(length, width))
    number = round(depth / layer.spacing.mm + 0.5)
    gap = depth / (number - 0.5) if layer.spacing.about else layer.spacing.mm
    distances = np.arange(0, depth - 1e-6, gap)
    middle = np.array([length / 2, width / 2])
    return [
        cell.placed(middle + ring) for ring in (_ring(layer, cell, d, depth) for d in distances)
    ]


def _ring(layer: ConcentricLayer, cell: Frame, distance: float, depth: float) -> Points:
    if layer.shape == "diamonds":
        share = 1 - distance / depth
        a, b = cell.length / 2 * share, cell.width / 2 * share
        return np.array([[a, 0], [0, b], [-a, 0], [0, -b], [a, 0]])
    a, b = cell.length / 2 - distance, cell.width / 2 - distance
    return np.array([[-a, -b], [a, -b], [a, b], [-a, b], [-a, -b]])


class InterlockingSquaresLayer(_Figures):
    """Squares that overlap at the corners by a third."""

    kind: Literal["interlocking-squares"]
    size: Spacing = about(3 * INCH)
    """side of one square"""


class HexagonsLayer(_Figures):
    """Regular hexagons that fit together, with smaller ones inside each."""

    kind: Literal["nested-hexagons"]
    size: Spacing = about(5 * INCH)
    """from point to point"""
    rings: Annotated[int, Field(ge=1, le=12)] = 4

    @property
    def apart_mm(self) -> float:
        """Distance from ring to ring."""
        return self.size.mm * 0.43 / self.rings


class ConcentricLayer(_Medallion):
    """Squares or diamonds one inside the other."""

    kind: Literal["concentric"]
    shape: Literal["squares", "diamonds"] = "squares"
