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
    chosen = holes[_in_crowded_squares(holes, within_mm, more_than)]
    tree = shapely.STRtree(shapely.points(chosen))
    one, _ = tree.query(tree.geometries, predicate="dwithin", distance=within_mm)
    passes = np.bincount(one, minlength=len(chosen))
    crowded = passes > more_than
    return chosen[crowded], passes[crowded]


def _in_crowded_squares(holes: Floats, size: float, more_than: int) -> NDArray[np.bool_]:
    """(n,) true for points whose square and its eight neighbours hold more than so many."""
    column, row = np.floor((holes - holes.min(axis=0)) / size).astype(np.int64).T + 1
    width = int(row.max()) + 2
    key = column * width + row
    squares, back, count = np.unique(key, return_inverse=True, return_counts=True)
    around = np.zeros(len(squares), dtype=np.int64)
    for across in (-width, 0, width):
        for up in (-1, 0, 1):
            wanted = squares + across + up
            found = np.minimum(np.searchsorted(squares, wanted), len(squares) - 1)
            around += np.where(squares[found] == wanted, count[found], 0)
    return around[back] > more_than
