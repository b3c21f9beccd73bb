"""Runs built by hand, and what a quilter measures on the sewn piece."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import BreakReason, PieceKind, Runs
from quiltpath.stitching import Stitches

QUILTING = StitchSection(
    length=3.2,
    shortest=3.0,
    longest=3.5,
    corner=30.0,
    securing="tiny",
    securing_count=6,
    securing_length=1.0,
)
"""Straight quilting with a walking foot: 3 to 3.5 mm (common practice)."""

TAILS = QUILTING.replaced(securing="tails")


def runs_of(
    *pieces: ArrayLike, per_run: Sequence[int] | None = None, secured: bool | ArrayLike = False
) -> Runs:
    """Runs of the given pieces: one piece a run, or as many as ``per_run`` says."""
    points = [np.asarray(piece, dtype=float).reshape(-1, 2) for piece in pieces]
    per_run = per_run or [1] * len(points)
    return Runs(
        coordinates=np.concatenate(points) if points else np.zeros((0, 2)),
        piece_start=np.cumsum([0, *(len(p) for p in points)]),
        piece_kind=np.full(len(points), PieceKind.LINE, dtype=np.int8),
        piece_line=np.arange(len(points), dtype=np.int32),
        run_start=np.cumsum([0, *per_run]),
        break_reason=np.full(len(per_run), BreakReason.SEPARATE, dtype=np.int8),
        secured=np.broadcast_to(np.asarray(secured, dtype=bool), (len(per_run), 2)).copy(),
        runs_lower_bound=len(per_run),
        turns=0,
    )


def holes(stitches: Stitches, run: int = 0) -> NDArray[np.float64]:
    """(k, 2) needle points of one run, in sewing order."""
    return stitches.points[(stitches.run == run) & (stitches.kind <= 1)]


def lengths(stitches: Stitches) -> NDArray[np.float64]:
    """Lengths of all stitches proper, straight from hole to hole."""
    return stitches.step_mm[stitches.is_stitch]


def circle(radius: float, pieces: int = 2000, turns: float = 1.0) -> NDArray[np.float64]:
    angle = np.linspace(0.0, 2 * np.pi * turns, pieces + 1)
    points = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    if turns == 1.0:
        points[-1] = points[0]
    return points


def serpentine(rows: int, length: float = 2000.0, gap: float = 10.0) -> NDArray[np.float64]:
    """Lines there and back, joined along the edges."""
    y = np.repeat(np.arange(rows), 2) * gap
    x = np.tile([0.0, length, length, 0.0], rows)[: 2 * rows]
    return np.column_stack([x, y])
