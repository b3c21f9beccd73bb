"""How long the sewing takes: stitches over speed, and everything that is not stitching."""

from __future__ import annotations

from dataclasses import dataclass

SECONDS_PER_MINUTE = 60.0


@dataclass(frozen=True)
class TimeSetting:
    """Speed in stitches a minute; each of the other acts in seconds."""

    stitches_per_minute: float
    start_s: float
    stop_s: float
    pivot_s: float
    bobbin_change_s: float


@dataclass(frozen=True)
class SewingTime:
    """Minutes at the machine, in all and by what they go into."""

    stitching_min: float
    starts_and_stops_min: float
    pivots_min: float
    bobbin_changes_min: float

    @property
    def sewing_min(self) -> float:
        """Sum of the parts."""
        ends = self.starts_and_stops_min + self.pivots_min
        return self.stitching_min + ends + self.bobbin_changes_min


def sewing_time(
    stitch_count: int, runs: int, pivots: int, bobbins: int, setting: TimeSetting
) -> SewingTime:
    """Time for so many stitches in so many runs; the first bobbin is there at the start."""
    changes = max(bobbins - 1, 0)
    return SewingTime(
        stitching_min=stitch_count / setting.stitches_per_minute,
        starts_and_stops_min=runs * (setting.start_s + setting.stop_s) / SECONDS_PER_MINUTE,
        pivots_min=pivots * setting.pivot_s / SECONDS_PER_MINUTE,
        bobbin_changes_min=changes * setting.bobbin_change_s / SECONDS_PER_MINUTE,
    )
