"""A region as pixels: what is inside, how far the wall is, and values read between pixels."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt
from scipy.spatial import cKDTree
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.arrays import Points


@dataclass(frozen=True)
class RoomRaster:
    """Pixel centres over a region with a rim of two pixels.

    ``corner_mm`` is the centre of pixel (0, 0); ``wall_mm`` (rows, columns) is the distance to the
    region's boundary, negative outside; rows go up in y.
    """

    corner_mm: tuple[float, float]
    step_mm: float
    wall_mm: NDArray[np.float64]

    @property
    def inside(self) -> NDArray[np.bool_]:
        return self.wall_mm > 0

    def centres(self) -> Points:
        """(rows * columns, 2) centres in mm, row by row."""
        rows, columns = self.wall_mm.shape
        x = self.corner_mm[0] + self.step_mm * np.arange(columns)
        y = self.corner_mm[1] + self.step_mm * np.arange(rows)
        return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)

    def coarser(self, times: int) -> RoomRaster:
        """Pixels so many times as wide over the same place, with nothing in them yet."""
        rows, columns = (-(-(count - 1) // times) + 1 for count in self.wall_mm.shape)
        return RoomRaster(self.corner_mm, self.step_mm * times, np.zeros((rows, columns)))

    def read(self, values: NDArray[np.float64], at_mm: Points) -> NDArray[np.float64]:
        """Values (rows, columns[, k]) between pixels, bilinear, held at the rim; (n[, k])."""
        rows, columns = self.wall_mm.shape
        place = (at_mm - np.asarray(self.corner_mm)) / self.step_mm
        x = np.clip(place[:, 0], 0, columns - 1.000001)
        y = np.clip(place[:, 1], 0, rows - 1.000001)
        i, j = x.astype(np.intp), y.astype(np.intp)
        u, v = x - i, y - j
        if values.ndim == 3:
            u, v = u[:, None], v[:, None]
        low = values[j, i] * (1 - u) + values[j, i + 1] * u
        high = values[j + 1, i] * (1 - u) + values[j + 1, i + 1] * u
        return low * (1 - v) + high * v

    def wall_at(self, x_mm: float, y_mm: float) -> float:
        """``wall_mm`` at one point between pixels, as :meth:`read` gives it, without an array."""
        rows, columns = self.wall_mm.shape
        x = min(max((x_mm - self.corner_mm[0]) / self.step_mm, 0.0), columns - 1.000001)
        y = min(max((y_mm - self.corner_mm[1]) / self.step_mm, 0.0), rows - 1.000001)
        i, j = int(x), int(y)
        u, v = x - i, y - j
        wall, first = self._wall_in_a_row, j * columns + i
        low = wall[first] * (1 - u) + wall[first + 1] * u
        first += columns
        high = wall[first] * (1 - u) + wall[first + 1] * u
        return low * (1 - v) + high * v

    @cached_property
    def _wall_in_a_row(self) -> memoryview:
        return self.wall_mm.ravel().data


def raster_of(region: BaseGeometry, step_mm: float, far_mm: float = math.inf) -> RoomRaster:
    """Pixels of ``step_mm`` over the region and two of them round it.

    Distances are exact to 2 % of a pixel, nearer than half a pixel to an eighth; beyond ``far_mm``
    they are not looked for, and ``far_mm`` stands there.
    """
    blank = pixels_over(region, step_mm)
    centres = blank.centres()
    edge = boundary_points(region, step_mm / 4)
    wall = np.full(len(centres), far_mm)
    near = _near_pixels(edge, blank, far_mm) if far_mm < math.inf else slice(None)
    found = cKDTree(edge).query(centres[near], distance_upper_bound=far_mm)[0]
    wall[near] = np.minimum(found, far_mm)
    shapely.prepare(region)
    inside = shapely.contains_xy(region, centres[:, 0], centres[:, 1])
    signed = np.where(inside, wall, -wall).reshape(blank.wall_mm.shape)
    return RoomRaster(blank.corner_mm, step_mm, signed)


def pixels_over(region: BaseGeometry, step_mm: float) -> RoomRaster:
    """The same pixels with nothing in them yet: for figures that need no wall."""
    x0, y0, x1, y1 = region.bounds
    rim = 2 * step_mm
    columns = int(np.ceil((x1 - x0 + 2 * rim) / step_mm)) + 1
    rows = int(np.ceil((y1 - y0 + 2 * rim) / step_mm)) + 1
    return RoomRaster((x0 - rim, y0 - rim), step_mm, np.zeros((rows, columns)))


def _near_pixels(edge_mm: Points, raster: RoomRaster, far_mm: float) -> NDArray[np.bool_]:
    """(rows * columns,) true for all centres within ``far_mm`` of points (n, 2), and few others."""
    away = np.ones(raster.wall_mm.shape, dtype=np.bool_)
    column, row = np.round((edge_mm - raster.corner_mm) / raster.step_mm).astype(np.intp).T
    away[row, column] = False
    pixels = distance_transform_edt(away)
    near: NDArray[np.bool_] = (pixels <= far_mm / raster.step_mm + 1).ravel()
    return near


def boundary_points(region: BaseGeometry, step_mm: float) -> Points:
    """(n, 2) points on all rings of the region, no farther apart than ``step_mm``."""
    return shapely.get_coordinates(shapely.segmentize(region.boundary, step_mm))
