"""Checkpoints: numbered places where sewing can be taken up again after a break."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import distinct
from quiltpath.stitching.stitches import PointKind, Stitches

Integer = TypeVar("Integer", np.int8, np.int32)

EVERY_MM = 2000.0
"""Stitching between two checkpoints: a break costs no more than a few minutes."""

WITHIN_MM = 1e-6
"""The sum of many stitches is exact to this."""

OVERLAP_MM = (10.0, 20.0)
"""Sewing again over the last 10 to 20 mm locks both threads (common practice on frames)."""


@dataclass(frozen=True)
class Checkpoints:
    """Places in sewing order; the first is the start of everything, and they count from 1.

    ``point``    (k,) index of the needle point
    ``at_mm``    (k, 2) where it is
    ``done_mm``  (k,) stitched before it
    """

    point: NDArray[np.intp]
    at_mm: NDArray[np.float64]
    done_mm: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.point)


def checkpoints(stitches: Stitches, every_mm: float = EVERY_MM) -> Checkpoints:
    """A checkpoint about every ``every_mm`` of stitching, at a run's start where one is near.

    Each lies within half that length before its turn if a run starts there, else at the needle
    point whose turn it is.
    """
    done = _done_mm(stitches)
    holes = stitches.hole_indices
    if not len(holes):
        return Checkpoints(holes, stitches.points[holes], done[holes])
    turns = np.arange(0.0, max(float(done[-1]) - WITHIN_MM, every_mm / 2), every_mm)
    due = holes[np.searchsorted(done[holes], turns - WITHIN_MM)]
    starts = _run_starts(stitches, holes)
    start = starts[np.searchsorted(done[starts], turns + WITHIN_MM) - 1]
    point = distinct(np.where(turns - done[start] <= every_mm / 2, start, due))
    return Checkpoints(point, stitches.points[point], done[point])


def stitches_left(stitches: Stitches, point: int) -> Stitches:
    """What is left to sew from the needle point ``point`` on, taken up 10 to 20 mm before it.

    Where its run begins less than 10 mm before, all of the run is sewn.
    """
    first = overlap_start(stitches, point)
    rest = slice(first + 1, None)
    forced = stitches.forced_short[stitches.forced_short[:, 2] > first]
    return Stitches(
        points=np.concatenate([stitches.points[[first, first]], stitches.points[rest]]),
        kind=_with_start(stitches.kind[rest], PointKind.TRAVEL, PointKind.STITCH),
        run=np.concatenate([[0, 0], stitches.run[rest] - stitches.run[first]]).astype(np.int32),
        line=_with_start(stitches.line[rest], -1, -1),
        stretch=_with_start(stitches.stretch[rest], -1, -1),
        forced_short=forced - [0, 0, first - 1],
        pivots=_pivots(stitches, first),
    )


def overlap_start(stitches: Stitches, point: int) -> int:
    """Index of the needle point where sewing is taken up so that it overlaps at ``point``."""
    low, high = OVERLAP_MM
    done = _done_mm(stitches)
    same_run = stitches.run == stitches.run[point]
    holes = np.flatnonzero(same_run & stitches.is_hole)
    back = done[point] - done[holes]
    # The nearest to the middle; no nearer than 10 mm unless there is no other up to 20 mm.
    off = np.where(back <= high, np.abs(back - (low + high) / 2), np.inf)
    return int(holes[off.argmin()])


def _done_mm(stitches: Stitches) -> NDArray[np.float64]:
    """(n,) stitched up to each point."""
    total: NDArray[np.float64] = np.cumsum(np.where(stitches.is_sewn, stitches.step_mm, 0.0))
    return total


def _run_starts(stitches: Stitches, holes: NDArray[np.intp]) -> NDArray[np.intp]:
    """The first needle point of each run."""
    return holes[np.unique(stitches.run[holes], return_index=True)[1]]


def _with_start(rest: NDArray[Integer], travel: int, down: int) -> NDArray[Integer]:
    return np.concatenate([np.array([travel, down], dtype=rest.dtype), rest])


def _pivots(stitches: Stitches, first: int) -> int:
    """Corners inside runs after a point: where one stretch of stitches gives way to the next."""
    after = slice(first + 1, None)
    stretch, run, sewn = stitches.stretch[after], stitches.run[after], stitches.is_stitch[after]
    turned = (stretch[1:] != stretch[:-1]) & (run[1:] == run[:-1]) & sewn[1:] & sewn[:-1]
    return int(np.count_nonzero(turned))
