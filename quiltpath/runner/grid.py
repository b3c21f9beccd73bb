"""The sashing grid: bands along the runner and across it, and the regions named from them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Region, RegionKind
from quiltpath.project.runner_sections import GridSection
from quiltpath.units import both_units

SUM_TOLERANCE_MM = 0.5
"""Sizes that are rounded to a ruler's marks may miss their sum by this much."""

SLIVER_MM = 1e-6

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


@dataclass(frozen=True)
class AxisSize:
    """What the project wishes along one axis, and what the flat top needs for it, in mm.

    ``wished_mm``  the runner's size as the project gives it
    ``wanted_mm``  the flat size that leaves the wished one
    ``grows``      the part that takes the difference; "" for the usual: the border, else the outer
                   sashing of a print, which never stretches, or the blocks of a pieced top
    ``pieced``     true where the top is sewn from its parts
    ``of_table``   how the wished size follows from the table's; "" where the file gives it
    ``mark_mm``    finest mark of the ruler by which they are cut: a part whose width is reckoned is
                   so many marks, and the top is what its parts come to; 0 where nothing is cut
    """

    wished_mm: float
    wanted_mm: float
    grows: str = ""
    pieced: bool = False
    mark_mm: float = 0.0
    of_table: str = ""

    def on_a_mark(self, width_mm: float) -> float:
        """The width as a ruler shows it, where the part is cut by one."""
        if not self.pieced or not self.mark_mm:
            return width_mm
        return max(1.0, round(width_mm / self.mark_mm)) * self.mark_mm

    @classmethod
    def exactly(cls, size_mm: float) -> AxisSize:
        """An axis whose size is the flat one."""
        return cls(size_mm, size_mm)


@dataclass(frozen=True)
class _Widths:
    """Widths of the parts along one axis, in mm."""

    blocks: tuple[float, ...]
    sashing: float
    outer: float
    border: float

    @property
    def total(self) -> float:
        return sum(self.blocks) + self.strips + 2 * (self.outer + self.border)

    @property
    def strips(self) -> float:
        return (len(self.blocks) - 1) * self.sashing

    def parts(self) -> list[tuple[BandKind, float]]:
        ends = [(BandKind.BORDER, self.border), (BandKind.OUTER_SASHING, self.outer)]
        inner: list[tuple[BandKind, float]] = []
        for block in self.blocks:
            inner += [(BandKind.SASHING, self.sashing), (BandKind.BLOCK, block)]
        return [*ends, *inner[1:], *reversed(ends)]


def bands(grid: GridSection, axis: int, size: AxisSize) -> tuple[Band, ...]:
    """Bands along axis 0 (the length) or 1 (the width) of the flat top.

    They add up to the wanted size wherever a part can take the difference from the wished one.
    Raises :class:`InputError` that shows the sum where the sizes contradict each other.
    """
    measured = (grid.printed_along, grid.printed_across)[axis]
    if measured is not None:
        return _measured_bands(axis, measured, size.wanted_mm)
    listed = (grid.blocks_along, grid.blocks_across)[axis]
    if listed is not None:
        return _listed_bands(grid, axis, size)
    given = _widths(grid, axis, size)
    if grid.block_size is not None:
        _check_sum(grid, axis, given, size)
        more = size.wanted_mm - given.total
        if more < 0 and not size.pieced:
            given = _trim(given, size.wanted_mm)
        else:
            given = _grow(given, more, _taker(given, size), size)
    elif size.pieced:
        given = _take_the_rest(given, size)
    return _laid_out(given.parts())


def _take_the_rest(given: _Widths, size: AxisSize) -> _Widths:
    """Blocks that fill the top, cut to a mark of the ruler, and what that leaves of its size, or
    takes too much: a border makes it up, or an outer sashing that is to."""
    part = size.grows or "border"
    width = {"border": given.border, "outer sashing": given.outer}.get(part, 0.0)
    rest = size.wanted_mm - given.total
    return _grow(given, rest, part, size) if width > -rest / 2 and width > 0 else given


def _widths(grid: GridSection, axis: int, size: AxisSize) -> _Widths:
    count = (grid.along, grid.across)[axis]
    block = _block_side(grid, axis, count, size)
    return _Widths((block,) * count, grid.sashing, grid.outer_sashing, grid.border)


def _taker(given: _Widths, size: AxisSize) -> str:
    """The part that takes the difference, "" where none can; raises for one that is not there."""
    there = {
        "border": given.border > 0,
        "outer sashing": given.outer > 0,
        "sashing": size.pieced and given.strips > 0,
        "blocks": size.pieced,
    }
    if size.grows:
        if not there[size.grows]:
            raise InputError("", "top.grows", *_cannot_grow(size))
        return size.grows
    usual = ("border", "blocks") if size.pieced else ("border", "outer sashing")
    return next((part for part in usual if there[part]), "")


def _cannot_grow(size: AxisSize) -> tuple[str, str]:
    if size.grows in ("blocks", "sashing") and not size.pieced:
        return f"the {size.grows} of a top at hand cannot change", 'write grows = "border"'
    return f"this runner has no {size.grows}", "name another part, or add it to [grid]"


def _grow(given: _Widths, by_mm: float, taker: str, size: AxisSize) -> _Widths:
    """The widths with ``by_mm`` more in all, or as near as the ruler's marks come."""
    to = size.on_a_mark
    if taker == "border":
        return replace(given, border=to(given.border + by_mm / 2))
    if taker == "outer sashing":
        return replace(given, outer=to(given.outer + by_mm / 2))
    if taker == "sashing":
        return replace(given, sashing=to(given.sashing + by_mm / (len(given.blocks) - 1)))
    if taker == "blocks":
        larger = 1 + by_mm / sum(given.blocks)
        return replace(given, blocks=tuple(to(block * larger) for block in given.blocks))
    return given


def _listed_bands(grid: GridSection, axis: int, size: AxisSize) -> tuple[Band, ...]:
    """Blocks of given lengths; what is left at the ends is outer sashing, or the border takes it.

    Where the blocks are longer than the top, its ends are trimmed into them, both alike.
    """
    given = _Widths(listed_blocks(grid, axis), grid.sashing, grid.outer_sashing, grid.border)
    if size.pieced:
        _check_sum(grid, axis, given, size)
        given = _grow(given, size.wanted_mm - given.total, _taker(given, size), size)
        return _laid_out(given.parts())
    laid = _laid_out(_trim(given, size.wanted_mm).parts())
    return tuple(band for band in laid if _on_the_top(band, size.wanted_mm))


def _trim(given: _Widths, size_mm: float) -> _Widths:
    """A print on a top of ``size_mm``: its ends are what is left, less than none where it is cut.

    What lies outermost goes first: the border, then the outer sashing, then the blocks.
    """
    room = (size_mm - sum(given.blocks) - given.strips) / 2
    if given.border <= 0:
        return replace(given, outer=room)
    return replace(given, outer=min(given.outer, room), border=max(room - given.outer, 0.0))


def _on_the_top(band: Band, size_mm: float) -> bool:
    return band.high > SLIVER_MM and band.low < size_mm - SLIVER_MM


def listed_blocks(grid: GridSection, axis: int) -> tuple[float, ...]:
    """The lengths of all blocks, those that were listed repeated until there are as many."""
    listed = (grid.blocks_along, grid.blocks_across)[axis] or ()
    count = (grid.along, grid.across)[axis]
    named = ("along", "across")[axis] in grid.model_fields_set
    return tuple(listed[i % len(listed)] for i in range(count if named else len(listed)))


def _block_side(grid: GridSection, axis: int, count: int, size: AxisSize) -> float:
    """The given block side, or the one that fills the runner evenly."""
    if grid.block_size is not None:
        return grid.block_size[axis]
    rest = size.wanted_mm - 2 * (grid.border + grid.outer_sashing) - (count - 1) * grid.sashing
    if rest <= 0:
        raise InputError(
            "",
            f"grid.{_AXIS_KEY[axis]}",
            f"border and sashing take more than the {_AXIS_NAME[axis]} of"
            f" {both_units(size.wanted_mm)}",
            "make them narrower or the blocks fewer",
        )
    return size.on_a_mark(rest / count)


def _check_sum(grid: GridSection, axis: int, given: _Widths, size: AxisSize) -> None:
    """The parts come to the wished size, to the flat one, or to something between the two."""
    low, high = sorted((size.wished_mm, size.wanted_mm))
    if low - SUM_TOLERANCE_MM <= given.total <= high + SUM_TOLERANCE_MM:
        return
    count, alike = len(given.blocks), len(set(given.blocks)) == 1
    each = f"{count} x {both_units(given.blocks[0])} blocks"
    parts = [each if alike else f"{count} blocks of {both_units(sum(given.blocks))} together"]
    if count > 1 and grid.sashing:
        parts.append(f"{count - 1} x {both_units(grid.sashing)} sashing")
    if grid.outer_sashing:
        parts.append(f"2 x {both_units(grid.outer_sashing)} outer sashing")
    if grid.border:
        parts.append(f"2 x {both_units(grid.border)} border")
    raise InputError(
        "",
        f"grid.{_AXIS_KEY[axis]}",
        f"{' + '.join(parts)} = {both_units(given.total)}, but the {_AXIS_NAME[axis]} is"
        f" {both_units(size.wished_mm)}{size.of_table}",
        "change one of them, or leave block out to have it filled in evenly",
    )


def _measured_bands(axis: int, positions: tuple[float, ...], size_mm: float) -> tuple[Band, ...]:
    """Bands between measured block edges; what is left at the ends is outer sashing."""
    if positions[0] < 0 or positions[-1] > size_mm + SUM_TOLERANCE_MM:
        raise InputError(
            "",
            f"grid.printed_{_AXIS_KEY[axis]}",
            f"a position lies outside the {_AXIS_NAME[axis]} of {both_units(size_mm)}",
            "measure from the edge of the flat top",
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
    shapes = np.array([region.shape for region in parts], dtype=object)
    pieces, part = shapely.get_parts(shapely.intersection(shapes, outline), return_index=True)
    area = shapely.area(pieces)
    pieces, area, part = pieces[area > 1.0], area[area > 1.0], part[area > 1.0]
    order = np.lexsort((-area.round(3), part))
    left = np.split(pieces[order], np.cumsum(np.bincount(part, minlength=len(parts)))[:-1])
    return tuple(
        kept
        for region, mine in zip(parts, left, strict=True)
        for kept in _on_the_runner(region, mine.tolist())
    )


def _on_the_runner(region: Region, pieces: list[Polygon]) -> Iterator[Region]:
    """What is left of a part; where an outline parts it, the largest piece keeps the name.

    A border whose strips an oval meets is four pieces.
    """
    for number, piece in enumerate(pieces, start=1):
        name = region.name if number == 1 else f"{region.name}, part {number}"
        yield Region(name, region.kind, piece)


def whole_blocks(along: Bands, across: Bands) -> tuple[Region, ...]:
    """The blocks as they were printed, whatever is trimmed off."""
    return tuple(_blocks(along, across))


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
    cell: Polygon = shapely.box(column.low, row.low, column.high, row.high)
    return cell


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
