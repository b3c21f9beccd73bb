"""A membrane held at zero along lines: the equation on a grid, with lines thinner than a cell.

-laplace(u) = 1 on square cells, u = 0 on every line and outside the outline. A line cuts the link
between two nodes where it crosses it, and each side sees zero at its own distance from the cut
(Gibou, Fedkiw, Cheng and Kang 2002, "A second-order-accurate symmetric discretization of the
Poisson equation on irregular domains", J. Comput. Phys. 176): no line is ever as wide as a cell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]
Mask = NDArray[np.bool_]
Geometries = Sequence[BaseGeometry] | NDArray[np.object_]

NEAREST = 1e-3
"""Share of a cell that a cut keeps from a node: nearer ones hold the node itself."""


@dataclass(frozen=True)
class Grid:
    """Nodes of a regular grid: node (j, i) lies at ``origin_mm`` + (i, j) ``cell_mm``."""

    origin_mm: tuple[float, float]
    cell_mm: float
    shape: tuple[int, int]

    @property
    def coarser(self) -> Grid:
        """Every second node of this one."""
        rows, columns = self.shape
        return Grid(self.origin_mm, 2 * self.cell_mm, ((rows + 1) // 2, (columns + 1) // 2))


@dataclass(frozen=True)
class Links:
    """The equation's matrix on one grid, float32 (rows, columns) each.

    ``east``, ``north``  1 where the link to the next node is whole, 0 where it is cut or ends
    ``along``, ``across``  what links along x and along y add to a node's diagonal
    ``active``  nodes inside the outline, the outermost ring never among them
    """

    east: Floats
    north: Floats
    along: Floats
    across: Floats
    active: Mask

    @cached_property
    def inverse(self) -> Floats:
        """One over the diagonal where a node is active, else 0."""
        return _inverse(self.along + self.across, self.active)

    @cached_property
    def inverse_along(self) -> Floats:
        """One over the part along x: weights for a node between two in a row."""
        return _inverse(self.along, self.active)

    @cached_property
    def inverse_across(self) -> Floats:
        """One over the part along y."""
        return _inverse(self.across, self.active)


def _inverse(diagonal: Floats, active: Mask) -> Floats:
    """Zero where nothing is linked."""
    at = active & (diagonal > 0)
    return np.divide(1.0, diagonal, out=np.zeros_like(diagonal), where=at)


def segments_of(lines: Geometries) -> Doubles:
    """(m, 4) ends x0, y0, x1, y1 of every straight piece of lines and rings, in mm."""
    parts = shapely.get_parts(np.asarray(lines, dtype=object))
    points, index = shapely.get_coordinates(parts, return_index=True)
    same = index[1:] == index[:-1]
    return np.hstack([points[:-1][same], points[1:][same]])


def segments_near(lines: Geometries, grid: Grid) -> Doubles:
    """Segments of the lines that touch the grid's rectangle."""
    shapes = np.asarray(lines, dtype=object)
    if not len(shapes):
        return np.zeros((0, 4))
    x, y = grid.origin_mm
    high_y, high_x = (count * grid.cell_mm for count in grid.shape)
    return segments_of(shapes[shapely.intersects(shapes, box(x, y, x + high_x, y + high_y))])


def nodes_inside(edge: Doubles, grid: Grid) -> Mask:
    """(rows, columns) nodes inside closed rings given as segments: even-odd, row by row."""
    rows, columns = grid.shape
    cells = _in_cells(edge, grid)
    low, high = np.minimum(cells[:, 1], cells[:, 3]), np.maximum(cells[:, 1], cells[:, 3])
    # half-open: a corner that lies on a row is counted by one of its two sides
    row, x = _crossings(cells, np.ceil(low), np.ceil(high) - 1, rows)
    first = np.clip(np.floor(x).astype(np.intp) + 1, 0, columns)
    toggles = np.bincount(row * (columns + 1) + first, minlength=rows * (columns + 1))
    counted = np.cumsum(toggles.reshape(rows, columns + 1)[:, :columns], axis=1)
    return counted % 2 == 1


def links(held: Doubles, active: Mask, grid: Grid) -> Links:
    """The equation on a grid, cut by the segments ``held`` (m, 4) in mm.

    ``active`` are the nodes inside the outline; the outline's own segments belong to ``held``.
    Where the grid ends inside the outline nothing pulls there: the slope is zero.
    """
    active = active.copy()
    active[[0, -1]] = active[:, [0, -1]] = False
    cells = _in_cells(held, grid)
    east, along = _row_links(cells, active)
    north, across = _row_links(cells[:, [1, 0, 3, 2]], active.T)
    turned = np.ascontiguousarray(north.T), np.ascontiguousarray(across.T)
    return Links(east, turned[0], along, turned[1], active)


def _in_cells(segments: Doubles, grid: Grid) -> Doubles:
    return (segments - np.tile(grid.origin_mm, 2)) / grid.cell_mm


def _row_links(cells: Doubles, active: Mask) -> tuple[Floats, Floats]:
    """Whole links along the rows, and what these rows add to the diagonal."""
    ahead, behind = _cuts(cells, active.shape)
    cut = ahead <= 1
    whole = (~cut).astype(np.float32)
    # the outermost ring stands for what is not looked at: a link to it pulls only if it is cut
    whole[:, [0, -2, -1]] = 0
    added = np.zeros(active.shape, dtype=np.float32)
    added += np.where(cut, 1 / np.maximum(ahead, NEAREST), whole)
    added[:, 1:] += np.where(cut, 1 / np.maximum(behind, NEAREST), whole)[:, :-1]
    added *= active
    return whole, added


def _cuts(cells: Doubles, shape: tuple[int, int]) -> tuple[Floats, Floats]:
    """How far along each link of a row the first cut lies, from its start and from its end."""
    rows, columns = shape
    low, high = np.minimum(cells[:, 1], cells[:, 3]), np.maximum(cells[:, 1], cells[:, 3])
    row, x = _crossings(cells, np.ceil(low), np.floor(high), rows)
    within = (x >= 0) & (x < columns)
    row, x = row[within], x[within]
    column = np.floor(x).astype(np.intp)
    part = (x - column).astype(np.float32)
    ahead = np.full(shape, 2, dtype=np.float32)
    behind = np.full(shape, 2, dtype=np.float32)
    # One index and one kind of number: numpy is many times quicker so.
    link = row * columns + column
    np.minimum.at(ahead.reshape(-1), link, part)
    np.minimum.at(behind.reshape(-1), link, 1 - part)
    return ahead, behind


def _crossings(
    cells: Doubles, first: Doubles, last: Doubles, rows: int
) -> tuple[NDArray[np.intp], Doubles]:
    """Rows from first to last of each segment, and where it crosses them.

    A segment along a row crosses none: the columns that it crosses hold the row's nodes.
    """
    first, last = np.maximum(first, 0), np.minimum(last, rows - 1)
    rise = cells[:, 3] - cells[:, 1]
    count = np.where(rise == 0, 0, np.maximum(last - first + 1, 0)).astype(np.intp)
    of = np.repeat(np.arange(len(cells)), count)
    nth = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    row = first[of].astype(np.intp) + nth
    x0, y0, x1, _ = cells[of].T
    return row, x0 + (row - y0) * ((x1 - x0) / rise[of])
