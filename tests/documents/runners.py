"""Quilted runners to cut up for machines, put together from lines without the drawing floors."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from quiltpath.stitching import Stitches
from tests.formats.designs import Sewn, along, stitches_of


def outline(length: float, width: float) -> shapely.Polygon:
    """The finished edge."""
    return shapely.box(0, 0, length, width)


def grid_runner(
    length: float = 1830.0, width: float = 360.0, spacing: float = 40.0, overrun: float = 10.0
) -> Stitches:
    """Lengthwise and crosswise lines that run off the edge, sewn there and back."""
    lines: list[tuple[tuple[float, float], tuple[float, float]]] = []
    for y in np.arange(spacing / 2, width, spacing):
        lines.append(((-overrun, float(y)), (length + overrun, float(y))))
    for x in np.arange(spacing / 2, length, spacing):
        lines.append(((float(x), -overrun), (float(x), width + overrun)))
    return numbered([along(*(line if k % 2 else line[::-1])) for k, line in enumerate(lines)])


def slanted_runner(length: float, width: float, spacing: float = 60.0) -> Stitches:
    """Diagonal lines in both directions, clipped to the finished edge."""
    edge = outline(length, width)
    lines = []
    for slope in (1, -1):
        for start in np.arange(-width, length + width, spacing):
            whole = shapely.LineString([(start, 0), (start + slope * width, width)])
            cut = shapely.intersection(whole, edge)
            if cut.length > 5:
                lines.append(along(*[tuple(c) for c in cut.coords]))
    return numbered(lines)


def numbered(lines: Sequence[np.ndarray]) -> Stitches:
    """Each line a run of its own, each stretch between corners with its own number."""
    return stitches_of([Sewn(holes) for holes in lines])
