"""What the sewing takes: thread, bobbins and where they are changed, time.

Thread follows from the geometry of the lockstitch, or from the user's own test seam. A lockstitch
(ISO 4915, type 301) lays one stitch length on its face and goes half way into the seam and out
again at each stitch, and so does the thread of the other side. For a seam of thickness T and
stitch length s each thread takes s + T a stitch; both together are the textbook formula
C = 2 + 2 T S for a unit of seam with S stitches to the unit. Thread of some thickness runs on the
outside of the cloth, which adds its diameter to T. A bobbin is changed at the last run end before
it runs out. Time is stitches over speed, and everything that is not stitching.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from quiltpath.project.sewing_sections import StitchSection, ThreadSection, TimeSection
from quiltpath.stitching.stitches import Stitches

MM_PER_M = 1000.0
SECONDS_PER_MINUTE = 60.0


@dataclass(frozen=True)
class ThreadSetting:
    """What the estimate needs to know; lengths in mm, ``bobbin_m`` in metres.

    ``needle_factor`` and ``bobbin_factor`` are metres of thread for a metre of seam, measured on
    the user's own unpicked seam (1 m of seam that used 1.46 m of needle thread: 1.46). Where
    given they replace the geometry. A well-set lockstitch takes as much thread above as below, so
    where one of the two was measured it stands for both.
    """

    thickness_mm: float
    diameter_mm: float
    wastage_share: float
    bobbin_m: float
    tail_mm: float
    needle_factor: float | None
    bobbin_factor: float | None

    @property
    def source(self) -> Literal["geometry", "test seam"]:
        """What the figures rest on."""
        measured = self.needle_factor is not None or self.bobbin_factor is not None
        return "test seam" if measured else "geometry"

    def needle_mm(self, seam_mm: float, stitch_count: int) -> float:
        """Needle thread in a seam of so many stitches, in mm, before tails and wastage."""
        return self._mm(seam_mm, stitch_count, self.needle_factor or self.bobbin_factor)

    def bobbin_mm(self, seam_mm: float, stitch_count: int) -> float:
        """Bobbin thread in a seam of so many stitches, in mm, before tails and wastage."""
        return self._mm(seam_mm, stitch_count, self.bobbin_factor or self.needle_factor)

    def _mm(self, seam_mm: float, stitch_count: int, factor: float | None) -> float:
        if factor is not None:
            return seam_mm * factor
        return seam_mm + stitch_count * (self.thickness_mm + self.diameter_mm)


def thread_setting(thread: ThreadSection, stitch: StitchSection) -> ThreadSetting:
    """What a project says of its thread, and of the tails that are left to bury."""
    return ThreadSetting(
        thickness_mm=thread.thickness,
        diameter_mm=thread.diameter,
        wastage_share=thread.wastage,
        bobbin_m=thread.bobbin,
        tail_mm=stitch.tail,
        needle_factor=thread.needle_factor,
        bobbin_factor=thread.bobbin_factor,
    )


@dataclass(frozen=True)
class ThreadUse:
    """Thread for the whole quilting, wastage and tails included, in metres.

    ``tails_m``  what of both threads is left at run ends to bury, before wastage
    ``bobbins``  full bobbins to wind
    """

    needle_m: float
    bobbin_m: float
    tails_m: float
    bobbins: int
    setting: ThreadSetting

    @property
    def source(self) -> Literal["geometry", "test seam"]:
        """What the figures rest on."""
        return self.setting.source


def thread_use(stitches: Stitches, tails: int, setting: ThreadSetting) -> ThreadUse:
    """Thread that ``stitches`` take, with ``tails`` ends left on each side to bury."""
    seam_mm, count = stitches.stitched_mm, stitches.stitch_count
    tails_mm = tails * setting.tail_mm
    with_waste = 1.0 + setting.wastage_share
    needle_mm = (setting.needle_mm(seam_mm, count) + tails_mm) * with_waste
    bobbin_mm = (setting.bobbin_mm(seam_mm, count) + tails_mm) * with_waste
    return ThreadUse(
        needle_m=needle_mm / MM_PER_M,
        bobbin_m=bobbin_mm / MM_PER_M,
        tails_m=2 * tails_mm / MM_PER_M,
        bobbins=math.ceil(bobbin_mm / MM_PER_M / setting.bobbin_m - 1e-9),
        setting=setting,
    )


def bobbin_mm_along(stitches: Stitches, setting: ThreadSetting) -> NDArray[np.float64]:
    """(n,) bobbin thread used up to each point, in mm with wastage, for planning its changes.

    Tails are left out: they belong to no point.
    """
    sewn = stitches.is_sewn
    seam = np.cumsum(np.where(sewn, stitches.step_mm, 0.0))
    per_mm, per_stitch = setting.bobbin_mm(1.0, 0), setting.bobbin_mm(0.0, 1)
    return (seam * per_mm + np.cumsum(sewn) * per_stitch) * (1.0 + setting.wastage_share)


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


@dataclass(frozen=True)
class SewingTime:
    """Minutes at the machine, in all and by what they go into."""

    stitching_min: float
    starts_and_stops_min: float
    pivots_min: float
    bobbin_changes_min: float
    loading_min: float = 0.0

    @property
    def hand_min(self) -> float:
        """What hands do while the needle stands."""
        return self.starts_and_stops_min + self.pivots_min + self.bobbin_changes_min

    @property
    def sewing_min(self) -> float:
        """Sum of the parts."""
        return self.stitching_min + self.hand_min + self.loading_min


def sewing_time(
    stitch_count: int, runs: int, pivots: int, bobbins: int, time: TimeSection
) -> SewingTime:
    """Time for so many stitches in so many runs; the first bobbin is there at the start."""
    changes = max(bobbins - 1, 0)
    return SewingTime(
        stitching_min=stitch_count / time.stitches_per_minute,
        starts_and_stops_min=runs * (time.start + time.stop) / SECONDS_PER_MINUTE,
        pivots_min=pivots * time.pivot / SECONDS_PER_MINUTE,
        bobbin_changes_min=changes * time.bobbin_change / SECONDS_PER_MINUTE,
    )
