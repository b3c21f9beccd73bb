"""Closed lines side by side made into one: both are opened where they are one gap apart and
crosswise joined, as often as it takes."""

from __future__ import annotations

import numpy as np
import shapely
import shapely.prepared
from scipy.spatial import cKDTree
from shapely.geometry import LineString

from quiltpath.patterns.room_raster import Points

CLOSE = 1.25  # gaps: how far apart lines may be where they are joined
TRIED = 400


def joined_loops(loops: list[Points], gap: float) -> Points:
    """One closed line through all loops that lie beside each other, first point repeated last.

    Loops nearest to the line so far come first; one that nothing is near to is joined by the
    shortest pair of steps there is.
    """
    line, waiting = loops[0], loops[1:]
    while waiting:
        tree = shapely.STRtree([LineString(loop) for loop in waiting])
        nearest = int(tree.query_nearest(LineString(line), all_matches=False)[0])
        line = _joined(line, waiting.pop(nearest), gap)
    return line


def _joined(line: Points, loop: Points, gap: float) -> Points:
    """Two closed lines as one, by two steps side by side."""
    line, loop = _fine(line, gap), _fine(loop, gap)
    far, near = cKDTree(loop).query(line)
    both = shapely.prepared.prep(shapely.MultiLineString([LineString(line), LineString(loop)]))
    half = max(2, round(0.5 * len(line) * gap / LineString(line).length))
    best = np.argsort(np.round(np.abs(far - gap) / gap, 2) + _bend(line, half), kind="stable")
    for strict in (True, False):
        for k in best[:TRIED].tolist():
            ends = _opened(k, half, near, len(line), len(loop))
            if ends is None:
                continue
            a, b, c, d = ends
            if strict and not _clear(line[a], loop[c], line[b], loop[d], both):
                continue
            return _crosswise(line, loop, a, b, c, d)
    raise ValueError("two loops find no place to be joined")


def _fine(line: Points, gap: float) -> Points:
    """The closed line without its repeated last point, points at most an eighth of a gap apart."""
    return shapely.get_coordinates(shapely.segmentize(LineString(line), gap / 8))[:-1]


def _bend(line: Points, half: int) -> np.ndarray:
    """How far from straight a closed line is round each point: 0 if straight."""
    before, after = np.roll(line, half, axis=0), np.roll(line, -half, axis=0)
    chord = np.hypot(*(after - before).T)
    step = np.hypot(*np.diff(np.vstack([line, line[:1]]), axis=0).T)
    way = np.concatenate([[0.0], np.cumsum(np.tile(step, 3))])
    middle = np.arange(len(line)) + len(line)
    return 4 * (1 - chord / np.maximum(way[middle + half] - way[middle - half], 1e-9))


def _opened(
    k: int, half: int, near: np.ndarray, size: int, other: int
) -> tuple[int, int, int, int] | None:
    """Indices a, b on the line and c, d on the loop beside them; None if they fall together."""
    a, b = (k - half) % size, (k + half) % size
    c, d = int(near[a]), int(near[b])
    apart = min((c - d) % other, (d - c) % other)
    return (a, b, c, d) if 0 < apart < other / 2 and apart <= 4 * half else None


def _clear(
    a: Points, c: Points, b: Points, d: Points, both: shapely.prepared.PreparedGeometry
) -> bool:
    """Whether the two steps meet neither line between their ends, nor each other."""
    steps = [_middle(a, c), _middle(b, d)]
    if steps[0].intersects(steps[1]):
        return False
    return not any(both.intersects(step) for step in steps)


def _middle(start: Points, end: Points) -> LineString:
    return LineString([start + 0.04 * (end - start), end - 0.04 * (end - start)])


def _crosswise(line: Points, loop: Points, a: int, b: int, c: int, d: int) -> Points:
    """From b round the line to a, across to c, round the loop the long way to d, back to b."""
    kept = _cyclic(line, b, a)
    forwards = _cyclic(loop, c, d)
    backwards = _cyclic(loop, d, c)[::-1]
    other = forwards if len(forwards) > len(backwards) else backwards
    return np.vstack([kept, other, kept[:1]])


def _cyclic(line: Points, start: int, end: int) -> Points:
    if start <= end:
        return line[start : end + 1]
    return np.vstack([line[start:], line[: end + 1]])
