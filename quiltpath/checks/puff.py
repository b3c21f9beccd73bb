"""How high the cloth stands between its quilting, and how stiff the quilting makes it.

The cloth is a membrane that the wadding pushes up evenly and every stitched line holds down. How
high it stands is bounded by the wadding's loft: height = loft x tanh(sqrt(u / u0)), u the membrane
and u0 that of a strip of the kind's own width. Between parallel lines a distance s apart this is
loft x tanh(s / width), with the steep flank at the line that cloth shows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.checks.membrane import (
    Floats,
    Geometries,
    Grid,
    Links,
    links,
    nodes_inside,
    segments_near,
    segments_of,
)
from quiltpath.checks.multigrid import solve_membrane

CELL_MM = 1.0
MOST_CELLS = 1_000_000
"""Larger cloth gets coarser cells, so that it takes no longer and no more memory."""

FINEST_MM = 0.25
BORDER_MM = 60.0
"""A gap's width and more: so far beyond a view its rim is no longer felt."""

CYCLES = 2
DEEPEST = 6
STRIP_SHARE = 1 / 8
"""u in the middle of a strip, of its width squared: the parabola x (w - x) / 2."""
SQUARE_SHARE = 0.0736713532814
"""u in the middle of a square, of its side squared: the series of Timoshenko and Goodier,
Theory of Elasticity, torsion of a rectangular bar (value from memory, the tests sum it)."""


@dataclass(frozen=True)
class Loft:
    """How a wadding stands up, in mm, and where that is from.

    ``loft_mm``   the most that cloth can rise above a stitched line
    ``width_mm``  parallel lines this far apart let it rise to 76 % (tanh 1) of that
    """

    name: str
    loft_mm: float
    width_mm: float
    source: str = "common practice for the kind; measure a swatch to be sure"


USUAL = Loft("wadding not named", 4.0, 40.0, "a middling wadding; name its kind or measure it")
LOFTS = (
    Loft("cotton with scrim", 2.5, 45.0),
    Loft("cotton", 3.0, 40.0),
    Loft("polyester", 7.0, 50.0),
    Loft("wool", 8.0, 45.0),
    Loft("insulated", 3.0, 60.0),
)
"""Common practice: the thickness of one layer that is not pressed, and how readily it springs."""


def loft_of(kind: str | None) -> Loft:
    """The usual loft of a kind of wadding; the middling one where the kind is not known."""
    return next((loft for loft in LOFTS if loft.name == kind), USUAL)


@dataclass(frozen=True)
class SwatchPuff:
    """A swatch: the height in mm midway between lines ``spacing_mm`` apart, crossed or not."""

    spacing_mm: float
    height_mm: float
    crossed: bool = False

    @property
    def as_lines_mm(self) -> float:
        """Spacing of parallel lines that would let the cloth rise as high."""
        share = SQUARE_SHARE if self.crossed else STRIP_SHARE
        return self.spacing_mm * math.sqrt(share / STRIP_SHARE)


def fit_loft(loft: Loft, measured: Sequence[SwatchPuff]) -> Loft:
    """The loft that the user's own swatches say, in place of the usual one.

    One spacing sets the loft and keeps the kind's width; clearly different ones set both, by
    least squares. Raises ``ValueError`` where a size is not above 0 or nothing was measured.
    """
    if not measured or min(min(m.spacing_mm, m.height_mm) for m in measured) <= 0:
        raise ValueError("a swatch needs a spacing and a height above 0")
    spacing = np.array([m.as_lines_mm for m in measured])
    height = np.array([m.height_mm for m in measured])
    width = loft.width_mm
    if spacing.max() >= 1.25 * spacing.min():
        width = _best_width(spacing, height)
    rise = np.tanh(spacing / width)
    most = float((rise @ height) / (rise @ rise))
    many = "swatch" if len(measured) == 1 else f"{len(measured)} swatches"
    return replace(loft, loft_mm=most, width_mm=width, source=f"measured on your own {many}")


def _best_width(spacing: NDArray[np.float64], height: NDArray[np.float64]) -> float:
    """The width that leaves least, tried in steps of 1 % from a quarter of the closest spacing."""
    widths = np.geomspace(spacing.min() / 4, spacing.max() * 10, 600)
    rise = np.tanh(spacing / widths[:, None])
    most = (rise @ height) / (rise**2).sum(axis=1)
    left = ((most[:, None] * rise - height) ** 2).sum(axis=1)
    return float(widths[int(left.argmin())])


@dataclass(frozen=True)
class HeightField:
    """The quilted cloth's height on a grid of nodes.

    ``height_mm``  (rows, columns) float32, 0 on lines and outside, below the loft everywhere
    ``cell_mm``    distance of neighbouring nodes
    ``origin_mm``  (x, y) of node (0, 0); rows run upwards in y
    ``inside``     (rows, columns) nodes inside the outline
    """

    height_mm: Floats
    cell_mm: float
    origin_mm: tuple[float, float]
    inside: NDArray[np.bool_]


def height_field(
    lines: Geometries,
    outline: Polygon,
    loft: Loft = USUAL,
    *,
    cell_mm: float = CELL_MM,
    window_mm: tuple[float, float, float, float] | None = None,
) -> HeightField:
    """Height of the cloth quilted along ``lines`` (LineStrings in mm) within ``outline``.

    ``window_mm`` (low x, low y, high x, high y) computes a part only; let it reach a gap's width
    beyond what is looked at, because nothing pulls at its rim. Raises ``ValueError`` for an
    outline without area and for cells that are not above 0.
    """
    u = membrane(lines, outline, cell_mm=cell_mm, window_mm=window_mm)
    return raise_by_loft(u, loft)


def raise_by_loft(u: Membrane, loft: Loft) -> HeightField:
    """How high a wadding lifts the membrane."""
    u0 = STRIP_SHARE * loft.width_mm**2
    height = loft.loft_mm * np.tanh(np.sqrt(np.maximum(u.u_mm2, 0) / u0))
    grid = u.grid
    return HeightField(height.astype(np.float32), grid.cell_mm, grid.origin_mm, u.inside)


def height_in_view(
    lines: Geometries,
    outline: Polygon,
    loft: Loft,
    view_mm: tuple[float, float, float, float],
    px_per_mm: float,
) -> HeightField:
    """Height of a part that is to be drawn at a scale: cells fine enough for it, and a wide enough
    border that what lies beyond the view is felt. The whole cloth comes out as in
    :func:`height_field`."""
    low_x, low_y, high_x, high_y = view_mm
    x0, y0, x1, y1 = outline.bounds
    window = (
        max(low_x - BORDER_MM, x0),
        max(low_y - BORDER_MM, y0),
        min(high_x + BORDER_MM, x1),
        min(high_y + BORDER_MM, y1),
    )
    if window[0] >= window[2] or window[1] >= window[3]:
        raise ValueError("the view lies off the cloth")
    cell = min(CELL_MM, max(FINEST_MM, 2 / px_per_mm))
    return height_field(lines, outline, loft, cell_mm=cell, window_mm=window)


@dataclass(frozen=True)
class Membrane:
    """-laplace(u) = 1 with u = 0 on lines and edge: ``u_mm2`` (rows, columns) on ``grid``.

    ``links`` are those that lines and edge leave between its nodes.
    """

    u_mm2: Floats
    grid: Grid
    inside: NDArray[np.bool_]
    links: Links


def membrane(
    lines: Geometries,
    outline: Polygon,
    *,
    cell_mm: float = CELL_MM,
    window_mm: tuple[float, float, float, float] | None = None,
    most_cells: int = MOST_CELLS,
) -> Membrane:
    """The membrane itself, with the arguments and errors of :func:`height_field`.

    Two cycles of full multigrid leave less than 0.3 % of the highest u on the cloths tried.
    """
    if cell_mm <= 0 or outline.is_empty or outline.area <= 0:
        raise ValueError("the cloth needs an outline with an area, and cells above 0")
    bounds = window_mm or outline.bounds
    grid, depth = _grid_over(bounds, _cell_in_bounds(bounds, cell_mm, most_cells))
    edge = segments_of([outline.boundary])
    within = nodes_inside(edge, grid)
    held = np.concatenate([edge, segments_near(lines, grid)])
    levels = _levels(held, within, grid, depth)
    return Membrane(solve_membrane(levels, grid.cell_mm, CYCLES), grid, within, levels[0])


def _cell_in_bounds(bounds: tuple[float, ...], cell_mm: float, most_cells: int) -> float:
    low_x, low_y, high_x, high_y = bounds
    least = math.sqrt((high_x - low_x) * (high_y - low_y) / most_cells)
    return max(cell_mm, math.ceil(least * 4) / 4 if least > cell_mm else cell_mm)


def _grid_over(bounds: tuple[float, ...], cell_mm: float) -> tuple[Grid, int]:
    """A grid one cell larger all round, and how often it can be made coarser."""
    low_x, low_y, high_x, high_y = bounds
    cells = [(high - low) / cell_mm + 2 for low, high in ((low_y, high_y), (low_x, high_x))]
    depth = _depth(min(cells))
    step = 2**depth
    rows, columns = (math.ceil(count / step) * step + 1 for count in cells)
    return Grid((low_x - cell_mm, low_y - cell_mm), cell_mm, (rows, columns)), depth


def _depth(cells: float) -> int:
    """Times that a grid can be made coarser with a few cells left."""
    return max(0, min(DEEPEST, int(math.log2(max(cells, 1) / 6))))


def _levels(
    held: NDArray[np.float64], within: NDArray[np.bool_], grid: Grid, depth: int
) -> list[Links]:
    levels = []
    for _ in range(depth + 1):
        levels.append(links(held, within, grid))
        within, grid = within[::2, ::2], grid.coarser
    return levels
