"""Chevrons: zigzag lines side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated, Literal

import numpy as np
import shapely
from pydantic import Field

from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.kind import WALKING, Kind
from quiltpath.patterns.layer import SpacedLayer, check_amount
from quiltpath.patterns.spacing import even_number, line_positions
from quiltpath.patterns.strokes import Strokes, join_strokes, strokes
from quiltpath.schema import Spacing


class ChevronLayer(SpacedLayer):
    """Zigzag lines that turn at even distances along the runner."""

    kind: Literal["chevron"]
    angle: Annotated[float, Field(gt=0, le=80)] = 45.0
    """slope of the legs against the runner's length"""
    leg: Spacing
    """length of one leg, measured along the runner"""


def chevron(layer: ChevronLayer, patches: Sequence[Patch]) -> Strokes:
    """Zigzags over every patch, a turn on its middle.

    The spacing is the distance between legs that lie beside one another; across the runner the
    zigzags therefore repeat at spacing / cos(angle).
    """
    slope = math.radians(layer.angle)
    expected = sum(patch.shape.area for patch in patches) / layer.spacing.mm
    check_amount(expected, layer.spacing.mm)
    return join_strokes([_zigzags(layer, patch, slope) for patch in patches])


def _zigzags(layer: ChevronLayer, patch: Patch, slope: float) -> Strokes:
    low_x, low_y, high_x, high_y = patch.shape.bounds
    leg = leg_length(layer.leg, high_x - low_x)
    rise = leg * math.tan(slope)
    gaps = _gaps_across(layer, high_y - low_y, math.cos(slope))
    places = line_positions(low_y, high_y, gaps, layer.anchor, reach=rise)
    half = math.ceil((high_x - low_x) / 2 / leg) + 1
    turns = np.arange(-half, half + 1)
    points = np.empty((len(places), len(turns), 2))
    points[..., 0] = (low_x + high_x) / 2 + turns * leg
    points[..., 1] = places[:, None] + np.where(turns % 2, -rise / 2, rise / 2)
    return strokes(shapely.linestrings(points), patch.shape, patch.name)


def leg_length(leg: Spacing, length_mm: float) -> float:
    """One leg along the runner; "about" gives whole zigzags of two legs to the length."""
    if not leg.about:
        return leg.mm
    return length_mm / (2 * even_number(length_mm, 2 * leg.mm))


def _gaps_across(layer: ChevronLayer, width_mm: float, cosine: float) -> np.ndarray:
    if layer.spacings:
        return np.asarray(layer.spacings, dtype=np.float64) / cosine
    gap = layer.spacing.mm / cosine
    return np.array([width_mm / even_number(width_mm, gap) if layer.spacing.about else gap])


KINDS = (Kind(ChevronLayer, WALKING, over_patches=chevron),)
