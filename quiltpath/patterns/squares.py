"""Interlocking squares and nested hexagons: straight-sided figures over the whole region."""

from __future__ import annotations

import math
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from quiltpath.geometry.curves import Points
from quiltpath.patterns.frame import Frame, Tiling, fit_figures
from quiltpath.patterns.kind import WALKING, Kind
from quiltpath.patterns.layer import INCH, RepeatingLayer, about
from quiltpath.schema import Spacing

STEP = 2 / 3
"""From one square to the next, as a share of the side: they overlap by a third."""


class InterlockingSquaresLayer(RepeatingLayer):
    """Squares that overlap at the corners by a third."""

    kind: Literal["interlocking-squares"]
    size: Spacing = about(3 * INCH)
    """side of one square"""


class HexagonsLayer(RepeatingLayer):
    """Regular hexagons that fit together, with smaller ones inside each."""

    kind: Literal["nested-hexagons"]
    size: Spacing = about(5 * INCH)
    """from point to point"""
    rings: Annotated[int, Field(ge=1, le=12)] = 4
    """how many hexagons lie inside one another"""

    @property
    def apart_mm(self) -> float:
        """Distance from ring to ring."""
        return self.size.mm * 0.43 / self.rings


def interlocking_squares(layer: InterlockingSquaresLayer, frame: Frame) -> list[Points]:
    """Squares on every second place of a grid, each overlapping its four diagonal neighbours.

    Three rows at the least, so that in a narrow strip the squares interlock as well.
    """
    tiling = Tiling(STEP, STEP, 1 - STEP, 1 - STEP, 3, odd_rows=True, odd_columns=True)
    fit = fit_figures(frame, layer.size, 1.0, tiling)
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
    fit = fit_figures(frame, layer.size, 1.0, tiling)
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


KINDS = (
    Kind(InterlockingSquaresLayer, WALKING, in_frame=interlocking_squares, one_path=True),
    Kind(HexagonsLayer, WALKING, in_frame=nested_hexagons, hides_thread=True),
)
