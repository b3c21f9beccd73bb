"""Optional edges along the curve at a motif's clearance, where the lines that keep clear of it end.

Thread may run along that curve from one line's end to the next, as a quilter turns round a motif
beside its outline. The curves are drawn with the lines; here they are cut where lines end on them.
O(n log n) in the number of line ends.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import distinct
from quiltpath.routing.edges import Edges, cut_edges, edges_of_lines
from quiltpath.routing.runs import PieceKind

ON_THE_CURVE_MM = 0.05


def clearance_edges(
    curves: NDArray[np.object_], points: NDArray[np.float64], tolerance_mm: float
) -> Edges:
    """The (c,) ``curves`` cut at those of (n, 2) ``points`` that lie on them.

    Pieces of closed curves that lead from a line's end back to itself are left out.
    """
    whole = edges_of_lines(curves)
    points = distinct(points, axis=0)
    spots, shapes = shapely.points(points), whole.shapes()
    which, curve = shapely.STRtree(shapes).query(
        spots, predicate="dwithin", distance=tolerance_mm + ON_THE_CURVE_MM
    )
    at = shapely.line_locate_point(shapes[curve], spots[which])
    length = shapely.length(shapes[curve])
    inner = (at > 0) & (at < length)
    parts = cut_edges(whole, curve[inner], at[inner], points[which[inner]])
    ends = parts.ends
    open_ended = (ends[:, 0] != ends[:, 1]).any(axis=1)
    parts = parts.take(open_ended)
    return Edges(
        parts.coordinates,
        parts.start,
        np.full(len(parts), -1, dtype=np.int32),
        np.full(len(parts), PieceKind.CLEARANCE, dtype=np.int8),
    )
