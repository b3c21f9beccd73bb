"""From lines to runs: tidy the drawing, join it into the fewest trails, put them in order."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.quilting.lines import Lines
from quiltpath.routing.assembly import assembled, default_reasons
from quiltpath.routing.euler import Trails
from quiltpath.routing.joining import Joined, joined
from quiltpath.routing.order import nearest_next
from quiltpath.routing.policy import Policy
from quiltpath.routing.runs import Runs
from quiltpath.routing.strands import concatenated
from quiltpath.routing.tidying import tidied


def route(lines: Lines, policy: Policy, finished: Polygon, margin_mm: float) -> Runs:
    """Runs that sew every line once, in the order that ``policy`` asks for.

    ``finished`` is the finished outline and ``margin_mm`` the width of the wadding beyond it.
    """
    group = _groups(lines, policy)
    strands, changes = tidied(lines, group, policy)
    parts = [
        joined(
            strands.take(group[strands.line] == role),
            lines.retraceable,
            policy,
            finished,
            margin_mm,
        )
        for role in np.unique(group)
    ]
    everything = _together(
        parts or [joined(strands, lines.retraceable, policy, finished, margin_mm)]
    )
    found = everything.trails
    ends = everything.strands.ends.reshape(-1, 2)
    first = ends[found.half[found.start[:-1]]]
    last = ends[found.half[found.start[1:] - 1] ^ 1]
    order, turned = nearest_next(np.stack([first, last], axis=1), np.array(finished.bounds[:2]))
    sewn = _in_order(found, order, turned)
    return assembled(
        everything.strands,
        sewn,
        finished,
        default_reasons(len(sewn)),
        everything.lower_bound,
        tuple(changes),
    )


def _groups(lines: Lines, policy: Policy) -> NDArray[np.intp]:
    """(n,) lines with one number may share a run."""
    if policy.roles_first:
        return lines.role.astype(np.intp)
    return np.zeros(len(lines), dtype=np.intp)


def _together(parts: list[Joined]) -> Joined:
    """Strands and trails of all groups, one after the other."""
    strands = concatenated([part.strands for part in parts])
    shift = np.cumsum([0, *(2 * len(part.strands) for part in parts)])
    half = [part.trails.half + by for part, by in zip(parts, shift[:-1], strict=True)]
    count = np.concatenate([np.diff(part.trails.start) for part in parts])
    start = np.concatenate([[0], np.cumsum(count)]).astype(np.intp)
    closed = np.concatenate([part.trails.closed for part in parts])
    bound = sum(part.lower_bound for part in parts)
    return Joined(strands, Trails(np.concatenate(half), start, closed), bound)


def _in_order(found: Trails, order: list[int], turned: list[bool]) -> Trails:
    parts = []
    for trail, back in zip(order, turned, strict=True):
        half = found.half[found.start[trail] : found.start[trail + 1]]
        parts.append(half[::-1] ^ 1 if back else half)
    start = np.concatenate([[0], np.cumsum([len(part) for part in parts])]).astype(np.intp)
    half = np.concatenate(parts) if parts else np.zeros(0, dtype=np.intp)
    return Trails(half, start, found.closed[order])
