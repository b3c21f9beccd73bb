"""Halts for a full bobbin, put where they do not show and before the thread can run out.

A machine that sews by itself goes on with an empty bobbin, and a seam without its lower thread has
to be sewn again. So a part halts at the last start of thread or margin turn before the bobbin is
down to its reserve; failing that where one line gives way to the next, and failing that as late as
it may. No bobbin is changed before it is half used.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from quiltpath.machine.parts import Part
from quiltpath.stitching import PointKind, Stitches
from quiltpath.stitching.thread_and_time import MM_PER_M, ThreadSetting, bobbin_mm_along


@dataclass(frozen=True)
class BobbinPlan:
    """A part's changes of the bobbin.

    ``full_before``  a full bobbin goes in before the part
    ``at_mm``        places of the halts for a full one, in mm on the runner
    """

    full_before: bool
    at_mm: tuple[tuple[float, float], ...]


def add_bobbin_stops(
    parts: Sequence[Part], thread: ThreadSetting, reserve_share: float
) -> tuple[tuple[Part, ...], tuple[BobbinPlan, ...]]:
    """The parts with their halts, in sewing order; a bobbin goes on from one part to the next.

    A part that what is left would not last for begins with a full one: between parts the machine
    stands still anyway.
    """
    capacity = thread.bobbin_m * MM_PER_M * (1.0 - reserve_share)
    left, made, plans = capacity, [], []
    for number, part in enumerate(parts):
        used = bobbin_mm_along(part.stitches, thread)
        full_before = number == 0 or float(used[-1]) > left + 1e-6
        left = capacity if full_before else left
        after = _halts(part.stitches, used, left, capacity)
        spent = float(used[after[-1]]) if len(after) else 0.0
        left = (capacity if len(after) else left) - (float(used[-1]) - spent)
        places = tuple((float(x), float(y)) for x, y in part.stitches.points[after])
        made.append(replace(part, stitches=add_halts(part.stitches, after)))
        plans.append(BobbinPlan(full_before, places))
    return tuple(made), tuple(plans)


def _halts(
    stitches: Stitches, used: NDArray[np.float64], left: float, capacity: float
) -> NDArray[np.intp]:
    """Indices of the needle points after which the machine halts for a full bobbin."""
    holes = stitches.hole_indices
    ranks = _rank(stitches, holes)
    found: list[int] = []
    base, room = 0.0, left
    while used[-1] - base > room + 1e-6:
        open_ = (used[holes] > base) & (used[holes] <= base + room)
        if not open_[:-1].any():
            break
        late = open_ & (used[holes] >= base + room / 2)
        suited = [late & rank for rank in ranks[:-1]] + [open_ & ranks[-1]]
        best = int(next(holes[marks] for marks in suited if marks.any())[-1])
        found.append(best)
        base, room = float(used[best]), capacity
    return np.array(found, dtype=np.intp)


def _rank(
    stitches: Stitches, holes: NDArray[np.intp]
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], NDArray[np.bool_]]:
    """Which needle points suit a halt: run ends and margin turns, ends of lines, any."""
    run, line = stitches.run[holes], stitches.line[holes]
    run_end = np.append(run[1:] != run[:-1], False)
    margin = np.append((line[1:] < 0) & (run[1:] == run[:-1]), False)
    line_end = np.append(line[1:] != line[:-1], False)
    anywhere = np.append(np.ones(len(holes) - 1, dtype=np.bool_), False)
    return run_end | margin, line_end, anywhere


def add_halts(stitches: Stitches, after: NDArray[np.intp]) -> Stitches:
    """The stitches with a halt after each of these points; no needle point is moved."""
    if not len(after):
        return stitches
    places = after + 1
    forced = stitches.forced_short.copy()
    forced[:, 2] += np.searchsorted(after, forced[:, 2])
    return Stitches(
        np.insert(stitches.points, places, stitches.points[after], axis=0),
        np.insert(stitches.kind, places, PointKind.STOP),
        np.insert(stitches.run, places, stitches.run[after]),
        np.insert(stitches.line, places, -1),
        np.insert(stitches.stretch, places, -1),
        forced,
        stitches.pivots,
    )
