"""A drawing stretched and bent so that it fills a shape."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from quiltpath.project.drawing_section import DrawingLayer
from quiltpath.quilting.curves import Points
from quiltpath.quilting.region import Patch
from quiltpath.quilting.strokes import Strokes, strokes


def less_inset(shape: BaseGeometry, inset_mm: float) -> BaseGeometry:
    """The shape without a border of that width."""
    return shapely.buffer(shape, -inset_mm, join_style="mitre") if inset_mm else shape


def fitted_drawing(layer: DrawingLayer, patch: Patch, paths: Sequence[Points]) -> Strokes:
    """The drawing once, its rectangle stretched over the patch.

    Along the patch it is stretched evenly; across, it fills the patch from edge to edge at every
    place, so that it follows pointed, rounded and skewed shapes.
    """
    shape = less_inset(patch.shape, layer.inset)
    if shape.is_empty:
        return strokes([], patch.shape, patch.name)
    points = np.concatenate(paths)
    low, span = points.min(axis=0), np.maximum(np.ptp(points, axis=0), 1e-9)
    turned = _upright(shape) != layer.turned
    lines = []
    for path in paths:
        dense = shapely.get_coordinates(
            shapely.segmentize(LineString(path), float(span.max()) / 200)
        )
        share = (dense - low) / span
        share = np.column_stack([1 - share[:, 1], share[:, 0]]) if turned else share
        lines.append(shapely.linestrings(_into(shape, share, crosswise=turned)))
    return strokes(lines, patch.shape, patch.name)


def _upright(shape: BaseGeometry) -> bool:
    low_x, low_y, high_x, high_y = shape.bounds
    return (high_y - low_y) > (high_x - low_x) * (1 + 1e-9)


def _into(shape: BaseGeometry, share: Points, *, crosswise: bool) -> Points:
    """(n, 2) points of the shape for shares of its length and of its width at that place."""
    low_x, low_y, high_x, high_y = shape.bounds
    if crosswise:
        y = low_y + share[:, 1] * (high_y - low_y)
        left, right = _chords(shape, y, crosswise=True)
        return np.column_stack([left + share[:, 0] * (right - left), y])
    x = low_x + share[:, 0] * (high_x - low_x)
    below, above = _chords(shape, x, crosswise=False)
    return np.column_stack([x, below + share[:, 1] * (above - below)])


def _chords(shape: BaseGeometry, at: Points, *, crosswise: bool) -> tuple[Points, Points]:
    """Where straight cuts through the shape begin and end."""
    low_x, low_y, high_x, high_y = shape.bounds
    ends = np.empty((len(at), 2, 2))
    along, across = (1, 0) if crosswise else (0, 1)
    lows, highs = (low_x, low_y), (high_x, high_y)
    slack = 1e-9 * (highs[along] - lows[along])
    ends[:, :, along] = np.clip(at, lows[along] + slack, highs[along] - slack)[:, None]
    ends[:, 0, across], ends[:, 1, across] = lows[across] - 1.0, highs[across] + 1.0
    cut = shapely.bounds(shapely.intersection(shapely.linestrings(ends), shape))
    return cut[:, across], cut[:, across + 2]
