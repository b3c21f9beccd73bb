"""The rectangle that a pattern fills, and how whole repeats are fitted into it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from quiltpath.geometry.curves import Points
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.spacing import even_number
from quiltpath.schema import Spacing

LONG = 1.5
"""A region more than this many times as long as wide gets several medallions side by side."""

MOST_CELLS = 500
"""A strip that is longer than this many times its width holds no medallions worth sewing."""


@dataclass(frozen=True)
class Frame:
    """A rectangle in its own axes, from (0, 0) to (``length``, ``width``), rows along its length.

    ``origin`` and ``upright`` say how it lies on the runner: an upright one is turned by 90
    degrees, so that its length runs up the runner.
    """

    length: float
    width: float
    origin: tuple[float, float] = (0.0, 0.0)
    upright: bool = False

    def placed(self, points: Points) -> Points:
        """(n, 2) points of the frame on the runner, in mm."""
        if self.upright:
            points = np.column_stack([self.width - points[:, 1], points[:, 0]])
        return points + self.origin

    def cells(self, apart_mm: float = 0.0) -> list[Frame]:
        """The frame itself, or near-square parts of one size, that far apart, where it is long."""
        if self.length < LONG * self.width:
            return [self]
        room = self.length + apart_mm
        near_square = round(room / (self.width + apart_mm))
        at_most = int(room / (self.width / 2 + apart_mm))
        count = min(near_square, at_most, MOST_CELLS)
        step = (self.length + apart_mm) / count
        corners = np.zeros((count, 2))
        corners[:, 0] = step * np.arange(count)
        # The origin of a part is its lowest, leftmost corner on the runner.
        corners[:, 1] = self.width if self.upright else 0.0
        return [
            Frame(step - apart_mm, self.width, (float(x), float(y)), self.upright)
            for x, y in self.placed(corners)
        ]


def frame_of(patch: Patch, inset_mm: float, turned: bool) -> Frame | None:
    """The patch's rectangle less the inset, its length along the longer side; None if too small."""
    low_x, low_y, high_x, high_y = patch.shape.bounds
    wide, high = high_x - low_x - 2 * inset_mm, high_y - low_y - 2 * inset_mm
    if min(wide, high) <= 1.0:
        return None
    upright = (high > wide * (1 + 1e-9)) != turned
    length, width = (high, wide) if upright else (wide, high)
    return Frame(length, width, (low_x + inset_mm, low_y + inset_mm), upright)


def repeats(size: Spacing, length_mm: float) -> tuple[int, float]:
    """Whole repeats in a length, and the length of one; "about" fills the length exactly."""
    if size.about:
        count = even_number(length_mm, size.mm)
        return count, length_mm / count
    return max(1, math.floor(length_mm / size.mm + 1e-9)), size.mm


@dataclass(frozen=True)
class FigureFit:
    """Whole figures both ways: numbers, the unit they are built from, and the free border."""

    columns: int
    rows: int
    unit: float
    left: float
    below: float


@dataclass(frozen=True)
class Tiling:
    """Sizes in units: n columns take n x ``column`` + ``extra_length``, rows likewise."""

    column: float
    row: float
    extra_length: float = 0.0
    extra_width: float = 0.0
    fewest_rows: int = 1
    odd_rows: bool = False
    odd_columns: bool = False


def fit_figures(frame: Frame, size: Spacing, unit_of_size: float, tiling: Tiling) -> FigureFit:
    """Whole figures that fill the frame, centred, at true shape.

    ``unit_of_size`` is how many units the named size holds. Where the size is "about", the number
    of columns is sought that leaves the least free border for the least change of size.
    """
    wanted = size.mm / unit_of_size
    if not size.about:
        return _centred(frame, wanted, _most(frame.length, wanted, tiling, along=True), tiling)
    ideal = max(1.0, (frame.length / wanted - tiling.extra_length) / tiling.column)
    tried = range(max(1, math.floor(ideal * 0.7)), math.ceil(ideal * 1.4) + 2)
    numbers = [n for n in tried if n % 2 or not tiling.odd_columns]
    fits = [_centred(frame, _unit(frame, n, tiling), n, tiling) for n in numbers]
    return min(fits, key=lambda fit: _cost(frame, fit, wanted))


def _unit(frame: Frame, columns: int, tiling: Tiling) -> float:
    """The unit that makes the columns fill the length, or the fewest rows the width."""
    along = frame.length / (columns * tiling.column + tiling.extra_length)
    return min(along, frame.width / (tiling.fewest_rows * tiling.row + tiling.extra_width))


def _cost(frame: Frame, fit: FigureFit, wanted: float) -> float:
    free = (fit.below / frame.width + fit.left / frame.length) * 2
    return abs(math.log(fit.unit / wanted)) + 2.0 * free


def _most(room: float, unit: float, tiling: Tiling, along: bool) -> int:
    step, extra, odd = (
        (tiling.column, tiling.extra_length, tiling.odd_columns)
        if along
        else (tiling.row, tiling.extra_width, tiling.odd_rows)
    )
    count = max(1, math.floor((room / unit - extra) / step + 1e-9))
    return count - 1 if odd and count % 2 == 0 else count


def _centred(frame: Frame, unit: float, columns: int, tiling: Tiling) -> FigureFit:
    rows = _most(frame.width, unit, tiling, along=False)
    long = (columns * tiling.column + tiling.extra_length) * unit
    wide = (rows * tiling.row + tiling.extra_width) * unit
    return FigureFit(columns, rows, unit, (frame.length - long) / 2, (frame.width - wide) / 2)
