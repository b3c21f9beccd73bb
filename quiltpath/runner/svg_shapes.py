"""Shapes from SVG files: paths with curves, holes, transforms and groups, in mm with y upwards."""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.runner.svg_guard import check_svg
from quiltpath.runner.winding import filled

MM_PER_PIXEL = 25.4 / 96
"""CSS Values and Units, W3C: 1 in = 96 px = 2.54 cm."""

FLATNESS_MM = 0.01
"""Farthest that a flattened curve leaves the true one, at the size it is used."""

LARGEST_MM = 100_000.0


@dataclass(frozen=True)
class SvgDrawing:
    """What an SVG file holds, in its own physical size, mm, y upwards.

    ``outlines``  every path as drawn, curves flattened; a closed one ends where it starts
    ``shape``     the area that the closed paths fill, with its holes
    """

    outlines: tuple[LineString, ...]
    shape: MultiPolygon


Points = NDArray[np.float64]


def read_svg(data: bytes, where: str, size_mm: float | None = None) -> SvgDrawing:
    """The shapes of an SVG file, for use with a larger side of ``size_mm`` (None: as it is).

    Raises :class:`InputError` that names ``where`` for a file that is no drawing, has no paths or
    goes beyond the limits above.
    """
    check_svg(data, where)
    elements = _elements(data, where)
    if not elements:
        raise InputError(where, "", "the SVG has no paths", "draw at least one closed path")
    flatness = _flatness(elements, size_mm, where)
    outlines: list[LineString] = []
    areas: list[BaseGeometry] = []
    for subpaths, rule in elements:
        drawn = [_joined(subpath, flatness) for subpath in subpaths]
        outlines += [LineString(points) for points in drawn if len(points) > 1]
        rings = [points for points in drawn if len(points) > 3 and (points[0] == points[-1]).all()]
        areas.append(filled(rings, rule))
    return SvgDrawing(tuple(outlines), _multi(shapely.union_all(areas)))


def single_outline(data: bytes, where: str) -> Polygon:
    """The largest closed path of an SVG file, for a runner's edge, true to its physical size."""
    drawing = read_svg(data, where)
    closed = [line for line in drawing.outlines if line.is_closed]
    if not closed:
        raise InputError(where, "", "the outline is not closed", "close the path in the drawing")
    return max((Polygon(line.coords) for line in closed), key=lambda shape: abs(shape.area))


def _multi(shape: BaseGeometry) -> MultiPolygon:
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    return MultiPolygon(parts)


Subpath = list[Points]
"""Control points of consecutive segments: (2, 2) for a line, (4, 2) for a cubic curve."""


def _elements(data: bytes, where: str) -> list[tuple[list[Subpath], str]]:
    """Subpaths and fill rule of each drawn element, in mm, y upwards."""
    from svgelements import SVG, Shape

    try:
        drawing = SVG.parse(io.BytesIO(data), reify=True, ppi=96)
        shapes = [shape for shape in drawing.elements() if isinstance(shape, Shape)]
        found = [(list(_subpaths(shape)), _fill_rule(shape)) for shape in shapes]
    except (ElementTree.ParseError, ValueError, TypeError, AttributeError, IndexError) as error:
        raise InputError(
            where, "", f"cannot be read as SVG ({error})", "save it again as plain SVG"
        ) from None
    except (OverflowError, ZeroDivisionError, RecursionError):
        raise InputError(where, "", "has sizes out of all measure", "save it again") from None
    return [(subpaths, rule) for subpaths, rule in found if subpaths]


def _fill_rule(shape: Any) -> str:
    return str(shape.values.get("fill-rule") or "nonzero")


def _subpaths(shape: Any) -> Iterator[Subpath]:
    from svgelements import Path

    # A turned rectangle or ellipse keeps its transform aside; as a path it can take it in.
    path = Path(shape.segments(transformed=True))
    path.approximate_arcs_with_cubics()
    for subpath in path.as_subpaths():
        segments = [_control_points(segment) for segment in Path(subpath)]
        kept = [points for points in segments if points is not None]
        if kept:
            yield kept


def _control_points(segment: Any) -> Points | None:
    """Control points in mm; a quadratic is raised to the cubic it equals; None for a move."""
    from svgelements import CubicBezier, Move, QuadraticBezier

    if isinstance(segment, Move) or segment.start is None or segment.end is None:
        return None
    points = [segment.start, segment.end]
    if isinstance(segment, CubicBezier):
        points = [segment.start, segment.control1, segment.control2, segment.end]
    elif isinstance(segment, QuadraticBezier):
        points = [
            segment.start,
            segment.start + (segment.control - segment.start) * (2 / 3),
            segment.end + (segment.control - segment.end) * (2 / 3),
            segment.end,
        ]
    return np.array([(p.x, -p.y) for p in points], dtype=np.float64) * MM_PER_PIXEL


def _flatness(
    elements: list[tuple[list[Subpath], str]], size_mm: float | None, where: str
) -> float:
    """The flatness in the drawing's own scale that is right at the size of use."""
    points = np.concatenate([s for subpaths, _ in elements for s in itertools.chain(*subpaths)])
    if not np.isfinite(points).all() or np.abs(points).max() > LARGEST_MM:
        raise InputError(where, "", "has points out of all measure", "check its sizes and units")
    side = float(np.ptp(points, axis=0).max())
    if side <= 0:
        raise InputError(where, "", "the SVG has no size", "draw at least one closed path")
    return FLATNESS_MM * (side / size_mm if size_mm else 1.0)


def _joined(subpath: Subpath, flatness: float) -> Points:
    """The points of a subpath; segments of no length are passed over."""
    parts = [_flattened(points, flatness)[int(i > 0) :] for i, points in enumerate(subpath)]
    points = np.concatenate(parts)
    moved = np.concatenate([[True], np.any(np.diff(points, axis=0) != 0, axis=1)])
    points = points[moved]
    # A path that comes back to its start within a hair was meant to be closed.
    if len(points) > 3 and math.dist(points[0], points[-1]) <= flatness:
        points[-1] = points[0]
    return points


def _flattened(points: Points, flatness: float) -> Points:
    """A cubic as a polyline that leaves it by no more than ``flatness``.

    With n equal steps of the parameter a cubic leaves its chords by at most
    sqrt(3)/18 .. 3/4 of the largest second difference of its control points over n squared;
    the safe end is used (Wang's formula; Goldman, Pyramid Algorithms, from memory).
    """
    if len(points) == 2:
        return points
    bend = np.abs(np.hypot(*np.diff(points, n=2, axis=0).T)).max()
    count = min(max(math.ceil(math.sqrt(0.75 * bend / flatness)), 1), 2000)
    t = np.linspace(0.0, 1.0, count + 1)[:, None]
    s = 1 - t
    curve = s**3 * points[0] + 3 * s**2 * t * points[1] + 3 * s * t**2 * points[2]
    curve = curve + t**3 * points[3]
    curve[0], curve[-1] = points[0], points[3]
    return curve
