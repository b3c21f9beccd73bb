"""Ruler lists: where straight lines meet the edges, measured from one end so that no error adds up.

Read from the lines themselves, not from the layer's words: what is listed is what is sewn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.drawing.page_model import Box
from quiltpath.geometry.arrays import Points, distinct, members
from quiltpath.language import message

LOWER, RIGHT, UPPER, LEFT = range(4)
EDGE_NAMES = (
    message("lower edge"),
    message("right edge"),
    message("upper edge"),
    message("left edge"),
)
MEASURED_FROM = (
    message("from the left end"),
    message("from the lower edge"),
    message("from the left end"),
    message("from the lower edge"),
)

SAME_MM = 0.02
ALIKE_MM = 0.1
"""Marks of two places that differ by no more share a list."""

SHORTEST_MM = 5.0
"""A line that only clips the corner of the rectangle cannot be ruled."""

DIGITS = 3
NEARLY_PARALLEL_DEG = 1.0
"""Lines that differ by less make one list: each has its own two marks anyway."""


@dataclass(frozen=True)
class RulerList:
    """One family of parallel lines over one rectangle, or over several that are alike.

    ``box``     the rectangle on the runner, mm
    ``places``  names of the rectangles for which the list holds
    ``angle``   degrees anticlockwise from the runner's length, 0 to 180
    ``edge``    (n, 2) edge on which each line starts and ends
    ``at``      (n, 2) mm along these edges, from the left end or the lower edge
    ``whole``   false where the rectangle is only the straight middle of a shaped piece
    """

    box: Box
    places: tuple[str, ...]
    angle: float
    edge: NDArray[np.intp]
    at: Points
    whole: bool = True

    def __len__(self) -> int:
        return len(self.at)

    @property
    def most_on_an_edge(self) -> int:
        """Marks on the busiest edge."""
        return int(np.bincount(self.edge.ravel(), minlength=4).max())

    def rounded(self, step_mm: float = 0.5) -> RulerList:
        """The list as it is read off a ruler: positions to a half millimetre, or ``step_mm``."""
        return replace(self, at=np.round(self.at / step_mm) * step_mm)

    def ends(self) -> Points:
        """(n, 2, 2) the two points of each line on the runner: the list put back into geometry."""
        return np.stack(
            [_on_edge(self.box, self.edge[:, i], self.at[:, i]) for i in (0, 1)], axis=1
        )


def _on_edge(box: Box, edge: NDArray[np.intp], at: Points) -> Points:
    x0, y0, x1, y1 = box
    level = edge % 2 == 0
    x = np.where(level, x0 + at, np.where(edge == RIGHT, x1, x0))
    y = np.where(level, np.where(edge == UPPER, y1, y0), y0 + at)
    return np.stack([x, y], axis=1)


def straight_only(geometry: NDArray[np.object_]) -> bool:
    """Whether every line runs straight from end to end."""
    first, last = shapely.get_point(geometry, 0), shapely.get_point(geometry, -1)
    return bool((shapely.length(geometry) - shapely.distance(first, last) < 1e-6).all())


def ruler_lists(
    geometry: NDArray[np.object_], source: NDArray[np.object_], shapes: dict[str, BaseGeometry]
) -> tuple[tuple[RulerList, ...], NDArray[np.bool_]]:
    """The lists for straight lines, and which lines they reach.

    ``source`` names each line's place, ``shapes`` gives the shape of every place. Places of one
    size whose lines lie alike share a list.
    """
    ends = np.stack(
        [shapely.get_coordinates(shapely.get_point(geometry, i)) for i in (0, -1)], axis=1
    )
    angle = _angles(ends)
    family = _families(angle)
    reached = np.zeros(len(geometry), dtype=np.bool_)
    found: list[RulerList] = []
    number = {place: at for at, place in enumerate(dict.fromkeys(source.tolist()))}
    of_place = members(np.array([number[place] for place in source.tolist()], np.intp), len(number))
    for place, mine in zip(number, of_place, strict=True):
        box, whole = straight_part(shapes[place])
        for parallel in distinct(family[mine]):
            chosen = mine[family[mine] == parallel]
            ruled, inside = _marks_on_edges(box, angle[chosen], ends[chosen])
            reached[chosen[inside]] = True
            if len(ruled.at):
                found.append(replace(ruled, places=(place,), whole=whole))
    return merge_lists(found), reached


def _angles(ends: Points) -> Points:
    """(n,) degrees from 0 to 180; what is lengthwise but for a hair counts from below 0."""
    run = ends[:, 1] - ends[:, 0]
    degrees = np.round(np.degrees(np.arctan2(run[:, 1], run[:, 0])) % 180, DIGITS)
    return np.where(degrees > 180 - NEARLY_PARALLEL_DEG, degrees - 180, degrees)


def _families(angle: Points) -> NDArray[np.intp]:
    """(n,) number of the family: lines that follow a print off square are nearly parallel."""
    order = np.argsort(angle, kind="stable")
    steps = np.diff(angle[order], prepend=angle[order[:1]])
    family = np.empty(len(angle), dtype=np.intp)
    family[order] = np.cumsum(steps > NEARLY_PARALLEL_DEG)
    return family


def straight_part(shape: BaseGeometry) -> tuple[Box, bool]:
    """The rectangle to measure on: the whole shape, or the full-height middle of a shaped one.

    The box is empty (no length) where there is no such middle.
    """
    x0, y0, x1, y1 = (float(edge) for edge in shape.bounds)
    none = (x0, y0, x0, y1), False
    if not isinstance(shape, Polygon):
        return none
    solid = Polygon(shape.exterior)
    if solid.area >= 0.9995 * (x1 - x0) * (y1 - y0):
        return (x0, y0, x1, y1), True
    corners = shapely.get_coordinates(solid)
    low = corners[corners[:, 1] < y0 + SAME_MM, 0]
    high = corners[corners[:, 1] > y1 - SAME_MM, 0]
    left, right = float(max(low.min(), high.min())), float(min(low.max(), high.max()))
    if right > left and solid.buffer(SAME_MM).covers(shapely.box(left, y0, right, y1)):
        return (left, y0, right, y1), False
    return none


def _marks_on_edges(box: Box, angle: Points, ends: Points) -> tuple[RulerList, NDArray[np.bool_]]:
    """The distinct lines through ``ends`` as marks on the edges of the box.

    They rise from the end that is measured from: upwards for lengthwise lines, else to the right.
    """
    radians = np.radians(angle)
    along = np.stack([np.cos(radians), np.sin(radians)], axis=1)
    along[np.abs(along) < 1e-12] = 0.0
    base = ends.mean(axis=1)
    enter, leave, edge_in, edge_out = _through(box, base, along)
    inside = leave - enter >= SHORTEST_MM
    start, end = base + enter[:, None] * along, base + leave[:, None] * along
    edge, at = _at_corners(
        box,
        np.stack([edge_in, edge_out], axis=1),
        np.stack([_along_edge(box, edge_in, start), _along_edge(box, edge_out, end)], axis=1),
    )
    turn = np.radians(np.median(angle))
    across = np.array([np.sin(turn), -np.cos(turn)])
    rising = np.array([0.0, 1.0]) if abs(np.median(angle)) < NEARLY_PARALLEL_DEG else across
    order = np.argsort(np.round((start + end) @ rising, 3), kind="stable")
    order = order[inside[order]]
    if len(order):
        moved = np.abs(np.diff(at[order], axis=0)).max(axis=1) > SAME_MM
        turned = (np.diff(edge[order], axis=0) != 0).any(axis=1)
        order = order[np.concatenate([[True], moved | turned])]
    mean = float(np.round(np.median(angle) % 180, DIGITS))
    return RulerList(box, (), mean, edge[order], at[order]), inside


def _through(
    box: Box, base: Points, along: Points
) -> tuple[Points, Points, NDArray[np.intp], NDArray[np.intp]]:
    """Where lines enter and leave a box (slab method), and by which edges."""
    low, high = np.array(box[:2]), np.array(box[2:])
    flat = along == 0
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = (low - base) / along, (high - base) / along
    missed = ((base < low - SAME_MM) | (base > high + SAME_MM)) & flat
    near = np.where(flat, -np.inf, np.minimum(one, other))
    far = np.where(flat, np.inf, np.maximum(one, other))
    enter, leave = near.max(axis=1), far.min(axis=1)
    leave = np.where(missed.any(axis=1), enter - 1.0, leave)
    edge_in = _edge_of(near.argmax(axis=1), along, entering=True)
    edge_out = _edge_of(far.argmin(axis=1), along, entering=False)
    return enter, leave, edge_in, edge_out


def _edge_of(axis: NDArray[np.intp], along: Points, *, entering: bool) -> NDArray[np.intp]:
    side = np.where((along[:, 0] > 0) == entering, LEFT, RIGHT)
    level = np.where((along[:, 1] > 0) == entering, LOWER, UPPER)
    return np.where(axis == 0, side, level)


def _along_edge(box: Box, edge: NDArray[np.intp], points: Points) -> Points:
    return np.where(edge % 2 == 0, points[:, 0] - box[0], points[:, 1] - box[1])


def _at_corners(box: Box, edge: NDArray[np.intp], at: Points) -> tuple[NDArray[np.intp], Points]:
    """A mark in a corner belongs to the lower or upper edge, whatever the last digit says."""
    width, height = box[2] - box[0], box[3] - box[1]
    upright = edge % 2 == 1
    low, high = upright & (at < SAME_MM), upright & (at > height - SAME_MM)
    corner_at = np.where(edge == RIGHT, width, 0.0)
    at = np.where(low | high, corner_at, at)
    return np.where(low, LOWER, np.where(high, UPPER, edge)), at


def merge_lists(lists: Sequence[RulerList]) -> tuple[RulerList, ...]:
    """Lists that read the same for rectangles of the same size, as one with all their places."""
    kept: list[RulerList] = []
    for each in lists:
        for number, first in enumerate(kept):
            if _reads_alike(first, each):
                kept[number] = replace(first, places=first.places + each.places)
                break
        else:
            kept.append(each)
    return tuple(kept)


def _reads_alike(one: RulerList, other: RulerList) -> bool:
    if abs(one.angle - other.angle) > NEARLY_PARALLEL_DEG or one.whole != other.whole:
        return False
    if one.at.shape != other.at.shape:
        return False
    size = [np.subtract(each.box[2:], each.box[:2]) for each in (one, other)]
    if np.abs(size[0] - size[1]).max() > ALIKE_MM or (one.edge != other.edge).any():
        return False
    return bool(np.abs(one.at - other.at).max() <= ALIKE_MM)
