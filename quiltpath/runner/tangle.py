"""How often drawn lines cross, estimated before anything is cut at its crossings."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

SAMPLE = 128
LONGEST = 3
"""So many of the sample are left out: an edge round the whole meets much that does not meet."""


def estimated_crossings(lines: NDArray[np.object_]) -> float:
    """Crossings among all segments of ``lines``, from evenly spaced samples of them.

    A scribble of n segments can cross itself n squared / 2 times, and cutting it there takes
    that much memory. n log n in the segments, plus the sample's own crossings.
    """
    points, line = shapely.get_coordinates(lines, return_index=True)
    within = line[1:] == line[:-1]
    ends = np.stack([points[:-1][within], points[1:][within]], axis=1)
    segments = shapely.linestrings(ends)
    if len(segments) < 3:
        return 0.0
    chosen = segments[:: max(len(segments) // SAMPLE, 1)]
    found = shapely.STRtree(segments).query(chosen, predicate="intersects")
    # Each segment meets itself and its two neighbours.
    crossing = np.maximum(np.bincount(found[0], minlength=len(chosen)) - 3, 0)
    usual = np.sort(crossing)[:-LONGEST]
    return float(usual.mean() * len(segments) / 2) if len(usual) else 0.0
