"""Drawings of very many points, thinned to what a stitch can show, and how far that strays."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats, Points
from quiltpath.geometry.polyline_simplification import simplify_polylines

SHOWN_MM = 0.05
"""A stitch file's step is 0.1 mm, so that a needle point lies up to half of that off anyway."""

MANY_POINTS = 5_000
"""A drawing of no more is taken as it is."""

FEW = 200
"""And so is each path of no more: rows of small shapes keep their area."""

LEAST_OF_A_RING = 4


def thin_paths(paths: Sequence[Points], tolerance: float) -> tuple[list[Points], float]:
    """The paths with as few of their points as tell them, and the farthest that one is left out.

    Ends stay, and so does what reaches farthest to each side, so that the whole stays as large as
    it is; a path that would no longer enclose anything stays as it is, too. ``tolerance`` and the
    distance are in the paths' own unit.
    """
    long = [path for path in paths if len(path) > FEW]
    if not long:
        return list(paths), 0.0
    points = np.concatenate(long)
    start = np.cumsum([0, *map(len, long)])
    extremes = np.unique([points.argmin(axis=0), points.argmax(axis=0)])
    kept = _kept(points, start, extremes, tolerance)
    for low, high in pairwise(start):
        is_ring = (points[low] == points[high - 1]).all()
        if is_ring and kept[low:high].sum() < LEAST_OF_A_RING:
            kept[low:high] = True
    thinned = iter([points[low:high][kept[low:high]] for low, high in pairwise(start)])
    out = [next(thinned) if len(path) > FEW else path for path in paths]
    return out, _farthest(points, np.flatnonzero(kept))


def _kept(
    points: Floats, start: NDArray[np.intp], stays: NDArray[np.intp], tolerance: float
) -> NDArray[np.bool_]:
    """(n,) which points to keep: paths are cut at those that stay, which then end a piece."""
    twice = np.insert(points, stays, points[stays], axis=0)
    begins = np.union1d(start + np.searchsorted(stays, start), stays + np.arange(1, len(stays) + 1))
    kept = simplify_polylines(twice, begins, tolerance)
    return np.delete(kept, stays + np.arange(len(stays)))


def _farthest(points: Floats, kept: NDArray[np.intp]) -> float:
    """How far a point lies from the side that took its place; all ends are among the kept."""
    place = np.searchsorted(kept, np.arange(len(points)), side="right") - 1
    first = points[kept[place]]
    way = points[kept[np.minimum(place + 1, len(kept) - 1)]] - first
    size = (way**2).sum(axis=1)
    share = ((points - first) * way).sum(axis=1) / np.where(size > 0, size, 1.0)
    foot = first + np.clip(share, 0.0, 1.0)[:, None] * way
    away = np.hypot(*(points - foot).T)
    away[kept] = 0.0
    return float(away.max())
