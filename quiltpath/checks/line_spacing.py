"""Neighbouring lines: where two run closer than the foot allows, and how far apart parallels lie.

The line gap, the widest distance between neighbouring parallels of a layer, is not the gap that
the wadding minds: in a square grid with one line left out the line gap doubles and the widest
empty circle stays as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.limits import CheckLimits
from quiltpath.findings import Finding
from quiltpath.geometry.arrays import Floats, Segments, distinct, segments, shares
from quiltpath.geometry.line_pairs import which_meet
from quiltpath.patterns import LineRole, Lines
from quiltpath.units import inch_fraction, millimetres

_STEP_MM = 25.0
"""how often along a line its neighbours are looked for"""

_MOST_LOOKS = 20_000
"""on a drawing with more line than this many steps the step grows"""

_BESIDE = np.cos(np.radians(20.0))
"""lines at more than 20° to each other cross, they do not run side by side"""

_ON_EACH_OTHER_MM = 0.3
"""lines this near lie on each other: routing sews them once and says so"""

_FEWEST = 3
"""lines that come too close at fewer places are told in the report alone"""

_LONG = 20
"""and beside a motif's outline, which fill runs up to, at fewer than these: half a metre"""

_SAME_DIRECTION_DEG = 0.1
_SAME_LINE_MM = 0.05


def lines_too_close(lines: Lines, limits: CheckLimits) -> tuple[Finding, ...]:
    """One remark on all places where two lines run closer than ``limits.foot_mm``.

    Each line is looked at every 25 mm or so, to both sides; lines that meet are left out, for
    where they meet they must be close. A line that comes close to itself is not looked for.
    """
    parts = segments(lines.geometry)
    if len(distinct(parts.owner)) < 2:
        return ()
    places, segment = _looks(parts, len(lines))
    found = _neighbours(places, segment, parts, lines, limits.foot_mm)
    if len(found.look) == 0:
        return ()
    among, beside = found.chosen(~found.by_a_motif), found.chosen(found.by_a_motif)
    worth = among.count >= _FEWEST or beside.count < _LONG
    told = among if among.count and worth else beside
    mild = among.count < _FEWEST and beside.count < _LONG
    closest = int(told.distance.argmin())
    x, y = places[told.look[closest]]
    message = (
        f"lines lie only {told.distance[closest]:.1f} mm apart,"
        f" the foot asks for {millimetres(limits.foot_mm)}; this at {_times(told.count)}"
    )
    remedy = "draw them further apart or leave one of the two out"
    if told is beside:
        message += " beside a motif's outline"
        clear = inch_fraction(limits.foot_mm)
        remedy = f'clearance = "{clear}" has the lines round motifs end that much sooner'
    return (Finding("lines-too-close", message, remedy, (float(x), float(y)), mild=mild),)


@dataclass(frozen=True)
class _ClosePairs:
    """Looks that find another line too close, its distance in mm, and whether one is an outline."""

    look: NDArray[np.intp]
    distance: Floats
    by_a_motif: NDArray[np.bool_]

    @property
    def count(self) -> int:
        """Places, each once."""
        return len(distinct(self.look))

    def chosen(self, which: NDArray[np.bool_]) -> _ClosePairs:
        """Those of the pairs."""
        return _ClosePairs(self.look[which], self.distance[which], self.by_a_motif[which])


def _times(count: int) -> str:
    return "one place" if count == 1 else f"{count} places"


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
    lines: Lines,
    closest_mm: float,
) -> _ClosePairs:
    """Looks that find another line too close beside them."""
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
    one, another = parts.owner[on[look]], parts.owner[segment]
    apart = ~_meet(one, another, lines.geometry) & ~_of_one_motif(one, another, lines)
    outline = (lines.role[one] == LineRole.OUTLINE) | (lines.role[another] == LineRole.OUTLINE)
    return _ClosePairs(look[apart], distance[apart], np.asarray(outline[apart], dtype=np.bool_))


def _of_one_motif(
    one: NDArray[np.intp], another: NDArray[np.intp], lines: Lines
) -> NDArray[np.bool_]:
    """Outlines of one motif lie as they are printed, however close."""
    outlines = (lines.role[one] == LineRole.OUTLINE) & (lines.role[another] == LineRole.OUTLINE)
    return np.asarray(outlines & (lines.source[one] == lines.source[another]), dtype=np.bool_)


def _meet(
    one: NDArray[np.intp], other: NDArray[np.intp], geometry: NDArray[np.object_]
) -> NDArray[np.bool_]:
    """(n,) whether the two lines of each pair touch or cross anywhere."""
    pairs, back = np.unique(
        np.column_stack([np.minimum(one, other), np.maximum(one, other)]),
        axis=0,
        return_inverse=True,
    )
    meet = which_meet(geometry[pairs[:, 0]], geometry[pairs[:, 1]])
    return meet[back.reshape(-1)]


@dataclass(frozen=True)
class LineGap:
    """The widest distance between neighbours, across the lines, and the place midway."""

    distance_mm: float
    at_mm: tuple[float, float]
    angle_deg: float


def line_gap(lines: Sequence[object] | NDArray[np.object_]) -> LineGap | None:
    """The widest line gap among the straight lines of one layer, (n,) LineStrings in mm.

    Lines are neighbours where nothing of their own family lies between them; a line that a motif
    interrupts is still one line. None where no two lines are parallel.
    """
    ends = _straight(np.asarray(lines, dtype=object))
    gaps = [gap for family in _families(ends) if (gap := _widest(family)) is not None]
    return max(gaps, key=lambda gap: gap.distance_mm, default=None)


def _straight(lines: NDArray[np.object_]) -> Floats:
    """(k, 2, 2) ends of those lines that are straight."""
    simple = shapely.simplify(lines, _SAME_LINE_MM / 2, preserve_topology=False)
    straight = simple[(shapely.get_num_coordinates(simple) == 2) & (shapely.length(simple) > 1)]
    return shapely.get_coordinates(straight).reshape(-1, 2, 2)


def _families(ends: Floats) -> list[Floats]:
    """Lines of one direction together."""
    if len(ends) == 0:
        return []
    along = ends[:, 1] - ends[:, 0]
    # A quarter degree on, so that level lines, 0 or 180 but for rounding, stay together.
    angle = (np.degrees(np.arctan2(along[:, 1], along[:, 0])) + 0.25) % 180
    order = np.argsort(angle, kind="stable")
    breaks = np.flatnonzero(np.diff(angle[order]) > _SAME_DIRECTION_DEG) + 1
    return [ends[part] for part in np.split(order, breaks)]


def _widest(family: Floats) -> LineGap | None:
    """The widest gap in one family of parallels."""
    turn = _turn(family)
    turned = family @ turn.T
    place, begin, finish = _whole_lines(turned)
    columns = distinct(np.concatenate([begin, finish]))
    columns = (columns[1:] + columns[:-1]) / 2
    covered = (begin < columns[:, None]) & (columns[:, None] < finish)
    column, line = np.nonzero(covered)
    distance = np.where(np.diff(column) == 0, np.diff(place[line]), 0.0)
    if not distance.any():
        return None
    top = int(distance.argmax())
    middle = np.array([columns[column[top]], place[line[top]] + distance[top] / 2]) @ turn
    angle = float(np.degrees(np.arctan2(turn[0, 1], turn[0, 0])) % 180)
    return LineGap(float(distance[top]), (float(middle[0]), float(middle[1])), angle)


def _turn(family: Floats) -> Floats:
    """Rotation that lays the family level: the direction of its longest line."""
    along = family[:, 1] - family[:, 0]
    length = np.hypot(*along.T)
    x, y = along[length.argmax()] / length.max()
    return np.array([[x, y], [-y, x]])


def _whole_lines(turned: Floats) -> tuple[Floats, Floats, Floats]:
    """Place, begin and finish of each level line, interrupted ones as one, by rising place.

    Begin and finish are to a millionth of a millimetre, or lines that end together would seem to
    leave their neighbours alone for a stretch as long as the rounding.
    """
    height = turned[:, :, 1].mean(axis=1)
    order = np.argsort(height, kind="stable")
    opens = np.concatenate([[True], np.diff(height[order]) > _SAME_LINE_MM])
    first = np.flatnonzero(opens)
    x: Floats = np.round(turned[order, :, 0], 6)
    begin = np.minimum.reduceat(x.min(axis=1), first)
    finish = np.maximum.reduceat(x.max(axis=1), first)
    return height[order][first], begin, finish
