"""Named regions of the runner from the bands of its grid."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box

from quiltpath.runner.bands import Band, BandKind
from quiltpath.runner.runner import Region, RegionKind

Bands = tuple[Band, ...]


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
