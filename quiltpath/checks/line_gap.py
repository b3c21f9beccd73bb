"""The line gap: how far apart neighbouring parallel lines of a layer lie at the most.

It is not the gap that the wadding minds: in a square grid with one line left out the line gap
doubles and the widest empty circle stays as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.distinct import distinct

Floats = NDArray[np.float64]

_SAME_DIRECTION_DEG = 0.1
_SAME_LINE_MM = 0.05


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
