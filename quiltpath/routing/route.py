"""From lines to runs: tidy the drawing, join it into the fewest trails, put them in order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.patterns import Lines
from quiltpath.routing.circuit_entries import choose_entries
from quiltpath.routing.edges import Edges, concatenate_edges
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.margin import join_along_margin
from quiltpath.routing.policy import Policy, policy_named, start_corner
from quiltpath.routing.run_assembly import assemble_runs
from quiltpath.routing.runs import BreakReason, Runs
from quiltpath.routing.rural_postman import TrailCover, solve_rural_postman
from quiltpath.routing.sewing_order import sewing_order
from quiltpath.routing.tidying import REPORTED_MM, gap_change, tidy_lines
from quiltpath.routing.trail_reordering import circuits_of, reorder_trails, start_circuits_at
from quiltpath.routing.trail_table import trail_table


def route(
    lines: Lines,
    policy: Policy | str,
    finished: Polygon | None = None,
    margin_mm: float = 0.0,
    field: Polygon | None = None,
) -> Runs:
    """Runs that sew every line once, in the order that ``policy`` (or one of that name) asks for.

    ``finished`` is the finished outline and ``margin_mm`` the width of the wadding beyond it, where
    thread may run; without an outline it runs nowhere beyond the lines. A
    ``field`` keeps edges along the margin inside what a machine can sew, and a policy that joins
    runs in their order then joins none there. Same lines, same runs.
    Time grows about in line with the number of lines; only lines that may be retraced or that need
    a crossing to be joined at are taken apart where they cross.
    """
    policy = policy_named(policy) if isinstance(policy, str) else policy
    if finished is None:
        finished, margin_mm = shapely.box(*_bounds(lines)), 0.0
    group = _groups(lines, policy)
    edges, changes = tidy_lines(lines, group, policy)
    begin = start_corner(policy, finished)
    parts = []
    for role in distinct(group[edges.line]):
        mine = edges.take(group[edges.line] == role)
        before = edges.take(group[edges.line] < role)
        found = solve_rural_postman(
            mine, lines.retraceable, policy, finished, margin_mm, before, field
        )
        part = _put_in_order(found, lines, policy, finished, begin)
        if policy.joins_in_order and field is None:
            part = _join_in_order(part, policy, finished, margin_mm)
        parts.append(part)
        begin = _last_point(parts[-1])
    sewn = _concatenate(parts, edges)
    changes += [
        gap_change(lines, int(gap[3]), float(gap[0]), gap[1:3])
        for gap in sewn.gaps[(sewn.gaps[:, 0] > REPORTED_MM) & (sewn.gaps[:, 3] >= 0)]
    ]
    return assemble_runs(
        sewn.edges, sewn.trails, finished, _reasons(parts), sewn.lower_bound, tuple(changes)
    )


def _bounds(lines: Lines) -> list[float]:
    """Of all lines; of nothing, where there are none."""
    return shapely.total_bounds(lines.geometry).tolist() if len(lines) else [0.0, 0.0, 0.0, 0.0]


def _groups(lines: Lines, policy: Policy) -> NDArray[np.intp]:
    """(n,) lines with one number may share a run; groups are sewn in the order of the numbers."""
    if policy.roles_first:
        return lines.role.astype(np.intp)
    return np.zeros(len(lines), dtype=np.intp)


def _put_in_order(
    found: TrailCover, lines: Lines, policy: Policy, finished: Polygon, begin: NDArray[np.float64]
) -> TrailCover:
    """The trails of one group in sewing order, closed ones begun where they are entered."""
    edges, trails = found.edges, found.trails
    circuits = circuits_of(edges, trails)[0]
    table = trail_table(edges, trails, lines)
    order = sewing_order(table, circuits, policy, finished, begin)
    entry = choose_entries(order, table.ends, circuits, begin)
    edges, trails = start_circuits_at(edges, trails, circuits, entry)
    return replace(found, edges=edges, trails=reorder_trails(trails, order))


def _join_in_order(
    part: TrailCover, policy: Policy, finished: Polygon, margin_mm: float
) -> TrailCover:
    edges, trails = join_along_margin(part.edges, part.trails, policy, finished, margin_mm)
    return replace(part, edges=edges, trails=trails)


def _last_point(part: TrailCover) -> NDArray[np.float64]:
    spots: NDArray[np.float64] = part.edges.ends.reshape(-1, 2)
    return spots[part.trails.half[-1] ^ 1]


def _concatenate(parts: list[TrailCover], nothing: Edges) -> TrailCover:
    """Edges and trails of all groups, one after the other."""
    edges = concatenate_edges([part.edges for part in parts] or [nothing])
    shift = np.cumsum([0, *(2 * len(part.edges) for part in parts)])
    half = [part.trails.half + by for part, by in zip(parts, shift[:-1], strict=True)]
    count = [np.diff(part.trails.start) for part in parts]
    start = np.cumsum(np.concatenate([[0], *count])).astype(np.intp)
    none = np.zeros(0, dtype=np.intp)
    closed = np.concatenate([none.astype(bool), *(part.trails.closed for part in parts)])
    bound = sum(part.lower_bound for part in parts)
    gaps = np.concatenate([np.zeros((0, 4)), *(part.gaps for part in parts)])
    return TrailCover(edges, Trails(np.concatenate([none, *half]), start, closed), bound, gaps)


def _reasons(parts: list[TrailCover]) -> NDArray[np.int8]:
    """Why each run ends: a ring stands apart; a line ends alone; a new role begins."""
    reasons = np.zeros(0, dtype=np.int8)
    for part in parts:
        own = np.where(part.trails.closed, BreakReason.SEPARATE, BreakReason.ODD_END)
        own[-1] = BreakReason.POLICY
        reasons = np.concatenate([reasons, own.astype(np.int8)])
    reasons[-1:] = BreakReason.FINISHED
    return reasons
