"""Neighbouring ends of lines joined by short steps, so that a few paths remain."""

from __future__ import annotations

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import LineString, Polygon
from shapely.ops import substring

from quiltpath.geometry.arrays import Points
from quiltpath.geometry.curves import cubic_bezier

REACH = 1.75  # spacings
ALONG_THE_EDGE = 2.6  # spacings
ON_THE_EDGE_MM = 0.2
NEAR_THE_EDGE = 0.35  # spacings
RUNS_ON = 0.7  # cosine of the sharpest turn into a step inside
SIDE_BY_SIDE, ASLANT = 0.8, 0.7  # cosines: of two ends' ways, and of each with the step across
STEPS_A_BEND = 16
BULGE = 0.65  # of the step: how far a half turn reaches on


def join_line_ends(lines: list[Points], room: Polygon, spacing_mm: float) -> list[Points]:
    """Paths (n, 2) in mm through lines and the steps between their ends, shortest steps first.

    A step runs along the room's edge between ends on it, straight otherwise; it crosses no line,
    stays inside, and is at most 1.75 spacings long (2.6 along the edge). Away from the edge lines
    are joined only where the step runs on as they do, or by a half turn into the next line. Closed
    lines beside each other begin beside each other, so that a step across leads from one to the
    next.
    """
    lines = _begin_together(lines)
    return _paths(lines, _steps(lines, room, spacing_mm)) if lines else []


def _close(line: Points) -> bool:
    return bool(np.allclose(line[0], line[-1]))


def _length(line: Points) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


def _begin_together(lines: list[Points]) -> list[Points]:
    """Closed lines from the longest on, each begun where it comes nearest to the last's start."""
    rings = sorted((line for line in lines if _close(line)), key=_length, reverse=True)
    begun: list[Points] = []
    for ring in rings:
        open_ring = ring[:-1]
        if begun:
            starts = cKDTree(np.array([other[0] for other in begun]))
            far, _ = starts.query(open_ring)
            open_ring = np.roll(open_ring, -int(np.argmin(far)), axis=0)
        begun.append(np.vstack([open_ring, open_ring[:1]]))
    return begun + [line for line in lines if not _close(line)]


def _runs_on(a: int, b: int, lines: list[Points], way: Points) -> bool:
    """Whether a step leaves one line and meets the other without a sharp turn."""
    step = way[-1] - way[0]
    size = np.hypot(*step) + 1e-9
    leaves, meets = _heading(lines[a // 2], a % 2), -_heading(lines[b // 2], b % 2)
    return bool(min(leaves @ step, meets @ step) / size > RUNS_ON)


def _heading(line: Points, last: int) -> Points:
    """The way out of a line at its first or last point."""
    way = line[-1] - line[-min(4, len(line))] if last else line[0] - line[min(3, len(line) - 1)]
    return way / (np.hypot(*way) + 1e-9)


def _bend(a: int, b: int, lines: list[Points], way: Points) -> Points:
    """A half turn from the end of one line into its neighbour's, where they run side by side."""
    out, back = _heading(lines[a // 2], a % 2), _heading(lines[b // 2], b % 2)
    across = way[-1] - way[0]
    size = float(np.hypot(*across))
    aslant = max(abs(out @ across), abs(back @ across)) / (size + 1e-9)
    if out @ back < SIDE_BY_SIDE or aslant > ASLANT:
        return np.empty((0, 2))
    handles = np.stack(
        [way[0], way[0] + BULGE * size * out, way[-1] + BULGE * size * back, way[-1]]
    )
    return cubic_bezier(handles, STEPS_A_BEND)


def _steps(lines: list[Points], room: Polygon, spacing_mm: float) -> dict[int, tuple[int, Points]]:
    """For an end (line * 2 + 1 if its last point) the end it is joined to and the way there."""
    ends = np.concatenate([line[[0, -1]] for line in lines])
    pairs = cKDTree(ends).query_pairs(ALONG_THE_EDGE * spacing_mm, output_type="ndarray")
    pairs = pairs[pairs[:, 0] // 2 != pairs[:, 1] // 2]
    far = np.hypot(*(ends[pairs[:, 0]] - ends[pairs[:, 1]]).T)
    wall = shapely.distance(room.boundary, shapely.points(ends))
    ring = np.repeat([_close(line) for line in lines], 2)
    outer = (wall < NEAR_THE_EDGE * spacing_mm) | ring
    group = list(range(len(lines)))
    tree = shapely.STRtree([LineString(line) for line in lines])
    roomy = room.buffer(ON_THE_EDGE_MM)
    found: dict[int, tuple[int, Points]] = {}
    drawn: list[LineString] = []
    for a, b in pairs[np.lexsort((pairs[:, 1], pairs[:, 0], np.round(far, 6)))].tolist():
        if a in found or b in found or _root(group, a // 2) == _root(group, b // 2):
            continue
        way = _way(ends[a], ends[b], room, spacing_mm)
        if len(way) == 0:
            continue
        if not (outer[a] and outer[b]) and not _runs_on(a, b, lines, way):
            way = _bend(a, b, lines, way)
            if len(way) == 0:
                continue
        if not _free(way, {a // 2, b // 2}, tree, roomy, drawn):
            continue
        group[_root(group, a // 2)] = _root(group, b // 2)
        found[a], found[b] = (b, way), (a, way[::-1])
        drawn.append(LineString(way))
    return found


def _root(group: list[int], one: int) -> int:
    while group[one] != one:
        group[one] = group[group[one]]
        one = group[one]
    return one


def _way(start: Points, end: Points, room: Polygon, spacing_mm: float) -> Points:
    """Along the edge if both are on it and it is not far, else straight."""
    for ring in (room.exterior, *room.interiors):
        first, last = shapely.Point(start), shapely.Point(end)
        if max(ring.distance(first), ring.distance(last)) > ON_THE_EDGE_MM:
            continue
        a, b = ring.project(first), ring.project(last)
        if abs(a - b) <= ALONG_THE_EDGE * spacing_mm:
            inner = shapely.get_coordinates(substring(ring, a, b))[1:-1]
            return np.vstack([start, inner, end])
    if np.hypot(*(end - start)) > REACH * spacing_mm:
        return np.empty((0, 2))
    return np.vstack([start, end])


def _free(
    way: Points, own: set[int], tree: shapely.STRtree, room: Polygon, drawn: list[LineString]
) -> bool:
    """Whether a step stays inside and meets lines at its ends only."""
    step = LineString(way)
    if not room.covers(step):
        return False
    middle = substring(step, 0.05 * step.length, 0.95 * step.length)
    if len(tree.query(middle, predicate="intersects")):
        return False
    others = set(tree.query(step, predicate="intersects").tolist()) - own
    return not others and not any(middle.intersects(other) for other in drawn)


def _paths(lines: list[Points], steps: dict[int, tuple[int, Points]]) -> list[Points]:
    """Lines and steps strung together, each path from a free end."""
    done: set[int] = set()
    paths = []
    for end in range(2 * len(lines)):
        if end in steps or end // 2 in done:
            continue
        pieces, at = [], end
        while True:
            done.add(at // 2)
            pieces.append(lines[at // 2] if at % 2 == 0 else lines[at // 2][::-1])
            out = at ^ 1
            if out not in steps:
                break
            at, way = steps[out]
            pieces.append(way)
        points = np.vstack(pieces)
        fresh = np.append(True, np.hypot(*np.diff(points, axis=0).T) > 1e-9)
        paths.append(points[fresh])
    return paths
