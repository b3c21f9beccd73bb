"""Where a cut in a line hides: at crossings and on the sashing, next best at a corner."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.stitching.stitches import PointKind, Stitches

ON_CROSSING, ON_CORNER, IN_THE_OPEN, IN_SECURING = range(4)
"""Grades of a needle hole as a place to cut, best first."""

_TOUCHING_MM = 1.8
"""Half of the longest stitch: the hole nearest to a crossing is no further from it."""


def hiding_grades(
    stitches: Stitches, holes: NDArray[np.intp], printed: Sequence[shapely.LineString] = ()
) -> NDArray[np.int8]:
    """(k,) grade of each of the ``holes`` (indices into ``stitches``).

    ``printed`` are the printed or sewn sashing lines: thread along and across them does not show.
    """
    grade = np.full(len(holes), IN_THE_OPEN, dtype=np.int8)
    corner = np.zeros(len(holes), dtype=np.bool_)
    corner[:-1] = np.diff(stitches.stretch[holes]) != 0
    grade[corner] = ON_CORNER
    points = stitches.points[holes]
    grade[_crossing(stitches, holes) | _near(points, printed)] = ON_CROSSING
    grade[stitches.kind[holes] == PointKind.SECURING] = IN_SECURING
    return grade


def _crossing(stitches: Stitches, holes: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Holes that the thread of another line passes."""
    line, run = stitches.line[holes], stitches.run[holes]
    begins = np.flatnonzero(np.diff(line, prepend=-9) | np.diff(run, prepend=-9))
    group = np.repeat(np.arange(len(begins)), np.diff(np.append(begins, len(holes))))
    # A group of one hole makes no line; it is given the hole twice.
    lonely = begins[np.bincount(group, minlength=len(begins)) == 1]
    order = np.sort(np.concatenate([np.arange(len(holes)), lonely]))
    points = stitches.points[holes]
    threads = shapely.linestrings(points[order], indices=group[order])
    pairs = shapely.STRtree(threads).query(
        shapely.points(points), predicate="dwithin", distance=_TOUCHING_MM
    )
    other = line[begins[pairs[1]]] != line[pairs[0]]
    crossing = np.zeros(len(holes), dtype=np.bool_)
    crossing[pairs[0][other]] = True
    return crossing


def _near(points: NDArray[np.float64], printed: Sequence[shapely.LineString]) -> NDArray[np.bool_]:
    near = np.zeros(len(points), dtype=np.bool_)
    if len(printed):
        tree = shapely.STRtree(list(printed))
        pairs = tree.query(shapely.points(points), predicate="dwithin", distance=_TOUCHING_MM)
        near[pairs[0]] = True
    return near
