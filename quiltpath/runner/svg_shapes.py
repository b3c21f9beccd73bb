"""Shapes from SVG files, in mm with y upwards."""

from __future__ import annotations

import io
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from svgelements import SVG, Path, Shape

from quiltpath.errors import InputError

MM_PER_PIXEL = 25.4 / 96  # CSS Values and Units: 1 in = 96 px
FLATTENED_PIECES = 48


@dataclass(frozen=True)
class SvgDrawing:
    """``outlines`` flattened paths, ``shape`` the filled area with its holes."""

    outlines: tuple[LineString, ...]
    shape: MultiPolygon


def read_svg(data: bytes, where: str) -> SvgDrawing:
    """The shapes of an SVG file; raises :class:`InputError` where there are none."""
    outlines = _outlines(data, where)
    if not outlines:
        raise InputError(where, "", "the SVG has no paths", "draw at least one closed path")
    shape: Polygon | MultiPolygon = MultiPolygon()
    for line in outlines:
        if line.is_closed and len(line.coords) > 3:
            shape = shapely.symmetric_difference(shape, shapely.make_valid(Polygon(line.coords)))
    if isinstance(shape, Polygon):
        shape = MultiPolygon([shape])
    return SvgDrawing(outlines, shape)


def single_outline(data: bytes, where: str) -> Polygon:
    """The largest closed path of an SVG file."""
    closed = [Polygon(line.coords) for line in read_svg(data, where).outlines if line.is_closed]
    if not closed:
        raise InputError(where, "", "the outline is not closed", "close the path")
    return max(closed, key=lambda shape: shape.area)


def _outlines(data: bytes, where: str) -> tuple[LineString, ...]:
    try:
        drawing = SVG.parse(io.BytesIO(data), reify=True, ppi=96)
    except ElementTree.ParseError as error:
        raise InputError(where, "", f"is not valid XML ({error})", "save it again") from None
    lines = []
    for element in drawing.elements():
        if not isinstance(element, Shape):
            continue
        for subpath in Path(element).as_subpaths():
            points = np.array(
                [
                    (p.x, -p.y)
                    for segment in Path(subpath)
                    if segment.start is not None
                    for p in (segment.point(t) for t in np.linspace(0, 1, FLATTENED_PIECES))
                ]
            )
            if len(points) > 1:
                lines.append(LineString(points * MM_PER_PIXEL))
    return tuple(lines)
