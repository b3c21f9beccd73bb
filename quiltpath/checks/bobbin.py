"""Where to change the bobbin: at the run end before it runs out, not in the middle of a line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.checks.finding import Finding
from quiltpath.checks.limits import CheckLimits
from quiltpath.stitching.stitches import PointKind, Stitches


@dataclass(frozen=True)
class BobbinChanges:
    """Where a bobbin is changed.

    ``after_run``  indices of the runs after which a full bobbin goes in
    ``runs_out``   indices into the stitches' points where one bobbin ends within a run that
                   takes more than a whole one
    """

    after_run: tuple[int, ...]
    runs_out: tuple[int, ...]


def bobbin_changes(stitches: Stitches, metres_per_stitch: float, bobbin_m: float) -> BobbinChanges:
    """The fewest changes that end no bobbin within a run, save in runs longer than a bobbin.

    Each bobbin sews as many whole runs as it can (no other choice needs fewer bobbins). A run
    that takes more than a full bobbin starts with a full one. Raises ``ValueError`` for a bobbin
    that holds not even one stitch.
    """
    per_bobbin = int(bobbin_m / metres_per_stitch + 1e-9)
    if per_bobbin < 1:
        raise ValueError("the bobbin must hold at least one stitch")
    sewn = np.flatnonzero((stitches.kind == PointKind.SECURING) | stitches.is_stitch)
    per_run = np.bincount(stitches.run[sewn])
    starts = np.concatenate([[0], np.cumsum(per_run)])
    after_run, runs_out, used_from = list[int](), list[int](), 0
    while used_from + per_bobbin < starts[-1]:
        last = int(np.searchsorted(starts, used_from + per_bobbin, side="right")) - 1
        if starts[last] > used_from:
            after_run.append(last - 1)
            used_from = int(starts[last])
        else:
            used_from += per_bobbin
            runs_out.append(int(sewn[used_from - 1]))
    return BobbinChanges(tuple(after_run), tuple(runs_out))


def bobbin_findings(
    stitches: Stitches, metres_per_stitch: float, bobbin_m: float, limits: CheckLimits
) -> tuple[Finding, ...]:
    """Remarks on where to change the bobbin and which runs outlast one."""
    if not stitches.stitch_count:
        return ()
    counted_on = bobbin_m * (1 - limits.bobbin_reserve)
    changes = bobbin_changes(stitches, metres_per_stitch, counted_on)
    return (*_changes(stitches, changes), *_outlasted(stitches, changes, counted_on))


def _changes(stitches: Stitches, changes: BobbinChanges) -> tuple[Finding, ...]:
    if not changes.after_run:
        return ()
    numbers = ", ".join(str(run + 1) for run in changes.after_run)
    several = len(changes.after_run) > 1
    message = f"the bobbin runs out within the work; change it after run{'s' * several} {numbers}"
    last = int(np.flatnonzero(stitches.run == changes.after_run[0])[-1])
    remedy = "at a run's end the change leaves no join within a line; wind the bobbins beforehand"
    return (Finding("bobbin-change", message, remedy, _at(stitches.points[last])),)


def _outlasted(
    stitches: Stitches, changes: BobbinChanges, counted_on_m: float
) -> tuple[Finding, ...]:
    if not changes.runs_out:
        return ()
    runs = sorted({int(stitches.run[point]) + 1 for point in changes.runs_out})
    several, count = len(runs) > 1, len(changes.runs_out)
    numbers = ", ".join(str(run) for run in runs)
    message = (
        f"run{'s' * several} {numbers} take{'s' * (not several)} more than a bobbin, of which"
        f" {counted_on_m:.0f} m can be counted on; it runs out {count} time{'s' * (count > 1)}"
        " within a line"
    )
    remedy = (
        "start with a full bobbin, stop at the last place before this where the line meets the"
        " edge or a sashing line, and overlap a few stitches"
    )
    return (
        Finding("bobbin-outlasted", message, remedy, _at(stitches.points[changes.runs_out[0]])),
    )


def _at(point: NDArray[np.float64]) -> tuple[float, float]:
    return float(point[0]), float(point[1])
