"""What the sewer has set: stitch length, its bounds, and how thread ends are held."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class StitchSetting:
    """Stitch length and securing, lengths in mm, the corner in degrees.

    ``securing`` is ``"tiny"`` (``securing_count`` stitches of about ``securing_mm`` where a run
    starts or ends inside the quilt) or ``"tails"`` (thread left to bury, no extra stitches).
    """

    set_mm: float
    low_mm: float
    high_mm: float
    corner_deg: float
    securing: Literal["tiny", "tails"]
    securing_count: int
    securing_mm: float

    @property
    def securing_length_mm(self) -> float:
        """Path taken up by securing at one end; 0 with tails."""
        return self.securing_count * self.securing_mm if self.securing == "tiny" else 0.0
