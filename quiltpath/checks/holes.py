"""Holes that the needle goes through too often: the cloth there is weakened and looks chewed."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.finding import Finding
from quiltpath.checks.limits import CheckLimits
from quiltpath.distinct import distinct
from quiltpath.stitching.stitches import Stitches

Floats = NDArray[np.float64]


def worn_holes(stitches: Stitches, limits: CheckLimits) -> tuple[Finding, ...]:
    """One remark on all places with more than ``limits.hole_passes`` needle points in one hole."""
    crowded, passes = passes_through(stitches.needle_holes, limits.hole_mm, limits.hole_passes)
    if len(passes) == 0:
        return ()
    worst = int(passes.argmax())
    places = len(distinct(np.round(crowded / (4 * limits.hole_mm)), axis=0))
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

    A point counts itself.
    """
    chosen = holes[_hopeful(holes, within_mm, more_than)]
    tree = shapely.STRtree(shapely.points(chosen))
    one, _ = tree.query(tree.geometries, predicate="dwithin", distance=within_mm)
    passes = np.bincount(one, minlength=len(chosen))
    crowded = passes > more_than
    return chosen[crowded], passes[crowded]


def _hopeful(holes: Floats, within_mm: float, more_than: int) -> NDArray[np.bool_]:
    """(n,) true for every point with more than so many in reach, and for few others.

    All that lies within reach of a point lies in one square of four times the reach, in one at
    least of four rasters half a square apart. Squares are counted by a hash of their place: where
    two share a number the count is too high, which costs a look and hides nothing.
    """
    numbers = 1 << (4 * len(holes)).bit_length()
    hopeful = np.zeros(len(holes), dtype=np.bool_)
    for shift in np.ndindex(2, 2):
        column, row = np.floor(holes / (4 * within_mm) + np.array(shift) / 2).astype(np.int64).T
        square = (column * 73_856_093 ^ row * 19_349_663) & (numbers - 1)
        hopeful |= np.bincount(square)[square] > more_than
    return hopeful
