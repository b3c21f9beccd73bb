"""Runs to needle points: corners always, even division between them, all runs at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import Runs
from quiltpath.stitching.division import WITHIN_MM, Division, Stretches, divide_stretches, stretches
from quiltpath.stitching.path import Path, path_of
from quiltpath.stitching.stitches import PointKind, Stitches

OTHER_POINTS = 3
"""Points of a run that end no stitch: travel to its start, needle down there, trim at its end."""


def place(runs: Runs, stitch: StitchSection) -> Stitches:
    """Needle points for all runs, in sewing order.

    Each run is: travel to its start, needle down there, its stitches, trim. Every corner, every
    end of a line that turns and both ends of a run get a needle point; between two of them the
    stitches are even. Work and memory grow with the number of stitches; nothing loops over them
    in Python.

    Args:
        runs: lines in sewing order.
        stitch: stitch length in mm, its bounds, and how ends are secured.

    Returns:
        Needle points in mm with a kind each.

    Raises:
        MemoryError: more stitches than the machine holds; ``draw`` refuses such lines before.

    Example:
        >>> import quiltpath
        >>> project = quiltpath.parse('''
        ... units = "mm"
        ... runner = { length = 600, width = 200, size_is = "flat" }
        ... quilting = [{ kind = "straight", spacing = 25 }]
        ... ''')
        >>> lines = quiltpath.draw(quiltpath.build(project), project.quilting)
        >>> quiltpath.place(quiltpath.route(lines, "walking-foot"), project.stitch).trims
        7
    """
    path = path_of(runs)
    parts = stretches(path, runs, stitch)
    return _assemble(len(runs), path, parts, divide_stretches(path, parts, stitch), stitch)


def _assemble(
    runs: int, path: Path, parts: Stretches, division: Division, stitch: StitchSection
) -> Stitches:
    """Stitch ends with travel and needle-down before, and a trim after, each run."""
    run = parts.run[division.part]
    per_run = np.bincount(run, minlength=runs) + OTHER_POINTS
    end = np.cumsum(per_run) - 1
    begin = end + 1 - per_run
    at = np.arange(len(run)) + OTHER_POINTS * run + 2

    points = np.empty((len(run) + OTHER_POINTS * runs, 2))
    points[at] = division.points
    points[begin] = points[begin + 1] = path.run_first
    points[end] = points[end - 1]
    kind = np.full(len(points), PointKind.STITCH, dtype=np.int8)
    kind[at[parts.securing[division.part]]] = PointKind.SECURING
    kind[begin], kind[end] = PointKind.TRAVEL, PointKind.TRIM
    line = np.full(len(points), -1, dtype=np.int32)
    line[at] = path.line[division.segment]
    stretch = np.full(len(points), -1, dtype=np.int32)
    stretch[at] = division.part
    return Stitches(
        points=points,
        kind=kind,
        run=np.repeat(np.arange(runs, dtype=np.int32), per_run),
        line=line,
        stretch=stretch,
        forced_short=_forced_short(parts, division, at, stitch),
        pivots=parts.corners,
    )


def _forced_short(
    parts: Stretches, division: Division, at: NDArray[np.intp], stitch: StitchSection
) -> NDArray[np.float64]:
    short = ~parts.securing & (division.shortest < stitch.shortest - WITHIN_MM)
    first = at[division.first[short]]
    return np.column_stack([parts.length[short], division.number[short], first]).astype(np.float64)
