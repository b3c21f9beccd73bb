"""Needle points: what stitching hands to checks, estimates and writers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray


class PointKind(IntEnum):
    """How the needle comes to a point."""

    STITCH = 0
    """one stitch from the point before (the first of a run: the needle goes down)"""
    SECURING = 1
    """a tiny stitch that locks the thread at a start or an end inside the quilt"""
    TRAVEL = 2
    """needle up, moved to here; no hole"""
    TRIM = 3
    """thread cut here; no movement"""
    STOP = 4
    """the machine waits here for the person; no movement"""


@dataclass(frozen=True)
class Stitches:
    """Needle points in sewing order as parallel arrays.

    ``points``   (n, 2) mm
    ``kind``     (n,) :class:`PointKind`
    ``run``      (n,) index of the run that the point belongs to
    ``line``     (n,) index of the quilting line sewn by the stitch that ends here, -1 for margin
    ``stretch``  (n,) number of the stretch between two corners that the stitch divides, -1 for
                 points that end no stitch
    ``forced_short``  (s, 3): for each stretch that no whole number of stitches within the bounds
                 can fill (too short, or on a curve tighter than a stitch): its length in mm, the
                 stitches it got, and the index of the point that ends its first stitch
    ``pivots``   corners inside runs: needle down, foot up, turn the work

    A line of 9 mm sewn in three stitches: the needle is brought to its start and goes down there.

    >>> import numpy as np
    >>> kinds = [PointKind.TRAVEL, *[PointKind.STITCH] * 4, PointKind.TRIM]
    >>> stitches = Stitches(
    ...     points=np.array([[0.0, 0], [0, 0], [3, 0], [6, 0], [9, 0], [9, 0]]),
    ...     kind=np.array(kinds),
    ...     run=np.zeros(6, dtype=int),
    ...     line=np.array([-1, -1, 0, 0, 0, -1]),
    ...     stretch=np.array([-1, -1, 0, 0, 0, -1]),
    ...     forced_short=np.zeros((0, 3)),
    ... )
    >>> stitches
    Stitches(3 stitches, 0.0 m, 1 trim)
    >>> stitches.needle_holes[:, 0].tolist()
    [0.0, 3.0, 6.0, 9.0]
    """

    points: NDArray[np.float64]
    kind: NDArray[np.int8]
    run: NDArray[np.int32]
    line: NDArray[np.int32]
    stretch: NDArray[np.int32]
    forced_short: NDArray[np.float64]
    pivots: int = 0

    def __len__(self) -> int:
        return len(self.points)

    def __repr__(self) -> str:
        trims = f"{self.trims} trim{'s'[: self.trims != 1]}"
        metres = self.stitched_mm / 1000
        return f"Stitches({self.stitch_count} stitches, {metres:.1f} m, {trims})"

    @property
    def is_stitch(self) -> NDArray[np.bool_]:
        """(n,) true where a stitch of the set length ends: neither securing nor a run's start."""
        return (self.stretch >= 0) & (self.kind == PointKind.STITCH)

    @property
    def is_sewn(self) -> NDArray[np.bool_]:
        """(n,) true where a stitch ends, securing ones included."""
        return (self.kind == PointKind.SECURING) | self.is_stitch

    @property
    def is_hole(self) -> NDArray[np.bool_]:
        """(n,) true where the needle goes through the cloth."""
        return self.kind <= PointKind.SECURING

    @property
    def hole_indices(self) -> NDArray[np.intp]:
        """(k,) indices of the points where the needle goes through the cloth."""
        return np.flatnonzero(self.is_hole)

    @property
    def step_mm(self) -> NDArray[np.float64]:
        """(n,) distance from the point before; 0 for the first."""
        steps = np.zeros(len(self.points))
        steps[1:] = np.hypot(*np.diff(self.points, axis=0).T)
        return steps

    @property
    def needle_holes(self) -> NDArray[np.float64]:
        """(k, 2) points where the needle goes through the cloth."""
        return self.points[self.is_hole]

    @property
    def sewn_paths(self) -> NDArray[np.float64]:
        """(m, 2) needle holes in sewing order, mm, a row of NaN wherever no stitch leads on."""
        holes = self.is_hole
        spread = np.full((2 * len(self), 2), np.nan)
        spread[1::2] = self.points
        kept = np.zeros(len(spread), dtype=np.bool_)
        kept[0::2], kept[1::2] = holes & ~self.is_sewn, holes
        return spread[kept]

    @property
    def stitch_count(self) -> int:
        """Stitches sewn, securing ones included."""
        return int(np.count_nonzero(self.is_sewn))

    @property
    def stitched_mm(self) -> float:
        """Length of thread path on one face, securing included."""
        return float(self.step_mm[self.is_sewn].sum())

    @property
    def travel_mm(self) -> float:
        """Needle-up movement between runs."""
        return float(self.step_mm[self.kind == PointKind.TRAVEL].sum())

    @property
    def trims(self) -> int:
        """Times that the thread is cut."""
        return int(np.count_nonzero(self.kind == PointKind.TRIM))
