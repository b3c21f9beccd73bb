"""Passes of a frame: how many there must be, and the places where a line may pass to the next.

A place is graded by how well it hides the cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats, arc_lengths, distinct
from quiltpath.geometry.polyline_stretches import stretches

CORNER_DEG = 30.0
CLEAR_MM = 4.0
"""A cut keeps this far from the ends of its span, so that no piece is shorter than a stitch."""


@dataclass(frozen=True)
class PassBands:
    """Passes of one depth over a runner, from its near edge to its far one; lengths in mm.

    ``low``, ``high``  lowest and highest y of all that is sewn
    ``depth_mm``       what one pass reaches, ``overlap_mm`` what neighbours have in common at least
    """

    low: float
    high: float
    depth_mm: float
    overlap_mm: float

    def __post_init__(self) -> None:
        if self.depth_mm <= self.overlap_mm:
            raise ValueError("the overlap takes up the whole depth of a pass")

    def __len__(self) -> int:
        """The fewest passes that reach everything."""
        extent = self.high - self.low
        if extent <= self.depth_mm + 1e-6:
            return 1
        each = self.depth_mm - self.overlap_mm
        return math.ceil((extent - self.overlap_mm) / each - 1e-6)

    def zone(self, number: int, bottom: float) -> tuple[float, float]:
        """Lowest and highest y at which pass ``number``, from 0, may give way to the next.

        ``bottom`` is where it begins. Above the zone it does not reach; from below it the passes
        that are left would not reach the far edge. It is at least the overlap wide.
        """
        left = len(self) - 1 - number
        reached = left * self.depth_mm - (left - 1) * self.overlap_mm
        return self.high - reached, bottom + self.depth_mm

    def middle(self, number: int, bottom: float) -> float:
        """Where that pass would end if it and all that are left were equal."""
        return bottom + (self.high - bottom) / (len(self) - number)

    def window(self, bottom: float, top: float) -> tuple[float, float]:
        """What a pass reaches that sews from ``bottom`` to ``top``, its slack on both sides."""
        middle = (bottom + top) / 2
        return middle - self.depth_mm / 2, middle + self.depth_mm / 2


class HidingGrade(IntEnum):
    """How well a place hides a cut, best first."""

    JOINS = 0
    """another line crosses that can be sewn on with: no thread ends there"""
    CROSSES = 1
    """another line or a printed sashing line crosses"""
    CORNER = 2
    OPEN = 3


@dataclass(frozen=True)
class Spans:
    """Stretches in each of which one cut is needed, as parallel arrays.

    ``line`` (s,) index of the line; ``low``, ``high`` (s,) arc lengths of the stretch on it;
    ``upwards`` (s,) true where the line goes on into the upper pass; ``shape`` (s,) its geometry
    """

    line: NDArray[np.intp]
    low: Floats
    high: Floats
    upwards: NDArray[np.bool_]
    shape: NDArray[np.object_]

    def __len__(self) -> int:
        return len(self.line)


@dataclass(frozen=True)
class Places:
    """Places where spans may be cut: ``span``, ``hiding``, ``partner`` (line or -1), (k, 2)."""

    span: NDArray[np.intp]
    hiding: NDArray[np.int8]
    partner: NDArray[np.intp]
    point: Floats

    def take(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> Places:
        """The chosen places."""
        return Places(
            self.span[chosen], self.hiding[chosen], self.partner[chosen], self.point[chosen]
        )


def spans_of(
    shapes: NDArray[np.object_], which: NDArray[np.intp], zone: tuple[float, float]
) -> Spans:
    """The spans of those lines that lie on both sides of the zone."""
    found, drawn = [], []
    for line in which.tolist():
        points = shapely.get_coordinates(shapes[line])
        own = _line_spans(points, zone)
        found += [(line, *span) for span in own]
        drawn += stretches(points, [(low, high) for low, high, _ in own])
    parts = np.empty(len(found), dtype=object)
    parts[:] = [shapely.LineString(points) for points in drawn]
    columns = list(zip(*found, strict=True)) or [(), (), (), ()]
    return Spans(
        np.array(columns[0], dtype=np.intp),
        np.array(columns[1], dtype=np.float64),
        np.array(columns[2], dtype=np.float64),
        np.array(columns[3], dtype=np.bool_),
        parts,
    )


def _line_spans(points: Floats, zone: tuple[float, float]) -> list[tuple[float, float, bool]]:
    """Arc lengths between a stretch beyond the zone on one side and the next on the other."""
    y = points[:, 1]
    along = arc_lengths(points)
    breaks = [along]
    for level in zone:
        crossed = np.flatnonzero((y[:-1] - level) * (y[1:] - level) < 0)
        share = (level - y[crossed]) / (y[crossed + 1] - y[crossed])
        breaks.append(along[crossed] + share * np.diff(along)[crossed])
    at = distinct(np.concatenate(breaks))
    height = np.interp((at[:-1] + at[1:]) / 2, along, y)
    side = (height > zone[1]).astype(int) - (height < zone[0])
    beyond = np.flatnonzero(side)
    turns = np.flatnonzero(np.diff(side[beyond]))
    return [
        (float(at[beyond[k] + 1]), float(at[beyond[k + 1]]), bool(side[beyond[k]] < 0))
        for k in turns.tolist()
    ]


def cutting_places(
    spans: Spans,
    shapes: NDArray[np.object_],
    can_join: NDArray[np.bool_],
    printed: Sequence[shapely.LineString],
) -> Places:
    """Crossings with other lines, with printed lines, and corners; ``can_join`` (lines,)."""
    span, partner, point = _crossings(spans, shapes)
    on_print, _, print_point = _crossings(spans, np.array(list(printed), dtype=object), False)
    at_corner, corner = _corners(spans)
    hiding = np.concatenate(
        [
            np.where(can_join[partner], HidingGrade.JOINS, HidingGrade.CROSSES),
            np.full(len(on_print), HidingGrade.CROSSES),
            np.full(len(at_corner), HidingGrade.CORNER),
        ]
    ).astype(np.int8)
    nobody = np.full(len(on_print) + len(at_corner), -1, dtype=np.intp)
    places = Places(
        np.concatenate([span, on_print, at_corner]),
        hiding,
        np.concatenate([partner, nobody]),
        np.round(np.vstack([point, print_point, corner]), 6).astype(np.float64),
    )
    return places.take(_clear_of_ends(spans, places))


def _clear_of_ends(spans: Spans, places: Places) -> NDArray[np.bool_]:
    length = (spans.high - spans.low)[places.span]
    at = shapely.line_locate_point(spans.shape[places.span], shapely.points(places.point))
    clear = np.minimum(CLEAR_MM, length / 3)
    return (at >= clear) & (at <= length - clear)


def _crossings(
    spans: Spans, others: NDArray[np.object_], own: bool = True
) -> tuple[NDArray[np.intp], NDArray[np.intp], Floats]:
    """Span, other line and place of each crossing; with ``own`` the spans' lines are among them."""
    span, other = shapely.STRtree(others).query(spans.shape, predicate="intersects")
    if own:
        apart = spans.line[span] != other
        span, other = span[apart], other[apart]
    shared = shapely.intersection(spans.shape[span], others[other])
    point, pair = shapely.get_coordinates(shared, return_index=True)
    return span[pair].astype(np.intp), other[pair].astype(np.intp), point


def _corners(spans: Spans) -> tuple[NDArray[np.intp], Floats]:
    """Span and place of each vertex at which a line turns by more than 30 degrees."""
    points, span = shapely.get_coordinates(spans.shape, return_index=True)
    way = np.diff(points, axis=0)
    size = np.hypot(*way.T)
    straight = (way[:-1] * way[1:]).sum(axis=1) < np.cos(np.radians(CORNER_DEG)) * (
        size[:-1] * size[1:]
    )
    within = (span[:-2] == span[2:]) & straight
    at = np.flatnonzero(within) + 1
    return span[at].astype(np.intp), points[at]
