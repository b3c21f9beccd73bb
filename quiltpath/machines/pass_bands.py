"""Passes of a frame: how many there must be, and where one may give way to the next."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class PassBands:
    """Passes of one depth over a runner, from its near edge to its far one; lengths in mm.

    ``low``, ``high``  lowest and highest y of all that is sewn
    ``depth_mm``       what one pass reaches, ``overlap_mm`` what neighbours have in common at least
    """

    low: float
    high: float
    depth_mm: float
    overlap_mm: float

    def __post_init__(self) -> None:
        if self.depth_mm <= self.overlap_mm:
            raise ValueError("the overlap takes up the whole depth of a pass")

    def __len__(self) -> int:
        """The fewest passes that reach everything."""
        extent = self.high - self.low
        if extent <= self.depth_mm + 1e-6:
            return 1
        each = self.depth_mm - self.overlap_mm
        return math.ceil((extent - self.overlap_mm) / each - 1e-6)

    def zone(self, number: int, bottom: float) -> tuple[float, float]:
        """Lowest and highest y at which pass ``number``, from 0, may give way to the next.

        ``bottom`` is where it begins. Above the zone it does not reach; from below it the passes
        that are left would not reach the far edge. It is at least the overlap wide.
        """
        left = len(self) - 1 - number
        reached = left * self.depth_mm - (left - 1) * self.overlap_mm
        return self.high - reached, bottom + self.depth_mm

    def middle(self, number: int, bottom: float) -> float:
        """Where that pass would end if it and all that are left were equal."""
        return bottom + (self.high - bottom) / (len(self) - number)

    def window(self, bottom: float, top: float) -> tuple[float, float]:
        """What a pass reaches that sews from ``bottom`` to ``top``, its slack on both sides."""
        middle = (bottom + top) / 2
        return middle - self.depth_mm / 2, middle + self.depth_mm / 2
