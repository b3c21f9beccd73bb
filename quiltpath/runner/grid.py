"""The sashing grid: bands along the runner and across it, and the regions named from them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Region, RegionKind
from quiltpath.project.runner_sections import GridSection
from quiltpath.units import both_units

SUM_TOLERANCE_MM = 0.5
"""Sizes that are rounded to a ruler's marks may miss their sum by this much."""

_AXIS_KEY = ("along", "across")
_AXIS_NAME = ("length", "width")


class BandKind(Enum):
    """What a band is, seen along one axis."""

    BLOCK = "block"
    SASHING = "sashing"
    OUTER_SASHING = "outer sashing"
    BORDER = "border"


@dataclass(frozen=True)
class Band:
    """One stretch of an axis, from ``low`` to ``high`` in mm."""

    kind: BandKind
    low: float
    high: float

    @property
    def is_strip(self) -> bool:
        """True for sashing, inner or outer."""
        return self.kind in (BandKind.SASHING, BandKind.OUTER_SASHING)


Bands = tuple[Band, ...]


def bands(grid: GridSection, axis: int, size_mm: float) -> tuple[Band, ...]:
    """Bands along axis 0 (the length) or 1 (the width), adding up to ``size_mm``.

    Raises :class:`InputError` that shows the sum where the sizes contradict each other.
    """
    measured = (grid.printed_along, grid.printed_across)[axis]
    if measured is not None:
        return _measured_bands(grid, axis, measured, size_mm)
    count = (grid.along, grid.across)[axis]
    block = _block_side(grid, axis, count, size_mm)
    widths = _outer_widths(grid)
    for index in range(count):
        widths.append((BandKind.BLOCK, block))
        if index < count - 1:
            widths.append((BandKind.SASHING, grid.sashing))
    widths += reversed(_outer_widths(grid))
    _check_sum(grid, axis, count, block, size_mm)
    return _laid_out(widths)


def _outer_widths(grid: GridSection) -> list[tuple[BandKind, float]]:
    return [(BandKind.BORDER, grid.border), (BandKind.OUTER_SASHING, grid.outer_sashing)]


def _block_side(grid: GridSection, axis: int, count: int, size_mm: float) -> float:
    """The given block side, or the one that fills the runner evenly."""
    if grid.block_size is not None:
        return grid.block_size[axis]
    rest = size_mm - 2 * (grid.border + grid.outer_sashing) - (count - 1) * grid.sashing
    if rest <= 0:
        raise InputError(
            "",
            f"grid.{_AXIS_KEY[axis]}",
            f"border and sashing take more than the {_AXIS_NAME[axis]} of {both_units(size_mm)}",
            "make them narrower or the blocks fewer",
        )
    return rest / count


def _check_sum(grid: GridSection, axis: int, count: int, block: float, size_mm: float) -> None:
    total = count * block + (count - 1) * grid.sashing + 2 * (grid.outer_sashing + grid.border)
    if abs(total - size_mm) <= SUM_TOLERANCE_MM:
        return
    parts = [f"{count} x {both_units(block)} blocks"]
    if count > 1 and grid.sashing:
        parts.append(f"{count - 1} x {both_units(grid.sashing)} sashing")
    if grid.outer_sashing:
        parts.append(f"2 x {both_units(grid.outer_sashing)} outer sashing")
    if grid.border:
        parts.append(f"2 x {both_units(grid.border)} border")
    raise InputError(
        "",
        f"grid.{_AXIS_KEY[axis]}",
        f"{' + '.join(parts)} = {both_units(total)}, but the {_AXIS_NAME[axis]} is"
        f" {both_units(size_mm)}",
        "change one of them, or leave block out to have it filled in evenly",
    )


def _measured_bands(
    grid: GridSection, axis: int, positions: tuple[float, ...], size_mm: float
) -> tuple[Band, ...]:
    """Bands between measured block edges; what is left at the ends is outer sashing."""
    if positions[0] < 0 or positions[-1] > size_mm + SUM_TOLERANCE_MM:
        raise InputError(
            "",
            f"grid.printed_{_AXIS_KEY[axis]}",
            f"a position lies outside the {_AXIS_NAME[axis]} of {both_units(size_mm)}",
            "measure from the finished edge",
        )
    edges = [0.0, *positions, size_mm]
    kinds = [BandKind.OUTER_SASHING]
    for index in range(len(positions) - 1):
        kinds.append(BandKind.SASHING if index % 2 else BandKind.BLOCK)
    kinds.append(BandKind.OUTER_SASHING)
    stretches = zip(kinds, pairwise(edges), strict=True)
    return tuple(Band(kind, low, high) for kind, (low, high) in stretches if high - low > 1e-6)


def _laid_out(widths: list[tuple[BandKind, float]]) -> tuple[Band, ...]:
    laid, at = [], 0.0
    for kind, width in widths:
        if width > 0:
            laid.append(Band(kind, at, at + width))
        at += width
    return tuple(laid)


def regions(
    along: Bands, across: Bands, outline: Polygon, cornerstones: bool
) -> tuple[Region, ...]:
    """Blocks, strips, cornerstones and border, cut to the finished outline.

    Without cornerstones the crosswise strips run through where strips cross.
    """
    parts = [
        *_blocks(along, across),
        *_strips(along, across, cornerstones),
        *_border(along, across),
    ]
    kept = []
    for region in parts:
        shape = shapely.intersection(region.shape, outline)
        if isinstance(shape, Polygon) and shape.area > 1.0:
            kept.append(Region(region.name, region.kind, shape))
    return tuple(kept)


def _blocks(along: Bands, across: Bands) -> Iterator[Region]:
    columns = [band for band in along if band.kind is BandKind.BLOCK]
    rows = [band for band in across if band.kind is BandKind.BLOCK]
    for number, row in enumerate(rows, start=1):
        for index, column in enumerate(columns):
            yield Region(f"{column_letter(index)}{number}", RegionKind.BLOCK, _cell(column, row))


def column_letter(index: int) -> str:
    """0 as ``A``, 25 as ``Z``, 26 as ``AA``."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _strips(along: Bands, across: Bands, cornerstones: bool) -> Iterator[Region]:
    strips_along = [band for band in along if band.is_strip]
    strips_across = [band for band in across if band.is_strip]
    inner_across = _inside(across)
    number = stone = 0
    for column in strips_along:
        blocks = [band for band in inner_across if not band.is_strip]
        rows = blocks if cornerstones else [_span(inner_across)]
        for row in rows:
            number += 1
            yield Region(f"sashing {number}", _strip_kind(column), _cell(column, row))
    for row in strips_across:
        for column in (band for band in along if band.kind is BandKind.BLOCK):
            number += 1
            yield Region(f"sashing {number}", _strip_kind(row), _cell(column, row))
    if cornerstones:
        for row in strips_across:
            for column in strips_along:
                stone += 1
                yield Region(f"cornerstone {stone}", RegionKind.CORNERSTONE, _cell(column, row))


def _strip_kind(band: Band) -> RegionKind:
    outer = band.kind is BandKind.OUTER_SASHING
    return RegionKind.OUTER_SASHING if outer else RegionKind.SASHING


def _border(along: Bands, across: Bands) -> Iterator[Region]:
    if all(band.kind is not BandKind.BORDER for band in (*along, *across)):
        return
    inner = _cell(_span(_inside(along)), _span(_inside(across)))
    whole = _cell(_span(along), _span(across))
    yield Region("border", RegionKind.BORDER, shapely.difference(whole, inner))


def _inside(bands: Bands) -> Bands:
    return tuple(band for band in bands if band.kind is not BandKind.BORDER)


def _span(bands: list[Band] | Bands) -> Band:
    return Band(bands[0].kind, bands[0].low, bands[-1].high)


def _cell(column: Band, row: Band) -> Polygon:
    return box(column.low, row.low, column.high, row.high)


def printed_lines(along: Bands, across: Bands, outline: Polygon) -> tuple[LineString, ...]:
    """The lines where a block or strip ends, as they run from edge to edge inside the border."""
    lines = [*_crosswise(along, across), *(_turned(line) for line in _crosswise(across, along))]
    cut = shapely.intersection(np.array(lines, dtype=object), outline)
    pieces = shapely.get_parts(cut)
    return tuple(p for p in pieces if isinstance(p, LineString) and p.length > 1.0)


def _crosswise(bands: Bands, other: Bands) -> Iterator[LineString]:
    span = _span(_inside(other))
    for band in bands[:-1]:
        yield LineString([(band.high, span.low), (band.high, span.high)])


def _turned(line: LineString) -> LineString:
    return LineString([(y, x) for x, y in line.coords])
