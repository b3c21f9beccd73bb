"""From lines to runs: tidy the drawing, join it into the fewest trails, put them in order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.distinct import distinct
from quiltpath.quilting.lines import Lines
from quiltpath.routing.assembly import assembled
from quiltpath.routing.entry import best_entries
from quiltpath.routing.euler import Trails
from quiltpath.routing.joining import Joined, joined
from quiltpath.routing.order import Courses, sewing_order
from quiltpath.routing.policy import Policy, start_corner
from quiltpath.routing.runs import BreakReason, Runs
from quiltpath.routing.strands import Strands, concatenated
from quiltpath.routing.tidying import TELLABLE_MM, gap_closed, tidied
from quiltpath.routing.turnarounds import joined_in_order
from quiltpath.routing.turning import begun_at, in_order, loops_of


def route(
    lines: Lines,
    policy: Policy,
    finished: Polygon,
    margin_mm: float,
    reach: Polygon | None = None,
) -> Runs:
    """Runs that sew every line once, in the order that ``policy`` asks for.

    ``finished`` is the finished outline and ``margin_mm`` the width of the wadding beyond it; a
    ``reach`` keeps ways along the margin inside what a machine can sew, and a policy that joins
    runs in their order then joins none there. Same lines, same runs.
    Time grows about in line with the number of lines; only lines that may be retraced or that need
    a crossing to hang on are taken apart where they cross.
    """
    group = _groups(lines, policy)
    strands, changes = tidied(lines, group, policy)
    begin = start_corner(policy, finished)
    parts = []
    for role in distinct(group[strands.line]):
        mine = strands.take(group[strands.line] == role)
        before = strands.take(group[strands.line] < role)
        found = joined(mine, lines.retraceable, policy, finished, margin_mm, before, reach)
        part = _ordered(found, lines, policy, finished, begin)
        if policy.joins_in_order and reach is None:
            part = _turned_round(part, policy, finished, margin_mm)
        parts.append(part)
        begin = _last_point(parts[-1])
    sewn = _together(parts, strands)
    changes += [
        gap_closed(lines, int(gap[3]), float(gap[0]), gap[1:3])
        for gap in sewn.gaps[(sewn.gaps[:, 0] > TELLABLE_MM) & (sewn.gaps[:, 3] >= 0)]
    ]
    return assembled(
        sewn.strands, sewn.trails, finished, _reasons(parts), sewn.lower_bound, tuple(changes)
    )


def _groups(lines: Lines, policy: Policy) -> NDArray[np.intp]:
    """(n,) lines with one number may share a run; groups are sewn in the order of the numbers."""
    if policy.roles_first:
        return lines.role.astype(np.intp)
    return np.zeros(len(lines), dtype=np.intp)


def _ordered(
    found: Joined, lines: Lines, policy: Policy, finished: Polygon, begin: NDArray[np.float64]
) -> Joined:
    """The trails of one group in sewing order, closed ones begun where they are entered."""
    strands, trails = found.strands, found.trails
    loops = loops_of(strands, trails)[0]
    courses = _courses(strands, trails, lines)
    order = sewing_order(courses, loops, policy, finished, begin)
    entry = best_entries(order, courses.ends, loops, begin)
    strands, trails = begun_at(strands, trails, loops, entry)
    return replace(found, strands=strands, trails=in_order(trails, order))


def _turned_round(part: Joined, policy: Policy, finished: Polygon, margin_mm: float) -> Joined:
    strands, trails = joined_in_order(part.strands, part.trails, policy, finished, margin_mm)
    return replace(part, strands=strands, trails=trails)


def _courses(strands: Strands, trails: Trails, lines: Lines) -> Courses:
    spots = strands.ends.reshape(-1, 2)
    first, last = trails.half[trails.start[:-1]], trails.half[trails.start[1:] - 1] ^ 1
    length = strands.length_mm
    begin = trails.start[:-1]
    total = np.add.reduceat(length[trails.half // 2], begin)
    weighted = (strand_middles(strands) * length[:, None])[trails.half // 2]
    middle = np.add.reduceat(weighted, begin, axis=0) / total[:, None]
    return Courses(
        ends=np.stack([spots[first], spots[last]], axis=1),
        closed=trails.closed,
        middle=middle,
        length=total,
        layer=_layers(strands, trails, lines),
    )


def strand_middles(strands: Strands) -> NDArray[np.float64]:
    """(s, 2) centre of gravity of each strand."""
    a, b = strands.coordinates[:-1], strands.coordinates[1:]
    weight = np.hypot(*(b - a).T)
    weight[strands.start[1:-1] - 1] = 0.0
    begin = strands.start[:-1]
    moment = np.add.reduceat((a + b) / 2 * weight[:, None], begin, axis=0)
    return moment / np.add.reduceat(weight, begin)[:, None]


def _layers(strands: Strands, trails: Trails, lines: Lines) -> NDArray[np.int32]:
    """(t,) layer of the first quilting line of each trail."""
    line = strands.line[trails.half // 2]
    owner = np.repeat(np.arange(len(trails)), np.diff(trails.start))
    real = np.flatnonzero(line >= 0)
    first = real[np.unique(owner[real], return_index=True)[1]]
    return lines.layer[line[first]]


def _last_point(part: Joined) -> NDArray[np.float64]:
    spots: NDArray[np.float64] = part.strands.ends.reshape(-1, 2)
    return spots[part.trails.half[-1] ^ 1]


def _together(parts: list[Joined], nothing: Strands) -> Joined:
    """Strands and trails of all groups, one after the other."""
    strands = concatenated([part.strands for part in parts] or [nothing])
    shift = np.cumsum([0, *(2 * len(part.strands) for part in parts)])
    half = [part.trails.half + by for part, by in zip(parts, shift[:-1], strict=True)]
    count = [np.diff(part.trails.start) for part in parts]
    start = np.cumsum(np.concatenate([[0], *count])).astype(np.intp)
    none = np.zeros(0, dtype=np.intp)
    closed = np.concatenate([none.astype(bool), *(part.trails.closed for part in parts)])
    bound = sum(part.lower_bound for part in parts)
    gaps = np.concatenate([np.zeros((0, 4)), *(part.gaps for part in parts)])
    return Joined(strands, Trails(np.concatenate([none, *half]), start, closed), bound, gaps)


def _reasons(parts: list[Joined]) -> NDArray[np.int8]:
    """Why each run ends: a ring stands apart; a line has a loose end; a new role begins."""
    reasons = np.zeros(0, dtype=np.int8)
    for part in parts:
        own = np.where(part.trails.closed, BreakReason.SEPARATE, BreakReason.ODD_END)
        own[-1] = BreakReason.POLICY
        reasons = np.concatenate([reasons, own.astype(np.int8)])
    reasons[-1:] = BreakReason.FINISHED
    return reasons
