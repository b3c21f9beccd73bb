"""Needle points as thread lies: what is sewn, parted where the needle is lifted."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.stitching.stitches import PointKind, Stitches


def sewn_points(stitches: Stitches) -> NDArray[np.float64]:
    """(n, 2) needle holes in sewing order, mm, a row of NaN wherever no stitch leads on."""
    holes = stitches.kind <= PointKind.SECURING
    starts = holes & ~((stitches.kind == PointKind.SECURING) | stitches.is_stitch)
    spread = np.full((2 * len(stitches), 2), np.nan)
    spread[1::2] = stitches.points
    kept = np.zeros(len(spread), dtype=bool)
    kept[0::2], kept[1::2] = starts, holes
    return spread[kept]
