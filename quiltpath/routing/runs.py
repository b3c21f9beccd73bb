"""Runs: lines in sewing order, what routing hands to stitching."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import arc_lengths


class PieceKind(IntEnum):
    """Why the needle sews along a piece."""

    LINE = 0
    """a quilting line, sewn for its own sake"""
    RETRACE = 1
    """a second pass over a line where it does not show"""
    MARGIN = 2
    """along the wadding margin outside the finished edge, trimmed off later"""
    CLEARANCE = 3
    """along the curve at a motif's clearance, from one line's end to the next"""
    STEP = 4
    """a few stitches across, from ring to ring or from an outline to the lines about it"""


class BreakReason(IntEnum):
    """Why a run ends where it does."""

    FINISHED = 0
    """nothing is left to sew"""
    ODD_END = 1
    """an end of a line that no piece continues: theory asks for this break"""
    SEPARATE = 2
    """the next line touches nothing that has been sewn"""
    POLICY = 3
    """the sewing order of the policy asks for a new start"""


@dataclass(frozen=True)
class RunChange:
    """Something that routing changed in the drawing, to be reported in words.

    ``at_mm`` is the place; ``code`` is stable, such as ``"gap-closed"`` or ``"sewn-once"``.
    """

    code: str
    message: str
    at_mm: tuple[float, float]


@dataclass(frozen=True)
class RuleCost:
    """Starts that a rule of the policy costs: ``rule`` in words after "so that", ``runs`` more."""

    rule: str
    runs: int


@dataclass(frozen=True)
class Runs:
    """Ordered runs of pieces with direction; every array is in sewing order.

    ``coordinates``   (m, 2) mm, the pieces' vertices one after the other
    ``piece_start``   (p + 1,) offsets into ``coordinates``; a piece holds both its ends, so the
                      point where two pieces of a run meet stands twice
    ``piece_kind``    (p,) :class:`PieceKind`
    ``piece_line``    (p,) index of the quilting line, -1 where a piece lies on none
    ``run_start``     (r + 1,) offsets into the pieces
    ``break_reason``  (r,) :class:`BreakReason` at the end of each run
    ``secured``       (r, 2) whether the start and the end lie inside and need securing
    ``runs_lower_bound``  the fewest runs that the drawing allows with the optional edges of the
                      policy, whatever the order
    ``turns``         changes of line at junctions, of more than 30 degrees
    ``changes``       what routing closed, merged or dropped in the drawing
    ``rule_costs``    which rules of the policy make up the difference to the lower bound

    The two lines of :class:`quiltpath.patterns.lines.Lines` as two runs, the second there and back:

    >>> import numpy as np
    >>> runs = Runs(
    ...     coordinates=np.array([[20.0, 0], [20, 40], [40, 40], [40, 0], [40, 0], [40, 40]]),
    ...     piece_start=np.array([0, 2, 4, 6]),
    ...     piece_kind=np.array([PieceKind.LINE, PieceKind.LINE, PieceKind.RETRACE]),
    ...     piece_line=np.array([0, 1, 1]),
    ...     run_start=np.array([0, 1, 3]),
    ...     break_reason=np.array([BreakReason.SEPARATE, BreakReason.FINISHED]),
    ...     secured=np.array([[False, False], [False, True]]),
    ...     runs_lower_bound=2,
    ...     turns=1,
    ... )
    >>> runs.run(1).tolist()
    [[40.0, 40.0], [40.0, 0.0], [40.0, 0.0], [40.0, 40.0]]
    >>> runs.travel_mm, runs.kind_length_mm(PieceKind.RETRACE)
    (20.0, 40.0)
    """

    coordinates: NDArray[np.float64]
    piece_start: NDArray[np.intp]
    piece_kind: NDArray[np.int8]
    piece_line: NDArray[np.int32]
    run_start: NDArray[np.intp]
    break_reason: NDArray[np.int8]
    secured: NDArray[np.bool_]
    runs_lower_bound: int
    turns: int
    changes: tuple[RunChange, ...] = field(default=())
    rule_costs: tuple[RuleCost, ...] = field(default=())

    def __len__(self) -> int:
        return len(self.run_start) - 1

    def __repr__(self) -> str:
        metres = float(self.piece_length_mm.sum()) / 1000
        bound = self.runs_lower_bound
        return f"Runs({len(self)} runs, {metres:.1f} m, no fewer than {bound} possible)"

    @property
    def vertex_start(self) -> NDArray[np.intp]:
        """(r + 1,) offsets of the runs into ``coordinates``."""
        return self.piece_start[self.run_start]

    def run(self, index: int) -> NDArray[np.float64]:
        """(k, 2) vertices of one run, in sewing direction."""
        first, last = self.vertex_start[index], self.vertex_start[index + 1]
        return self.coordinates[first:last]

    @property
    def ends(self) -> NDArray[np.float64]:
        """(r, 2, 2) first and last point of each run, in mm."""
        first, last = self.vertex_start[:-1], self.vertex_start[1:] - 1
        return np.stack([self.coordinates[first], self.coordinates[last]], axis=1)

    @property
    def piece_length_mm(self) -> NDArray[np.float64]:
        """(p,) length of each piece."""
        along = arc_lengths(self.coordinates)
        return along[self.piece_start[1:] - 1] - along[self.piece_start[:-1]]

    @property
    def travel_mm(self) -> float:
        """Straight jumps from the end of each run to the start of the next."""
        ends = self.ends
        return float(np.hypot(*(ends[1:, 0] - ends[:-1, 1]).T).sum())

    def kind_length_mm(self, kind: PieceKind) -> float:
        """Total length of the pieces of one kind."""
        return float(self.piece_length_mm[self.piece_kind == kind].sum())


EDGE_MM = 0.5


def needs_securing(finished: Polygon, points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """(n,) whether a thread end there needs securing: more than 0.5 mm inside the finished edge."""
    shapely.prepare(finished)
    spots = shapely.points(points)
    within = shapely.contains(finished, spots)
    within[within] = shapely.distance(finished.boundary, spots[within]) > EDGE_MM
    return within
