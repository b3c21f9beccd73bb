"""Stretches: the parts of a path between two needle points that must be, and their division."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.runs import Runs
from quiltpath.stitching.path import SAME_POINT_MM, Path
from quiltpath.stitching.setting import StitchSetting


@dataclass(frozen=True)
class Stretches:
    """Parts of the path between corners, ends and securing, in sewing order.

    ``low``, ``high``  (t,) arc lengths where each starts and ends, mm
    ``run``            (t,) its run
    ``securing``       (t,) true where the stitches are the tiny ones of a secured end
    """

    low: NDArray[np.float64]
    high: NDArray[np.float64]
    run: NDArray[np.int32]
    securing: NDArray[np.bool_]

    @property
    def length(self) -> NDArray[np.float64]:
        """(t,) in mm."""
        return self.high - self.low


def stretches(path: Path, runs: Runs, setting: StitchSetting) -> Stretches:
    """Cut the path at corners and where securing gives way to sewing."""
    zone_low, zone_high = _securing_zones(path, runs, setting)
    cuts = [path.run_arc, path.corner_arcs(setting.corner_deg), zone_low, zone_high]
    breaks = _well_apart(np.unique(np.concatenate(cuts)), path.run_arc)
    low, high = breaks[:-1], breaks[1:]
    middle = (low + high) / 2
    run = (np.searchsorted(path.run_arc, middle) - 1).astype(np.int32)
    securing = (middle < zone_low[run]) | (middle > zone_high[run])
    return Stretches(low, high, run, securing)


def _well_apart(breaks: NDArray[np.float64], run_arc: NDArray[np.float64]) -> NDArray[np.float64]:
    """Without cuts a hair's breadth from another: they would make stitches of no length."""
    close = np.diff(breaks) < 1e-3
    ends_run = np.isin(breaks, run_arc)
    kept = np.ones(len(breaks), dtype=np.bool_)
    kept[1:] &= ~close | ends_run[1:]
    kept[:-1] &= ~(close & ends_run[1:] & ~ends_run[:-1])
    return breaks[kept]


def _securing_zones(
    path: Path, runs: Runs, setting: StitchSetting
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Arc lengths where sewing proper begins and ends in each run.

    Short runs give a third of their length to each end at most.
    """
    run_length = np.diff(path.run_arc)
    zone = np.minimum(setting.securing_length_mm, run_length / 3)
    at_start, at_end = zone * runs.secured[:, 0], zone * runs.secured[:, 1]
    return path.run_arc[:-1] + at_start, path.run_arc[1:] - at_end


def stitch_numbers(parts: Stretches, setting: StitchSetting) -> NDArray[np.int64]:
    """(t,) stitches for each stretch: nearest the set length, never above the upper bound.

    Where a whole number of stitches fits the bounds, one that does is taken; a stretch of
    n * low .. n * high has one, and from 18 mm up (3.0 to 3.5 mm) every stretch has.
    """
    length = np.maximum(parts.length, SAME_POINT_MM)
    fewest = np.maximum(np.ceil(length / setting.high_mm - 1e-9), 1)
    most = np.floor(length / setting.low_mm + 1e-9)
    nearest = _nearest_number(length, setting.set_mm)
    number = np.where(fewest <= most, np.clip(nearest, fewest, most), fewest)
    tiny = np.maximum(np.round(length / setting.securing_mm), 1)
    return np.where(parts.securing, tiny, number).astype(np.int64)


def _nearest_number(length: NDArray[np.float64], wanted: float) -> NDArray[np.float64]:
    """The number of equal parts whose size comes nearest ``wanted``."""
    fewer = np.maximum(np.floor(length / wanted), 1)
    more = fewer + 1
    return np.where(length / fewer - wanted <= wanted - length / more, fewer, more)


def cannot_fit(parts: Stretches, setting: StitchSetting) -> NDArray[np.bool_]:
    """(t,) true where no whole number of stitches lies within the bounds."""
    fewest = np.maximum(np.ceil(parts.length / setting.high_mm - 1e-9), 1)
    return ~parts.securing & (fewest > np.floor(parts.length / setting.low_mm + 1e-9))
