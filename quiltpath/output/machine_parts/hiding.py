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
    line, points = stitches.line[holes], stitches.points[holes]
    ends = np.flatnonzero(stitches.stretch[holes] >= 0)
    sewn = np.stack([points[ends - 1], points[ends]], axis=1)
    # Stitch by stitch: the tree finds short pieces far sooner than whole lines.
    pairs = shapely.STRtree(shapely.linestrings(sewn)).query(
        shapely.points(points), predicate="dwithin", distance=_TOUCHING_MM
    )
    other = line[ends[pairs[1]]] != line[pairs[0]]
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
