"""The paths of an SVG file as lines and cubic curves, in mm with y upwards."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

import numpy as np
from numpy.typing import NDArray

from quiltpath.errors import InputError

MM_PER_PIXEL = 25.4 / 96
"""CSS Values and Units, W3C: 1 in = 96 px = 2.54 cm."""

ARC_STEP = math.pi / 5
"""A tenth of a circle as one cubic leaves it by about a millionth of its radius."""

Points = NDArray[np.float64]

Subpath = list[Points]
"""Control points of consecutive segments: (2, 2) for a line, (4, 2) for a cubic curve."""

Element = tuple[list[Subpath], str]
"""Subpaths of a drawn element and its fill rule."""


def drawn_elements(data: bytes, where: str) -> list[Element]:
    """Every drawn element, as it lies on the page, in mm, y upwards; unseen ones are left out.

    ``data`` must have passed :func:`~quiltpath.runner.svg_guard.check_svg`. Raises
    :class:`InputError` that names ``where`` for paths and transforms that cannot be made out.
    """
    from svgelements import SVG, Shape

    try:
        drawing = SVG.parse(io.BytesIO(data), reify=False, ppi=96)
        shapes = [e for e in drawing.elements() if isinstance(e, Shape) and _is_visible(e)]
        found = [(list(_subpaths(shape)), _fill_rule(shape)) for shape in shapes]
    except (ElementTree.ParseError, ValueError, TypeError, AttributeError, IndexError, KeyError):
        raise InputError(
            where, "", "has a path or transform that makes no sense", "save it again as plain SVG"
        ) from None
    except (OverflowError, ZeroDivisionError, RecursionError):
        raise InputError(where, "", "has sizes out of all measure", "save it again") from None
    return [(subpaths, rule) for subpaths, rule in found if subpaths]


def _is_visible(shape: Any) -> bool:
    return shape.values.get("visibility") not in ("hidden", "collapse")


def _fill_rule(shape: Any) -> str:
    return str(shape.values.get("fill-rule") or "nonzero")


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
