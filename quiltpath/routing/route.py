"""From lines to runs: tidy the drawing, join it into the fewest trails, put them in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.patterns import Lines
from quiltpath.routing.circuit_entries import choose_entries
from quiltpath.routing.edges import Edges
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.margin import join_along_margin
from quiltpath.routing.policy import Policy, policy_named, start_corner
from quiltpath.routing.run_assembly import assemble_runs
from quiltpath.routing.runs import BreakReason, RuleCost, Runs
from quiltpath.routing.sewing_order import sewing_order
from quiltpath.routing.short_hops import join_short_hops, short_run_changes
from quiltpath.routing.solved_stages import SolvedStages
from quiltpath.routing.stage_links import link_trails
from quiltpath.routing.stages import (
    Workpiece,
    assign_stages,
    cover_stages,
    fewest_apart,
    lower_bounds,
    role_groups,
)
from quiltpath.routing.tidying import REPORTED_MM, gap_change, tidy_lines
from quiltpath.routing.trail_reordering import (
    begin_between_lines,
    circuits_of,
    reorder_trails,
    start_circuits_at,
)
from quiltpath.routing.trail_table import TrailTable, trail_table


def route(
    lines: Lines,
    policy: Policy | str,
    finished: Polygon | None = None,
    margin_mm: float = 0.0,
    field: Polygon | None = None,
    regions: Sequence[Polygon] = (),
    solved: SolvedStages | None = None,
) -> Runs:
    """Runs that sew every line once, in the order that ``policy`` asks for. Same lines, same runs.

    Time grows about in line with the number of lines; only lines that may be retraced or that need
    a crossing to be joined at are taken apart where they cross.

    Args:
        lines: what is to be sewn.
        policy: costs and an order, or the name of a policy.
        finished: the edge of the cloth; without it thread runs nowhere beyond the lines.
        margin_mm: width of the wadding beyond it, where thread may run.
        field: keeps edges along the margin inside what a machine can sew; a policy that joins runs
            in their order then joins none there.
        regions: blocks, strips and borders that a policy may finish one by one.
        solved: keeps the trails and orders of stages, so that a later search need not look for
            those that did not change.

    Returns:
        Lines as pieces of runs, with why each run ends, and the fewest runs possible.

    Raises:
        ValueError: there is no policy of that name.

    Example:
        >>> import quiltpath
        >>> project = quiltpath.parse('''
        ... units = "mm"
        ... runner = { length = 600, width = 200, size_is = "flat" }
        ... quilting = [{ kind = "straight", spacing = 25 }]
        ... ''')
        >>> lines = quiltpath.draw(quiltpath.build(project), project.quilting)
        >>> len(quiltpath.route(lines, "continuous"))
        7
    """
    policy = policy_named(policy) if isinstance(policy, str) else policy
    if finished is None:
        finished, margin_mm = shapely.box(*_bounds(lines)), 0.0
    work = Workpiece(finished, margin_mm, field, regions)
    edges, changes = tidy_lines(lines, _apart(lines, policy), policy)
    found = _fewest_starts(edges, lines, policy, work, solved or SolvedStages())
    changes += [
        gap_change(lines, int(gap[3]), float(gap[0]), gap[1:3])
        for gap in found.gaps[(found.gaps[:, 0] > REPORTED_MM) & (found.gaps[:, 3] >= 0)]
    ]
    changes += short_run_changes(found.edges, found.trails, finished)
    return assemble_runs(
        found.edges,
        found.trails,
        finished,
        _reasons(found.trails, found.key),
        min(found.bounds[0], len(found.trails)),
        tuple(changes),
        _rule_costs(found.bounds, len(found.trails)),
    )


def fewest_starts(lines: Lines, policy: Policy, finished: Polygon, margin_mm: float = 0.0) -> int:
    """The fewest runs that the drawing allows, whatever the order, without routing it.

    Args:
        lines: what is to be sewn.
        policy: what thread may run along.
        finished: the edge of the cloth.
        margin_mm: width of the wadding beyond it, where thread may run.

    Returns:
        A number of runs; the lower bound of :func:`route`.

    Example:
        >>> import quiltpath
        >>> from quiltpath.routing import POLICIES, fewest_starts
        >>> project = quiltpath.parse('''
        ... units = "mm"
        ... runner = { length = 600, width = 200, size_is = "flat" }
        ... quilting = [{ kind = "straight", spacing = 25 }]
        ... ''')
        >>> runner = quiltpath.build(project)
        >>> lines = quiltpath.draw(runner, project.quilting)
        >>> fewest_starts(lines, POLICIES["continuous"], runner.outline, runner.margin_mm)
        1
    """
    together = np.zeros(len(lines), dtype=np.intp)
    edges = tidy_lines(lines, together, policy)[0]
    work = Workpiece(finished, margin_mm)
    return fewest_apart(edges, together[edges.line], lines, policy, work)


def _bounds(lines: Lines) -> list[float]:
    """Of all lines; of nothing, where there are none."""
    return shapely.total_bounds(lines.geometry).tolist() if len(lines) else [0.0, 0.0, 0.0, 0.0]


def _apart(lines: Lines, policy: Policy) -> NDArray[np.intp]:
    """(n,) lines with one number may share a run."""
    if policy.links_stages:
        return np.zeros(len(lines), dtype=np.intp)
    return role_groups(lines, policy)


@dataclass(frozen=True)
class _Solution:
    """Trails in sewing order; trails of different ``key`` (t,) share no run.

    ``bounds``: the fewest runs of the drawing, with roles apart, with regions apart as well.
    """

    edges: Edges
    trails: Trails
    key: NDArray[np.intp]
    gaps: NDArray[np.float64]
    bounds: tuple[int, int, int]


def _fewest_starts(
    edges: Edges, lines: Lines, policy: Policy, work: Workpiece, solved: SolvedStages
) -> _Solution:
    """Trails in the policy's stages, or in fewer stages where those cost a start more."""
    plans = [policy]
    if policy.links_stages:
        plans += [replace(policy, regions="mixed"), replace(policy, roles="mixed", regions="mixed")]
    best: _Solution | None = None
    tried: list[bytes] = []
    for plan in plans:
        stage = assign_stages(edges, lines, plan, work.regions)
        if stage.tobytes() in tried:
            continue
        tried.append(stage.tobytes())
        found = _ordered(edges, stage, lines, plan, work, solved)
        if best is None or len(found.trails) < len(best.trails):
            best = found
        if len(best.trails) <= found.bounds[0]:
            break
    assert best is not None
    return best


def _ordered(
    edges: Edges,
    stage: NDArray[np.intp],
    lines: Lines,
    policy: Policy,
    work: Workpiece,
    solved: SolvedStages,
) -> _Solution:
    """The trails of all stages in sewing order, joined where the policy lets thread run on."""
    cover, of_edge = cover_stages(edges, stage, lines, policy, work, solved)
    sewn, trails, key = cover.edges, cover.trails, np.zeros(0, dtype=np.intp)
    if len(trails):
        table = trail_table(sewn, trails, lines, of_edge)
        sewn, trails, key = _put_in_order(sewn, trails, table, policy, work, solved)
    if policy.joins_in_order and work.field is None:
        sewn, trails, first = join_along_margin(
            sewn, trails, key, policy, work.finished, work.margin_mm
        )
        key = key[first]
    if policy.links_stages and len(distinct(stage, axis=0)) > 1:
        sewn, trails = link_trails(sewn, trails, lines.retraceable, policy, work, lines.curves)
        key = np.zeros(len(trails), dtype=np.intp)
    sewn, trails, key = join_short_hops(sewn, trails, key, policy, work.finished)
    bounds = 1, 1, 1
    if len(trails) != 1:
        bounds = lower_bounds(edges, stage, lines, policy, work, cover.lower_bound)
    return _Solution(sewn, trails, key, cover.gaps, bounds)


RULES = (
    "holding lines come first, outlines next",
    "each block or strip is finished before the next",
    "lines are sewn in this order and no thread is too long",
)


def _rule_costs(bounds: tuple[int, int, int], runs: int) -> tuple[RuleCost, ...]:
    """What each rule costs, those left out that cost nothing."""
    steps = np.diff(np.maximum.accumulate([*bounds, runs]))
    return tuple(
        RuleCost(rule, int(more)) for rule, more in zip(RULES, steps, strict=True) if more > 0
    )


def _put_in_order(
    edges: Edges,
    trails: Trails,
    table: TrailTable,
    policy: Policy,
    work: Workpiece,
    solved: SolvedStages,
) -> tuple[Edges, Trails, NDArray[np.intp]]:
    """The trails in sewing order, closed ones begun where they are entered, and what they share.

    Trails with one number belong to one stage of the order: a role, a region.
    """
    circuits = circuits_of(edges, trails)[0]
    begin = start_corner(policy, work.finished)
    order = sewing_order(table, circuits, policy, work.finished, begin, work.regions, solved)
    entry = choose_entries(order, table.ends, circuits, begin)
    edges, trails = start_circuits_at(edges, trails, circuits, entry)
    stage = table.role * (len(work.regions) + 1) + table.region + 1
    trails = begin_between_lines(edges, reorder_trails(trails, order))
    return edges, trails, stage[order >> 1]


def _reasons(trails: Trails, key: NDArray[np.intp]) -> NDArray[np.int8]:
    """Why each run ends: a ring stands apart; a line ends alone; a new role or region begins."""
    reasons = np.where(trails.closed, BreakReason.SEPARATE, BreakReason.ODD_END).astype(np.int8)
    reasons[:-1][np.diff(key) != 0] = BreakReason.POLICY
    reasons[-1:] = BreakReason.FINISHED
    return reasons
