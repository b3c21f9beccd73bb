"""How much thread: the geometry of the lockstitch, or the user's own test seam.

A lockstitch (ISO 4915, type 301) lays one stitch length on its face and goes half way into the
seam and out again at each stitch, and so does the thread of the other side. For a seam of
thickness T and stitch length s each thread takes s + T a stitch; both together are the textbook
formula C = 2 + 2 T S for a unit of seam with S stitches to the unit. Thread of some thickness
runs on the outside of the cloth, which adds its diameter to T.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from quiltpath.stitching.stitches import PointKind, Stitches

MM_PER_M = 1000.0


@dataclass(frozen=True)
class ThreadSetting:
    """What the estimate needs to know; lengths in mm, ``bobbin_m`` in metres.

    ``needle_factor`` and ``bobbin_factor`` are metres of thread for a metre of seam, measured on
    the user's own unpicked seam; where given they replace the geometry.
    """

    thickness_mm: float
    diameter_mm: float
    wastage_share: float
    bobbin_m: float
    tail_mm: float
    needle_factor: float | None = None
    bobbin_factor: float | None = None

    def needle_per_stitch(self, stitch_mm: float) -> float:
        """Needle thread of one stitch, in mm, before tails and wastage."""
        return self._per_stitch(stitch_mm, self.needle_factor)

    def bobbin_per_stitch(self, stitch_mm: float) -> float:
        """Bobbin thread of one stitch, in mm, before tails and wastage."""
        return self._per_stitch(stitch_mm, self.bobbin_factor)

    def _per_stitch(self, stitch_mm: float, factor: float | None) -> float:
        if factor is not None:
            return stitch_mm * factor
        return stitch_mm + self.thickness_mm + self.diameter_mm


@dataclass(frozen=True)
class ThreadUse:
    """Thread for the whole quilting, wastage and tails included, in metres.

    ``bobbins`` is the number of full bobbins to wind; ``source`` says what the figures rest on.
    """

    needle_m: float
    bobbin_m: float
    tails_m: float
    bobbins: int
    setting: ThreadSetting
    source: Literal["geometry", "test seam"]


def thread_use(stitches: Stitches, tails: int, setting: ThreadSetting) -> ThreadUse:
    """Thread that ``stitches`` take, with ``tails`` ends left on each side to bury."""
    sewn_mm, count = stitches.stitched_mm, stitches.stitch_count
    tails_mm = tails * setting.tail_mm
    with_waste = 1.0 + setting.wastage_share
    mean_mm = sewn_mm / count if count else 0.0
    needle_mm = (count * setting.needle_per_stitch(mean_mm) + tails_mm) * with_waste
    bobbin_mm = (count * setting.bobbin_per_stitch(mean_mm) + tails_mm) * with_waste
    return ThreadUse(
        needle_m=needle_mm / MM_PER_M,
        bobbin_m=bobbin_mm / MM_PER_M,
        tails_m=2 * tails_mm / MM_PER_M,
        bobbins=math.ceil(bobbin_mm / MM_PER_M / setting.bobbin_m - 1e-9),
        setting=setting,
        source="geometry" if setting.needle_factor is None else "test seam",
    )


def bobbin_mm_along(stitches: Stitches, setting: ThreadSetting) -> NDArray[np.float64]:
    """(n,) bobbin thread used up to each point, in mm with wastage, for planning its changes."""
    sewn = stitches.is_stitch | (stitches.kind == PointKind.SECURING)
    steps = np.where(sewn, stitches.step_mm, 0.0)
    if setting.bobbin_factor is not None:
        used = steps * setting.bobbin_factor
    else:
        used = steps + sewn * (setting.thickness_mm + setting.diameter_mm)
    return np.cumsum(used) * (1.0 + setting.wastage_share)
