"""Thread ends that a pass cannot do without, told from its lines before they are put in order.

By Euler's theorem a path has at most two nodes of odd degree. An odd node may be joined to another
along the margin, or along a line over which a second thread does not show; what is left is loose,
and every two loose ends are a start of thread (a lower bound: joins cost nothing here).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats
from quiltpath.machine.pass_cutting import Pieces
from quiltpath.routing.margin import UNDER_BINDING_MM
from quiltpath.routing.runs import EDGE_MM

_SAME_MM = 0.01


@dataclass(frozen=True)
class JoinLimits:
    """What may join odd nodes: ``retraceable`` (lines,), the finished ``outline``, and the lowest
    and highest y at which the way along the margin is still within reach; mm."""

    retraceable: NDArray[np.bool_]
    outline: shapely.Polygon
    reach: tuple[float, float]


def fewest_starts(pieces: Pieces, joining: JoinLimits) -> int:
    """Starts of thread that the pieces need at least."""
    open_ = ~shapely.is_closed(pieces.shape)
    ends = [shapely.get_coordinates(shapely.get_point(pieces.shape[open_], k)) for k in (0, -1)]
    nodes, degree = np.unique(
        np.round(np.vstack(ends) / _SAME_MM).astype(np.int64), axis=0, return_counts=True
    )
    odd = nodes[degree % 2 == 1] * _SAME_MM
    spots = shapely.points(odd)
    node, piece = shapely.STRtree(pieces.shape).query(
        spots, predicate="dwithin", distance=2 * _SAME_MM
    )
    joined = np.zeros(len(odd), dtype=np.bool_)
    joined[node[joining.retraceable[pieces.origin[piece]]]] = True
    joined |= _in_the_margin(odd, spots, joining)
    loose = int(np.count_nonzero(~joined))
    return max(1, math.ceil(loose / 2))


def _in_the_margin(
    odd: Floats, spots: NDArray[np.object_], joining: JoinLimits
) -> NDArray[np.bool_]:
    """Which odd nodes lie beyond the edge, or so near it that they are run out over it, where the
    way along the margin is within reach."""
    low, high = joining.reach
    bounds = joining.outline.bounds
    inner = joining.outline.buffer(-UNDER_BINDING_MM - EDGE_MM)
    shapely.prepare(inner)
    beyond = ~shapely.intersects(inner, spots)
    below, above = odd[:, 1] < bounds[1], odd[:, 1] > bounds[3]
    found: NDArray[np.bool_] = beyond & ~(below & (low > bounds[1])) & ~(above & (high < bounds[3]))
    return found
