"""Orange peel and overlapping circles: figures of whole and quarter circles."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import ClassVar, Literal

import numpy as np

from quiltpath.geometry.curves import Points, arc_between, chain_paths, circle
from quiltpath.patterns.frame import Frame, Tiling, fit_figures
from quiltpath.patterns.kind import EITHER, FREE, Kind
from quiltpath.patterns.layer import INCH, RepeatingLayer, about
from quiltpath.schema import Spacing

PETAL = math.tan(math.pi / 8)
"""Width of a petal of two quarter circles, as a share of its length: tan(45 deg / 2)."""


class OrangePeelLayer(RepeatingLayer):
    """Petals along the sides of a square grid, from quarter circles."""

    kind: Literal["orange-peel"]
    size: Spacing = about(3 * INCH)
    """length of one petal"""


class CirclesLayer(RepeatingLayer):
    """Circles that each pass through the middles of their neighbours."""

    lines_in_it: ClassVar[float] = 14.5
    kind: Literal["overlapping-circles"]
    size: Spacing = about(4 * INCH)
    """width of one circle"""


def orange_peel(layer: OrangePeelLayer, frame: Frame) -> list[Points]:
    """Two quarter circles on every side of a square grid, drawn as waves along its lines.

    An even number of lines meets at every corner of the grid, so that the whole is one path.
    """
    fit = fit_figures(frame, layer.size, 1.0, Tiling(1.0, 1.0, PETAL, PETAL))
    edge = PETAL / 2 * fit.unit
    x = fit.left + edge + fit.unit * np.arange(fit.columns + 1)
    y = fit.below + edge + fit.unit * np.arange(fit.rows + 1)
    level = [np.column_stack([x, np.full_like(x, at)]) for at in y]
    upright = [np.column_stack([np.full_like(y, at), y]) for at in x]
    return [_wave(nodes, side) for nodes in (*level, *upright) for side in (1, -1)]


def _wave(nodes: Points, side: int) -> Points:
    """Quarter circles to one side and the other, through the nodes."""
    sweeps = 90.0 * side * (-1.0) ** np.arange(len(nodes) - 1)
    steps = zip(pairwise(nodes), sweeps, strict=True)
    return chain_paths([arc_between(a, b, float(sweep)) for (a, b), sweep in steps])


def overlapping_circles(layer: CirclesLayer, frame: Frame) -> list[Points]:
    """Circles on a triangular lattice, one radius apart."""
    half = math.sqrt(3) / 2
    tiling = Tiling(1.0, half, extra_length=1.0, extra_width=2.0 - half)
    fit = fit_figures(frame, layer.size, 2.0, tiling)
    drawn = []
    for row in range(fit.rows):
        number = fit.columns - row % 2
        for column in range(number):
            x = fit.left + fit.unit * (1 + column + 0.5 * (row % 2))
            y = fit.below + fit.unit * (1 + row * half)
            drawn.append(circle((x, y), fit.unit))
    return drawn


KINDS = (
    Kind(OrangePeelLayer, EITHER, in_frame=orange_peel, one_path=True),
    Kind(CirclesLayer, FREE, in_frame=overlapping_circles, one_path=True),
)
