"""The widest unquilted places: the largest empty circles between stitched lines and the edge.

Branch and bound over square cells, a whole level at a time. The clearance of a point is its
distance to the nearest stitched line or to the outline; it changes by no more than the distance
moved, so no point of a cell has more clearance than the cell's centre plus half its diagonal h.

That bound alone would split cells without end along the middle of every even gap. A second one
holds there. Let a and b be any two points on stitched lines or the edge, u and w the vectors from
a to the cell's centre and from the centre to b, d and e their lengths. For a point at the offset
v from the centre, |v| <= h, and any share k in 0..1,

    clearance² <= min(|pa|², |pb|²) <= k |pa|² + (1 - k) |pb|²
               =  k d² + (1 - k) e² + |v|² + 2 v . (k u - (1 - k) w)

With k = e / (d + e) this is at most d e + h² + 2 h (d e / (d + e)) |u/d - w/e|. Where b lies
straight across from a the last term is nothing and the bound is of second order in h.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

FIRST_CELLS_ALONG = 64
"""Cells along the longer side of the first level."""


@dataclass(frozen=True)
class Gap:
    """An empty circle: its centre and diameter in mm."""

    centre: tuple[float, float]
    diameter_mm: float


@dataclass(frozen=True)
class Gaps:
    """The widest empty circles, widest first; the first is exact to the tolerance asked for."""

    widest: tuple[Gap, ...]

    @property
    def widest_mm(self) -> float:
        """Diameter of the widest; 0 where the outline is full."""
        return self.widest[0].diameter_mm if self.widest else 0.0


@dataclass(frozen=True)
class _Cells:
    """Square cells of one size: centres (n, 2) and half the side, mm."""

    centre: NDArray[np.float64]
    half: float

    @property
    def reach(self) -> float:
        """Half the diagonal."""
        return self.half * float(np.sqrt(2.0))

    def split(self, chosen: NDArray[np.bool_]) -> _Cells:
        """The four quarters of each chosen cell."""
        step = self.half / 2
        shifts = np.array([(-step, -step), (-step, step), (step, -step), (step, step)])
        return _Cells((self.centre[chosen][:, None] + shifts).reshape(-1, 2), step)


class Clearance:
    """Distance to the nearest stitched line or to the outline, for many points at once."""

    def __init__(self, stitched: NDArray[np.object_], outline: Polygon) -> None:
        obstacles = np.concatenate([segments(stitched), segments(rings(outline))])
        self._tree = shapely.STRtree(obstacles)
        self._obstacles = obstacles
        self._outline = outline
        shapely.prepare(outline)

    def at(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """(n,) clearance in mm; negative outside the outline."""
        geometry = shapely.points(points)
        _, found = self._tree.query_nearest(geometry, all_matches=False)
        distance = shapely.distance(geometry, self._obstacles[found])
        inside = shapely.contains_xy(self._outline, points)
        return np.where(inside, distance, -distance)

    def nearest_points(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """(n, 2) the nearest point on a line or the edge."""
        geometry = shapely.points(points)
        _, found = self._tree.query_nearest(geometry, all_matches=False)
        near = self._obstacles[found]
        return shapely.get_coordinates(
            shapely.line_interpolate_point(near, shapely.line_locate_point(near, geometry))
        )


def segments(lines: NDArray[np.object_]) -> NDArray[np.object_]:
    """(m,) two-point LineStrings of all the lines' segments."""
    coordinates, line = shapely.get_coordinates(lines, return_index=True)
    first = np.flatnonzero(line[1:] == line[:-1])
    return shapely.linestrings(np.stack([coordinates[first], coordinates[first + 1]], axis=1))


def rings(outline: Polygon) -> NDArray[np.object_]:
    """Outer and inner rings of a polygon."""
    return shapely.get_parts(shapely.get_rings(outline))


def widest_gaps(
    stitched: NDArray[np.object_], outline: Polygon, count: int = 5, tolerance_mm: float = 0.5
) -> Gaps:
    """The ``count`` widest empty circles inside ``outline`` that touch no stitched line.

    ``stitched`` is an array of LineStrings in mm. Diameters are exact to ``tolerance_mm``. Places
    count as different where neither circle holds the other's centre.
    """
    clearance = Clearance(stitched, outline)
    found: list[Gap] = []
    while len(found) < count:
        gap = _widest(clearance, outline, tolerance_mm / 2, found)
        if gap is None:
            break
        found.append(gap)
    return Gaps(tuple(found))


def _widest(
    clearance: Clearance, outline: Polygon, tolerance: float, taken: list[Gap]
) -> Gap | None:
    """The widest circle whose centre lies in none of those taken; radius exact to tolerance."""
    cells = _first_cells(outline)
    best, place = 0.0, None
    while len(cells.centre):
        value = clearance.at(cells.centre)
        free = _outside(cells.centre, taken, margin=0.0)
        top = int(np.argmax(np.where(free, value, -np.inf)))
        if free[top] and value[top] > best:
            best, place = float(value[top]), cells.centre[top]
        hopeful = _outside(cells.centre, taken, margin=-cells.reach)
        hopeful &= value + cells.reach > best + tolerance
        chosen = np.flatnonzero(hopeful)
        bound = _chord_bound(clearance, cells.centre[chosen], value[chosen], best, cells.reach)
        hopeful[chosen] = bound > best + tolerance
        cells = cells.split(hopeful)
    if place is None:
        return None
    return Gap((float(place[0]), float(place[1])), 2 * best)


def _first_cells(outline: Polygon) -> _Cells:
    """Cells of one size that cover the outline."""
    low_x, low_y, high_x, high_y = outline.bounds
    side = max(high_x - low_x, high_y - low_y) / FIRST_CELLS_ALONG
    side = min(side, high_x - low_x, high_y - low_y)
    x = np.arange(low_x + side / 2, high_x + side / 2, side)
    y = np.arange(low_y + side / 2, high_y + side / 2, side)
    grid = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1)
    return _Cells(grid.reshape(-1, 2), side / 2)


def _outside(points: NDArray[np.float64], taken: list[Gap], margin: float) -> NDArray[np.bool_]:
    """True for points further from every taken centre than its radius plus ``margin``."""
    free = np.ones(len(points), dtype=np.bool_)
    for gap in taken:
        away = np.hypot(*(points - gap.centre).T)
        free &= away > gap.diameter_mm / 2 + margin
    return free


def _chord_bound(
    clearance: Clearance,
    centre: NDArray[np.float64],
    value: NDArray[np.float64],
    best: float,
    reach: float,
) -> NDArray[np.float64]:
    """Upper bound of the clearance in cells, from an obstacle on each side of the centre."""
    d = np.abs(value)
    toward = centre - clearance.nearest_points(centre)
    unit = np.divide(toward, d[:, None], out=np.zeros_like(toward), where=d[:, None] > 1e-9)
    across = centre + unit * np.maximum(2 * best - d, reach)[:, None]
    w = clearance.nearest_points(across) - centre
    e = np.hypot(w[:, 0], w[:, 1])
    usable = (d > 1e-9) & (e > 1e-9)
    ahead = np.divide(w, e[:, None], out=np.zeros_like(w), where=usable[:, None])
    slant = np.hypot(*(unit - ahead).T)
    bound = d * e + reach**2 + 2 * reach * d * e / np.where(usable, d + e, 1.0) * slant
    return np.where(usable, np.sqrt(bound), np.inf)
