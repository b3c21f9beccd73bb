"""Uneven density: dense quilting draws the cloth up, and the sparse part beside it puffs.

Density is the length stitched on an area, in mm for each mm², which is m for each 1000 mm². Its
inverse is a mean spacing: parallel lines at s have density 1 / s, a square grid of s has 2 / s.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from quiltpath.checks.limits import CheckLimits
from quiltpath.findings import Finding
from quiltpath.geometry.arrays import Floats, Geometries, segments, shares
from quiltpath.geometry.runner_shapes import Region, Runner
from quiltpath.patterns import Lines
from quiltpath.units import both_units

_CELLS = 6
"""cells across the moving window"""

_SPACINGS = 8
"""a window spans at least so many mean spacings, or it would find single lines uneven"""

_LEAST_SHARE = 0.6
"""a window with less of itself on the cloth says nothing"""

_WELL_WITHIN = 0.75
"""what is offered goes so far towards the ratio allowed, to stay clear of it"""


@dataclass(frozen=True)
class LinePieces:
    """Short pieces of the stitched lines: (n, 2) ``middle`` and (n,) ``length``, mm."""

    middle: Floats
    length: Floats


@dataclass(frozen=True)
class DensityMap:
    """Density around places on an even raster over the runner's bounds.

    ``density``  (rows, columns) mm for each mm², weighted like a tent of the window's width;
                 NaN where the window is off the cloth
    ``low``, ``cell``  lower left corner of the raster and size of a cell, (x, y) in mm
    """

    density: Floats
    low: Floats
    cell: Floats

    def at_mm(self, row: int, column: int) -> tuple[float, float]:
        """Middle of a cell on the runner."""
        x, y = self.low + self.cell * (np.array([column, row]) + 0.5)
        return float(x), float(y)


def split_into_pieces(lines: Geometries, piece_mm: float) -> LinePieces:
    """(n,) LineStrings cut into pieces no longer than ``piece_mm``."""
    parts = segments(lines)
    count = np.ceil(parts.length / piece_mm).astype(np.intp)
    owner, middle = shares(count)
    places = parts.start[owner] + parts.along[owner] * middle[:, None]
    return LinePieces(places, (parts.length / count)[owner])


def density_map(sewn: LinePieces, outline: Polygon, window_mm: float) -> DensityMap:
    """Density in a window that moves over the runner in steps of a sixth of its width."""
    low, high = np.array(outline.bounds).reshape(2, 2)
    columns, rows = np.maximum(np.round((high - low) / window_mm * _CELLS), 1).astype(np.intp)
    cell = (high - low) / [columns, rows]
    index = np.floor((sewn.middle - low) / cell).astype(np.intp)
    index = np.clip(index, 0, [columns - 1, rows - 1])
    flat = index[:, 1] * columns + index[:, 0]
    on_cloth = shapely.intersects_xy(outline, *sewn.middle.T)
    weights = sewn.length * on_cloth
    summed = np.bincount(flat, weights, minlength=rows * columns).astype(np.float64)
    area = area_on_cloth(outline, low, cell, rows, columns)
    tented_length, tented_area = (
        _sum_under_tent(summed.reshape(rows, columns)),
        _sum_under_tent(area),
    )
    full = float(cell.prod()) * (_CELLS / 2) ** 4
    known = tented_area > _LEAST_SHARE * full
    density = np.full_like(tented_area, np.nan)
    density[known] = tented_length[known] / tented_area[known]
    return DensityMap(density, low, cell)


def area_on_cloth(outline: Polygon, low: Floats, cell: Floats, rows: int, columns: int) -> Floats:
    """(rows, columns) mm² of each cell on the cloth, from four points of it."""
    x = low[0] + cell[0] * (np.arange(2 * columns) + 0.5) / 2
    y = low[1] + cell[1] * (np.arange(2 * rows) + 0.5) / 2
    inside = shapely.contains_xy(outline, *np.meshgrid(x, y))
    share = inside.reshape(rows, 2, columns, 2).mean(axis=(1, 3))
    return np.asarray(share * cell.prod())


def _sum_under_tent(values: Floats) -> Floats:
    """Sums under a tent: a moving box of half the window, twice, on both axes."""
    beside = _CELLS // 4
    for axis in (0, 1, 0, 1):
        padded = np.zeros_like(np.take(values, [0], axis))
        total = np.cumsum(np.concatenate([padded, values], axis=axis), axis=axis)
        place = np.arange(values.shape[axis])
        last = np.minimum(place + beside + 1, values.shape[axis])
        values = np.take(total, last, axis) - np.take(total, np.maximum(place - beside, 0), axis)
    return values


SEEN_RATIO = 3.0
"""Less contrast is not seen in a finished piece, and a motif may puff (common practice)."""


def uneven_density(runner: Runner, lines: Lines, limits: CheckLimits) -> tuple[Finding, ...]:
    """Remarks where dense quilting lies beside sparse, and where regions differ as much."""
    total = float(shapely.length(lines.geometry).sum())
    if total == 0.0:
        return ()
    window = max(limits.density_window_mm, _SPACINGS * runner.outline.area / total)
    shapely.prepare(runner.outline)
    sewn = split_into_pieces(lines.geometry, window / _CELLS)
    beside = _side_by_side(runner, density_map(sewn, runner.outline, window), limits)
    return (*beside, *_between_regions(runner, sewn, limits))


def _side_by_side(
    runner: Runner, densities: DensityMap, limits: CheckLimits
) -> tuple[Finding, ...]:
    """The worst contrast between a window and the next one along or across."""
    worst, found = limits.density_ratio, None
    for axis in (0, 1):
        first, second = _neighbours(densities.density, axis)
        dense, sparse = np.fmax(first, second), np.fmin(first, second)
        ratio = np.nan_to_num(dense / np.maximum(sparse, 1e-9))
        if ratio.max(initial=0.0) > worst:
            worst, row, column = float(ratio.max()), *np.unravel_index(ratio.argmax(), ratio.shape)
            swap = int(second[row, column] < first[row, column]) * _CELLS
            at = (row + swap, column) if axis == 0 else (row, column + swap)
            found = (dense[row, column], sparse[row, column], densities.at_mm(*map(int, at)))
    if found is None:
        return ()
    dense_here, sparse_here, place = found
    message = (
        f"{_sparse(1 / dense_here, sparse_here)} here beside {_even(1 / dense_here)} next to it"
    )
    meant = _word_for_bare_motifs(runner, place)
    remedy = _remedy(1 / dense_here, limits) + meant
    mild = worst < SEEN_RATIO or meant != ""
    return (Finding("density-uneven", message, remedy, place, mild),)


def _word_for_bare_motifs(runner: Runner, place: tuple[float, float]) -> str:
    """A word for motifs that are left bare on purpose."""
    for motif in runner.motifs:
        if motif.shape.intersects(shapely.Point(place)):
            return f"; or leave it, if the {motif.name} in {motif.place} is meant to puff"
    return ""


def _neighbours(density: Floats, axis: int) -> tuple[Floats, Floats]:
    """The densities of windows that lie edge to edge."""
    if axis == 0:
        return density[:-_CELLS], density[_CELLS:]
    return density[:, :-_CELLS], density[:, _CELLS:]


def _between_regions(runner: Runner, sewn: LinePieces, limits: CheckLimits) -> tuple[Finding, ...]:
    """Densest region against sparsest, of those at least a window wide."""
    wide = [region for region in runner.regions if _width(region) >= limits.density_window_mm]
    if len(wide) < 2:
        return ()
    density = region_densities(wide, sewn)
    dense, sparse = int(density.argmax()), int(density.argmin())
    if density[dense] <= limits.density_ratio * density[sparse]:
        return ()
    place = wide[sparse].shape.representative_point()
    message = (
        f"{_sparse(1 / density[dense], density[sparse])} in {wide[sparse].name}"
        f" against {_even(1 / density[dense])} in {wide[dense].name}"
    )
    remedy = _remedy(1 / density[dense], limits)
    return (Finding("regions-uneven", message, remedy, (place.x, place.y)),)


def region_densities(regions: list[Region], sewn: LinePieces) -> Floats:
    """(n,) mm for each mm² in each region; what lies on a shared border counts half to each."""
    shapes = np.array([region.shape for region in regions], dtype=object)
    piece, region = shapely.STRtree(shapes).query(shapely.points(sewn.middle), "intersects")
    shared = np.bincount(piece, minlength=len(sewn.length))[piece]
    length = np.bincount(region, sewn.length[piece] / shared, minlength=len(regions))
    return np.asarray(length / shapely.area(shapes))


def _width(region: Region) -> float:
    low_x, low_y, high_x, high_y = region.shape.bounds
    return float(min(high_x - low_x, high_y - low_y))


def _even(spacing_mm: float) -> str:
    return f"lines {both_units(spacing_mm)} apart on average"


def _sparse(dense_spacing_mm: float, sparse: float) -> str:
    if sparse * dense_spacing_mm < 0.05:
        return "next to no quilting"
    ratio = 1 / (sparse * dense_spacing_mm)
    return f"quilting {ratio:.1f} times as sparse, {_even(1 / sparse)},"


def _remedy(dense_spacing_mm: float, limits: CheckLimits) -> str:
    most = _WELL_WITHIN * limits.density_ratio * dense_spacing_mm
    return (
        f"lines at {both_units(most)} or closer there (crossed lines at {both_units(2 * most)})"
        " even it out, or open up the dense part"
    )
