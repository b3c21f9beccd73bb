"""Lines that stay long on the bulk of the panel join, because they cross it at a shallow angle."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.finding import Finding
from quiltpath.checks.limits import CheckLimits
from quiltpath.distinct import distinct
from quiltpath.routing.runs import Runs
from quiltpath.runner.runner import Runner, Seam
from quiltpath.units import millimetres

Floats = NDArray[np.float64]


def shallow_crossings(runner: Runner, runs: Runs, limits: CheckLimits) -> tuple[Finding, ...]:
    """One remark for each panel join that runs cross at less than ``limits.join_angle_deg``."""
    start, end, run = _segments(runs)
    found = list[Finding]()
    for seam in runner.seams:
        if seam.is_panel_join and len(start):
            found.extend(_at_join(seam, start, end, run, limits))
    return tuple(found)


def _segments(runs: Runs) -> tuple[Floats, Floats, NDArray[np.intp]]:
    """Starts and ends of everything sewn, and the run of each."""
    run = np.repeat(np.arange(len(runs)), np.diff(runs.vertex_start))
    sewn = (run[1:] == run[:-1]) & np.any(np.diff(runs.coordinates, axis=0) != 0, axis=1)
    return runs.coordinates[:-1][sewn], runs.coordinates[1:][sewn], run[1:][sewn]


def _at_join(
    seam: Seam, start: Floats, end: Floats, run: NDArray[np.intp], limits: CheckLimits
) -> tuple[Finding, ...]:
    lines = shapely.linestrings(np.stack([start, end], axis=1))
    shapely.prepare(seam.line)
    angle = _angle_deg(end - start, seam)
    shallow = (angle < limits.join_angle_deg - 1e-9) & (angle > limits.in_the_ditch_deg)
    crossing = np.flatnonzero(shallow)[shapely.intersects(seam.line, lines[shallow])]
    if len(crossing) == 0:
        return ()
    worst = int(crossing[angle[crossing].argmin()])
    place = shapely.get_coordinates(shapely.intersection(seam.line, lines[worst]))[0]
    on_bulk = 2 * limits.join_bulk_mm / np.sin(np.radians(angle[worst]))
    count = len(distinct(run[crossing]))
    message = (
        f"{'a run crosses' if count == 1 else f'{count} runs cross'} the {seam.name} at"
        f" {angle[worst]:.0f}° and so {'stays' if count == 1 else 'stay'} on its bulk for"
        f" {millimetres(on_bulk)}"
    )
    remedy = (
        f"cross it at {limits.join_angle_deg:.0f}° or more, or sew slowly there by the handwheel"
    )
    at = (float(place[0]), float(place[1]))
    return (Finding("join-crossed-shallow", message, remedy, at),)


def _angle_deg(along: Floats, seam: Seam) -> Floats:
    """(n,) angle between each segment and the straight through the seam's ends, 0 to 90°."""
    ends = shapely.get_coordinates(seam.line)[[0, -1]]
    x, y = ends[1] - ends[0]
    cross = np.abs(along[:, 0] * y - along[:, 1] * x)
    dot = np.abs(along[:, 0] * x + along[:, 1] * y)
    return np.degrees(np.arctan2(cross, dot))
