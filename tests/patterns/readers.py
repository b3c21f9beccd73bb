"""Readers that know nothing of how a line was made: pixels, sweeps and counts of libraries."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy.ndimage import distance_transform_edt, maximum_filter
from scipy.spatial import cKDTree
from shapely import affinity
from shapely.geometry import Polygon, box

PIXEL_MM = 0.5
BLOCK = box(0, 0, 254, 304.8)


def star(x: float, y: float, outer: float, inner: float, points: int = 8) -> Polygon:
    angle = np.arange(2 * points) * np.pi / points
    radius = np.where(np.arange(2 * points) % 2, inner, outer)
    return Polygon(np.stack([x + radius * np.cos(angle), y + radius * np.sin(angle)], axis=1))


def egg(x: float, y: float, width: float = 104, height: float = 140) -> Polygon:
    turn = np.linspace(0, 2 * np.pi, 90)[:-1]
    across = width / 2 * np.cos(turn) * (1 - 0.25 * np.sin(turn))
    return Polygon(np.stack([x + across, y + height / 2 * np.sin(turn)], axis=1))


REGIONS: dict[str, Polygon] = {
    "plain block": BLOCK,
    "block with an egg": BLOCK.difference(egg(127, 145)),
    "block with a star": BLOCK.difference(star(127, 152, 85, 48)),
    "L": Polygon([(0, 0), (300, 0), (300, 120), (130, 120), (130, 300), (0, 300)]),
    "oval": affinity.scale(shapely.Point(0, 0).buffer(1, 64), 190, 110),
    "strip": box(0, 0, 500, 60),
}


@dataclass(frozen=True)
class Gaps:
    """Distances read from pixels: ``farthest`` point of the region from a line, and the diameters
    of the empty circles between lines and edges, largest first."""

    farthest: float
    empty: NDArray[np.float64]


def gaps_of(region: Polygon, lines: list[NDArray[np.float64]]) -> Gaps:
    """Exact distance transform of scipy, half a millimetre a pixel."""
    x0, y0, x1, y1 = region.bounds
    width, height = (int((far - near) / PIXEL_MM) + 3 for near, far in ((x0, x1), (y0, y1)))
    picture = Image.new("1", (width, height), 1)
    pen = ImageDraw.Draw(picture)
    for line in lines:
        pen.line([((x - x0) / PIXEL_MM + 1, (y - y0) / PIXEL_MM + 1) for x, y in line], fill=0)
    free = np.array(picture)
    rows, columns = np.mgrid[0:height, 0:width]
    inside = shapely.contains_xy(region, (columns - 1) * PIXEL_MM + x0, (rows - 1) * PIXEL_MM + y0)
    to_line = distance_transform_edt(free) * PIXEL_MM
    to_any = distance_transform_edt(free & inside) * PIXEL_MM
    peaks = (maximum_filter(to_any, 9) == to_any) & (to_any > PIXEL_MM)
    return Gaps(float(to_line[inside].max()), -np.sort(-2 * to_any[peaks]))


def least_strand_gap(line: NDArray[np.float64], bend_mm: float) -> float:
    """The least distance between points of a closed line farther apart along it than a bend."""
    points = shapely.get_coordinates(shapely.segmentize(shapely.LineString(line), 0.5))
    way = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    pairs = cKDTree(points).query_pairs(bend_mm, output_type="ndarray")
    along = np.abs(way[pairs[:, 0]] - way[pairs[:, 1]])
    along = np.minimum(along, way[-1] - along)
    far = pairs[along > bend_mm]
    return float(np.hypot(*(points[far[:, 0]] - points[far[:, 1]]).T).min()) if len(far) else np.inf


def radii(line: NDArray[np.float64], step_mm: float) -> NDArray[np.float64]:
    """Radii of the circles through points ``step_mm`` apart on a closed line (Menger)."""
    ring = shapely.LineString(line)
    at = np.arange(0, ring.length, step_mm)
    points = shapely.get_coordinates(shapely.line_interpolate_point(ring, at))
    a, b, c = np.roll(points, 1, axis=0), points, np.roll(points, -1, axis=0)
    area = _area(a, b, c)
    sides = np.hypot(*(a - b).T) * np.hypot(*(b - c).T) * np.hypot(*(c - a).T)
    return (sides / np.maximum(2 * area, 1e-9))[1:-1]


def _area(
    a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64]
) -> NDArray[np.float64]:
    u, v = b - a, c - a
    return np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
