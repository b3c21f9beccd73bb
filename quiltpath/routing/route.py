"""From lines to runs: tidy the drawing, join it into the fewest trails, put them in order.

Trails in sewing order, written out as runs.

Trails put in order: turned round, closed ones begun where they are entered.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.patterns import Lines
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.margin import joined_in_order
from quiltpath.routing.policy import Policy, start_corner
from quiltpath.routing.runs import EDGE_MM, BreakReason, RunChange, Runs
from quiltpath.routing.rural_postman import Joined, joined
from quiltpath.routing.sewing_order import Courses, Loops, best_entries, sewing_order
from quiltpath.routing.strands import Strands, concatenated, cut, gather, offsets
from quiltpath.routing.tidying import TELLABLE_MM, gap_closed, tidied


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


TURN_DEG = 30.0


def assembled(
    strands: Strands,
    trails: Trails,
    finished: Polygon,
    reasons: NDArray[np.int8],
    lower_bound: int,
    changes: tuple[RunChange, ...],
) -> Runs:
    """Runs of the given trails, in the order of the trails."""
    coordinates, piece_start = _written(strands, trails.half)
    run_start = trails.start.astype(np.intp)
    vertex = piece_start[run_start]
    ends = np.stack([coordinates[vertex[:-1]], coordinates[vertex[1:] - 1]], axis=1)
    return Runs(
        coordinates=coordinates,
        piece_start=piece_start,
        piece_kind=strands.kind[trails.half // 2],
        piece_line=strands.line[trails.half // 2],
        run_start=run_start,
        break_reason=reasons,
        secured=inside(finished, ends.reshape(-1, 2)).reshape(-1, 2),
        runs_lower_bound=lower_bound,
        turns=turns_of(coordinates, piece_start, run_start),
        changes=changes,
    )


def _written(
    strands: Strands, half: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Vertices of half-strands in order, those sewn backwards turned round."""
    vertex, start = gather(strands.start, half // 2)
    count = np.diff(start)
    back = np.repeat(half % 2 == 1, count)
    mirror = np.repeat(start[:-1] + start[1:] - 1, count) - np.arange(len(vertex))
    vertex = np.where(back, vertex[mirror], vertex)
    return strands.coordinates[vertex], start


def inside(finished: Polygon, points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """(n,) whether a thread end there needs securing: more than 0.5 mm inside the finished edge."""
    shapely.prepare(finished)
    spots = shapely.points(points)
    within = shapely.contains(finished, spots)
    within[within] = shapely.distance(finished.boundary, spots[within]) > EDGE_MM
    return within


def turns_of(
    coordinates: NDArray[np.float64], piece_start: NDArray[np.intp], run_start: NDArray[np.intp]
) -> int:
    """Joints between two pieces of a run where the path turns by more than 30 degrees."""
    joint = np.setdiff1d(np.arange(1, len(piece_start) - 1), run_start, assume_unique=True)
    at = piece_start[joint]
    if not len(at):
        return 0
    arriving = coordinates[at - 1] - coordinates[at - 2]
    leaving = coordinates[at + 1] - coordinates[at]
    size = np.hypot(*arriving.T) * np.hypot(*leaving.T)
    straight = (arriving * leaving).sum(axis=1) / np.where(size > 0, size, 1.0)
    return int(np.count_nonzero(straight < np.cos(np.radians(TURN_DEG)) - 1e-9))


def loops_of(strands: Strands, trails: Trails) -> tuple[Loops, NDArray[np.intp]]:
    """Vertices of the closed trails, and the strand vertex behind each of them."""
    run = np.flatnonzero(trails.closed)
    half, half_start = gather(trails.start, run)
    strand = trails.half[half] // 2
    vertex, start = gather(strands.start, strand)
    return Loops(run, strands.coordinates[vertex], start[half_start]), vertex


def begun_at(
    strands: Strands, trails: Trails, loops: Loops, entry: NDArray[np.float64]
) -> tuple[Strands, Trails]:
    """The same trails, each closed one beginning at its ``entry`` (k, 2), a vertex of its own."""
    if not len(loops.run):
        return strands, trails
    strand, at = _entry_places(strands, trails, loops, entry)
    inner = ~(strands.ends[strand] == entry[:, None, :]).all(2).any(1)
    parts = cut(strands, strand[inner], at[inner], entry[inner])
    extra = np.bincount(strand[inner], minlength=len(strands))
    shift = np.cumsum(extra) - extra
    half = _renumbered(trails.half, shift, extra)
    count = np.add.reduceat(1 + extra[trails.half // 2], trails.start[:-1])
    renewed = Trails(half, offsets(count), trails.closed)
    return parts, _rotated(parts, renewed, loops.run, entry)


def _entry_places(
    strands: Strands, trails: Trails, loops: Loops, entry: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Strand of each entry, and how far along it lies."""
    owner = np.repeat(np.arange(len(loops.run)), np.diff(loops.start))
    hit = np.flatnonzero((loops.points == entry[owner]).all(axis=1))
    first = hit[np.unique(owner[hit], return_index=True)[1]]
    vertex = loops_of(strands, trails)[1][first]
    strand = np.searchsorted(strands.start, vertex, side="right") - 1
    along = strands.along_mm
    return strand, along[vertex] - along[strands.start[strand]]


def _renumbered(
    half: NDArray[np.intp], shift: NDArray[np.intp], extra: NDArray[np.intp]
) -> NDArray[np.intp]:
    """Half-strands after cutting: a cut strand is followed by its other part, in sewing order."""
    strand, back = half // 2, half % 2
    count = 1 + extra[strand]
    owner = np.repeat(np.arange(len(half)), count)
    step = np.arange(len(owner)) - (np.cumsum(count) - count)[owner]
    part = np.where(back[owner] == 1, extra[strand[owner]] - step, step)
    return 2 * (strand[owner] + shift[strand[owner]] + part) + back[owner]


def _rotated(
    strands: Strands, trails: Trails, run: NDArray[np.intp], entry: NDArray[np.float64]
) -> Trails:
    """Closed trails turned so that they begin at the half-strand that starts at their entry."""
    half = trails.half.copy()
    begin = strands.ends.reshape(-1, 2)
    for trail, spot in zip(run.tolist(), entry, strict=True):
        first, last = trails.start[trail], trails.start[trail + 1]
        mine = trails.half[first:last]
        at = int((begin[mine] == spot).all(axis=1).argmax())
        half[first:last] = np.roll(mine, -at)
    return Trails(half, trails.start, trails.closed)


def in_order(trails: Trails, order: NDArray[np.intp]) -> Trails:
    """Trails in the given order, odd entries (``2 * trail + 1``) turned round."""
    trail, back = order >> 1, order & 1
    place, start = gather(trails.start, trail)
    count = np.diff(start)
    turned = np.repeat(back == 1, count)
    mirror = np.repeat(start[:-1] + start[1:] - 1, count) - np.arange(len(place))
    half = trails.half[np.where(turned, place[mirror], place)]
    return Trails(np.where(turned, half ^ 1, half), start, trails.closed[trail])
