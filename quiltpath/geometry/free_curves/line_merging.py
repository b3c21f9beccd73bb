"""Loose ends of lines led into what runs beside them, as one stream joins another.

A line along a field ends where it comes too near to its neighbours, in the middle of the cloth.
Led on by a curve that leaves as the line runs and meets its neighbour, or the room's edge, at a
slant, it ends where another pass of the thread hardly shows, and one thread can sew all.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.ops import substring

from quiltpath.geometry.arrays import Points
from quiltpath.geometry.curves import cubic_bezier

REACH = 1.25  # spacings: no farther off is a neighbour looked for
OWN_TAIL = 5.0  # spacings: what of the line itself is no neighbour of its end
NEIGHBOURS = 4  # of those, the nearest that are tried
SLANTS = 2.0, 1.4, 1.0, 0.6, 0.3  # how far on a curve meets its neighbour, for the way across
LEAST_ACROSS = 0.25  # of a spacing: nearer neighbours are met as if they were so far off
STRAIGHT_ON = 0.3  # cosine: nothing is met by turning off more sharply than this
HANDLE = 0.4  # of the chord: how far the curve leaves and arrives as it should
STEPS_A_CURVE = 12
THERE_MM = 0.05  # an end as near as this has arrived
TOUCH_MM = 0.3  # of the curve's end, where it may touch what it meets


def merge_line_ends(lines: list[Points], room: Polygon, spacing_mm: float) -> list[Points]:
    """The lines (n, 2) in mm, each open end led on into the nearest line or edge of ``room``.

    A curve is at most some three spacings long, stays inside and crosses nothing. Ends that find
    no such way stay as they are, and so do closed lines. O(n²) in the number of lines. Raises
    ``ValueError`` for a spacing that is not above 0.
    """
    if not spacing_mm > 0:
        raise ValueError(f"spacing_mm is {spacing_mm}; it must be above 0")
    merged = list(lines)
    rings = [room.exterior, *room.interiors]
    shapes = np.array([*rings, *map(LineString, lines)], dtype=object)
    roomy = room.buffer(THERE_MM)
    for k, line in enumerate(lines):
        if np.allclose(line[0], line[-1]):
            continue
        for _ in range(2):
            way = _way_on(merged[k], len(rings) + k, shapes, len(rings), roomy, spacing_mm)
            merged[k] = np.vstack([merged[k], way])[::-1]
            shapes[len(rings) + k] = LineString(merged[k])
    return merged


def _way_on(
    line: Points,
    own: int,
    shapes: NDArray[np.object_],
    rings: int,
    roomy: Polygon,
    spacing_mm: float,
) -> Points:
    """What leads on from the last point (n, 2); nothing where the end has arrived or finds no way.

    The first ``rings`` of ``shapes`` are the room's edges, those after them lines.
    """
    end = shapely.Point(line[-1])
    curve = LineString(line)
    tail = max(0.0, curve.length - OWN_TAIL * spacing_mm)
    neighbours = shapes.copy()
    neighbours[own] = substring(curve, 0.0, tail) if tail else LineString()
    far = np.nan_to_num(shapely.distance(neighbours, end), nan=np.inf)
    if far[:rings].min() <= THERE_MM:
        return np.empty((0, 2))
    leaves = _heading(curve, curve.length)
    for near in np.argsort(far, kind="stable")[:NEIGHBOURS]:
        if far[near] > REACH * spacing_mm:
            break
        across = max(float(far[near]), LEAST_ACROSS * spacing_mm)
        for way in _curves_into(neighbours[near], line[-1], leaves, across):
            led_on = LineString(way)
            before = substring(led_on, 0.03, led_on.length - TOUCH_MM)
            if roomy.covers(led_on) and not shapely.intersects(shapes, before).any():
                return way[1:]
    return np.empty((0, 2))


def _curves_into(
    neighbour: LineString, end: Points, leaves: Points, across_mm: float
) -> Iterator[Points]:
    """Cubic Bézier curves from an end into its neighbour, the longest first."""
    beside = neighbour.project(shapely.Point(end))
    sense = 1.0 if _heading(neighbour, beside) @ leaves >= 0 else -1.0
    for slant in SLANTS:
        at = beside + sense * slant * across_mm
        if neighbour.is_ring:
            at %= neighbour.length
        elif not 0 < at < neighbour.length:
            continue
        meets = shapely.get_coordinates(neighbour.interpolate(at))[0]
        chord = meets - end
        if _unit(chord) @ leaves < STRAIGHT_ON:
            continue
        arrives = _unit(_unit(chord) + sense * _heading(neighbour, at))
        handle = HANDLE * float(np.sqrt(chord @ chord))
        handles = np.stack([end, end + handle * leaves, meets - handle * arrives, meets])
        yield cubic_bezier(handles, STEPS_A_CURVE)


def _heading(line: LineString, at_mm: float) -> Points:
    """The way that the line runs at a length along it, over a millimetre."""
    low, high = np.clip([at_mm - 0.5, at_mm + 0.5], 0, line.length)
    ends = shapely.line_interpolate_point(line, [low, high])
    return _unit(np.diff(shapely.get_coordinates(ends), axis=0)[0])


def _unit(way: Points) -> Points:
    return np.asarray(way / (np.sqrt(way @ way) + 1e-12))
