"""Hops that are no trim: to a neighbour less than a stitch away, or from a run too short to secure.

The thread is not cut for a hop shorter than one stitch (common practice). A run of less than 30 mm
with a securing at both ends is mostly securing: where the policy allows steps it is joined to a
neighbour in the order by one, and otherwise kept, with a word. One pass over the runs.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.routing.edges import Edges, concatenate_edges
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.policy import Policy
from quiltpath.routing.ring_steps import step_edges
from quiltpath.routing.runs import RunChange, needs_securing

MOSTLY_SECURING_MM = 30.0
"""Six tiny stitches of 1 mm at each end take up nearly half of a run this long."""


def join_short_hops(
    edges: Edges, trails: Trails, key: NDArray[np.intp], policy: Policy, finished: Polygon
) -> tuple[Edges, Trails, NDArray[np.intp]]:
    """The trails in their order, those joined between which the thread need not be cut.

    Trails of different ``key`` (t,) stay apart. The third value is the key of each trail.
    """
    if len(trails) < 2:
        return edges, trails, key
    ends = _ends(edges, trails)
    hop = np.hypot(*(ends[1:, 0] - ends[:-1, 1]).T)
    short = _mostly_securing(edges, trails, finished)
    near = hop < policy.shortest_mm
    if policy.step:
        near |= (short[1:] | short[:-1]) & (hop <= policy.step_longest_mm)
    joins = near & (key[1:] == key[:-1])
    sewn = np.flatnonzero(joins & (hop > 0))
    steps = step_edges(np.stack([ends[sewn, 1], ends[sewn + 1, 0]], axis=1))
    half = np.insert(trails.half, trails.start[sewn + 1], 2 * (len(edges) + np.arange(len(sewn))))
    # An edge more before each later trail.
    more = np.concatenate([[0], np.cumsum(joins & (hop > 0)), [len(sewn)]])
    begins = np.concatenate([[True], ~joins])
    start = np.append((trails.start[:-1] + more[:-1])[begins], len(half))
    alone = begins & np.append(~joins, True)
    longer = Trails(half, start.astype(np.intp), (trails.closed & alone)[begins])
    return concatenate_edges([edges, steps]), longer, key[begins]


def short_run_changes(edges: Edges, trails: Trails, finished: Polygon) -> list[RunChange]:
    """What to say about short runs that are kept."""
    short = np.flatnonzero(_mostly_securing(edges, trails, finished))
    if not len(short):
        return []
    at = _ends(edges, trails)[short[0], 0]
    runs = "1 run is" if len(short) == 1 else f"{len(short)} runs are"
    return [
        RunChange(
            "short-run",
            f"{runs} shorter than {MOSTLY_SECURING_MM:.0f} mm and secured at both ends;"
            " kept, since the drawing has them",
            (float(at[0]), float(at[1])),
        )
    ]


def _ends(edges: Edges, trails: Trails) -> NDArray[np.float64]:
    """(t, 2, 2) first and last point of each trail."""
    spots = edges.ends.reshape(-1, 2)
    return np.stack(
        [spots[trails.half[trails.start[:-1]]], spots[trails.half[trails.start[1:] - 1] ^ 1]],
        axis=1,
    )


def _mostly_securing(edges: Edges, trails: Trails, finished: Polygon) -> NDArray[np.bool_]:
    """(t,) which trails are short and lie on the cloth with both ends."""
    length = np.add.reduceat(edges.length_mm[trails.half // 2], trails.start[:-1])
    on_cloth = needs_securing(finished, _ends(edges, trails).reshape(-1, 2)).reshape(-1, 2)
    result: NDArray[np.bool_] = (length < MOSTLY_SECURING_MM) & on_cloth.all(axis=1)
    return result
