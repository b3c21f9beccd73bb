"""Tiling: a drawing larger than the paper, over as few pages as can be.

A page prints its *cell* and half an overlap on every side. Every point belongs to one cell, so that
a page whose cell holds no mark can be left out and no mark is lost.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.drawing.page_model import Box
from quiltpath.geometry.arrays import Floats, distinct

EPSILON_MM = 0.02
EVEN_TRIALS = 12
MOST_ENDS = 12
"""Trial positions of the page edges: evenly over one step, and just clear of the ends of marks."""


@dataclass(frozen=True)
class PageTiling:
    """A grid of pages over a drawing.

    ``across``, ``up``  edges of the cells, mm in the drawing, rising
    ``needed``          (rows, columns), true where a page has something on it; row 0 is lowest
    ``turn``            ``"upright"`` or ``"sideways"``
    """

    across: Floats
    up: Floats
    needed: NDArray[np.bool_]
    turn: str
    overlap: float

    @property
    def pages(self) -> int:
        """Pages that are printed."""
        return int(self.needed.sum())

    def cells(self) -> Iterator[tuple[int, int]]:
        """(row, column) of the printed pages, the top row first, from left to right."""
        rows, columns = self.needed.shape
        for row in reversed(range(rows)):
            yield from ((row, column) for column in range(columns) if self.needed[row, column])

    def cell(self, row: int, column: int) -> Box:
        """The cell on the drawing."""
        return (
            float(self.across[column]),
            float(self.up[row]),
            float(self.across[column + 1]),
            float(self.up[row + 1]),
        )

    def window(self, row: int, column: int) -> Box:
        """What the page shows of the drawing: its cell and half an overlap all round."""
        x0, y0, x1, y1 = self.cell(row, column)
        half = self.overlap / 2
        return x0 - half, y0 - half, x1 + half, y1 + half

    def name(self, row: int, column: int) -> str:
        """The number of a printed page, counted as it is read: letters are those of blocks."""
        return str(1 + list(self.cells()).index((row, column)))


def plain_tiling(box: Box, room: tuple[float, float], overlap: float) -> int:
    """Pages that laying upright sheets from the lower left corner takes, empty ones included."""
    return math.prod(
        max(1, math.ceil((box[i + 2] - box[i] - overlap) / (room[i] - overlap) - 1e-9))
        for i in (0, 1)
    )


def fewest_pages(
    marks: NDArray[np.object_], rooms: dict[str, tuple[float, float]], overlap: float
) -> PageTiling:
    """The tiling with the fewest pages over all orientations and positions that are tried.

    ``marks`` are the shapely lines to print, ``rooms`` the window of a page for each orientation.
    For marks that are upright rectangles the trial positions hold an optimum: a grid can be slid
    until a page edge meets an extreme of a mark without any page being added. For slanted marks it
    is a search.
    """
    tilings = (_best_of_turn(marks, turn, room, overlap) for turn, room in rooms.items())
    return min(tilings, key=lambda tiling: (tiling.pages, tiling.needed.size))


def _best_of_turn(
    marks: NDArray[np.object_], turn: str, room: tuple[float, float], overlap: float
) -> PageTiling:
    bounds = shapely.bounds(marks)
    total = shapely.total_bounds(marks)
    trials = [
        _trial_edges(bounds[:, [i, i + 2]], total[i], total[i + 2], room[i] - overlap, overlap)
        for i in (0, 1)
    ]
    fine = [distinct(np.concatenate(edges)) for edges in trials]
    inked = _cells_with_ink(marks, fine[0], fine[1])
    starts = [[np.searchsorted(fine[i], edges[:-1]) for edges in trials[i]] for i in (0, 1)]
    uneven = [[_uneven(edges) for edges in trials[i]] for i in (0, 1)]
    best: tuple[tuple[int, int, float], int, int] | None = None
    for i, columns in enumerate(starts[0]):
        strips = np.logical_or.reduceat(inked, columns, axis=1)
        for j, rows in enumerate(starts[1]):
            cells = np.logical_or.reduceat(strips, rows, axis=0)
            rank = (int(np.count_nonzero(cells)), cells.size, uneven[0][i] + uneven[1][j])
            if best is None or rank < best[0]:
                best = (rank, i, j)
    assert best is not None
    _, i, j = best
    strips = np.logical_or.reduceat(inked, starts[0][i], axis=1)
    needed = np.logical_or.reduceat(strips, starts[1][j], axis=0)
    return PageTiling(
        *_full_cells(trials[0][i], trials[1][j], room, overlap), needed, turn, overlap
    )


def _uneven(edges: Floats) -> float:
    """How much the outermost cells differ: a sliver of a page is a nuisance to join."""
    return round(abs(float(edges[1] - edges[0] - edges[-1] + edges[-2])), 3)


def _full_cells(
    across: Floats, up: Floats, room: tuple[float, float], overlap: float
) -> tuple[Floats, Floats]:
    """Outer cells as large as all others, so that every page shows a full window."""
    return _filled_out(across, room[0] - overlap), _filled_out(up, room[1] - overlap)


def _filled_out(edges: Floats, step: float) -> Floats:
    if len(edges) == 2:
        middle = edges.mean()
        return np.array([middle - step / 2, middle + step / 2])
    return np.array([edges[1] - step, *edges[1:-1], edges[-2] + step])


def _trial_edges(
    extents: Floats, low: float, high: float, step: float, overlap: float
) -> list[Floats]:
    """Cell edges for each trial; the outermost lie just outside the marks.

    A first cell shows half an overlap more on its outer side, so an edge that near to the outermost
    mark is not needed.
    """
    half = overlap / 2
    phases = [low + step + half, high - step - half, (low + high) / 2, (low + high + step) / 2]
    phases += (low + step * np.arange(EVEN_TRIALS) / EVEN_TRIALS).tolist()
    for side, clear in ((0, -EPSILON_MM), (1, EPSILON_MM)):
        ends = distinct(np.round(extents[:, side], 3))
        phases += (ends[:: math.ceil(len(ends) / MOST_ENDS)] + clear).tolist()
    found: dict[tuple[float, ...], Floats] = {}
    for phase in phases:
        first = math.floor((low + half - phase) / step) + 1
        last = math.ceil((high - half - phase) / step) - 1
        inner = phase + step * np.arange(first, last + 1)
        edges = np.array([low - 2 * EPSILON_MM, *inner, high + 2 * EPSILON_MM])
        found.setdefault(tuple(np.round(edges, 6)), edges)
    return list(found.values())


def _cells_with_ink(marks: NDArray[np.object_], across: Floats, up: Floats) -> NDArray[np.bool_]:
    """(rows, columns) whether any mark lies in each cell of the fine grid (half-open cells)."""
    columns, rows = len(across) - 1, len(up) - 1
    x, y = np.meshgrid(np.arange(columns), np.arange(rows))
    shy = EPSILON_MM / 10
    boxes = shapely.box(across[x], up[y], across[x + 1] - shy, up[y + 1] - shy)
    tree = shapely.STRtree(boxes.ravel())
    _, hit = tree.query(marks, predicate="intersects")
    inked = np.zeros(rows * columns, dtype=np.bool_)
    inked[hit] = True
    return inked.reshape(rows, columns)


def pack(
    sizes: Sequence[tuple[float, float]], room: tuple[float, float], gap: float
) -> list[tuple[int, float, float]]:
    """Boxes on pages, row by row, the tallest first: (page, x, y of the lower left corner) each.

    First fit by decreasing height over shelves. Every box must fit into ``room`` by itself.
    """
    order = sorted(range(len(sizes)), key=lambda i: (-sizes[i][1], i))
    shelves: list[list[float]] = []  # page, top, height, used width
    below: list[float] = []  # used height of each page
    places: list[tuple[int, float, float]] = [(0, 0.0, 0.0)] * len(sizes)
    for index in order:
        width, height = sizes[index]
        shelf = next((s for s in shelves if s[3] + width <= room[0] and height <= s[2]), None)
        if shelf is None:
            shelf = _new_shelf(shelves, below, height, room[1], gap)
        places[index] = (int(shelf[0]), shelf[3], room[1] - shelf[1] - height)
        shelf[3] += width + gap
    return places


def _new_shelf(
    shelves: list[list[float]], below: list[float], height: float, room: float, gap: float
) -> list[float]:
    page = next((p for p, used in enumerate(below) if used + height <= room), len(below))
    if page == len(below):
        below.append(0.0)
    shelf = [float(page), below[page], height, 0.0]
    below[page] += height + gap
    shelves.append(shelf)
    return shelf
