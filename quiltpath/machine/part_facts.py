"""The figures that a person needs beside each machine file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from quiltpath.language import say
from quiltpath.machine.parts import Part
from quiltpath.machine.profile import MachineProfile
from quiltpath.stitching.needle_path import NeedlePath, needle_path
from quiltpath.stitching.thread_and_time import ThreadSetting


@dataclass(frozen=True)
class PartFacts:
    """Figures of one part, as the machine shows them: size, start and end from its centre.

    ``start_mm`` and ``end_mm`` are from the middle of the design, x to the right and y away from
    the person, after any turning. ``bobbin_share`` is of a full bobbin; ``path`` is what the needle
    does. ``fewest`` is the fewest starts of thread that the lines allow, where the part was put in
    order by itself.
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
    path: NeedlePath
    fewest: int | None = None

    @property
    def starts_words(self) -> str:
        """How often the thread starts."""
        if self.starts == 1:
            return say("one continuous path of thread")
        if self.starts == self.fewest:
            return say(
                "{starts} starts of thread, the fewest that these lines allow", starts=self.starts
            )
        return say("{starts} starts of thread", starts=self.starts)


def part_facts(part: Part, profile: MachineProfile, thread: ThreadSetting) -> PartFacts:
    """The figures of one part: time is stitches over the profile's speed, without stops; thread
    is what the seam takes, without ends and waste."""
    path = needle_path(part.machine_stitches)
    left, low, right, high = path.bounds
    start, end = path.holes[0] - path.centre, path.holes[-1] - path.centre
    count = len(path) - int(np.count_nonzero(path.moved))
    seam_mm = float(path.stitch_mm.sum())
    bobbin_m = thread.bobbin_mm(seam_mm, count) / 1000
    return PartFacts(
        width_mm=right - left,
        height_mm=high - low,
        start_mm=(float(start[0]), float(start[1])),
        end_mm=(float(end[0]), float(end[1])),
        stitches=count,
        starts=part.pieces,
        sewing_min=count / profile.speed,
        needle_m=thread.needle_mm(seam_mm, count) / 1000,
        bobbin_m=bobbin_m,
        bobbin_share=bobbin_m / thread.bobbin_m,
        path=path,
        fewest=part.fewest,
    )
