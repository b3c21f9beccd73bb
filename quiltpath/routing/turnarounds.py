"""Runs that follow one another joined along the margin, where the policy fixes their order.

From the centre outwards, there and back, the quilter turns round in the wadding beyond the edge and
comes back on the next line without cutting the thread.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.routing.euler import Trails
from quiltpath.routing.margin import margin_strands
from quiltpath.routing.nodes import nodes_of
from quiltpath.routing.policy import Policy
from quiltpath.routing.strands import Strands, concatenated


def joined_in_order(
    strands: Strands, trails: Trails, policy: Policy, finished: Polygon, margin_mm: float
) -> tuple[Strands, Trails]:
    """The trails in the same order, neighbours made one where the margin joins them cheaply.

    A join is made where the end of one trail and the start of the next lie in the margin and the
    shorter way between them costs less than a jump.
    """
    spots = strands.ends.reshape(-1, 2)
    first = spots[trails.half[trails.start[:-1]]]
    last = spots[trails.half[trails.start[1:] - 1] ^ 1]
    found = margin_strands(np.concatenate([first, last]), finished, margin_mm)
    if found is None:
        return strands, trails
    track = _track(found, np.concatenate([first, last]), 2 * len(strands))
    halves: list[int] = []
    start, closed = [0], []
    for trail in range(len(trails)):
        halves += trails.half[trails.start[trail] : trails.start[trail + 1]].tolist()
        way = None
        if trail + 1 < len(trails) and not trails.closed[trail : trail + 2].any():
            way = track.way(len(trails) + trail, trail + 1, policy)
        if way is None:
            start.append(len(halves))
            closed.append(trails.closed[trail])
        else:
            halves += way
    longer = Trails(
        np.array(halves, dtype=np.intp),
        np.array(start, dtype=np.intp),
        np.array(closed, dtype=np.bool_),
    )
    return concatenated([strands, *found]), longer


@dataclass(frozen=True)
class _Track:
    """The way round the margin, and where (n,) points stand on it.

    ``foot`` (n,) place of each point on the track or -1, ``stub`` (n,) half-strand from the point
    to it or -1, ``stub_mm`` (n,) its length, ``along`` (k + 1,) length round the track, ``base``
    the first half-strand of the track.
    """

    foot: NDArray[np.intp]
    stub: NDArray[np.intp]
    stub_mm: NDArray[np.float64]
    along: NDArray[np.float64]
    base: int

    def way(self, here: int, there: int, policy: Policy) -> list[int] | None:
        """Half-strands from one point to another by the shorter way, if that beats a jump."""
        a, b = int(self.foot[here]), int(self.foot[there])
        if a < 0 or b < 0:
            return None
        pieces, total = len(self.along) - 1, float(self.along[-1])
        onward = float(self.along[b] - self.along[a]) % total
        length = min(onward, total - onward) + float(self.stub_mm[here] + self.stub_mm[there])
        if length * policy.margin_cost >= policy.jump_cost:
            return None
        if onward <= total - onward:
            round_it = [self.base + 2 * ((a + k) % pieces) for k in range((b - a) % pieces)]
        else:
            round_it = [self.base + 2 * ((a - k - 1) % pieces) + 1 for k in range((a - b) % pieces)]
        out = [int(self.stub[here])] if self.stub[here] >= 0 else []
        back = [int(self.stub[there]) ^ 1] if self.stub[there] >= 0 else []
        return out + round_it + back


def _track(found: tuple[Strands, Strands], points: NDArray[np.float64], base: int) -> _Track:
    ring, stubs = found
    ends = np.concatenate([points, ring.ends.reshape(-1, 2), stubs.ends.reshape(-1, 2)])
    node = nodes_of(ends)
    of_point = node[: len(points)]
    of_ring = node[len(points) : len(points) + 2 * len(ring)].reshape(-1, 2)
    of_stub = node[len(points) + 2 * len(ring) :].reshape(-1, 2)
    place = np.full(int(node.max()) + 1, -1, dtype=np.intp)
    place[of_ring[:, 0]] = np.arange(len(ring))
    stub = np.full(len(place), -1, dtype=np.intp)
    stub[of_stub[:, 0]] = base + 2 * (len(ring) + np.arange(len(stubs)))
    length = np.zeros(len(place))
    length[of_stub[:, 0]] = stubs.length_mm
    place[of_stub[:, 0]] = place[of_stub[:, 1]]
    along = np.concatenate([[0.0], np.cumsum(ring.length_mm)])
    return _Track(place[of_point], stub[of_point], length[of_point], along, base)
