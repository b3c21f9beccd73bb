"""Pairs of lines, one of which may be far longer than the other."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray


def which_meet(
    one: NDArray[np.object_], other: NDArray[np.object_], within_mm: float = 0.0
) -> NDArray[np.bool_]:
    """Which of (k,) pairs of lines touch, cross or come within ``within_mm`` of each other.

    The longer line of a pair is the one that is prepared, so that a line which wanders all over a
    runner is searched once for all small figures on it, not gone along for each.
    """
    more = shapely.get_num_coordinates(one) >= shapely.get_num_coordinates(other)
    long, short = np.where(more, one, other), np.where(more, other, one)
    shapely.prepare(long)
    if within_mm > 0:
        return np.asarray(shapely.dwithin(long, short, within_mm), dtype=np.bool_)
    return np.asarray(shapely.intersects(long, short), dtype=np.bool_)
