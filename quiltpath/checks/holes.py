"""Holes that the needle goes through too often: the cloth there is weakened and looks chewed."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.finding import Finding
from quiltpath.checks.limits import CheckLimits
from quiltpath.stitching.stitches import Stitches

Floats = NDArray[np.float64]


def worn_holes(stitches: Stitches, limits: CheckLimits) -> tuple[Finding, ...]:
    """One remark on all places with more than ``limits.hole_passes`` needle points in one hole."""
    crowded, passes = passes_through(stitches.needle_holes, limits.hole_mm, limits.hole_passes)
    if len(passes) == 0:
        return ()
    worst = int(passes.argmax())
    places = len(np.unique(np.round(crowded / (4 * limits.hole_mm)), axis=0))
    message = (
        f"the thread passes {passes[worst]} times through one hole, more than"
        f" {limits.hole_passes}; this at {'one place' if places == 1 else f'about {places} places'}"
    )
    remedy = "end some of the lines that meet there a stitch short, or move where runs start"
    x, y = crowded[worst]
    return (Finding("hole-worn", message, remedy, (float(x), float(y))),)


def passes_through(
    holes: Floats, within_mm: float, more_than: int
) -> tuple[Floats, NDArray[np.intp]]:
    """The (k, 2) points with more than so many of the (n, 2) holes within reach, and how many.

    A point counts itself. Squares of the reach's size rule out nearly all points; the rest are
    counted by distance.
    """
    if len(holes) == 0:
        return np.zeros((0, 2)), np.zeros(0, dtype=np.intp)
    hopeful, beside = _crowded_squares(holes, within_mm, more_than)
    chosen = holes[hopeful]
    tree = shapely.STRtree(shapely.points(holes[beside]))
    one, _ = tree.query(shapely.points(chosen), predicate="dwithin", distance=within_mm)
    passes = np.bincount(one, minlength=len(chosen))
    crowded = passes > more_than
    return chosen[crowded], passes[crowded]


def _crowded_squares(
    holes: Floats, size: float, more_than: int
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Points whose square and its neighbours hold more than so many, and all points near those.

    Both (n,) masks.
    """
    column, row = np.floor((holes - holes.min(axis=0)) / size).astype(np.int64).T + 1
    width = int(row.max()) + 2
    squares, back, count = np.unique(column * width + row, return_inverse=True, return_counts=True)
    hopeful = _with_neighbours(squares, width, count) > more_than
    beside = _with_neighbours(squares, width, hopeful.astype(np.int64)) > 0
    return hopeful[back], beside[back]


def _with_neighbours(
    squares: NDArray[np.int64], width: int, values: NDArray[np.int64]
) -> NDArray[np.int64]:
    """(s,) sums over each square and the eight around it; ``squares`` are sorted keys."""
    total = np.zeros(len(squares), dtype=np.int64)
    for step in (across + up for across in (-width, 0, width) for up in (-1, 0, 1)):
        found = np.minimum(np.searchsorted(squares, squares + step), len(squares) - 1)
        total += np.where(squares[found] == squares + step, values[found], 0)
    return total
