"""Basket weave and bamboo: straight lines in bundles."""

from __future__ import annotations

from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from quiltpath.geometry.curves import Points
from quiltpath.patterns.frame import FigureFit, Frame, Tiling, fit_figures, repeats
from quiltpath.patterns.kind import WALKING, Kind
from quiltpath.patterns.layer import INCH, QUARTER_INCH, RepeatingLayer, RepertoireLayer, about
from quiltpath.schema import Length, LengthOrZero, Spacing, fault
from quiltpath.units import both_units


class BambooLayer(RepertoireLayer):
    """Long bars with double joints, set off from one bar to the next."""

    kind: Literal["bamboo"]
    inset: LengthOrZero = 0.0
    spacing: Spacing = about(1.25 * INCH)
    """width of one bar"""
    joint: Spacing = about(10 * INCH)
    """from one joint to the next along a bar"""
    ring: Length = QUARTER_INCH
    """between the two lines of a joint"""

    @model_validator(mode="after")
    def _joints_apart(self) -> Self:
        if self.ring > self.joint.mm / 4:
            limit = both_units(self.joint.mm / 4)
            raise fault("the joints are wider than the bars between", f"ring: {limit} or less")
        return self


class BasketWeaveLayer(RepeatingLayer):
    """Squares of upright and level lines by turns: one path."""

    kind: Literal["basket-weave"]
    size: Spacing = about(3 * INCH)
    """side of one square"""
    lines: Annotated[int, Field(ge=3, le=25)] = 5
    """lines in each square, an odd number so that each ends where the next begins"""

    @property
    def apart_mm(self) -> float:
        """Distance from line to line."""
        return self.size.mm / self.lines

    @model_validator(mode="after")
    def _odd(self) -> Self:
        if self.lines % 2 == 0:
            raise fault(
                f"with {self.lines} lines a square does not end where the next begins",
                f"give {self.lines - 1} or {self.lines + 1}",
            )
        return self


def basket_weave(layer: BasketWeaveLayer, frame: Frame) -> list[Points]:
    """Squares of upright and level lines by turns, as one path from row to row.

    In each square the line goes to and fro an odd number of times, from one corner to the opposite
    one, where the next square begins. With an odd number of columns each row ends below the square
    in which the next row starts. All lines, and the squares, lie one gap apart.
    """
    tiling = Tiling(1.0, 1.0, odd_columns=True)
    fit = fit_figures(frame, layer.size, 1.0, tiling)
    gap = fit.unit / layer.lines
    bundle = _bundle(layer.lines, gap)
    parts = []
    for row in range(fit.rows):
        for place in range(fit.columns):
            parts.append(_square(fit, bundle, row, place))
    return [np.concatenate(parts)]


def _bundle(lines: int, gap: float) -> Points:
    """Upright lines to and fro in a square about the origin, from lower left to upper right."""
    at = (np.arange(lines) - (lines - 1) / 2) * gap
    low, high = at[0], at[-1]
    ends = np.where(np.arange(lines)[:, None] % 2, [high, low], [low, high])
    return np.column_stack([np.repeat(at, 2), ends.ravel()])


def _square(fit: FigureFit, bundle: Points, row: int, place: int) -> Points:
    """One square of the path: each leaves by the corner from which the next one is entered."""
    column = place if row % 2 == 0 else fit.columns - 1 - place
    upright = (row + column) % 2 == 0
    turned = bundle if upright else bundle[:, ::-1]
    forwards = 1 if row % 2 == 0 else -1
    upwards = 1 if place % 2 == 0 else -1
    centre = (
        fit.left + fit.unit * (column + 0.5),
        fit.below + fit.unit * (row + 0.5),
    )
    return turned * (forwards, upwards) + centre


def bamboo(layer: BambooLayer, frame: Frame) -> list[Points]:
    """Lines from end to end; between them joints of two short lines, set off from bar to bar."""
    bars, bar = repeats(layer.spacing, frame.width)
    joints, step = repeats(layer.joint, frame.length)
    heights = (frame.width - bars * bar) / 2 + bar * np.arange(bars + 1)
    inner = heights if heights[0] > 1e-6 else heights[1:-1]
    lines = [np.array([[0.0, y], [frame.length, y]]) for y in inner]
    start = (frame.length - joints * step) / 2
    for index in range(bars):
        whole = start + step * (np.arange(joints) + 0.5)
        between = start + step * np.arange(1, joints)
        for x in whole if index % 2 == 0 else between:
            for side in (-layer.ring / 2, layer.ring / 2):
                lines.append(np.array([[x + side, heights[index]], [x + side, heights[index + 1]]]))
    return lines


KINDS = (
    Kind(BasketWeaveLayer, WALKING, in_frame=basket_weave, one_path=True),
    Kind(BambooLayer, WALKING, in_frame=bamboo, hides_thread=True),
)
