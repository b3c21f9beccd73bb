"""A part of a design seen from nearby: where it lies, and its picture."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.checks.puff import height_in_view
from quiltpath.documents.lit_picture import lit_cloth, lit_part
from quiltpath.drawing.relief_view import LitView, Rgb
from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.result.values import Result

SIDE_MM = 130.0
STEP_MM = 12.0
MOTIF_COUNTS = 0.6
"""A motif's edge belongs into the picture, its middle says nothing of the lines round it."""


def part_to_look_at(runner: Runner, filled: BaseGeometry, side_mm: float = SIDE_MM) -> LitView:
    """The square, at 1 pixel to the mm, that shows most of what is filled beside a motif.

    It depends on the runner and on what is filled, not on the lines. Of equal ones it is the
    nearest to the middle.
    """
    low_x, low_y, high_x, high_y = runner.outline.bounds
    side = min(side_mm, high_x - low_x, high_y - low_y)
    x, y = (_places(low, high - side) for low, high in ((low_x, high_x), (low_y, high_y)))
    corner = np.array(np.meshgrid(x, y)).reshape(2, -1).T
    squares = shapely.box(*corner.T, *(corner + side).T)
    motifs = shapely.union_all([motif.shape for motif in runner.motifs])
    shown = shapely.area(shapely.intersection(squares, filled))
    beside = np.minimum(shapely.area(shapely.intersection(squares, motifs)), side**2 / 4)
    middle = np.array([(low_x + high_x - side) / 2, (low_y + high_y - side) / 2])
    away = np.hypot(*(corner - middle).T) / math.hypot(high_x - low_x, high_y - low_y)
    best = corner[int((shown + MOTIF_COUNTS * beside - 0.05 * side**2 * away).argmax())]
    x0, y0 = best.tolist()
    return LitView(x0, y0, x0 + side, y0 + side, 1.0)


def _places(low: float, high: float) -> Floats:
    return np.linspace(low, high, max(2, math.ceil((high - low) / STEP_MM) + 1))


def from_middle(runner: Runner, part: LitView) -> tuple[float, float]:
    """How far a part's middle lies from the runner's, in mm along and up.

    Flat tops differ by what their quilting will take up; what is placed on them keeps its distance
    from the middle, and so does what is looked at.
    """
    low_x, low_y, high_x, high_y = runner.outline.bounds
    return (
        (part.low_x + part.high_x - low_x - high_x) / 2,
        (part.low_y + part.high_y - low_y - high_y) / 2,
    )


def part_at(runner: Runner, from_middle_mm: tuple[float, float]) -> LitView:
    """The square whose middle lies there, moved onto the runner where it would stand out."""
    low_x, low_y, high_x, high_y = runner.outline.bounds
    side = min(SIDE_MM, high_x - low_x, high_y - low_y)
    x = (low_x + high_x - side) / 2 + from_middle_mm[0]
    y = (low_y + high_y - side) / 2 + from_middle_mm[1]
    x, y = min(max(x, low_x), high_x - side), min(max(y, low_y), high_y - side)
    return LitView(x, y, x + side, y + side, 1.0)


def near_picture(result: Result, view: LitView) -> Rgb:
    """(rows, columns, 3) of a view near to, with a height field fine enough for it."""
    sides = view.low_x, view.low_y, view.high_x, view.high_y
    facts = result.relief
    lines, outline = result.lines.geometry, result.runner.outline
    field = height_in_view(lines, outline, facts.loft, sides, view.px_per_mm)
    return lit_part(field, lit_cloth(result), view)
