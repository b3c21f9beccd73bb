"""Drawings for the tests of the checks, and a gap found by brute force on a raster."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely.geometry import LineString, Point, Polygon, box


def parallel(
    spacing: float, outline: Polygon, angle_deg: float = 0.0, first: float | None = None
) -> list[LineString]:
    """Lines at an even spacing across the outline; ``first`` is the offset of one of them."""
    low_x, low_y, high_x, high_y = outline.bounds
    reach = np.hypot(high_x - low_x, high_y - low_y)
    count = int(reach / spacing) + 2
    turn = np.radians(angle_deg)
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    corner = np.array([low_x, low_y])
    lines = []
    for k in range(-count, count + 1):
        middle = corner + across * ((first or 0.0) + k * spacing)
        whole = LineString([middle - along * 2 * reach, middle + along * 2 * reach])
        part = whole.intersection(outline)
        lines.extend(p for p in shapely.get_parts(part) if p.length > 1e-6)
    return [line for line in lines if isinstance(line, LineString)]


def random_drawing(seed: int) -> tuple[list[LineString], Polygon]:
    """A small runner with strokes, rings, bits of grid and blank parts, and now and then a bay."""
    rng = np.random.default_rng(seed)
    outline = box(0, 0, rng.uniform(120, 260), rng.uniform(60, 140))
    if seed % 3 == 0:
        cut = Point(rng.uniform(0, 200), 0).buffer(rng.uniform(15, 40))
        outline = max(shapely.get_parts(outline.difference(cut)), key=lambda part: part.area)
    wide, high = outline.bounds[2:]
    size = np.array([wide, high])
    lines = [LineString(rng.uniform(0, size, (rng.integers(2, 6), 2))) for _ in range(seed % 7)]
    lines += [
        Point(*rng.uniform(0, size)).buffer(rng.uniform(4, 30)).exterior for _ in range(seed % 4)
    ]
    if seed % 2:
        lines += parallel(rng.uniform(8, 40), outline, rng.uniform(0, 180))
    return [LineString(line.coords) for line in lines], outline


def raster_gap(
    lines: list[LineString], outline: Polygon, step: float = 4.0, finer: float = 0.1
) -> float:
    """Diameter of the widest empty circle by brute force: scipy on points, none of our code.

    Lines and edge become points 0.1 mm apart. Of a raster's squares, those are quartered that
    could still hold the best centre (clearance is 1-Lipschitz), until they are no larger than
    ``finer``. Within 0.15 mm of the truth.
    """
    shapes = shapely.segmentize(np.array([*lines, outline.boundary], dtype=object), finer)
    tree = cKDTree(shapely.get_coordinates(shapes))
    low_x, low_y, high_x, high_y = outline.bounds
    squares = _raster(np.arange(low_x, high_x + step, step), np.arange(low_y, high_y + step, step))
    best = 0.0
    while True:
        clearance, inside = tree.query(squares)[0], shapely.contains_xy(outline, *squares.T)
        best = max(best, clearance[inside].max(initial=0.0))
        if step <= finer:
            return float(2 * best)
        reach = 0.75 * step
        squares = squares[(clearance > best - reach) & (inside | (clearance < reach))]
        step /= 2
        quarters = _raster(np.array([-step, step]) / 2, np.array([-step, step]) / 2)
        squares = (squares[:, None, :] + quarters[None]).reshape(-1, 2)


def _raster(xs: NDArray[np.float64], ys: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
