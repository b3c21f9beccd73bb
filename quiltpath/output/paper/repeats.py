"""Finding the repeat of a pattern along the runner, so that one repeat is printed and moved on."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.distinct import distinct

Points = NDArray[np.float64]

SAME_MM = 0.1
LEAST_MM = 8.0
FEWEST = 3
"""A repeat that comes fewer times is not worth moving a template for."""

EDGE_MM = 30.0
"""Near its ends a pattern is cut off and need not repeat."""

SAMPLES = 40
MOST_TRIALS = 200
MOSTLY = 0.9
"""Share of the vertices that must meet a vertex; the rest need only lie on a line."""


def repeat_along(geometry: NDArray[np.object_]) -> float | None:
    """The least distance along x by which the lines, moved, fall on themselves; None without one.

    Judged by its vertices, to a tenth of a mm, everywhere but near the pattern's ends.
    """
    points = shapely.get_coordinates(geometry)
    low, high = float(points[:, 0].min()), float(points[:, 0].max())
    if high - low < FEWEST * LEAST_MM + 2 * EDGE_MM:
        return None
    vertices, drawn = _Lattice(points), _segments(geometry)
    for shift in _trials(points, low, high):
        inner = (points[:, 0] > low + EDGE_MM) & (points[:, 0] < high - EDGE_MM - shift)
        moved = points[inner] + np.array([shift, 0.0])
        few = moved[:: max(1, len(moved) // SAMPLES)]
        if len(few) and np.mean(vertices.near(few)) > MOSTLY:
            missed = moved[~vertices.near(moved)]
            if len(missed) < (1 - MOSTLY) * len(moved) and _on_lines(missed, drawn):
                return shift
    return None


def _segments(geometry: NDArray[np.object_]) -> shapely.STRtree:
    """The lines in short straight parts, which a tree tells apart well."""
    points, index = shapely.get_coordinates(geometry, return_index=True)
    pairs = np.stack([points[:-1], points[1:]], axis=1)[np.diff(index) == 0]
    return shapely.STRtree(shapely.linestrings(pairs))


def _on_lines(points: Points, drawn: shapely.STRtree) -> bool:
    """Whether every point lies on a line: near its ends a curve may be divided another way."""
    found, _ = drawn.query(shapely.points(points), predicate="dwithin", distance=SAME_MM)
    return len(distinct(found)) == len(points)


def _trials(points: Points, low: float, high: float) -> list[float]:
    """Distances from one inner vertex to those at its own height, the least first."""
    inner = points[points[:, 0] > low + 0.3 * (high - low)]
    if not len(inner):
        return []
    pivot = inner[np.lexsort((inner[:, 1], inner[:, 0]))[0]]
    level = points[np.abs(points[:, 1] - pivot[1]) < SAME_MM / 2, 0] - pivot[0]
    fits = (level >= LEAST_MM) & (level <= (high - low) / FEWEST)
    return distinct(np.round(level[fits], 3))[:MOST_TRIALS].tolist()


class _Lattice:
    """The vertices on a grid of a tenth of a mm, to ask whether there is one near a point."""

    def __init__(self, points: Points) -> None:
        self.keys = distinct(_keys(points))

    def near(self, asked: Points) -> NDArray[np.bool_]:
        """(n,) whether each point has a vertex in its own cell of the grid or beside it."""
        found = np.zeros(len(asked), dtype=np.bool_)
        for x in (-SAME_MM, 0.0, SAME_MM):
            for y in (-SAME_MM, 0.0, SAME_MM):
                wanted = _keys(asked + np.array([x, y]))
                at = np.minimum(np.searchsorted(self.keys, wanted), len(self.keys) - 1)
                found |= self.keys[at] == wanted
        return found


def _keys(points: Points) -> NDArray[np.int64]:
    cells = np.round(points / SAME_MM).astype(np.int64)
    return cells[:, 0] * 2**32 + cells[:, 1]
