"""How the print really lies: a map from the even drawing to the cloth, bilinear in each cell."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats

NODES = 9
"""Lines of nodes each way where a few measures stand for the whole print."""

STEP_MM = 4.0
"""Lines get a point this often before they are bent; the map bends no faster than the cloth."""

STRAY_MM = 0.005


@dataclass(frozen=True)
class PrintWarp:
    """Places of the even drawing and where each lies on the cloth, in mm.

    ``x`` (m,), ``y`` (n,) rising positions in the even drawing; ``at`` (n, m, 2) on the cloth.
    Between nodes the map is bilinear; beyond the outermost it goes on as in the outermost cell.
    """

    x: Floats
    y: Floats
    at: Floats

    def moved(self, points: Floats) -> Floats:
        """(k, 2) places on the cloth of (k, 2) points of the even drawing."""
        column, u = _cell(self.x, points[:, 0])
        row, v = _cell(self.y, points[:, 1])
        low = self.at[row, column] * (1 - u) + self.at[row, column + 1] * u
        high = self.at[row + 1, column] * (1 - u) + self.at[row + 1, column + 1] * u
        return low * (1 - v) + high * v

    def bent(self, shapes: NDArray[np.object_]) -> NDArray[np.object_]:
        """Lines or polygons of the even drawing as they lie on the cloth."""
        dense = shapely.segmentize(shapes, STEP_MM)
        return shapely.simplify(shapely.transform(dense, self.moved), STRAY_MM)

    def shifted(self, along: float, across: float) -> PrintWarp:
        """The same map with drawing and cloth both moved by so much, in mm."""
        return PrintWarp(self.x + along, self.y + across, self.at + np.array([along, across]))

    @property
    def largest_shift_mm(self) -> float:
        """How far the print lies from the even drawing, where it is worst."""
        even = np.stack(np.meshgrid(self.x, self.y), axis=-1)
        return float(np.hypot(*np.moveaxis(self.at - even, -1, 0)).max())

    @property
    def stretch(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Least and greatest length on the cloth for 1 mm of drawing, along and across."""
        along = np.hypot(*np.moveaxis(np.diff(self.at, axis=1), -1, 0)) / np.diff(self.x)
        across = np.hypot(*np.moveaxis(np.diff(self.at, axis=0), -1, 0)) / np.diff(self.y)[:, None]
        return (float(along.min()), float(along.max())), (float(across.min()), float(across.max()))

    @property
    def skew_deg(self) -> float:
        """How far crosswise lines lean to the right of square, on average, in degrees."""
        up = self.at[-1] - self.at[0]
        on = self.at[:, -1] - self.at[:, 0]
        lean = math.atan2(*up.sum(axis=0))
        return math.degrees(lean + math.atan2(*on.sum(axis=0)[::-1]))


def _cell(nodes: Floats, places: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Cell of each place, and its share of the way through, which may lie outside 0 to 1."""
    cell = np.clip(np.searchsorted(nodes, places, side="right") - 1, 0, len(nodes) - 2)
    share = (places - nodes[cell]) / (nodes[cell + 1] - nodes[cell])
    return cell, share[:, None]


def from_measures(
    length: float,
    width: float,
    *,
    lengths: Sequence[float] | None = None,
    widths: Sequence[float] | None = None,
    diagonals: Sequence[float] | None = None,
    bow: float = 0.0,
    bow_lengthwise: float = 0.0,
) -> PrintWarp:
    """The print about the middle of a finished rectangle, from a tape measure's figures.

    Three lengths (lower, middle, upper) and widths (left, middle, right) are joined by parabolas.
    The lean follows from the diagonals p and q: sin(lean) = (p^2 - q^2) / (4 length x width).
    Raises ``ValueError`` where the diagonals cannot belong to the sides.
    """
    lengths, widths = lengths or (length,) * 3, widths or (width,) * 3
    sine = _lean_sine(float(np.mean(lengths)), float(np.mean(widths)), diagonals)
    steps = np.linspace(-1.0, 1.0, NODES)
    u, v = np.meshgrid(steps, steps)
    half_length, half_width = _parabola(lengths, v) / 2, _parabola(widths, u) / 2
    x = u * half_length + sine * v * half_width + bow * (1 - v**2)
    y = math.sqrt(1 - sine**2) * v * half_width + bow_lengthwise * (1 - u**2)
    at = np.stack([x + length / 2, y + width / 2], axis=-1)
    return PrintWarp((steps + 1) * length / 2, (steps + 1) * width / 2, at)


def _parabola(values: Sequence[float], t: Floats) -> Floats:
    """Through three values at -1, 0 and 1 (Lagrange)."""
    low, middle, high = values
    return middle + (high - low) / 2 * t + ((high + low) / 2 - middle) * t**2


def _lean_sine(length: float, width: float, diagonals: Sequence[float] | None) -> float:
    if diagonals is None:
        return 0.0
    sine = (diagonals[0] ** 2 - diagonals[1] ** 2) / (4 * length * width)
    even = math.hypot(length, width)
    if abs(sine) > 0.2 or abs(math.hypot(*diagonals) / math.sqrt(2) - even) > 0.02 * even:
        raise ValueError(
            f"diagonals of {diagonals[0]:.0f} and {diagonals[1]:.0f} mm do not fit sides of"
            f" {length:.0f} and {width:.0f} mm; measure them again"
        )
    return sine
