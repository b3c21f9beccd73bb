"""Closed lines side by side made into one: both are opened where they are one gap apart and
crosswise joined, as often as it takes."""

from __future__ import annotations

import numpy as np
import shapely
import shapely.prepared
from scipy.spatial import cKDTree
from shapely.geometry import LineString

from quiltpath.geometry.arrays import Points

NEARBY = 3.0  # gaps: how far round a loop its neighbour's points are looked at
TRIED = 400


def join_loops(loops: list[Points], gap: float) -> Points:
    """One closed line through all loops that lie beside each other, first point repeated last.

    Loops and line are (n, 2) in mm, and ``gap`` is that between neighbouring loops, in mm.
    Loops nearest to the line so far come first; one that nothing is near to is joined by the
    shortest pair of steps there is.
    """
    fine = [_fine(loop, gap) for loop in loops]
    line, waiting = fine[0], dict(enumerate(fine[1:]))
    apart = {k: _apart(loop, line) for k, loop in waiting.items()}
    while waiting:
        k = min(apart, key=lambda number: (apart[number], number))
        apart.pop(k)
        loop = waiting.pop(k)
        line = _join(line, loop, gap)
        tree = cKDTree(loop)
        for other in apart:
            apart[other] = min(apart[other], float(tree.query(waiting[other])[0].min()))
    return np.vstack([line, line[:1]])


def _apart(loop: Points, line: Points) -> float:
    return float(cKDTree(line).query(loop)[0].min())


def _join(line: Points, loop: Points, gap: float) -> Points:
    """Two closed lines as one, by two steps side by side; first points are not repeated."""
    far, near = _beside(line, loop, gap)
    both = shapely.prepared.prep(shapely.multilinestrings([_ring(line), _ring(loop)]))
    half = max(2, round(0.5 * len(line) * gap / _ring(line).length))
    best = np.argsort(np.round(np.abs(far - gap) / gap, 2) + _bend(line, half), kind="stable")
    for strict in (True, False):
        for k in best[:TRIED].tolist():
            ends = _opened(k, half, near, len(line), len(loop))
            if ends is None:
                continue
            a, b, c, d = ends
            if strict and not _clear(line[a], loop[c], line[b], loop[d], both):
                continue
            joined = _crosswise(line, loop, a, b, c, d)
            # A step that is clear may still leave its own line through a bend that is very near.
            if not strict or _ring(joined).is_simple:
                return joined
    raise ValueError("two loops find no place to be joined")


def _ring(line: Points) -> LineString:
    return LineString(np.vstack([line, line[:1]]))


def _beside(line: Points, loop: Points, gap: float) -> tuple[np.ndarray, np.ndarray]:
    """For each point of the line how far the loop is and its nearest point; only looked up where
    the line comes near the loop's bounds."""
    low, high = loop.min(axis=0) - NEARBY * gap, loop.max(axis=0) + NEARBY * gap
    close = ((line >= low) & (line <= high)).all(axis=1)
    if not close.any():
        close[:] = True
    far, near = np.full(len(line), np.inf), np.full(len(line), -1, dtype=np.intp)
    far[close], near[close] = cKDTree(loop).query(line[close])
    return far, near


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
    if c < 0 or d < 0:
        return None
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
    return np.vstack([kept, other])


def _cyclic(line: Points, start: int, end: int) -> Points:
    if start <= end:
        return line[start : end + 1]
    return np.vstack([line[start:], line[: end + 1]])
