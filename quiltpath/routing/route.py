"""From lines to runs: tidy the drawing, join it into the fewest trails, put them in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.patterns import LineRole, Lines
from quiltpath.routing.circuit_entries import choose_entries
from quiltpath.routing.edges import Edges, concatenate_edges
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.margin import join_along_margin
from quiltpath.routing.policy import Policy, policy_named, start_corner
from quiltpath.routing.run_assembly import assemble_runs
from quiltpath.routing.runs import BreakReason, RuleCost, Runs
from quiltpath.routing.rural_postman import TrailCover, fewest_runs, solve_rural_postman
from quiltpath.routing.sewing_order import sewing_order
from quiltpath.routing.short_hops import join_short_hops, short_run_changes
from quiltpath.routing.tidying import REPORTED_MM, gap_change, tidy_lines
from quiltpath.routing.trail_reordering import circuits_of, reorder_trails, start_circuits_at
from quiltpath.routing.trail_table import WHOLE, TrailTable, regions_finished_apart, trail_table


def route(
    lines: Lines,
    policy: Policy | str,
    finished: Polygon | None = None,
    margin_mm: float = 0.0,
    field: Polygon | None = None,
    regions: Sequence[Polygon] = (),
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
    edges, changes = tidy_lines(lines, _groups(lines, policy), policy)
    whole, stage, design = _covers(edges, lines, policy, finished, margin_mm, field, regions)
    sewn, key = whole, np.zeros(0, dtype=np.intp)
    if len(whole.trails):
        table = trail_table(whole.edges, whole.trails, lines, stage)
        sewn, key = _put_in_order(whole, table, policy, finished, regions)
    if policy.joins_in_order and field is None:
        sewn, key = _join_in_order(sewn, key, policy, finished, margin_mm)
    changes += [
        gap_change(lines, int(gap[3]), float(gap[0]), gap[1:3])
        for gap in sewn.gaps[(sewn.gaps[:, 0] > REPORTED_MM) & (sewn.gaps[:, 3] >= 0)]
    ]
    found, trails, key = join_short_hops(sewn.edges, sewn.trails, key, policy, finished)
    changes += short_run_changes(found, trails, finished)
    reasons = _reasons(trails, key)
    bound = min(design[0], len(trails))
    costs = _rule_costs(design, len(trails))
    return assemble_runs(found, trails, finished, reasons, bound, tuple(changes), costs)


def _bounds(lines: Lines) -> list[float]:
    """Of all lines; of nothing, where there are none."""
    return shapely.total_bounds(lines.geometry).tolist() if len(lines) else [0.0, 0.0, 0.0, 0.0]


def _groups(lines: Lines, policy: Policy) -> NDArray[np.intp]:
    """(n,) lines with one number may share a run; groups are sewn in the order of the numbers."""
    if policy.roles_first:
        return lines.role.astype(np.intp)
    return np.zeros(len(lines), dtype=np.intp)


def _covers(
    edges: Edges,
    lines: Lines,
    policy: Policy,
    finished: Polygon,
    margin_mm: float,
    field: Polygon | None,
    regions: Sequence[Polygon],
) -> tuple[TrailCover, NDArray[np.intp], tuple[int, int, int]]:
    """The trails of each stage, a role in a region, and (edges, 2) role and region of each edge.

    What holds the layers is one stage all over the runner. The last value is the fewest runs there
    can be: of the drawing, with roles apart, and with regions apart as well.
    """
    role = _groups(lines, policy)[edges.line]
    apart = regions if policy.finish_regions else ()
    region = regions_finished_apart(edges, apart, lines, lines.role[edges.line] == LineRole.HOLD)
    places = finished, margin_mm
    covers, stages = [], [np.zeros((0, 2), dtype=np.intp)]
    for stage in distinct(np.column_stack([role, region]), axis=0):
        mine = edges.take((role == stage[0]) & (region == stage[1]))
        before = edges.take(role < stage[0])
        covers.append(
            solve_rural_postman(
                mine, lines.retraceable, policy, *places, before, field, lines.curves
            )
        )
        stages.append(np.tile(stage, (len(covers[-1].edges), 1)))
    whole = _concatenate(covers, edges)

    def fewest(apart: NDArray[np.intp]) -> int:
        return sum(
            fewest_runs(
                edges.take(apart == number),
                lines.retraceable,
                policy,
                *places,
                edges.take(apart < number),
                field,
                lines.curves,
            )
            for number in distinct(apart)
        )

    by_role = fewest(role) if (region != WHOLE).any() else whole.lower_bound
    design = fewest(np.zeros_like(role)) if len(distinct(role)) > 1 else by_role
    return whole, np.concatenate(stages), (design, by_role, whole.lower_bound)


RULES = (
    "hold lines come first, outlines next",
    "each region is finished before the next",
    "lines are sewn in this order and no thread is too long",
)


def _rule_costs(bounds: tuple[int, int, int], runs: int) -> tuple[RuleCost, ...]:
    """What each rule costs, those left out that cost nothing."""
    steps = np.diff(np.maximum.accumulate([*bounds, runs]))
    return tuple(
        RuleCost(rule, int(more)) for rule, more in zip(RULES, steps, strict=True) if more > 0
    )


def _put_in_order(
    found: TrailCover,
    table: TrailTable,
    policy: Policy,
    finished: Polygon,
    regions: Sequence[Polygon],
) -> tuple[TrailCover, NDArray[np.intp]]:
    """The trails in sewing order, closed ones begun where they are entered, and what they share.

    Trails with one number belong to one stage of the order: a role, a region.
    """
    edges, trails = found.edges, found.trails
    circuits = circuits_of(edges, trails)[0]
    begin = start_corner(policy, finished)
    order = sewing_order(table, circuits, policy, finished, begin, regions)
    entry = choose_entries(order, table.ends, circuits, begin)
    edges, trails = start_circuits_at(edges, trails, circuits, entry)
    stage = table.role * (len(regions) + 1) + table.region + 1
    return replace(found, edges=edges, trails=reorder_trails(trails, order)), stage[order >> 1]


def _join_in_order(
    part: TrailCover, key: NDArray[np.intp], policy: Policy, finished: Polygon, margin_mm: float
) -> tuple[TrailCover, NDArray[np.intp]]:
    edges, trails, first = join_along_margin(
        part.edges, part.trails, key, policy, finished, margin_mm
    )
    return replace(part, edges=edges, trails=trails), key[first]


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


def _reasons(trails: Trails, key: NDArray[np.intp]) -> NDArray[np.int8]:
    """Why each run ends: a ring stands apart; a line ends alone; a new role or region begins."""
    reasons = np.where(trails.closed, BreakReason.SEPARATE, BreakReason.ODD_END).astype(np.int8)
    reasons[:-1][np.diff(key) != 0] = BreakReason.POLICY
    reasons[-1:] = BreakReason.FINISHED
    return reasons
