"""From lines to runs: join, find the fewest trails, put them in order."""

from __future__ import annotations

import numpy as np
from shapely.geometry import Polygon

from quiltpath.quilting.lines import Lines
from quiltpath.routing.assembly import assembled, default_reasons
from quiltpath.routing.euler import Trails, trails
from quiltpath.routing.nodes import nodes_of
from quiltpath.routing.order import nearest_next
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import Runs
from quiltpath.routing.strands import strands_of


def route(lines: Lines, policy: Policy, finished: Polygon, margin_mm: float) -> Runs:
    """Runs that sew every line once, in the order that ``policy`` asks for.

    ``finished`` is the finished outline and ``margin_mm`` the width of the wadding beyond it.
    """
    strands = strands_of(lines.geometry)
    node = nodes_of(strands.ends.reshape(-1, 2), policy.tolerance_mm).reshape(-1, 2)
    found = trails(node, strands.headings)
    ends = strands.ends.reshape(-1, 2)
    first = ends[found.half[found.start[:-1]]]
    last = ends[found.half[found.start[1:] - 1] ^ 1]
    order, turned = nearest_next(np.stack([first, last], axis=1), np.array(finished.bounds[:2]))
    sewn = _in_order(found, order, turned)
    return assembled(strands, sewn, finished, default_reasons(len(sewn)), len(sewn))


def _in_order(found: Trails, order: list[int], turned: list[bool]) -> Trails:
    parts = []
    for trail, back in zip(order, turned, strict=True):
        half = found.half[found.start[trail] : found.start[trail + 1]]
        parts.append(half[::-1] ^ 1 if back else half)
    start = np.concatenate([[0], np.cumsum([len(part) for part in parts])]).astype(np.intp)
    half = np.concatenate(parts) if parts else np.zeros(0, dtype=np.intp)
    return Trails(half, start, found.closed[order])
