"""Where to change the bobbin: at the last run end before it runs out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.estimate.thread import MM_PER_M, ThreadSetting, bobbin_mm_along
from quiltpath.stitching.stitches import Stitches


def bobbin_changes(stitches: Stitches, setting: ThreadSetting) -> NDArray[np.intp]:
    """Indices of the points after which a full bobbin goes in.

    A run that takes more than one bobbin by itself gets a change in its middle, where there is no
    better place, and begins on a fresh bobbin. Where none does, greedy from the start is the
    fewest changes possible: each bobbin is used as far as any plan could use it.
    """
    if not len(stitches):
        return np.zeros(0, dtype=np.intp)
    used = bobbin_mm_along(stitches, setting)
    run_ends = np.flatnonzero(np.diff(stitches.run))
    capacity = setting.bobbin_m * MM_PER_M
    changes: list[int] = []
    base = 0.0
    while used[-1] - base > capacity:
        last = int(np.searchsorted(used, base + capacity, side="right")) - 1
        whole = run_ends[(run_ends <= last) & (used[run_ends] > base)]
        at = int(whole[-1]) if len(whole) else last
        changes.append(at)
        base = float(used[at])
    return np.array(changes, dtype=np.intp)
