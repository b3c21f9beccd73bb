"""Lines that run beside each other closer than the foot allows."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.finding import Finding
from quiltpath.checks.limits import CheckLimits
from quiltpath.checks.segments import Segments, segments, shares
from quiltpath.distinct import distinct
from quiltpath.quilting.lines import Lines
from quiltpath.units import millimetres

Floats = NDArray[np.float64]

_STEP_MM = 25.0
"""how often along a line its neighbours are looked for"""

_MOST_LOOKS = 20_000
"""on a drawing with more line than this many steps the step grows"""

_BESIDE = np.cos(np.radians(20.0))
"""lines at more than 20° to each other cross, they do not run side by side"""

_ON_EACH_OTHER_MM = 0.3
"""lines this near lie on each other: routing sews them once and says so"""


def lines_too_close(lines: Lines, limits: CheckLimits) -> tuple[Finding, ...]:
    """One remark on all places where two lines run closer than ``limits.foot_mm``.

    Each line is looked at every 25 mm or so, to both sides; lines that meet are left out, for
    where they meet they must be close. A line that comes close to itself is not looked for.
    """
    parts = segments(lines.geometry)
    if len(distinct(parts.owner)) < 2:
        return ()
    places, segment = _looks(parts, len(lines))
    pairs, distance = _neighbours(places, segment, parts, lines.geometry, limits.foot_mm)
    if len(pairs) == 0:
        return ()
    closest = int(distance.argmin())
    x, y = places[pairs[closest]]
    message = (
        f"lines run beside each other {distance[closest]:.1f} mm apart,"
        f" the foot asks for {millimetres(limits.foot_mm)}; this at {_times(len(distinct(pairs)))}"
    )
    remedy = "draw them further apart or leave one of the two out"
    return (Finding("lines-too-close", message, remedy, (float(x), float(y))),)


def _times(count: int) -> str:
    return "one place" if count == 1 else f"{count} places looked at"


def _looks(parts: Segments, lines: int) -> tuple[Floats, NDArray[np.intp]]:
    """(n, 2) places evenly along each line, and the segment on which each lies."""
    total = np.bincount(parts.owner, parts.length, minlength=lines)
    step = max(_STEP_MM, float(total.sum()) / _MOST_LOOKS)
    line, share = shares(np.maximum(np.round(total / step), 1).astype(np.intp))
    before = np.concatenate([[0.0], np.cumsum(parts.length)])
    arc = (np.cumsum(total) - total)[line] + share * total[line]
    segment = np.searchsorted(before, arc, side="right") - 1
    part = (arc - before[segment]) / parts.length[segment]
    return parts.start[segment] + parts.along[segment] * part[:, None], segment


def _neighbours(
    places: Floats,
    on: NDArray[np.intp],
    parts: Segments,
    geometry: NDArray[np.object_],
    closest_mm: float,
) -> tuple[NDArray[np.intp], Floats]:
    """Looks that find another line too close beside them, and its distance in mm."""
    unit = parts.along / parts.length[:, None]
    tree = shapely.STRtree(shapely.linestrings(np.stack([parts.start, parts.end], axis=1)))
    across = np.column_stack([-unit[on, 1], unit[on, 0]]) * closest_mm
    whiskers = shapely.linestrings(np.stack([places - across, places + across], axis=1))
    look, segment = tree.query(whiskers, predicate="intersects")
    parallel = np.abs((unit[segment] * unit[on[look]]).sum(axis=1)) > _BESIDE
    other = parallel & (parts.owner[segment] != parts.owner[on[look]])
    look, segment = look[other], segment[other]
    distance = shapely.distance(shapely.points(places[look]), tree.geometries[segment])
    kept = (distance < closest_mm - 1e-6) & (distance > _ON_EACH_OTHER_MM)
    look, segment, distance = look[kept], segment[kept], distance[kept]
    apart = ~_meet(parts.owner[on[look]], parts.owner[segment], geometry)
    return look[apart], distance[apart]


def _meet(
    one: NDArray[np.intp], other: NDArray[np.intp], geometry: NDArray[np.object_]
) -> NDArray[np.bool_]:
    """(n,) whether the two lines of each pair touch or cross anywhere."""
    pairs, back = np.unique(
        np.column_stack([np.minimum(one, other), np.maximum(one, other)]),
        axis=0,
        return_inverse=True,
    )
    meet = shapely.intersects(geometry[pairs[:, 0]], geometry[pairs[:, 1]])
    return meet[back.reshape(-1)]
