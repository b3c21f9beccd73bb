"""Cells that cover the runner while the widest empty circle is sought, and what they can hold.

A cell is an upright rectangle with two obstacles, A and B. For every point p of the cell

    clearance(p) <= min(dist(p, A), dist(p, B)) <= (dist(p, A) + dist(p, B)) / 2.

The distance to a convex set is a convex function of p (Boyd and Vandenberghe, Convex Optimization,
2004, section 3.2.5, from memory), a mean of convex functions is convex, and a convex function on a
rectangle is largest at a corner. So the largest of the mean's values at the four corners, with
A = B allowed, bounds the clearance in the cell. Between two parallel lines at s the mean is s / 2
everywhere: one long cell proves a whole row, and even lines cost as many cells as there are
lines. Where A and B are short, on a chord of length c, the bound is off by about h ** 2 / c for a
cell of half diagonal h: second order, so that curved ridges need few cells too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.obstacles import Guides, Obstacles
from quiltpath.geometry.arrays import Floats


@dataclass(frozen=True)
class Cells:
    """Rectangles in the frame of the obstacles, as parallel arrays.

    ``low``, ``high``  (n, 2) corners, mm
    ``pair``           (n, 2) the obstacles A and B of the bound
    ``bound``          (n,) no empty circle centred in the cell has a larger radius
    """

    low: Floats
    high: Floats
    pair: NDArray[np.intp]
    bound: Floats

    def __len__(self) -> int:
        return len(self.low)

    @property
    def size(self) -> Floats:
        """(n, 2) mm."""
        return self.high - self.low

    def take(self, chosen: NDArray[np.bool_]) -> Cells:
        """The chosen cells."""
        return Cells(self.low[chosen], self.high[chosen], self.pair[chosen], self.bound[chosen])

    def and_also(self, others: Cells) -> Cells:
        """These cells followed by the others."""
        return Cells(
            np.concatenate([self.low, others.low]),
            np.concatenate([self.high, others.high]),
            np.concatenate([self.pair, others.pair]),
            np.concatenate([self.bound, others.bound]),
        )

    def beside_disc(self, centre: Floats, radius_mm: float) -> Cells:
        """The same cells for circles that must not overlap the given disc either."""
        to_corner = np.hypot(*np.moveaxis(_corners(self.low, self.high) - centre, -1, 0))
        bound = np.minimum(self.bound, to_corner.max(axis=1) - radius_mm)
        return Cells(self.low, self.high, self.pair, bound)


@dataclass(frozen=True)
class Probes:
    """Points that were tried: (n, 2) frame ``points`` in mm and the empty ``radius`` of each."""

    points: Floats
    radius: Floats

    @property
    def best(self) -> tuple[Floats, float]:
        """The point with most room, and its radius in mm."""
        top = int(self.radius.argmax())
        return self.points[top], float(self.radius[top])

    def and_also(self, others: Probes) -> Probes:
        """These probes followed by the others."""
        return Probes(
            np.concatenate([self.points, others.points]),
            np.concatenate([self.radius, others.radius]),
        )

    def beside_disc(self, centre: Floats, radius_mm: float) -> Probes:
        """The same points for circles that must not overlap the given disc either."""
        room = np.hypot(*(self.points - centre).T) - radius_mm
        return Probes(self.points, np.minimum(self.radius, room))


def first_cell(around: Obstacles) -> Cells:
    """One cell that holds the whole outline, as yet without a useful bound."""
    bounds = np.array(around.outline.bounds)
    return Cells(
        bounds[None, :2], bounds[None, 2:], np.zeros((1, 2), dtype=np.intp), np.array([np.inf])
    )


def divide_cells(cells: Cells, around: Obstacles, enough_mm: float) -> tuple[Cells, Probes]:
    """Smaller cells in place of the given ones, and what their probes found.

    A cell whose middle lies between two lines that run right across it, a gap that is not far
    below the ``enough_mm`` sought, is cut into rows along its lines; any other is quartered. Cells
    outside the outline are left out.
    """
    rows_x, rows_y = _which_fall_into_rows(cells, around, enough_mm)
    low, high, parent = (
        np.concatenate(arrays)
        for arrays in zip(
            _quarters(cells, np.flatnonzero(~rows_x & ~rows_y)),
            _rows(cells, np.flatnonzero(rows_y), around.guides[1], 1),
            _rows(cells, np.flatnonzero(rows_x), around.guides[0], 0),
            strict=True,
        )
    )
    return _measure(low, high, cells.pair[parent], around, enough_mm)


def number_of_parts(cells: Cells, around: Obstacles, enough_mm: float) -> int:
    """How many cells :func:`divide_cells` would make of these, those outside included."""
    rows_x, rows_y = _which_fall_into_rows(cells, around, enough_mm)
    count = 4 * int(np.count_nonzero(~rows_x & ~rows_y))
    for chosen, axis in ((rows_x, 0), (rows_y, 1)):
        low, high = cells.low[chosen], cells.high[chosen]
        count += int(_row_counts(low, high, around.guides[axis], axis)[1].sum())
    return count


def _which_fall_into_rows(
    cells: Cells, around: Obstacles, enough_mm: float
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """(n,) true for the cells to be cut along x, and for those to be cut along y."""
    rows_y = _falls_into_rows(cells, around.guides[1], 1, enough_mm)
    return _falls_into_rows(cells, around.guides[0], 0, enough_mm) & ~rows_y, rows_y


def _falls_into_rows(
    cells: Cells, guides: Guides, axis: int, enough_mm: float
) -> NDArray[np.bool_]:
    """(n,) true where the cell's middle lies between two lines right across it (see divided)."""
    if len(guides.place) < 2:
        return np.zeros(len(cells), dtype=np.bool_)
    middle = (cells.low + cells.high)[:, axis] / 2
    above = np.clip(np.searchsorted(guides.place, middle), 1, len(guides.place) - 1)
    lower, upper = guides.place[above - 1], guides.place[above]
    within = (lower >= cells.low[:, axis]) & (upper <= cells.high[:, axis])
    cuts = within & (upper - lower < cells.size[:, axis] - 1e-6)
    far = (upper - lower) / 2 < enough_mm / 3
    low, high = cells.low[:, 1 - axis], cells.high[:, 1 - axis]
    across = guides.spanned(above - 1, low, high) & guides.spanned(above, low, high)
    return cuts & ~far & across


Parts = tuple[Floats, Floats, NDArray[np.intp]]
"""low and high corners of new cells, and the index of the cell that each is part of"""


def _quarters(cells: Cells, chosen: NDArray[np.intp]) -> Parts:
    """The chosen cells in four, or long ones in four along their length."""
    size = cells.size[chosen]
    count = np.full_like(size, 2.0)
    count[size > 2 * size[:, ::-1]] = 4.0
    count[size < size[:, ::-1] / 2] = 1.0
    step = size / count
    number = np.tile(np.arange(4), len(chosen))
    owner = np.repeat(np.arange(len(chosen)), 4)
    column = number % count[owner, 0]
    row = number // count[owner, 0]
    low = cells.low[chosen][owner] + step[owner] * np.column_stack([column, row])
    return low, low + step[owner], chosen[owner]


def _rows(cells: Cells, chosen: NDArray[np.intp], guides: Guides, axis: int) -> Parts:
    """The chosen cells cut on the axis at every guide."""
    low, high = cells.low[chosen], cells.high[chosen]
    first, count = _row_counts(low, high, guides, axis)
    owner = np.repeat(np.arange(len(chosen)), count)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    row_low, row_high = low[owner], high[owner]
    cut = guides.place[np.minimum(first[owner] + step, len(guides.place) - 1)]
    row_high[:, axis] = np.where(step < count[owner] - 1, cut, row_high[:, axis])
    row_low[1:, axis] = np.where(step[1:] > 0, row_high[:-1, axis], row_low[1:, axis])
    return row_low, row_high, chosen[owner]


def _row_counts(
    low: Floats, high: Floats, guides: Guides, axis: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The first guide inside each cell, and into how many rows its guides cut it."""
    first = np.searchsorted(guides.place, low[:, axis] + 1e-6)
    return first, np.searchsorted(guides.place, high[:, axis] - 1e-6) - first + 1


def _measure(
    low: Floats,
    high: Floats,
    parent_pair: NDArray[np.intp],
    around: Obstacles,
    enough_mm: float,
) -> tuple[Cells, Probes]:
    """Cells with their bounds, and their centres as probes.

    Each cell tries as A and B the obstacle nearest its centre and its parent's two; where those
    are not enough, the obstacles nearest the middles of its two long sides as well.
    """
    centre = (low + high) / 2
    nearest, distance = around.nearest(centre)
    inside = around.inside(centre)
    held = inside | _reach_inside(low, high, ~inside, around)
    low, high = low[held], high[held]
    candidates = np.column_stack([nearest, parent_pair])[held]
    pair, bound = _best_pair(candidates, low, high, around)
    poor = bound > enough_mm
    more = np.column_stack([pair[poor], _sides(low[poor], high[poor], around)])
    pair[poor], bound[poor] = _best_pair(more, low[poor], high[poor], around)
    probes = Probes(centre[inside], distance[inside])
    return Cells(low, high, pair, bound), probes


def _sides(low: Floats, high: Floats, around: Obstacles) -> NDArray[np.intp]:
    """(n, 2) obstacles nearest the middles of the two long sides of each cell."""
    size = high - low
    half = np.where(size[:, 1:] <= size[:, :1], [[0.0, 0.5]], [[0.5, 0.0]]) * size
    middle = (low + high) / 2
    nearest, _ = around.nearest(np.concatenate([middle - half, middle + half]))
    return nearest.reshape(2, -1).T


def _reach_inside(
    low: Floats, high: Floats, doubtful: NDArray[np.bool_], around: Obstacles
) -> NDArray[np.bool_]:
    """(n,) true for the doubtful cells that have points inside the outline."""
    reach = np.zeros(len(low), dtype=np.bool_)
    boxes = shapely.box(*low[doubtful].T, *high[doubtful].T)
    reach[doubtful] = shapely.intersects(around.outline, boxes)
    return reach


def _corners(low: Floats, high: Floats) -> Floats:
    """(n, 4, 2) mm: lower left, lower right, upper left, upper right."""
    corners = np.empty((len(low), 4, 2))
    corners[:, 0::2, 0], corners[:, 1::2, 0] = low[:, :1], high[:, :1]
    corners[:, :2, 1], corners[:, 2:, 1] = low[:, 1:], high[:, 1:]
    return corners


def _distances(points: Floats, segment: NDArray[np.intp], around: Obstacles) -> Floats:
    """(n, k, m) mm from each of (n, k) segments to (n, m, 2) points."""
    start, along = around.start[segment], (around.end - around.start)[segment]
    square = np.maximum((along**2).sum(axis=2), 1e-12)
    offset_x = points[:, None, :, 0] - start[:, :, None, 0]
    offset_y = points[:, None, :, 1] - start[:, :, None, 1]
    along_x, along_y = along[:, :, None, 0], along[:, :, None, 1]
    share = np.clip((offset_x * along_x + offset_y * along_y) / square[:, :, None], 0, 1)
    return np.hypot(offset_x - share * along_x, offset_y - share * along_y)


def _best_pair(
    candidates: NDArray[np.intp], low: Floats, high: Floats, around: Obstacles
) -> tuple[NDArray[np.intp], Floats]:
    """The two of (n, k) candidates, or one twice, with the least bound, and the bound."""
    one, two = np.triu_indices(candidates.shape[1])
    bounds = np.zeros((len(candidates), len(one)))
    for away in np.moveaxis(_distances(_corners(low, high), candidates, around), 2, 0):
        np.maximum(bounds, (away[:, one] + away[:, two]) / 2, out=bounds)
    best = bounds.argmin(axis=1)
    row = np.arange(len(best))
    pair = candidates[row[:, None], np.column_stack([one[best], two[best]])]
    return pair, bounds[row, best]
