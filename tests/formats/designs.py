"""Small designs to write to files: runs given by their corners, as stitching hands them over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from quiltpath.stitching import PointKind, Stitches


@dataclass(frozen=True)
class Sewn:
    """One run of needle holes; ``cut`` trims after it, ``halt`` waits before it."""

    holes: NDArray[np.float64]
    cut: bool = True
    halt: bool = False


def stitches_of(runs: Sequence[Sewn]) -> Stitches:
    """The runs as ``Stitches``: travel, halt, needle down, sew, cut."""
    points, kinds, run_of, stretch = [], [], [], []
    for index, run in enumerate(runs):
        count = len(run.holes)
        before = [PointKind.TRAVEL] + ([PointKind.STOP] if run.halt else [])
        after = [PointKind.TRIM] if run.cut else []
        points += [run.holes[:1]] * len(before) + [run.holes] + [run.holes[-1:]] * len(after)
        kinds += [*before, *[PointKind.STITCH] * count, *after]
        stretch += [-1] * (len(before) + 1) + [index] * (count - 1) + [-1] * len(after)
        run_of += [index] * (len(before) + count + len(after))
    return Stitches(
        np.vstack(points),
        np.array(kinds, dtype=np.int8),
        np.array(run_of, dtype=np.int32),
        np.array(run_of, dtype=np.int32),
        np.array(stretch, dtype=np.int32),
        np.zeros((0, 3)),
    )


def along(*corners: tuple[float, float], step: float = 3.2) -> NDArray[np.float64]:
    """Holes along a polyline, each side divided evenly at about ``step`` mm."""
    sides = []
    for start, end in pairwise(corners):
        count = max(1, round(float(np.hypot(end[0] - start[0], end[1] - start[1])) / step))
        share = np.arange(count)[:, None] / count
        sides.append(np.array(start) + share * (np.array(end) - np.array(start)))
    return np.vstack([*sides, np.array([corners[-1]])])


def wander(seed: int, count: int, start: tuple[float, float] = (0.0, 0.0)) -> NDArray[np.float64]:
    """Holes 3.2 mm apart on a curve without any symmetry, off the grid of every format."""
    turn = np.cumsum(np.random.default_rng(seed).normal(0.0, 0.25, count))
    steps = 3.2 * np.column_stack([np.cos(turn), np.sin(turn)])
    return np.array(start) + np.cumsum(steps, axis=0)


LETTER_F = along((0, 0), (0, 90), (50, 90), (0, 90), (0, 50), (35, 50))
"""A capital F: no turn or mirror leaves it as it is."""


def four_runs() -> Stitches:
    """Four runs with long and short travels, with and without cuts, one after a halt."""
    return stitches_of(
        [
            Sewn(wander(1, 120)),
            Sewn(wander(2, 60, (600.3, 40.7)), halt=True),
            Sewn(wander(3, 60, (640.0, 80.0)), cut=False),
            Sewn(wander(4, 30, (700.0, -180.0)), halt=True),
        ]
    )
