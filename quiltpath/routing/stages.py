"""Stages: what is sewn before what, each stage covered by trails of its own.

What holds the layers is one stage all over the runner; then come roles and regions, as far as the
policy tells them apart. Each stage is a rural postman's problem by itself, in which what was sewn
before may be sewn again where that does not show.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct, members
from quiltpath.patterns import LineRole, Lines
from quiltpath.routing.clearance import ON_THE_CURVE_MM
from quiltpath.routing.edges import Edges, concatenate_edges, gather_slices
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.margin import UNDER_BINDING_MM
from quiltpath.routing.nodes import connected_components
from quiltpath.routing.policy import Policy, start_corner
from quiltpath.routing.region_order import centre_of, region_orders
from quiltpath.routing.runs import EDGE_MM
from quiltpath.routing.rural_postman import (
    Beside,
    TrailCover,
    fewest_runs,
    solve_rural_postman,
)
from quiltpath.routing.solved_stages import SolvedStages, StageProblem
from quiltpath.routing.trail_table import WHOLE, regions_finished_apart


@dataclass(frozen=True)
class Workpiece:
    """What the lines are sewn on: ``finished`` edge, ``margin_mm`` of wadding beyond it where
    thread may run, the ``field`` that a machine can sew, and ``regions`` to be finished one by one.
    """

    finished: Polygon
    margin_mm: float = 0.0
    field: Polygon | None = None
    regions: Sequence[Polygon] = ()


def role_groups(lines: Lines, policy: Policy) -> NDArray[np.intp]:
    """(n,) stage of each line by its role: groups are sewn in the order of their numbers."""
    if policy.roles == "one-by-one":
        return lines.role.astype(np.intp)
    if policy.roles == "hold-first":
        return (lines.role != LineRole.HOLD).astype(np.intp)
    return np.zeros(len(lines), dtype=np.intp)


def assign_stages(
    edges: Edges, lines: Lines, policy: Policy, regions: Sequence[Polygon]
) -> NDArray[np.intp]:
    """(e, 2) stage of each edge: role and region."""
    role = role_groups(lines, policy)[edges.line]
    apart = regions if policy.regions != "mixed" else ()
    region = regions_finished_apart(edges, apart, lines, lines.role[edges.line] == LineRole.HOLD)
    return np.column_stack([role, region])


def cover_stages(
    edges: Edges,
    stage: NDArray[np.intp],
    lines: Lines,
    policy: Policy,
    work: Workpiece,
    solved: SolvedStages,
) -> tuple[TrailCover, NDArray[np.intp]]:
    """The trails of all stages, stage after stage, and (edges, 2) the stage of each of their edges.

    The lower bound is that of the stages apart.
    """
    keys, which = np.unique(stage, axis=0, return_inverse=True)
    which = which.reshape(-1)

    def solve(problem: StageProblem) -> TrailCover:
        return solve_rural_postman(
            problem.edges,
            lines.retraceable,
            policy,
            work.finished,
            work.margin_mm,
            problem.before,
            work.field,
            problem.curves,
            problem.beside,
        )

    problems = _problems(edges, keys, which, lines, policy, work)
    covers = [solved.cover(problem, lines.retraceable, solve) for problem in problems]
    stages = np.repeat(keys, [len(cover.edges) for cover in covers], axis=0)
    return _concatenate(covers, edges), stages


def _problems(
    edges: Edges,
    keys: NDArray[np.intp],
    which: NDArray[np.intp],
    lines: Lines,
    policy: Policy,
    work: Workpiece,
) -> Iterator[StageProblem]:
    """The stages ``keys`` (k, 2) one after the other; ``which`` (e,) is that of each edge."""
    beside = _neighbours(keys, policy, work)
    bounds = _bounds(edges, which, len(keys))
    reach = policy.tolerance_mm + ON_THE_CURVE_MM
    curves = _grown(shapely.bounds(lines.curves), reach)
    near = _lists(shapely.STRtree(curves).query(_grown(bounds, reach)), len(keys))
    around = _surroundings(bounds, policy, work)
    mine = members(which, len(keys))
    sewn = edges.take(np.zeros(0, dtype=np.intp)), _lists(np.zeros((2, 0), np.intp), len(keys))
    for number, (role, region) in enumerate(keys.tolist()):
        if number == 0 or role != keys[number - 1, 0]:
            may_repeat = lines.retraceable[edges.line] & policy.retrace
            sewn = _sewn_near(edges.take(may_repeat & (keys[which, 0] < role)), bounds, reach)
        yield StageProblem(
            edges.take(mine[number]),
            sewn[0].take(sewn[1][number]),
            lines.curves[near[number]],
            beside.get((role, region)),
            around[number],
        )


def _sewn_near(
    sewn: Edges, bounds: NDArray[np.float64], reach_mm: float
) -> tuple[Edges, list[NDArray[np.intp]]]:
    """Edges sewn before, and for each of the (k, 4) ``bounds`` those that hang together with any
    that comes so near."""
    boxes = _grown(_bounds(sewn, np.arange(len(sewn)), len(sewn)), reach_mm)
    tree = shapely.STRtree(boxes)
    group = connected_components(len(sewn), tree.query(boxes).T)
    stage, edge = tree.query(_grown(bounds, reach_mm))
    held = distinct(np.stack([stage, group[edge]], axis=1), axis=0)
    order = np.argsort(group, kind="stable")
    begin = np.searchsorted(group[order], np.arange(len(sewn) + 1))
    member, start = gather_slices(begin, held[:, 1])
    of_stage = np.repeat(held[:, 0], np.diff(start))
    return sewn, _lists(np.stack([of_stage, order[member]]), len(bounds))


def _lists(pairs: NDArray[np.intp], count: int) -> list[NDArray[np.intp]]:
    """The second of the (2, n) ``pairs`` for each value of the first, ascending."""
    order = np.lexsort(pairs[::-1])
    return np.split(pairs[1][order], np.searchsorted(pairs[0][order], np.arange(1, count)))


def _bounds(edges: Edges, which: NDArray[np.intp], count: int) -> NDArray[np.float64]:
    """(count, 4) the rectangle round the edges of each group; ``which`` (e,) is that of an edge."""
    of_vertex = np.repeat(which, np.diff(edges.start))
    low, high = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
    np.minimum.at(low, of_vertex, edges.coordinates)
    np.maximum.at(high, of_vertex, edges.coordinates)
    return np.concatenate([low, high], axis=1)


def _grown(bounds: NDArray[np.float64], by_mm: float) -> NDArray[np.object_]:
    """(k,) the rectangles, so much larger on each side."""
    low, high = bounds[:, :2] - by_mm, bounds[:, 2:] + by_mm
    return shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])


def _surroundings(
    bounds: NDArray[np.float64], policy: Policy, work: Workpiece
) -> list[tuple[bytes, ...]]:
    """For each of the (k, 4) rectangles what its trails depend on besides: where it lies on the
    cloth, if it comes near an edge that matters."""
    rules = repr(policy).encode()
    matters = policy.margin or policy.inside_cost > 0 or work.field is not None
    if not matters:
        return [(rules,)] * len(bounds)
    inside = shapely.covers(work.finished, _grown(bounds, UNDER_BINDING_MM + 2 * EDGE_MM))
    shapes = [shapely.to_wkb(shape) for shape in (work.finished, work.field) if shape is not None]
    free = inside & (work.field is None)
    return [
        (rules,)
        if anywhere
        else (rules, rectangle.tobytes(), repr(work.margin_mm).encode(), *shapes)
        for anywhere, rectangle in zip(free.tolist(), bounds, strict=True)
    ]


def _neighbours(
    keys: NDArray[np.intp], policy: Policy, work: Workpiece
) -> dict[tuple[int, int], Beside]:
    """For each stage in a region the regions that are sewn before and after, if thread goes on."""
    if not policy.links_stages or len(keys) < 2:
        return {}
    middle = centre_of(work.finished)
    onward = middle - start_corner(policy, work.finished)
    order = region_orders(policy.regions, work.regions, middle, onward)[0]
    sewn = [(role, region) for region in order for role in distinct(keys[:, 0]).tolist()]
    present = {(int(role), int(region)) for role, region in keys}
    sewn = [key for key in sewn if key in present]
    shapes = [None, *(work.regions[region] for _, region in sewn), None]
    found: dict[tuple[int, int], Beside] = {key: (None, None) for key in present if key[0] > 0}
    found |= {key: (shapes[k], shapes[k + 2]) for k, key in enumerate(sewn)}
    return found


def fewest_apart(
    edges: Edges, apart: NDArray[np.intp], lines: Lines, policy: Policy, work: Workpiece
) -> int:
    """The fewest runs there can be where edges of different ``apart`` (e,) share none."""
    return sum(
        fewest_runs(
            edges.take(apart == number),
            lines.retraceable,
            policy,
            work.finished,
            work.margin_mm,
            edges.take(apart < number),
            work.field,
            lines.curves,
        )
        for number in distinct(apart)
    )


def lower_bounds(
    edges: Edges, stage: NDArray[np.intp], lines: Lines, policy: Policy, work: Workpiece, apart: int
) -> tuple[int, int, int]:
    """The fewest runs there can be: of the drawing, with roles apart, with regions apart as well.

    ``apart`` is the bound of all stages apart. Where thread runs on from stage to stage, they cost
    nothing that can be told beforehand.
    """
    role, region = stage.T
    several = len(distinct(role)) > 1
    whole = np.zeros_like(role)
    if policy.links_stages:
        one = len(distinct(stage, axis=0)) < 2
        design = apart if one else fewest_apart(edges, whole, lines, policy, work)
        return design, design, design
    by_role = fewest_apart(edges, role, lines, policy, work) if (region != WHOLE).any() else apart
    return (
        fewest_apart(edges, whole, lines, policy, work) if several else by_role,
        by_role,
        apart,
    )


def _concatenate(parts: list[TrailCover], nothing: Edges) -> TrailCover:
    """Edges and trails of all stages, one after the other."""
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
