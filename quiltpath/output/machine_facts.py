"""The figures that a person needs beside each machine file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from quiltpath.machines.profile import MachineProfile
from quiltpath.output.machine.needle_path import needle_path
from quiltpath.output.machine_parts.parts import Part
from quiltpath.stitching.stitches import Stitches


@dataclass(frozen=True)
class ThreadUse:
    """Metres of thread for each metre of seam, and what a full bobbin holds."""

    needle_per_m: float = 1.4
    bobbin_per_m: float = 1.4
    bobbin_m: float = 60.0


@dataclass(frozen=True)
class PartFacts:
    """Figures of one part, as the machine shows them: size, start and end from its centre.

    ``start_mm`` and ``end_mm`` are from the middle of the design, x to the right and y away from
    the person, after any turning. ``bobbin_share`` is of a full bobbin.
    """

    width_mm: float
    height_mm: float
    start_mm: tuple[float, float]
    end_mm: tuple[float, float]
    stitches: int
    starts: int
    sewing_min: float
    needle_m: float
    bobbin_m: float
    bobbin_share: float


def part_facts(part: Part, profile: MachineProfile, thread: ThreadUse) -> PartFacts:
    """The figures of one part; time is stitches over the profile's speed, without stops."""
    sewn: Stitches = part.machine_stitches
    path = needle_path(sewn)
    left, low, right, high = path.bounds
    start, end = path.holes[0] - path.centre, path.holes[-1] - path.centre
    seam_m = sewn.stitched_mm / 1000
    count = len(path) - int(np.count_nonzero(path.moved))
    return PartFacts(
        width_mm=right - left,
        height_mm=high - low,
        start_mm=(float(start[0]), float(start[1])),
        end_mm=(float(end[0]), float(end[1])),
        stitches=count,
        starts=part.pieces,
        sewing_min=count / profile.speed,
        needle_m=seam_m * thread.needle_per_m,
        bobbin_m=seam_m * thread.bobbin_per_m,
        bobbin_share=seam_m * thread.bobbin_per_m / thread.bobbin_m,
    )
