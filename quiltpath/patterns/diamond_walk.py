"""One line through a crosshatch that has cells left out.

A crosshatch that turns at the edge is a diamond in each cell, through the middles of its sides. At
each middle two diamonds meet, or one turns; so every node has two or four lines, whichever cells
are left out, and each connected part is one closed line (Euler 1736; found by Hierholzer's rule,
going straight on where that is open).
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.curves import Points

Node = tuple[int, int]
"""In half cells."""

FEWEST_CELLS = 3
"""Fewer, beside a larger part, are crumbs."""


def diamond_walks(kept: NDArray[np.bool_]) -> list[Points]:
    """(n, 2) closed lines in cells through the diamonds of ``kept`` (rows, columns), one a part."""
    from scipy.ndimage import label

    parts, count = label(kept)
    sizes = np.bincount(parts.ravel(), minlength=count + 1)[1:]
    large = sizes >= min(FEWEST_CELLS, sizes.max(initial=0))
    return [_walk(np.argwhere(parts == part + 1)) for part in np.flatnonzero(large)]


def _walk(cells: NDArray[np.intp]) -> Points:
    """The closed line through the diamonds of connected cells (row, column)."""
    open_ways: dict[Node, set[Node]] = defaultdict(set)
    for row, column in cells.tolist():
        x, y = 2 * column + 1, 2 * row + 1
        ring = [(x, y - 1), (x + 1, y), (x, y + 1), (x - 1, y)]
        for here, there in zip(ring, ring[1:] + ring[:1], strict=True):
            open_ways[here].add(there)
            open_ways[there].add(here)
    start = min(open_ways)
    trail, walk = [start], []
    while trail:
        here = trail[-1]
        if open_ways[here]:
            there = _onward(trail, open_ways[here])
            open_ways[here].remove(there)
            open_ways[there].remove(here)
            trail.append(there)
        else:
            walk.append(trail.pop())
    return _turns_only(np.array(walk)) / 2.0


def _onward(trail: list[Node], ways: set[Node]) -> Node:
    """Straight on where that is open, else the first way there is."""
    if len(trail) > 1:
        (x0, y0), (x1, y1) = trail[-2:]
        if (straight := (2 * x1 - x0, 2 * y1 - y0)) in ways:
            return straight
    return min(ways)


def _turns_only(walk: NDArray[np.intp]) -> NDArray[np.intp]:
    """Without the nodes at which the line goes straight on."""
    step = np.diff(walk, axis=0)
    turns = (step[1:] != step[:-1]).any(axis=1)
    return walk[np.concatenate([[True], turns, [True]])]
