"""Basket weave and bamboo: straight lines in bundles."""

from __future__ import annotations

import numpy as np

from quiltpath.project.figure_sections import BasketWeaveLayer
from quiltpath.project.repertoire_sections import BambooLayer
from quiltpath.quilting.curves import Points
from quiltpath.quilting.frame import Fitting, Frame, Tiling, fitted, repeats


def basket_weave(layer: BasketWeaveLayer, frame: Frame) -> list[Points]:
    """Squares of upright and level lines by turns, as one path from row to row.

    In each square the line goes to and fro an odd number of times, from one corner to the opposite
    one, where the next square begins. With an odd number of columns each row ends below the square
    in which the next row starts. All lines, and the squares, lie one gap apart.
    """
    tiling = Tiling(1.0, 1.0, odd_columns=True)
    fit = fitted(frame, layer.size, 1.0, tiling)
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


def _square(fit: Fitting, bundle: Points, row: int, place: int) -> Points:
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
