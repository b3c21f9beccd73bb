"""Lines that run beside each other closer than the foot allows."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.finding import Finding
from quiltpath.checks.limits import CheckLimits
from quiltpath.quilting.lines import Lines
from quiltpath.units import millimetres

Floats = NDArray[np.float64]

_STEP_MM = 25.0
"""how often along a line its neighbours are looked for"""

_MOST_LOOKS = 20_000
"""on a drawing with more line than this many steps the step grows"""

_BESIDE_DEG = 20.0
"""lines at more than this to each other cross, they do not run side by side"""

_ON_EACH_OTHER_MM = 0.3
"""lines this near lie on each other: routing sews them once and says so"""


def lines_too_close(lines: Lines, limits: CheckLimits) -> tuple[Finding, ...]:
    """One remark on all places where two lines run closer than ``limits.foot_mm``.

    Each line is looked at every 25 mm or so, to both sides; lines that meet are left out, for
    where they meet they must be close. A line that comes close to itself is not looked for.
    """
    if len(lines) < 2:
        return ()
    places, line, along = _looks(lines.geometry)
    pairs, distance = _neighbours(places, line, along, lines.geometry, limits.foot_mm)
    if len(pairs) == 0:
        return ()
    closest = int(distance.argmin())
    x, y = places[pairs[closest]]
    message = (
        f"lines run beside each other {distance[closest]:.1f} mm apart,"
        f" the foot asks for {millimetres(limits.foot_mm)}; this at {_times(len(np.unique(pairs)))}"
    )
    remedy = "draw them further apart or leave one of the two out"
    return (Finding("lines-too-close", message, remedy, (float(x), float(y))),)


def _times(count: int) -> str:
    return "one place" if count == 1 else f"{count} places looked at"


def _looks(geometry: NDArray[np.object_]) -> tuple[Floats, NDArray[np.intp], Floats]:
    """Places along the lines, the line of each and its direction there, as (n, 2) unit vectors."""
    length = shapely.length(geometry)
    step = max(_STEP_MM, float(length.sum()) / _MOST_LOOKS)
    count = np.maximum(np.round(length / step), 1).astype(np.intp)
    line = np.repeat(np.arange(len(geometry)), count)
    number = np.arange(len(line)) - np.repeat(np.cumsum(count) - count, count)
    at = (number + 0.5) / count[line]
    near = 0.01 / np.maximum(length[line], 0.1)
    before, here, after = (
        shapely.get_coordinates(
            shapely.line_interpolate_point(geometry[line], np.clip(share, 0, 1), normalized=True)
        )
        for share in (at - near, at, at + near)
    )
    along = after - before
    return here, line, along / np.maximum(np.hypot(*along.T), 1e-12)[:, None]


def _neighbours(
    places: Floats,
    line: NDArray[np.intp],
    along: Floats,
    geometry: NDArray[np.object_],
    closest_mm: float,
) -> tuple[NDArray[np.intp], Floats]:
    """Looks that find another line too close beside them, and its distance in mm."""
    start, end, owner = _segments(geometry)
    tree = shapely.STRtree(shapely.linestrings(np.stack([start, end], axis=1)))
    across = np.column_stack([-along[:, 1], along[:, 0]]) * closest_mm
    whiskers = shapely.linestrings(np.stack([places - across, places + across], axis=1))
    look, segment = tree.query(whiskers, predicate="intersects")
    beside = (end - start)[segment]
    beside /= np.maximum(np.hypot(*beside.T), 1e-12)[:, None]
    parallel = np.abs((beside * along[look]).sum(axis=1)) > np.cos(np.radians(_BESIDE_DEG))
    other = parallel & (owner[segment] != line[look])
    look, segment = look[other], segment[other]
    distance = shapely.distance(shapely.points(places[look]), tree.geometries[segment])
    kept = (distance < closest_mm - 1e-6) & (distance > _ON_EACH_OTHER_MM)
    look, segment, distance = look[kept], segment[kept], distance[kept]
    apart = ~_meet(line[look], owner[segment], geometry)
    return look[apart], distance[apart]


def _segments(geometry: NDArray[np.object_]) -> tuple[Floats, Floats, NDArray[np.intp]]:
    """Starts and ends of all segments and the line that each belongs to."""
    points, owner = shapely.get_coordinates(geometry, return_index=True)
    joined = owner[1:] == owner[:-1]
    return points[:-1][joined], points[1:][joined], owner[1:][joined]


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
