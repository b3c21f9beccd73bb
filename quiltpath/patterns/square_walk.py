"""Walks round a tree of squares: one closed line for each connected part, whatever its holes.

Squares of two spacings that lie inside a region are joined by a spanning tree. The line that keeps
the tree on its left visits every quarter of every square once (a Hamiltonian circuit of the finer
grid), so neighbouring lines are one spacing apart and the line cannot cross itself. A tree taken by
chance makes a maze; one whose joins run along the rows makes lines there and back.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.curves import Points, chain_paths, round_corners
from quiltpath.patterns.frame import repeats
from quiltpath.schema import Spacing

Steps = NDArray[np.intp]
Join = tuple[int, int, int, int]
"""Row and column of a square, and those of the next one along or up."""

RIGHT, UP, LEFT, DOWN = (0, 1), (1, 0), (0, -1), (-1, 0)


def maze(whole: BaseGeometry, clear: BaseGeometry, spacing: Spacing, seed: int) -> list[Points]:
    """Closed lines that wander over ``clear``; the squares divide the rectangle round ``whole``."""
    inside, corner, gap = _squares(spacing, whole, clear)
    joins = _joins(inside)
    order = np.random.default_rng(seed).permutation(len(joins)).tolist()
    return _walks(inside, [joins[k] for k in order], corner, gap)


def there_and_back(
    whole: BaseGeometry, clear: BaseGeometry, spacing: Spacing, upright: bool
) -> list[Points]:
    """Closed lines along rows or, ``upright``, columns; they pass from one to the next at its
    lower end, so that the line comes home along one side."""
    inside, corner, gap = _squares(spacing, whole, clear)
    axis = 1 if upright else 0
    # Along the rows first; from row to row where it is nearest to the lower end.
    joins = sorted(_joins(inside), key=lambda j: (j[axis] != j[axis + 2], j[1 - axis], j[axis]))
    return _walks(inside, joins, corner, gap)


def _squares(
    spacing: Spacing, whole: BaseGeometry, clear: BaseGeometry
) -> tuple[NDArray[np.bool_], Points, Points]:
    """(rows, columns) squares that lie clear; the lower left corner of all; the spacings."""
    low_x, low_y, high_x, high_y = shapely.bounds(whole)
    square = Spacing(mm=2 * spacing.mm, about=spacing.about)
    columns, along = repeats(square, high_x - low_x)
    rows, across = repeats(square, high_y - low_y)
    left = (low_x + high_x - columns * along) / 2
    below = (low_y + high_y - rows * across) / 2
    y, x = np.mgrid[:rows, :columns]
    x, y = left + along * x, below + across * y
    within = shapely.buffer(clear, 1e-6)
    shapely.prepare(within)
    inside = shapely.covers(within, shapely.box(x, y, x + along, y + across))
    return inside, np.array([left, below]), np.array([along, across]) / 2


def _joins(inside: NDArray[np.bool_]) -> list[Join]:
    """All pairs of neighbouring squares, along first."""
    level = [(r, c, r, c + 1) for r, c in np.argwhere(inside[:, :-1] & inside[:, 1:]).tolist()]
    upright = [(r, c, r + 1, c) for r, c in np.argwhere(inside[:-1] & inside[1:]).tolist()]
    return level + upright


def _walks(
    inside: NDArray[np.bool_], joins: list[Join], corner: Points, gap: Points
) -> list[Points]:
    """Closed lines in mm round the tree that takes joins in their order, one a part."""
    import rustworkx

    columns = inside.shape[1]
    graph = rustworkx.PyGraph()
    graph.add_nodes_from(range(inside.size))
    graph.add_edges_from(
        [(r1 * columns + c1, r2 * columns + c2, n) for n, (r1, c1, r2, c2) in enumerate(joins)]
    )
    tree = {
        joins[number] for *_, number in rustworkx.minimum_spanning_edges(graph, weight_fn=float)
    }
    lowest = sorted(min(part) for part in rustworkx.connected_components(graph))
    starts = [divmod(square, columns) for square in lowest if inside.flat[square]]
    return [_smooth(_walk(tree, start), corner, gap) for start in starts]


def _walk(joined: set[Join], start: tuple[int, int]) -> Steps:
    """(n, 2) quarters (column, row on the finer grid) round the tree, anticlockwise, not closed."""
    row, column = 2 * start[0], 2 * start[1]
    first = (row, column)
    walked = [first]
    row, column = row, column + 1
    while (row, column) != first:
        walked.append((row, column))
        step = _onward(row, column, joined)
        row, column = row + step[0], column + step[1]
    return np.array([(c, r) for r, c in walked])


def _onward(row: int, column: int, joined: set[Join]) -> tuple[int, int]:
    """From a quarter: on into the next square where the tree goes there, else round this one.

    Anticlockwise round a square, its lower left quarter heads down or right, and so on.
    """
    r, c = row // 2, column // 2
    upper, right = row % 2, column % 2
    if not upper and not right:
        return DOWN if (r - 1, c, r, c) in joined else RIGHT
    if not upper and right:
        return RIGHT if (r, c, r, c + 1) in joined else UP
    if upper and right:
        return UP if (r, c, r + 1, c) in joined else LEFT
    return LEFT if (r, c - 1, r, c) in joined else DOWN


def _smooth(walk: Steps, corner: Points, gap: Points) -> Points:
    """The walk in mm, each corner a quarter circle of half a spacing; closed halfway up a step."""
    points = corner + gap * (walk + 0.5)
    middle = (points[:1] + points[1:2]) / 2
    # Once round and one step on, so that the corners at both ends of that step are rounded alike.
    whole = round_corners(_corners_only(np.concatenate([points, points[:2]])), float(gap.min()) / 2)
    line = chain_paths([middle, whole[1:-1], middle])
    line[-1] = line[0]  # a half turn may end there but for a hair
    return line


def _corners_only(points: Points) -> Points:
    """Without the points at which the line goes straight on."""
    step = np.diff(points, axis=0)
    cross = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0]
    kept = np.concatenate([[True], np.abs(cross) > 1e-9, [True]])
    return points[kept]
