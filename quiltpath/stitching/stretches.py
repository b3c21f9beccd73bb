"""Stretches: the parts of a path between two needle points that must be, and their division."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.distinct import distinct
from quiltpath.routing.runs import Runs
from quiltpath.stitching.corners import corner_arcs
from quiltpath.stitching.path import Path
from quiltpath.stitching.securing import securing_zones
from quiltpath.stitching.setting import StitchSetting


@dataclass(frozen=True)
class Stretches:
    """Parts of the path between corners, ends and securing, in sewing order.

    ``low``, ``high``  (t,) arc lengths where each starts and ends, mm
    ``run``            (t,) its run
    ``securing``       (t,) true where the stitches are the tiny ones of a secured end
    ``corners``        how many of the cuts are corners
    """

    low: NDArray[np.float64]
    high: NDArray[np.float64]
    run: NDArray[np.int32]
    securing: NDArray[np.bool_]
    corners: int

    def __len__(self) -> int:
        return len(self.low)

    @property
    def length(self) -> NDArray[np.float64]:
        """(t,) in mm."""
        return self.high - self.low

    def take(self, chosen: NDArray[np.bool_]) -> Stretches:
        """The chosen stretches."""
        return Stretches(
            self.low[chosen],
            self.high[chosen],
            self.run[chosen],
            self.securing[chosen],
            self.corners,
        )


def stretches(path: Path, runs: Runs, setting: StitchSetting) -> Stretches:
    """Cut the path at run ends, at corners and where securing gives way to sewing."""
    corners = corner_arcs(path, setting.corner_deg)
    zone_low, zone_high = securing_zones(path.run_arc, corners, runs.secured, setting)
    breaks = distinct(np.concatenate([path.run_arc, corners, zone_low, zone_high]))
    low, high = breaks[:-1], breaks[1:]
    middle = (low + high) / 2
    run = (np.searchsorted(path.run_arc, middle) - 1).astype(np.int32)
    securing = (middle < zone_low[run]) | (middle > zone_high[run])
    return Stretches(low, high, run, securing, len(corners))


def stitch_numbers(
    length: NDArray[np.float64], securing: NDArray[np.bool_], setting: StitchSetting
) -> NDArray[np.int64]:
    """(t,) stitches for each length: nearest the set length, never above the upper bound.

    Where a whole number of stitches fits the bounds, one that does is taken; a length of
    n * low .. n * high has one, and from 18 mm up (3.0 to 3.5 mm) every length has.
    """
    fewest = np.maximum(np.ceil(length / setting.high_mm - 1e-9), 1)
    most = np.floor(length / setting.low_mm + 1e-9)
    nearest = _nearest_number(length, setting.set_mm)
    number = np.maximum(np.minimum(nearest, most), fewest)
    tiny = np.maximum(np.round(length / setting.securing_mm), 1)
    return np.where(securing, tiny, number).astype(np.int64)


def _nearest_number(length: NDArray[np.float64], wanted: float) -> NDArray[np.float64]:
    """The number of equal parts whose size comes nearest ``wanted``."""
    fewer = np.maximum(np.floor(length / wanted), 1)
    more = fewer + 1
    return np.where(length / fewer - wanted <= wanted - length / more, fewer, more)
