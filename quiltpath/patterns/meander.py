"""Meander: a closed line that wanders over its whole region and never crosses itself."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from pydantic import Field

from quiltpath.geometry.curves import Points, chained, rounded
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.frame import repeats
from quiltpath.patterns.kind import FREE, Kind
from quiltpath.patterns.layer import INCH, RepertoireLayer, about
from quiltpath.schema import Spacing

Steps = NDArray[np.intp]


RIGHT, UP, LEFT, DOWN = (0, 1), (1, 0), (0, -1), (-1, 0)


class MeanderLayer(RepertoireLayer):
    """A wandering line that fills its region, keeps its distance and never crosses itself."""

    kind: Literal["meander"]
    spacing: Spacing = about(INCH / 2)
    """between neighbouring lines"""
    seed: Annotated[int, Field(ge=0, le=999_999)] = 1
    """another number, another wandering"""


def meander(layer: MeanderLayer, patch: Patch) -> list[Points]:
    """A walk round a spanning tree of the region's squares, corners rounded.

    Squares of two spacings that lie inside the region are joined by a random tree (fixed by the
    seed). The line that keeps the tree on its left visits every quarter of every square once
    (a Hamiltonian circuit of the finer grid), so neighbouring lines are one spacing apart and the
    line cannot cross itself; "about" lets the spacing along and across differ a little, so that
    whole squares fill a rectangle. Works in any region, with holes as well; each separate part
    has its own line.
    """
    free = shapely.buffer(patch.shape, -layer.inset)
    if free.is_empty:
        return []
    inside, corner, gap = _squares(layer, free)
    joined = _tree(inside, np.random.default_rng(layer.seed))
    return [_smooth(_walk(joined, start), corner, gap) for start in _starts(inside, joined)]


def _squares(layer: MeanderLayer, free: object) -> tuple[NDArray[np.bool_], Points, Points]:
    """(rows, columns) squares that lie inside; the lower left corner of all; the spacings."""
    low_x, low_y, high_x, high_y = shapely.bounds(free)
    square = Spacing(mm=2 * layer.spacing.mm, about=layer.spacing.about)
    columns, along = repeats(square, high_x - low_x)
    rows, across = repeats(square, high_y - low_y)
    left = (low_x + high_x - columns * along) / 2
    below = (low_y + high_y - rows * across) / 2
    y, x = np.mgrid[:rows, :columns]
    x, y = left + along * x, below + across * y
    within = shapely.buffer(free, 1e-6)
    shapely.prepare(within)
    inside = shapely.covers(within, shapely.box(x, y, x + along, y + across))
    return inside, np.array([left, below]), np.array([along, across]) / 2


def _tree(inside: NDArray[np.bool_], random: np.random.Generator) -> set[tuple[int, int, int, int]]:
    """Joins (row, column, row, column) of a random spanning forest: Kruskal's rule, shuffled."""
    level = [(r, c, r, c + 1) for r, c in np.argwhere(inside[:, :-1] & inside[:, 1:]).tolist()]
    upright = [(r, c, r + 1, c) for r, c in np.argwhere(inside[:-1] & inside[1:]).tolist()]
    joins = level + upright
    root = list(range(inside.size))

    def top(node: int) -> int:
        while root[node] != node:
            root[node] = root[root[node]]
            node = root[node]
        return node

    kept = set()
    columns = inside.shape[1]
    for index in random.permutation(len(joins)).tolist():
        r1, c1, r2, c2 = joins[index]
        one, other = top(r1 * columns + c1), top(r2 * columns + c2)
        if one != other:
            root[one] = other
            kept.add(joins[index])
    return kept


def _starts(
    inside: NDArray[np.bool_], joined: set[tuple[int, int, int, int]]
) -> list[tuple[int, int]]:
    """The lowest, leftmost square of each connected part."""
    neighbours: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for r1, c1, r2, c2 in joined:
        neighbours.setdefault((r1, c1), []).append((r2, c2))
        neighbours.setdefault((r2, c2), []).append((r1, c1))
    seen: set[tuple[int, int]] = set()
    starts = []
    for r, c in np.argwhere(inside).tolist():
        if (r, c) in seen:
            continue
        starts.append((r, c))
        waiting = [(r, c)]
        while waiting:
            square = waiting.pop()
            if square not in seen:
                seen.add(square)
                waiting += neighbours.get(square, [])
    return starts


def _walk(joined: set[tuple[int, int, int, int]], start: tuple[int, int]) -> Steps:
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


def _onward(row: int, column: int, joined: set[tuple[int, int, int, int]]) -> tuple[int, int]:
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
    whole = rounded(_corners_only(np.concatenate([points, points[:2]])), float(gap.min()) / 2)
    return chained([middle, whole[1:-1], middle])


def _corners_only(points: Points) -> Points:
    """Without the points at which the line goes straight on."""
    step = np.diff(points, axis=0)
    cross = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0]
    kept = np.concatenate([[True], np.abs(cross) > 1e-9, [True]])
    return points[kept]


KINDS = (Kind(MeanderLayer, FREE, in_patch=meander, one_path=True),)
