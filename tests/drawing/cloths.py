"""Plain cloths with even lines, and their needle points, for the tests of the lit picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon, box

from quiltpath.checks.puff import USUAL, HeightField, height_field
from quiltpath.drawing.relief_view import LitView, Paint, QuiltedCloth, Thread
from tests.checks.drawings import parallel

SHEET = box(0, 0, 240, 160)
GREY = "#8f8f8f"


def needle_points(lines: list[LineString], stitch_mm: float = 2.8) -> NDArray[np.float64]:
    """Stitches of about the length along each line, a row of NaN before each."""
    points = []
    for line in lines:
        count = max(1, round(line.length / stitch_mm))
        points.append([np.nan, np.nan])
        points += [line.interpolate(k / count, normalized=True).coords[0] for k in range(count + 1)]
    return np.array(points, dtype=np.float64).reshape(-1, 2)


def plain(colour: str = GREY, outline: Polygon = SHEET, take_up: float = 0.02) -> QuiltedCloth:
    return QuiltedCloth(outline, (Paint(outline, colour),), take_up=take_up)


def quilted(
    spacing: float, angle: float = 60.0, colour: str = GREY, cell: float = 1.0
) -> tuple[HeightField, Thread]:
    """The sheet's height and its thread, lines an even spacing apart."""
    lines = parallel(spacing, SHEET, angle)
    field = height_field(lines, SHEET, USUAL, cell_mm=cell)
    return field, Thread(needle_points(lines), colour)


def around(x: float, y: float, half: float, px_per_mm: float) -> LitView:
    return LitView(x - half, y - half, x + half, y + half, px_per_mm)
