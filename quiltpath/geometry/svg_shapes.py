"""Shapes from SVG files: paths with curves, holes, transforms and groups, in mm with y upwards.

Elements are read as lines and cubic curves and then flattened. What paints nothing is not there
(``svg_painting.py``). A filled path encloses its area, closed or not, with holes by its fill rule;
so does a closed one that is only drawn as a line. Text, pictures, clips and masks are passed over,
and named.
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from xml.etree import ElementTree

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Points
from quiltpath.geometry.fill_rules import estimated_crossings, fill_rings
from quiltpath.geometry.svg_guard import check_svg
from quiltpath.geometry.svg_painting import is_filled, is_stroked, only_rendered

FLATNESS_MM = 0.01
"""Farthest that a flattened curve leaves the true one, at the size it is used."""

LARGEST_MM = 100_000.0

STANDING_STILL = 1e-3
"""A step shorter than this share of the flatness is the rounding of an arc that closes a shape."""

MAX_POINTS = 200_000
"""Points of all paths once their curves are flattened."""

MAX_CROSSINGS = 10_000

MM_PER_PIXEL = 25.4 / 96
"""CSS Values and Units, W3C: 1 in = 96 px = 2.54 cm."""

ARC_STEP = math.pi / 5
"""A tenth of a circle as one cubic leaves it by about a millionth of its radius."""

Subpath = list[Points]
"""Control points of consecutive segments: (2, 2) for a line, (4, 2) for a cubic curve."""


@dataclass(frozen=True)
class Element:
    """Subpaths of a drawn element, its fill rule, and whether it is filled."""

    subpaths: list[Subpath]
    rule: str
    filled: bool


@dataclass(frozen=True)
class SvgDrawing:
    """What an SVG file holds, in its own physical size, mm, y upwards.

    ``outlines``  every path as drawn, curves flattened; a closed one ends where it starts
    ``shape``     the area that filled and closed paths take, with its holes
    ``passed_over``  what else is in the file, in words
    """

    outlines: tuple[LineString, ...]
    shape: MultiPolygon
    passed_over: tuple[str, ...] = ()


@lru_cache(maxsize=32)
def read_svg(data: bytes, where: str, size_mm: float | None = None) -> SvgDrawing:
    """The shapes of an SVG file, for use with a larger side of ``size_mm`` (None: as it is).

    Raises :class:`InputError` that names ``where`` for a file that is no drawing, has no paths or
    goes beyond the limits above.
    """
    check_svg(data, where)
    elements, passed_over = drawn_elements(data, where)
    if not elements:
        raise _nothing_drawn(where, passed_over)
    flatness = _flatness(elements, size_mm, where)
    _check_points(elements, flatness, where)
    drawn = [
        ([_join(subpath, flatness) for subpath in element.subpaths], element)
        for element in elements
    ]
    outlines = [LineString(points) for paths, _ in drawn for points in paths if len(points) > 1]
    if estimated_crossings(np.array(outlines, dtype=object)) > MAX_CROSSINGS:
        raise InputError(where, "", "crosses itself thousands of times", "simplify its paths")
    areas = [fill_rings(_rings(paths, element.filled), element.rule) for paths, element in drawn]
    return SvgDrawing(tuple(outlines), _multi(shapely.union_all(areas)), passed_over)


def _nothing_drawn(where: str, passed_over: tuple[str, ...]) -> InputError:
    if passed_over:
        fault = f"the SVG has no paths, only {' and '.join(passed_over)}"
        return InputError(where, "", fault, "turn it into paths in the drawing program")
    remedy = "draw at least one closed path, with a fill or a line that is seen"
    return InputError(where, "", "the SVG has no paths that are painted", remedy)


def _rings(paths: list[Points], filled: bool) -> list[Points]:
    """Closed paths, and where it is filled the others closed as a fill closes them."""
    rings = [path for path in paths if _is_ring(path)]
    if filled:
        open_ones = [path for path in paths if not _is_ring(path) and len(path) > 2]
        rings += [np.concatenate([path, path[:1]]) for path in open_ones]
    return rings


def single_outline(data: bytes, where: str) -> Polygon:
    """The largest closed path of an SVG file, for a runner's edge, true to its physical size.

    Raises :class:`InputError` where there is none, or where it crosses itself.
    """
    outlines = read_svg(data, where).outlines
    closed = [line for line in outlines if _is_ring(shapely.get_coordinates(line))]
    if not closed:
        ends = [math.dist(line.coords[0], line.coords[-1]) for line in outlines]
        gap = ends[int(np.argmax(shapely.length(outlines)))]
        fault = f"the outline is not closed: its ends are {gap:.2f} mm apart"
        raise InputError(where, "", fault, "close the path in the drawing")
    edge = Polygon(max(closed, key=_box_area).coords)
    if not edge.is_valid:
        fault = f"the outline crosses itself ({explain_validity(edge).lower()})"
        raise InputError(where, "", fault, "draw one path round the edge")
    return edge


def _box_area(line: LineString) -> float:
    low_x, low_y, high_x, high_y = line.bounds
    return float((high_x - low_x) * (high_y - low_y))


def _is_ring(points: Points) -> bool:
    return len(points) > 3 and bool((points[0] == points[-1]).all())


def _multi(shape: BaseGeometry) -> MultiPolygon:
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    return MultiPolygon(parts)


def _flatness(elements: list[Element], size_mm: float | None, where: str) -> float:
    """The flatness in the drawing's own scale that is right at the size of use."""
    points = np.concatenate([s for one in elements for s in itertools.chain(*one.subpaths)])
    if not np.isfinite(points).all() or np.abs(points).max() > LARGEST_MM:
        raise InputError(where, "", "has points out of all measure", "check its sizes and units")
    side = float(np.ptp(points, axis=0).max())
    if side <= 0:
        raise InputError(where, "", "the SVG has no size", "draw at least one closed path")
    return FLATNESS_MM * (side / size_mm if size_mm else 1.0)


def _check_points(elements: list[Element], flatness: float, where: str) -> None:
    segments = itertools.chain.from_iterable(s for one in elements for s in one.subpaths)
    if sum(_pieces(points, flatness) for points in segments) > MAX_POINTS:
        raise InputError(where, "", f"needs more than {MAX_POINTS} points", "simplify its paths")


def _join(subpath: Subpath, flatness: float) -> Points:
    """The points of a subpath; segments of no length, but for rounding, are passed over."""
    parts = [_flatten(points, flatness)[int(i > 0) :] for i, points in enumerate(subpath)]
    points = np.concatenate(parts)
    steps = np.hypot(*np.diff(points, axis=0).T)
    points = points[np.concatenate([[True], steps > STANDING_STILL * flatness])]
    # A path that comes back to its start within a hair was meant to be closed.
    if len(points) > 3 and math.dist(points[0], points[-1]) <= flatness:
        points[-1] = points[0]
    return points


def _flatten(points: Points, flatness: float) -> Points:
    """A cubic as a polyline that leaves it by no more than ``flatness``."""
    if len(points) == 2:
        return points
    t = np.linspace(0.0, 1.0, _pieces(points, flatness) + 1)[:, None]
    s = 1 - t
    curve = s**3 * points[0] + 3 * s**2 * t * points[1] + 3 * s * t**2 * points[2]
    curve = curve + t**3 * points[3]
    curve[0], curve[-1] = points[0], points[3]
    return curve


def _pieces(points: Points, flatness: float) -> int:
    """Equal steps of the parameter that keep a cubic within ``flatness`` of its chords.

    n steps leave it by at most sqrt(3)/18 .. 3/4 of the largest second difference of the control
    points over n squared; the safe end is used (Wang's formula; Goldman, Pyramid Algorithms,
    from memory).
    """
    if len(points) == 2:
        return 1
    bend = np.hypot(*np.diff(points, n=2, axis=0).T).max()
    return max(math.ceil(math.sqrt(0.75 * bend / flatness)), 1)


def drawn_elements(data: bytes, where: str) -> tuple[list[Element], tuple[str, ...]]:
    """Every painted element as it lies on the page, in mm, y upwards, and what is passed over.

    ``data`` must have passed :func:`~quiltpath.geometry.svg_guard.check_svg`. Raises
    :class:`InputError` that names ``where`` for paths and transforms that cannot be made out.
    """
    from svgelements import SVG, Shape

    try:
        rendered, passed_over = only_rendered(data)
        drawing = SVG.parse(io.BytesIO(rendered), reify=False, ppi=96)
        found = [_element(e) for e in drawing.elements() if isinstance(e, Shape) and _paints(e)]
        found = [one for one in found if one.subpaths and _on_page(one, drawing)]
    except (ElementTree.ParseError, ValueError, TypeError, AttributeError, IndexError, KeyError):
        raise InputError(
            where, "", "has a path or transform that makes no sense", "save it again as plain SVG"
        ) from None
    except (OverflowError, ZeroDivisionError, RecursionError):
        raise InputError(where, "", "has sizes out of all measure", "save it again") from None
    return found, passed_over


def _paints(shape: Any) -> bool:
    return is_filled(shape.values) or is_stroked(shape.values)


def _element(shape: Any) -> Element:
    rule = str(shape.values.get("fill-rule") or "nonzero")
    return Element(list(_subpaths(shape)), rule, is_filled(shape.values))


def _on_page(element: Element, drawing: Any) -> bool:
    """Whether any of it lies on the page, where the file has one: beside it nothing is shown.

    What lies along the page's edge is seen, whichever way its last digit is rounded.
    """
    if not (drawing.values.get("viewBox") or drawing.values.get("width")):
        return True
    points = np.concatenate(list(itertools.chain(*element.subpaths)))
    wide, high = float(drawing.width) * MM_PER_PIXEL, float(drawing.height) * MM_PER_PIXEL
    hair = 1e-6 * (wide + high)
    low, top = points.min(axis=0) - hair, points.max(axis=0) + hair
    return bool(low[0] <= wide and top[0] >= 0 and low[1] <= 0 and top[1] >= -high)


def _subpaths(shape: Any) -> Iterator[Subpath]:
    """The shape's subpaths as they lie on the page.

    Arcs become cubics before the transform and not after it: a skewed arc is an arc of another
    ellipse, whereas a cubic's control points may be moved by any affine map.
    """
    from svgelements import Close, Move

    matrix = shape.transform
    linear = np.array([[matrix.a, matrix.b], [matrix.c, matrix.d]], dtype=np.float64)
    shift = np.array([matrix.e, matrix.f], dtype=np.float64)
    page = np.array([MM_PER_PIXEL, -MM_PER_PIXEL])
    subpath: Subpath = []
    for segment in shape.segments(transformed=False):
        if isinstance(segment, Move) and subpath:
            yield subpath
            subpath = []
        with np.errstate(invalid="ignore", over="ignore"):  # judged for all points together
            subpath += [(points @ linear + shift) * page for points in _control_points(segment)]
        if isinstance(segment, Close) and subpath:
            yield subpath
            subpath = []
    if subpath:
        yield subpath


def _control_points(segment: Any) -> Iterator[Points]:
    """Control points of lines and cubics; nothing for a move."""
    from svgelements import Arc, CubicBezier, Move, QuadraticBezier

    if isinstance(segment, Move) or segment.start is None or segment.end is None:
        return
    if isinstance(segment, Arc):
        number = math.ceil(abs(segment.sweep) / ARC_STEP)
        for cubic in segment.as_cubic_curves(number):
            yield from _control_points(cubic)
        return
    points = [segment.start, segment.end]
    if isinstance(segment, CubicBezier):
        points = [segment.start, segment.control1, segment.control2, segment.end]
    elif isinstance(segment, QuadraticBezier):
        # A quadratic is raised to the cubic that it equals.
        to_control = [(segment.control - end) * (2 / 3) for end in points]
        points[1:1] = [end + way for end, way in zip(points, to_control, strict=True)]
    yield np.array([(p.x, p.y) for p in points], dtype=np.float64)
