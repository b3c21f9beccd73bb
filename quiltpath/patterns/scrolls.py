"""Swirls and flames: rows of figures that a free hand sews, drawn here by rule."""

from __future__ import annotations

import math
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from quiltpath.geometry.curves import STRAY_MM, Points, chain_paths, cubic_bezier
from quiltpath.patterns.frame import FigureFit, Frame, Tiling, fit_figures
from quiltpath.patterns.kind import EITHER, FREE, Kind
from quiltpath.patterns.layer import INCH, RepeatingLayer, about
from quiltpath.schema import LengthOrZero, Spacing


class SwirlsLayer(RepeatingLayer):
    """Spirals that wind in and out again, each leading on to the next: one line."""

    kind: Literal["swirls"]
    size: Spacing = about(3 * INCH)
    """width of one swirl"""
    turns: Annotated[float, Field(ge=0.75, le=3.0)] = 1.25
    """of the line on its way in; as many on its way out"""

    @property
    def apart_mm(self) -> float:
        """Distance of the two arms of a swirl."""
        return self.size.mm / 4 / self.turns


class FlamesLayer(RepeatingLayer):
    """Tongues of flame in rows, each row's valleys on the tips of the row below."""

    kind: Literal["flames"]
    inset: LengthOrZero = 0.0
    size: Spacing = about(2 * INCH)
    """width of one tongue"""
    tall: Annotated[float, Field(ge=0.8, le=2.5)] = 1.4
    """height of a tongue as a share of its width"""


def swirls(layer: SwirlsLayer, frame: Frame) -> list[Points]:
    """Rows of swirls, to the right and back again, joined by upright lines at their ends.

    A swirl is both arms of Archimedes' spiral r = k t: it meets its neighbours on the row's level,
    heading almost upright. Every second row is a mirror of the one below, so that the line that
    leaves a row upwards comes into the next one upwards.
    """
    fit = fit_figures(frame, layer.size, 2.0, Tiling(column=2.0, row=2.0))
    one = _swirl(fit.unit, layer.turns)
    rows = [_swirl_row(fit, row, one) for row in range(fit.rows)]
    return [np.concatenate(rows)]


def _swirl(radius: float, turns: float) -> Points:
    """(n, 2) from (-radius, 0) by the middle to (radius, 0)."""
    sweep = 2 * math.pi * turns
    steps = math.ceil(2 * sweep / math.sqrt(8 * STRAY_MM / radius))
    t = np.linspace(-1.0, 1.0, 2 * steps + 1)
    angle = sweep * (np.abs(t) - 1.0)
    return radius * t[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])


def _swirl_row(fit: FigureFit, row: int, one: Points) -> Points:
    back = row % 2 == 1
    figure = (one * (1.0, -1.0))[::-1] if back else one
    places = np.arange(fit.columns)[:: -1 if back else 1]
    middle = fit.below + (2 * row + 1) * fit.unit
    centres = fit.left + (2 * places + 1) * fit.unit
    return chain_paths([np.add(figure, (x, middle)) for x in centres])


LEAN = 0.68
"""Where the tip of a tongue lies, as a share of its width."""

LEFT = np.array([(0.0, 0.0), (0.06, 0.42), (0.52, 0.56), (LEAN, 1.0)])
RIGHT = np.array([(LEAN, 1.0), (0.72, 0.66), (0.92, 0.42), (1.0, 0.0)])
"""The two sides of a tongue as cubic Bezier curves, in shares of its width and its height."""


def flames(layer: FlamesLayer, frame: Frame) -> list[Points]:
    """Rows of tongues from end to end; what stands beyond the frame is cut off there."""
    fit = fit_figures(frame, layer.size, 1.0, Tiling(column=1.0, row=layer.tall))
    width, height = frame.length / fit.columns, frame.width / fit.rows
    fine = max(8, math.ceil(math.hypot(width, height) / math.sqrt(8 * STRAY_MM * height)))
    left, right = (cubic_bezier(side, fine) * (width, height) for side in (LEFT, RIGHT))
    one = chain_paths([left, right])
    rows = []
    for row in range(fit.rows + 1):
        start = (row * LEAN) % 1.0 - 1.0
        places = width * (start + np.arange(fit.columns + 2))
        rows.append(chain_paths([np.add(one, (x, (row - 0.5) * height)) for x in places]))
    return rows


LARGE_TONGUE_MM = 3 * INCH
"""Wider ones can be steered with the feed dogs up (common practice)."""

KINDS = (
    Kind(SwirlsLayer, FREE, in_frame=swirls, one_path=True),
    Kind(FlamesLayer, EITHER, in_frame=flames, by_hand=lambda own: own.size.mm <= LARGE_TONGUE_MM),
)
