"""Securing: where a run starts or ends inside the quilt, its thread is held by tiny stitches.

They go forward along the run's own line, from its start and up to its end (common practice with
a walking foot: begin and end with a few stitches of about 1 mm). Nothing is sewn back and forth,
so that no hole is sewn through twice and no lump of thread shows.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.stitching.setting import StitchSetting

Arcs = NDArray[np.float64]


def securing_zones(
    run_arc: Arcs, corners: Arcs, secured: NDArray[np.bool_], setting: StitchSetting
) -> tuple[Arcs, Arcs]:
    """(r,) arc lengths where sewing proper begins, and where it ends, in each run.

    ``run_arc`` (r + 1,) and ``corners`` are arc lengths in mm. A short run gives a third of
    itself to each end at most. Securing runs on, by less than a stitch, until what is left up to
    the next corner divides into stitches within the bounds.
    """
    first, last = run_arc[:-1], run_arc[1:]
    zone = np.minimum(setting.securing_length_mm, (last - first) / 3)
    low = first + zone * secured[:, 0]
    high = last - zone * secured[:, 1]
    moves = secured & (zone > 0)[:, None]
    known = np.sort(np.concatenate([run_arc, corners]))
    low = np.where(moves[:, 0], _onwards(low, high, known, setting), low)
    # The same seen from the other end: arc lengths run backwards.
    high = np.where(moves[:, 1], -_onwards(-high, -low, -known[::-1], setting), high)
    return low, high


def _onwards(start: Arcs, other: Arcs, known: Arcs, setting: StitchSetting) -> Arcs:
    """Where sewing starts if securing was to end at ``start`` and ``other`` ends the sewing."""
    following = known[np.searchsorted(known, start, side="left")]
    before = known[np.searchsorted(known, start, side="right") - 1]
    # A corner just passed is where securing ends; a stitch of a few tenths would follow it.
    just_passed = start - before < setting.securing_mm / 2
    start = np.where(just_passed, before, start)
    left = np.minimum(following, other) - start
    fewest = np.ceil(left / setting.high_mm)
    most = np.floor(left / setting.low_mm + 1e-9)
    return np.where(fewest > most, start + left - most * setting.high_mm, start)
