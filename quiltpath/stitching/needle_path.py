"""What every stitch file comes down to: holes in order, and what happens before each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.stitching.stitches import PointKind, Stitches


@dataclass(frozen=True, eq=False)
class NeedlePath:
    """Needle holes in sewing order.

    ``holes``  (k, 2) mm, y upwards
    ``cut``    (k,) the thread is cut before the needle comes here
    ``stop``   (k,) the machine waits for the person before it comes here
    ``moved``  (k,) the needle comes here without sewing; true for the first hole
    ``cut_at_end``  the thread is cut after the last hole
    ``middle_mm``  (2,) where files count from, if not from the middle of these holes
    """

    holes: NDArray[np.float64]
    cut: NDArray[np.bool_]
    stop: NDArray[np.bool_]
    moved: NDArray[np.bool_]
    cut_at_end: bool
    middle_mm: NDArray[np.float64] | None = None

    def __len__(self) -> int:
        return len(self.holes)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, lowest, right and highest hole, in mm."""
        low, high = self.holes.min(axis=0), self.holes.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    @property
    def centre(self) -> NDArray[np.float64]:
        """(2,) middle of the smallest upright rectangle around the holes."""
        return (self.holes.min(axis=0) + self.holes.max(axis=0)) / 2

    def file_origin(self, grid_mm: float) -> NDArray[np.float64]:
        """(2,) the place that a file counts from: the middle, on the nearest whole grid unit.

        On the grid, so that a design whose holes lie on it already keeps every step exactly.
        """
        middle = self.centre if self.middle_mm is None else self.middle_mm
        return np.rint(middle / grid_mm) * grid_mm

    @property
    def trims(self) -> int:
        """Cuts between stitches; before the first and after the last hole there is no choice."""
        return int(np.count_nonzero(self.cut[1:]))

    @property
    def stops(self) -> int:
        """Halts between stitches."""
        return int(np.count_nonzero(self.stop[1:]))

    @property
    def stitch_mm(self) -> NDArray[np.float64]:
        """Lengths of the stitches, in sewing order: steps to holes that are not moved to."""
        if len(self.holes) < 2:
            return np.zeros(0)
        steps = np.hypot(*np.diff(self.holes, axis=0).T)
        return steps[~self.moved[1:]]


def needle_path(stitches: Stitches, middle_mm: NDArray[np.float64] | None = None) -> NeedlePath:
    """The holes of ``stitches``, with the commands that stand between them gathered on the hole.

    Way points of a travel are dropped: a machine goes straight from hole to hole. ``middle_mm`` is
    where files count from, if not from the middle of these holes.
    """
    kind = stitches.kind
    index = stitches.hole_indices
    lands = (kind == PointKind.STITCH) & (stitches.stretch < 0)
    cut, stop, moved = (
        _before(index, np.flatnonzero(kind == command))
        for command in (PointKind.TRIM, PointKind.STOP, PointKind.TRAVEL)
    )
    moved[:-1] |= lands[index] | cut[:-1]
    moved[:1] = True
    return NeedlePath(
        stitches.points[index],
        cut[:-1],
        stop[:-1],
        moved[:-1],
        bool(cut[-1]) and len(index) > 0,
        middle_mm,
    )


def _before(holes: NDArray[np.intp], events: NDArray[np.intp]) -> NDArray[np.bool_]:
    """(k + 1,) whether an event stands before each hole; the last entry is after the last hole."""
    marks = np.zeros(len(holes) + 1, dtype=np.bool_)
    marks[np.searchsorted(holes, events)] = True
    return marks
