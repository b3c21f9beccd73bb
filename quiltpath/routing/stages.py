"""Stages: what is sewn before what, each stage covered by trails of its own.

What holds the layers is one stage all over the runner; then come roles and regions, as far as the
policy tells them apart. Each stage is a rural postman's problem by itself, in which what was sewn
before may be sewn again where that does not show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import distinct
from quiltpath.patterns import LineRole, Lines
from quiltpath.routing.edges import Edges, concatenate_edges
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.policy import Policy, start_corner
from quiltpath.routing.region_order import centre_of, region_orders
from quiltpath.routing.rural_postman import (
    Beside,
    TrailCover,
    fewest_runs,
    solve_rural_postman,
)
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
    edges: Edges, stage: NDArray[np.intp], lines: Lines, policy: Policy, work: Workpiece
) -> tuple[TrailCover, NDArray[np.intp]]:
    """The trails of all stages, stage after stage, and (edges, 2) the stage of each of their edges.

    The lower bound is that of the stages apart.
    """
    covers, stages = [], [np.zeros((0, 2), dtype=np.intp)]
    keys = distinct(stage, axis=0)
    beside = _neighbours(keys, policy, work)
    for each in keys:
        covers.append(
            solve_rural_postman(
                edges.take((stage == each).all(axis=1)),
                lines.retraceable,
                policy,
                work.finished,
                work.margin_mm,
                edges.take(stage[:, 0] < each[0]),
                work.field,
                lines.curves,
                beside.get((int(each[0]), int(each[1]))),
            )
        )
        stages.append(np.tile(each, (len(covers[-1].edges), 1)))
    return _concatenate(covers, edges), np.concatenate(stages)


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
