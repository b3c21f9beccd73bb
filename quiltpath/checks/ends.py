"""Starts and stops that show: secured in the middle, where no line or binding hides them."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.finding import Finding
from quiltpath.checks.limits import CheckLimits
from quiltpath.quilting.lines import Lines
from quiltpath.routing.runs import Runs
from quiltpath.runner.runner import Runner

Floats = NDArray[np.float64]


def ends_on_show(
    runner: Runner, lines: Lines, runs: Runs, limits: CheckLimits
) -> tuple[Finding, ...]:
    """One remark on all secured ends that lie away from the edge, sashing and motif outlines."""
    ends = runs.ends[runs.secured]
    if len(ends) == 0:
        return ()
    shown = ends[~_hidden(ends, runner, lines, limits)]
    if len(shown) == 0:
        return ()
    middle = np.array(runner.outline.centroid.coords[0])
    x, y = shown[np.hypot(*(shown - middle).T).argmin()]
    count = len(shown)
    message = f"{count} {'start or stop shows' if count == 1 else 'starts and stops show'}"
    remedy = (
        "start and stop on a sashing line or a motif's outline, run the line out over the edge,"
        " or leave tails and bury them"
    )
    return (Finding("ends-on-show", message, remedy, (float(x), float(y))),)


def _hidden(ends: Floats, runner: Runner, lines: Lines, limits: CheckLimits) -> NDArray[np.bool_]:
    """(n,) true for ends under the binding, or beside a line on which a second pass hides."""
    points = shapely.points(ends)
    edge = shapely.distance(runner.outline.boundary, points) <= limits.edge_mm
    outside = ~shapely.contains_xy(runner.outline, ends[:, 0], ends[:, 1])
    return edge | outside | _near(points, _hiding(runner, lines), limits.beside_mm)


def _hiding(runner: Runner, lines: Lines) -> NDArray[np.object_]:
    """Sashing lines, motif outlines, seams, and quilting that may be retraced."""
    outlines = [line for motif in runner.motifs for line in motif.outlines]
    seams = [seam.line for seam in runner.seams]
    retraceable = lines.geometry[lines.retraceable]
    return np.array([*runner.printed, *outlines, *seams, *retraceable], dtype=object)


def _near(
    points: NDArray[np.object_], shapes: NDArray[np.object_], within_mm: float
) -> NDArray[np.bool_]:
    near = np.zeros(len(points), dtype=np.bool_)
    if len(shapes):
        found, _ = shapely.STRtree(shapes).query(points, predicate="dwithin", distance=within_mm)
        near[found] = True
    return near
