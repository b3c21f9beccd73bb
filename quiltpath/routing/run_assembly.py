"""Trails in sewing order, written out as runs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.routing.edges import Edges, gather_slices
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.runs import RuleCost, RunChange, Runs, needs_securing

TURN_DEG = 30.0


def assemble_runs(
    edges: Edges,
    trails: Trails,
    finished: Polygon,
    reasons: NDArray[np.int8],
    lower_bound: int,
    changes: tuple[RunChange, ...],
    rule_costs: tuple[RuleCost, ...] = (),
) -> Runs:
    """Runs of the given trails, in the order of the trails."""
    coordinates, piece_start = _vertices_of(edges, trails.half)
    run_start = trails.start.astype(np.intp)
    vertex = piece_start[run_start]
    ends = np.stack([coordinates[vertex[:-1]], coordinates[vertex[1:] - 1]], axis=1)
    return Runs(
        coordinates=coordinates,
        piece_start=piece_start,
        piece_kind=edges.kind[trails.half // 2],
        piece_line=edges.line[trails.half // 2],
        run_start=run_start,
        break_reason=reasons,
        secured=needs_securing(finished, ends.reshape(-1, 2)).reshape(-1, 2),
        runs_lower_bound=lower_bound,
        turns=turns_of(coordinates, piece_start, run_start),
        changes=changes,
        rule_costs=rule_costs,
    )


def _vertices_of(
    edges: Edges, half: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Vertices of half-edges in order, those sewn backwards turned round."""
    vertex, start = gather_slices(edges.start, half // 2)
    count = np.diff(start)
    back = np.repeat(half % 2 == 1, count)
    mirror = np.repeat(start[:-1] + start[1:] - 1, count) - np.arange(len(vertex))
    vertex = np.where(back, vertex[mirror], vertex)
    return edges.coordinates[vertex], start


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
