"""Stretches of a polyline between arc lengths, all in one pass over its points."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from quiltpath.geometry.arrays import Floats, arc_lengths

_SAME_MM = 1e-9


def stretches(points: Floats, between: Sequence[tuple[float, float]]) -> list[Floats]:
    """What lies between arc lengths of a polyline.

    Args:
        points: (n, 2) mm, the polyline.
        between: for each stretch where it begins and ends, in mm along it; lengths beyond an end
            mean that end.

    Returns:
        For each stretch its points, (k, 2) mm, both ends included.

    Example:
        >>> import numpy as np
        >>> corner = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)])
        >>> [each.tolist() for each in stretches(corner, [(4.0, 12.0)])]
        [[[4.0, 0.0], [10.0, 0.0], [10.0, 2.0]]]
    """
    along = arc_lengths(points)
    ends = np.clip(np.array(between, dtype=np.float64).reshape(-1, 2), 0.0, along[-1])
    x, y = np.interp(ends, along, points[:, 0]), np.interp(ends, along, points[:, 1])
    first = np.searchsorted(along, ends[:, 0] + _SAME_MM, side="right")
    last = np.searchsorted(along, ends[:, 1] - _SAME_MM, side="left")
    return [
        np.vstack([(x[k, 0], y[k, 0]), points[first[k] : last[k]], (x[k, 1], y[k, 1])])
        for k in range(len(ends))
    ]
