"""Density of stitching in every cell of the cloth, with each line spread to both its sides.

A line draws up the cloth beside it, because wadding and fabric carry its pull on: it counts with
the weight of a tent, most where it lies and nothing half a window away. At an edge the tent is
weighed by what of it is cloth. That this goes 2 in to either side is an assumption.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import Polygon

from quiltpath.checks.density import area_on_cloth, split_into_pieces
from quiltpath.checks.plane_stress import ElasticSheet
from quiltpath.geometry.arrays import Floats, Geometries, Points

REACH_MM = 50.0
"""How far to either side a line counts, at the least; where lines lie far apart, to the next. With
35 or 75 mm the figures of a dense middle or side differ by 2 %, of single motifs by a tenth."""

CELLS_ACROSS = 16
LEAST_CELL_MM = 12.0
CELLS_IN_REACH = 1.5
"""A reach has so many cells at the least, that none of it falls between their middles."""


@dataclass(frozen=True)
class DensityCells:
    """The cloth in cells about square, of which its shorter side has sixteen.

    ``outline``   the cloth, mm
    ``reach_mm``  how far to either side a line counts
    """

    outline: Polygon
    reach_mm: float

    @cached_property
    def sheet(self) -> ElasticSheet:
        """The cells and how much of each is cloth."""
        low, high = np.array(self.outline.bounds).reshape(2, 2)
        columns, rows = np.maximum(np.round((high - low) / _cell_mm(self.outline)), 1).astype(int)
        cell = (high - low) / [columns, rows]
        area = area_on_cloth(self.outline, low, cell, int(rows), int(columns))
        # A sliver may lie between the points by which cells are measured.
        cover = area / float(cell.prod()) if area.any() else np.ones_like(area)
        return ElasticSheet(low, cell, cover)

    @cached_property
    def _cloth_round(self) -> Floats:
        """(rows, columns) mm² of the tent round each cell that are cloth, at least a sliver."""
        area = self.sheet.cover * self.sheet.cell_mm.prod()
        return np.maximum(self._tented(area), 1e-9)

    def m_per_m2(self, lines: Geometries) -> Floats:
        """(rows, columns) m of line on a square metre; what of a line is off the cloth, not."""
        sheet = self.sheet
        shapely.prepare(self.outline)
        sewn = split_into_pieces(lines, float(sheet.cell_mm.min()))
        length = sewn.length * shapely.intersects_xy(self.outline, *sewn.middle.T)
        place = (sewn.middle - sheet.low_mm) / sheet.cell_mm - 0.5
        return np.asarray(
            1000 * self._tented(_dealt_out(place, length, sheet.cover.shape)) / self._cloth_round
        )

    def _tented(self, values: Floats) -> Floats:
        """Sums of (rows, columns) ``values`` round each cell, weighted by the tent."""
        up, along = (
            _tent(count, self.reach_mm / float(size))
            for count, size in zip(values.shape, self.sheet.cell_mm[::-1], strict=True)
        )
        return np.asarray(up @ values @ along)

    def mean(self, values: Floats) -> float:
        """Mean over the cloth of (rows, columns) values."""
        cover = self.sheet.cover
        return float((cover * values).sum() / cover.sum())

    def middle_mm(self, row: int, column: int) -> tuple[float, float]:
        """Middle of a cell on the cloth."""
        x, y = self.sheet.low_mm + self.sheet.cell_mm * (np.array([column, row]) + 0.5)
        return float(x), float(y)


def density_cells(outline: Polygon, lines: Geometries) -> DensityCells:
    """Cells for an outline, and the reach that suits (n,) LineStrings on it."""
    length = float(shapely.length(lines).sum())
    low_x, low_y, high_x, high_y = outline.bounds
    apart = outline.area / length if length > 0 else 0.0
    most = min(high_x - low_x, high_y - low_y)
    reach = max(REACH_MM, min(apart, most), CELLS_IN_REACH * _cell_mm(outline))
    return DensityCells(outline, reach)


def _cell_mm(outline: Polygon) -> float:
    low_x, low_y, high_x, high_y = outline.bounds
    return max(min(high_x - low_x, high_y - low_y) / CELLS_ACROSS, LEAST_CELL_MM)


def _dealt_out(place: Points, length: Floats, shape: tuple[int, ...]) -> Floats:
    """(rows, columns) length in each cell, of pieces at (n, 2) places in cells from the middle of
    the first: dealt out to the nearest cells by how near their middles are."""
    rows, columns = shape
    lower = np.floor(place).astype(np.intp)
    beyond = place - lower
    found = np.zeros(rows * columns)
    for right in (0, 1):
        for above in (0, 1):
            column = np.clip(lower[:, 0] + right, 0, columns - 1)
            row = np.clip(lower[:, 1] + above, 0, rows - 1)
            near = np.abs(1 - right - beyond[:, 0]) * np.abs(1 - above - beyond[:, 1])
            found += np.bincount(row * columns + column, near * length, rows * columns)
    return found.reshape(rows, columns)


def _tent(count: int, reach: float) -> Floats:
    """(count, count) height of a tent of so many cells' reach, from each cell to each."""
    apart = np.abs(np.subtract.outer(np.arange(count), np.arange(count)))
    return np.maximum(1 - apart / reach, 0.0)
