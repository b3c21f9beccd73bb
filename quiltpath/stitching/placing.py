"""Runs to needle points: corners always, even division between them, all runs at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.runs import Runs
from quiltpath.stitching.path import Path, path_of
from quiltpath.stitching.setting import StitchSetting
from quiltpath.stitching.stitches import PointKind, Stitches
from quiltpath.stitching.stretches import Stretches, cannot_fit, stitch_numbers, stretches


def place(runs: Runs, setting: StitchSetting) -> Stitches:
    """Needle points for all runs, in sewing order.

    Each run is: travel to its start, needle down there, its stitches, trim. Work and memory grow
    with the number of stitches; nothing loops over them in Python.
    """
    path = path_of(runs)
    parts = stretches(path, runs, setting)
    number = stitch_numbers(parts, setting)
    arcs, part = _divided(parts, number)
    points, segment = _on_path(path, parts, arcs, part)
    number, changed = _fewer_on_tight_curves(path, parts, number, points, part, setting)
    if changed:
        arcs, part = _divided(parts, number)
        points, segment = _on_path(path, parts, arcs, part)
    return _assembled(runs, path, parts, number, points, part, segment, setting)


def _divided(
    parts: Stretches, number: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Arc lengths of all stitch ends, and the stretch of each."""
    part = np.repeat(np.arange(len(number)), number)
    first = np.concatenate([[0], np.cumsum(number)[:-1]])
    step = np.arange(len(part)) - first[part] + 1
    arcs = parts.low[part] + parts.length[part] * (step / number[part])
    last = step == number[part]
    arcs[last] = parts.high[part[last]]
    return arcs, part


def _on_path(
    path: Path, parts: Stretches, arcs: NDArray[np.float64], part: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    segment = path.segment_at(arcs, parts.run[part])
    return path.points_at(arcs, segment), segment


def _fewer_on_tight_curves(
    path: Path,
    parts: Stretches,
    number: NDArray[np.int64],
    points: NDArray[np.float64],
    part: NDArray[np.intp],
    setting: StitchSetting,
) -> tuple[NDArray[np.int64], bool]:
    """A stitch is a chord, shorter than its arc: where one falls short, try one stitch fewer."""
    before = np.concatenate([points[:1], points[:-1]])
    starts = np.concatenate([[0], np.cumsum(number)[:-1]]).astype(np.intp)
    before[starts] = _on_path(path, parts, parts.low, np.arange(len(number)))[0]
    chord = np.hypot(*(points - before).T)
    if not len(chord):
        return number, False
    shortest = np.minimum.reduceat(chord, starts)
    room = parts.length / np.maximum(number - 1, 1) <= setting.high_mm
    fewer = (shortest < setting.low_mm - 1e-6) & room & (number > 1) & ~parts.securing
    return number - fewer, bool(fewer.any())


def _assembled(
    runs: Runs,
    path: Path,
    parts: Stretches,
    number: NDArray[np.int64],
    points: NDArray[np.float64],
    part: NDArray[np.intp],
    segment: NDArray[np.intp],
    setting: StitchSetting,
) -> Stitches:
    """Stitch ends with travel and needle-down before, and a trim after, each run."""
    run = parts.run[part]
    per_run = np.bincount(run, minlength=len(runs))
    at = np.arange(len(points)) + 3 * run + 2
    total = len(points) + 3 * len(runs)
    begin = np.concatenate([[0], np.cumsum(per_run + 3)[:-1]]).astype(np.intp)
    end = begin + per_run + 2

    all_points = np.empty((total, 2))
    all_points[at] = points
    all_points[begin] = all_points[begin + 1] = path.run_first
    all_points[end] = all_points[end - 1]
    kind = np.full(total, PointKind.STITCH, dtype=np.int8)
    kind[at[parts.securing[part]]] = PointKind.SECURING
    kind[begin], kind[end] = PointKind.TRAVEL, PointKind.TRIM
    line = np.full(total, -1, dtype=np.int32)
    line[at] = path.line[segment]
    stretch = np.full(total, -1, dtype=np.int32)
    stretch[at] = part
    return Stitches(
        points=all_points,
        kind=kind,
        run=np.repeat(np.arange(len(runs), dtype=np.int32), per_run + 3),
        line=line,
        stretch=stretch,
        forced_short=_forced_short(parts, number, at, setting),
    )


def _forced_short(
    parts: Stretches, number: NDArray[np.int64], at: NDArray[np.intp], setting: StitchSetting
) -> NDArray[np.float64]:
    short = np.flatnonzero(cannot_fit(parts, setting))
    first = at[(np.cumsum(number) - number)[short]] if len(short) else short
    return np.column_stack([parts.length[short], number[short], first]).astype(np.float64)
