"""The painted elements of an SVG file as lines and cubic curves where they lie on the page.

Elements are read by a library; what paints nothing is not there (``svg_painting.py``), and what a
clip or a mask cuts away goes with it (``svg_covers.py``).
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

import numpy as np

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Points
from quiltpath.geometry.svg_covers import COVER, WITHIN, is_clip, lay_covers, shows_through
from quiltpath.geometry.svg_painting import is_filled, is_stroked, only_rendered

MM_PER_PIXEL = 25.4 / 96
"""CSS Values and Units, W3C: 1 in = 96 px = 2.54 cm."""

ARC_STEP = math.pi / 5
"""A tenth of a circle as one cubic leaves it by about a millionth of its radius."""

Subpath = list[Points]
"""Control points of consecutive segments: (2, 2) for a line, (4, 2) for a cubic curve."""


@dataclass(frozen=True)
class Pen:
    """What a line is drawn with: width in mm on the page, and how it ends and turns (SVG 2, 13.5).

    ``cap`` and ``join`` are shapely's words for butt, round and square, mitre, round and bevel. A
    corner beyond the limit is blunted at the limit.
    """

    width_mm: float
    cap: str
    join: str
    miter_limit: float


@dataclass(frozen=True)
class Element:
    """Subpaths of a drawn element, its fill rule, how it is painted, and what covers it.

    ``pen``     of its line; None where none is drawn
    ``covers``  clips and masks: it is seen only where each lets it through
    """

    subpaths: list[Subpath]
    rule: str
    filled: bool
    pen: Pen | None
    covers: tuple[CoverShapes, ...] = ()


@dataclass(frozen=True, eq=False)
class CoverShapes:
    """Shapes of a clip or a mask in the order in which they are painted, and whether what lies
    under each shows through."""

    shapes: list[tuple[Element, bool]]


def drawn_elements(data: bytes, where: str) -> tuple[list[Element], tuple[str, ...]]:
    """Every painted element as it lies on the page, in mm, y upwards, and what is passed over.

    ``data`` must have passed :func:`~quiltpath.geometry.svg_guard.check_svg`. Raises
    :class:`InputError` that names ``where`` for paths and transforms that cannot be made out.
    """
    from svgelements import SVG, Shape

    try:
        root = ElementTree.fromstring(data)
        passed_over = only_rendered(root, lay_covers(root))
        drawing = SVG.parse(io.BytesIO(ElementTree.tostring(root)), reify=False, ppi=96)
        shapes = (element for element in drawing.elements() if isinstance(element, Shape))
        found = [one for one in _elements(shapes) if _on_page(one, drawing)]
    except InputError as error:
        raise error.at(where) from None
    except (ElementTree.ParseError, ValueError, TypeError, AttributeError, IndexError, KeyError):
        raise InputError(
            where, "", "has a path or transform that makes no sense", "save it again as plain SVG"
        ) from None
    except (OverflowError, ZeroDivisionError, RecursionError):
        raise InputError(where, "", "has sizes out of all measure", "save it again") from None
    return found, passed_over


def _elements(shapes: Iterator[Any]) -> Iterator[Element]:
    """Of all that is painted. A cover's shapes come before what it covers; where it is used again
    elsewhere, they come again."""
    covers: dict[str, CoverShapes] = {}
    in_use: set[str] = set()
    for shape in shapes:
        number, within = shape.values.get(COVER), str(shape.values.get(WITHIN) or "").split()
        if number is None and not (is_filled(shape.values) or is_stroked(shape.values)):
            continue
        # A cover with nothing that shows through hides all.
        element = _element(shape, tuple(covers.setdefault(n, CoverShapes([])) for n in within))
        in_use.update(within)
        if not element.subpaths:
            continue
        if number is None:
            yield element
        elif (shows := shows_through(shape.values)) is not None:
            if number in in_use:
                covers.pop(number, None)
                in_use.discard(number)
            covers.setdefault(number, CoverShapes([])).shapes.append((element, shows))


def _element(shape: Any, covers: tuple[CoverShapes, ...]) -> Element:
    values, clip = shape.values, is_clip(shape.values)
    rule = str(values.get("clip-rule" if clip else "fill-rule") or "nonzero")
    pen = _pen(shape) if is_stroked(values) and not clip else None
    return Element(list(_subpaths(shape)), rule, clip or is_filled(values), pen, covers)


def _pen(shape: Any) -> Pen:
    """A pen stretched to an ellipse is taken as the circle of its area."""
    matrix, values = shape.transform, shape.values
    scale = math.sqrt(abs(matrix.a * matrix.d - matrix.b * matrix.c))
    if values.get("vector-effect") == "non-scaling-stroke":
        scale = 1.0
    width = float(shape.stroke_width if shape.stroke_width is not None else 1.0)
    cap = {"round": "round", "square": "square"}.get(str(values.get("stroke-linecap")), "flat")
    join = {"round": "round", "bevel": "bevel"}.get(str(values.get("stroke-linejoin")), "mitre")
    limit = max(float(values.get("stroke-miterlimit") or 4.0), 1.0)
    return Pen(width * scale * MM_PER_PIXEL, cap, join, limit)


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
