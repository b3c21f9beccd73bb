"""Shapes from SVG files: paths with curves, holes, transforms and groups, in mm with y upwards.

Elements are read as lines and cubic curves (``svg_elements.py``) and then flattened. A filled path
encloses its area, closed or not, with holes by its fill rule; so does a closed one that is only
drawn as a line. Where a person says so all of it is taken as lines, or lines are taken as wide as
they are drawn. Text and pictures are passed over, and named.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Points
from quiltpath.geometry.fill_rules import estimated_crossings, fill_rings
from quiltpath.geometry.svg_elements import CoverShapes, Element, Subpath, drawn_elements
from quiltpath.geometry.svg_guard import check_svg
from quiltpath.geometry.svg_thinning import MANY_POINTS, SHOWN_MM, thin_paths

FLATNESS_MM = 0.01
"""Farthest that a flattened curve leaves the true one, at the size it is used."""

LARGEST_MM = 100_000.0

STANDING_STILL = 1e-3
"""A step shorter than this share of the flatness is the rounding of an arc that closes a shape."""

MAX_POINTS = 200_000
"""Points of all paths once their curves are flattened."""

MAX_CROSSINGS = 10_000

ReadAs = Literal["shapes", "lines", "strokes"]
"""How a drawing is meant: areas with their edges, lines alone, or all of it as wide as drawn."""


@dataclass(frozen=True)
class SvgDrawing:
    """What an SVG file holds, in its own physical size, mm, y upwards.

    ``outlines``  every path as drawn, curves flattened; a closed one ends where it starts
    ``shape``     the area that filled and closed paths take, with its holes; of lines, the hair's
                  breadth that they take themselves
    ``passed_over``  what else is in the file, in words
    ``strays_mm``  how far points that were left out lie from it, at the size of use
    """

    outlines: tuple[LineString, ...]
    shape: MultiPolygon
    passed_over: tuple[str, ...] = ()
    strays_mm: float = 0.0


@lru_cache(maxsize=32)
def read_svg(
    data: bytes, where: str, size_mm: float | None = None, read_as: ReadAs | None = None
) -> SvgDrawing:
    """The shapes of an SVG file, for use with a larger side of ``size_mm`` (None: as it is).

    Unless ``read_as`` says otherwise its shapes are read, and what encloses nothing as lines.
    Raises :class:`InputError` that names ``where`` for a file that is no drawing, has no paths or
    goes beyond the limits above.
    """
    check_svg(data, where)
    elements, passed_over = drawn_elements(data, where)
    if not elements:
        raise _nothing_drawn(where, passed_over)
    every = [*elements, *_shapes_of_covers(elements)]
    flatness = _flatness(every, size_mm, where)
    _check_points(every, flatness, where)
    paths, strays = _thinned(
        {id(element): _flat_paths(element, flatness) for element in every}, flatness
    )
    if estimated_crossings(np.array(_lines(*paths.values()), dtype=object)) > MAX_CROSSINGS:
        raise InputError(where, "", "crosses itself thousands of times", "simplify its paths")
    openings: dict[int, BaseGeometry] = {}
    drawn = [_Drawn.of(element, paths, openings) for element in elements]
    lines, shape = _as_read(drawn, read_as, flatness)
    if not lines:
        raise InputError(where, "", "its clips and masks hide all of it", "draw what is to be sewn")
    return SvgDrawing(tuple(lines), shape, passed_over, strays * FLATNESS_MM / flatness)


Paths = dict[int, list[Points]]
"""The flattened paths of each element, by its identity."""


def _shapes_of_covers(elements: Iterable[Element]) -> list[Element]:
    """Of clips and masks, each once, and of those that cover them in their turn."""
    covers = {id(cover): cover for element in elements for cover in element.covers}
    shapes = [element for cover in covers.values() for element, _ in cover.shapes]
    return [*shapes, *_shapes_of_covers(shapes)] if shapes else []


def _flat_paths(element: Element, flatness: float) -> list[Points]:
    return [_join(subpath, flatness) for subpath in element.subpaths]


def _thinned(paths: Paths, flatness: float) -> tuple[Paths, float]:
    """With fewer points where there are very many; and how far one lies that was left out."""
    every = [path for several in paths.values() for path in several]
    if sum(map(len, every)) <= MANY_POINTS:
        return paths, 0.0
    thinned, strays = thin_paths(every, flatness * SHOWN_MM / FLATNESS_MM)
    rest = iter(thinned)
    return {key: [next(rest) for _ in several] for key, several in paths.items()}, strays


def _lines(*paths: list[Points]) -> list[LineString]:
    return [LineString(points) for several in paths for points in several if len(points) > 1]


@dataclass(frozen=True)
class _Drawn:
    """An element with its curves flattened, as much of it as is seen."""

    element: Element
    lines: list[LineString]
    area: BaseGeometry
    seen: BaseGeometry | None = None

    @classmethod
    def of(cls, element: Element, paths: Paths, openings: dict[int, BaseGeometry]) -> _Drawn:
        lines = _lines(paths[id(element)])
        area = fill_rings(_rings(paths[id(element)], element.filled), element.rule)
        if not element.covers:
            return cls(element, lines, area)
        for cover in element.covers:
            if id(cover) not in openings:
                openings[id(cover)] = _opening(cover, paths, openings)
        seen = shapely.intersection_all([openings[id(cover)] for cover in element.covers])
        if lines and shapely.covers(seen, shapely.box(*shapely.total_bounds(lines))):
            return cls(element, lines, area)
        area = shapely.intersection(area, seen)
        kept = _edges(area) if element.filled else _line_parts(shapely.intersection(lines, seen))
        return cls(element, kept, area, seen)

    def stroke(self) -> BaseGeometry:
        """The area of the line as wide as it is drawn."""
        pen = self.element.pen
        if pen is None:
            return Polygon()
        how = {"cap_style": pen.cap, "join_style": pen.join, "mitre_limit": pen.miter_limit}
        wide = shapely.union_all(shapely.buffer(self.lines, pen.width_mm / 2, **how))
        return wide if self.seen is None else shapely.intersection(wide, self.seen)


def _opening(cover: CoverShapes, paths: Paths, openings: dict[int, BaseGeometry]) -> BaseGeometry:
    """Where a clip or a mask lets through, its shapes painted one over another."""
    opening: BaseGeometry = Polygon()
    for element, shows in cover.shapes:
        drawn = _Drawn.of(element, paths, openings)
        paint = drawn.area if element.filled or element.pen is None else drawn.stroke()
        opening = shapely.union(opening, paint) if shows else shapely.difference(opening, paint)
    return opening


def _as_read(
    drawn: list[_Drawn], read_as: ReadAs | None, flatness: float
) -> tuple[list[LineString], MultiPolygon]:
    """Lines to sew and the area that they take."""
    if read_as == "strokes":
        inked = [paint for one in drawn for paint in (one.stroke(), _filled(one))]
        shape = _multi(shapely.union_all(inked))
        return _edges(shape), shape
    lines = [line for one in drawn for line in one.lines]
    shape = _multi(shapely.union_all([one.area for one in drawn]))
    if read_as == "lines" or shape.is_empty:
        shape = _multi(shapely.union_all(shapely.buffer(lines, flatness, quad_segs=1)))
    return lines, shape


def _filled(one: _Drawn) -> BaseGeometry:
    return one.area if one.element.filled else Polygon()


def _edges(area: BaseGeometry) -> list[LineString]:
    rings = [ring for part in _multi(area).geoms for ring in (part.exterior, *part.interiors)]
    return [LineString(ring.coords) for ring in rings]


def _line_parts(cut: Iterable[BaseGeometry]) -> list[LineString]:
    merged = shapely.line_merge(np.asarray(cut, dtype=object))
    return [
        part for part in shapely.get_parts(merged) if isinstance(part, LineString) and part.length
    ]


def _nothing_drawn(where: str, passed_over: tuple[str, ...]) -> InputError:
    if passed_over:
        fault = f"the SVG has no paths, only {' and '.join(passed_over)}"
        return InputError(where, "", fault, "turn it into paths in the drawing program")
    remedy = "draw at least one path, with a fill or a line that is seen"
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
    parts = shapely.get_parts(shape)
    return MultiPolygon([part for part in parts if isinstance(part, Polygon) and not part.is_empty])


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
