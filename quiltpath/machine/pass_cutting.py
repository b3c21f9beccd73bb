"""Lines cut where one pass of a frame ends and the next begins.

The pass line lies where it hides most cuts. A line that both passes reach on the whole of its
length, and that others are cut at, is shared out between them piece by piece, by turns: so the
cut ends of the others are joined to each other in pairs, along a line that is wanted anyway, and no
thread ends on the cloth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats, distinct
from quiltpath.geometry.polyline_stretches import stretches
from quiltpath.machine.pass_bands import (
    CLEAR_MM,
    HidingGrade,
    Places,
    Spans,
    cutting_places,
    spans_of,
)
from quiltpath.routing.nodes import connected_components

_SAME_HEIGHT_MM = 0.5
NARROW_MM = 6.0
"""Half of a narrow zone: two short stitches."""


@dataclass(frozen=True)
class Pieces:
    """Pieces of lines: their geometry and the index of the line that each is of."""

    shape: NDArray[np.object_]
    origin: NDArray[np.int32]

    def __len__(self) -> int:
        return len(self.shape)

    def take(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> Pieces:
        """The chosen pieces."""
        return Pieces(self.shape[chosen], self.origin[chosen])


@dataclass(frozen=True)
class LineCut:
    """A place where a line passes from one pass to the next, and how well that hides.

    ``line`` is its index; ``below`` and ``above`` are (k, 2) its own way on from there into either
    pass.
    """

    at_mm: tuple[float, float]
    line: int
    hiding: HidingGrade
    below: Floats
    above: Floats


@dataclass(frozen=True)
class PassSplit:
    """Pieces below a pass line and above it, and the cuts between them."""

    below: Pieces
    above: Pieces
    cuts: tuple[LineCut, ...]


@dataclass(frozen=True)
class PartingRule:
    """How two passes are parted where several ways are open.

    ``rank``    which height the pass line lies at: 0 for the one that hides most cuts, and so on
    ``narrow``  lines that come near the pass line are cut there, also where one pass reaches them
    ``shared``  lines that others are cut at are shared out, so that cut ends are joined in pairs
    """

    rank: int = 0
    narrow: bool = False
    shared: bool = True


PLAINLY = PartingRule()


def part_at_pass_line(
    pieces: Pieces,
    zone: tuple[float, float],
    middle: float,
    printed: Sequence[shapely.LineString] = (),
    parting: PartingRule = PLAINLY,
) -> PassSplit:
    """``pieces`` parted within the zone (lowest and highest y, mm), as near to ``middle`` as hides.

    Every point of them is in one part, those of a cut in both. What lies below the zone is in the
    lower part, what lies above it in the upper one. In the whole zone no fewer cuts lie open than
    in any part of it: a line that must be cut has the more places to choose from.
    """
    if parting.narrow:
        line_y = _pass_lines(pieces, zone, middle, printed, parting.rank)
        near = max(zone[0], line_y - NARROW_MM), min(zone[1], line_y + NARROW_MM)
        return part_at_pass_line(
            pieces, near, line_y, printed, replace(parting, narrow=False, rank=0)
        )
    shapes, low, high = _beyond(pieces, zone)
    pieces = replace(pieces, shape=shapes)
    free = ~low & ~high
    spans = spans_of(shapes, np.flatnonzero(low & high), zone)
    places = cutting_places(spans, shapes, free | (low & high), printed)
    line_y = _pass_line(places, middle, parting.rank)
    chosen = _chosen(spans, places, line_y)
    halves = _halves(pieces, spans, chosen)
    shared = _share_lines(pieces, np.flatnonzero(free & parting.shared), chosen)
    rest = np.setdiff1d(np.flatnonzero(free), shared.line)
    upper = _upper(shapes[rest], line_y)
    below = [pieces.take(low & ~high), halves.part(False), shared.part(False)]
    above = [pieces.take(high & ~low), halves.part(True), shared.part(True)]
    return PassSplit(
        _together([*below, pieces.take(rest[~upper])]),
        _together([*above, pieces.take(rest[upper])]),
        (*_cuts(chosen, halves), *shared.cuts()),
    )


def _pass_lines(
    pieces: Pieces,
    zone: tuple[float, float],
    middle: float,
    printed: Sequence[shapely.LineString],
    rank: int,
) -> float:
    """The height of that rank in the whole zone."""
    shapes, low, high = _beyond(pieces, zone)
    spans = spans_of(shapes, np.flatnonzero(low & high), zone)
    return _pass_line(cutting_places(spans, shapes, ~(low ^ high), printed), middle, rank)


def _beyond(
    pieces: Pieces, zone: tuple[float, float]
) -> tuple[NDArray[np.object_], NDArray[np.bool_], NDArray[np.bool_]]:
    """The shapes, and which of them lie below the zone somewhere, and which above it."""
    shapes = _begin_beyond(pieces.shape, zone)
    bounds = shapely.bounds(shapes).reshape(-1, 4)
    return shapes, bounds[:, 1] < zone[0], bounds[:, 3] > zone[1]


def _begin_beyond(shapes: NDArray[np.object_], zone: tuple[float, float]) -> NDArray[np.object_]:
    """Closed lines begun outside the zone, so that where they begin is no cut."""
    found = shapes.copy()
    bounds = shapely.bounds(shapes).reshape(-1, 4)
    both = (bounds[:, 1] < zone[0]) & (bounds[:, 3] > zone[1]) & shapely.is_closed(shapes)
    for index in np.flatnonzero(both).tolist():
        points = shapely.get_coordinates(shapes[index])[:-1]
        points = np.roll(points, -int(np.argmin(points[:, 1])), axis=0)
        found[index] = shapely.LineString(np.vstack([points, points[:1]]))
    return found


def _pass_line(places: Places, middle: float, rank: int) -> float:
    """The height that hides most cuts, or the one that comes ``rank`` after it; of equals the
    nearest to the middle. The middle itself comes last."""
    good = places.hiding <= HidingGrade.CROSSES
    if not good.any():
        return middle
    height = np.round(places.point[good, 1] / _SAME_HEIGHT_MM).astype(np.int64)
    each = distinct(np.column_stack([height, places.span[good], places.hiding[good]]), axis=0)
    heights, index = np.unique(each[:, 0], return_inverse=True)
    score = np.bincount(index, weights=np.where(each[:, 2] == HidingGrade.JOINS, 1.0, 0.5))
    away = np.abs(heights * _SAME_HEIGHT_MM - middle)
    ranked = heights[np.lexsort((away, -score))] * _SAME_HEIGHT_MM
    return float(ranked[rank]) if rank < len(ranked) else middle


def _chosen(spans: Spans, places: Places, line_y: float) -> Places:
    """One place for each span, in their order: what hides best, then what is nearest the line."""
    open_places = _open_places(spans, line_y)
    every = Places(
        np.concatenate([places.span, open_places.span]),
        np.concatenate([places.hiding, open_places.hiding]),
        np.concatenate([places.partner, open_places.partner]),
        np.vstack([places.point, open_places.point]),
    )
    away = np.round(np.abs(every.point[:, 1] - line_y), 3)
    order = np.lexsort((every.partner, every.point[:, 0], away, every.hiding, every.span))
    return every.take(order[np.unique(every.span[order], return_index=True)[1]])


def _open_places(spans: Spans, line_y: float) -> Places:
    """Where each span meets the pass line, or else its middle."""
    count = len(spans)
    middle = shapely.line_interpolate_point(spans.shape, 0.5, normalized=True)
    bounds = shapely.bounds(spans.shape).reshape(-1, 4)
    level = shapely.linestrings(
        [[[box[0] - 1, line_y], [box[2] + 1, line_y]] for box in bounds.tolist()]
        or np.zeros((0, 2, 2))
    )
    met = shapely.intersection(spans.shape, level)
    near = shapely.get_coordinates(shapely.shortest_line(middle, met))
    point = shapely.get_coordinates(middle)
    some = ~shapely.is_empty(met)
    point[some] = near.reshape(-1, 2, 2)[:, 1] if some.any() else point[some]
    return Places(
        np.arange(count),
        np.full(count, HidingGrade.OPEN, dtype=np.int8),
        np.full(count, -1, dtype=np.intp),
        np.round(point, 6),
    )


@dataclass(frozen=True)
class _SharedLines:
    """Pieces of cut lines: ``line`` (p,) index among the pieces cut, ``upper`` (p,)."""

    pieces: Pieces
    line: NDArray[np.intp]
    upper: NDArray[np.bool_]

    def part(self, upper: bool) -> Pieces:
        """Those for one of the two passes."""
        return self.pieces.take(self.upper == upper)

    def cuts(self) -> tuple[LineCut, ...]:
        """Where a piece goes over into the next one of its line."""
        found = []
        follows = np.flatnonzero(np.diff(self.line) == 0)
        for k, onward in [*((k, k + 1) for k in follows.tolist()), *self._closing()]:
            before = shapely.get_coordinates(self.pieces.shape[k])[::-1]
            after = shapely.get_coordinates(self.pieces.shape[onward])
            below, above = (after, before) if self.upper[k] else (before, after)
            at = (float(after[0, 0]), float(after[0, 1]))
            found.append(LineCut(at, int(self.pieces.origin[k]), HidingGrade.JOINS, below, above))
        return tuple(found)

    def _closing(self) -> list[tuple[int, int]]:
        """The last and the first piece of closed lines that begin at a cut."""
        change = np.flatnonzero(np.diff(self.line, prepend=-1, append=-1))
        first, last = change[:-1], change[1:] - 1
        return [
            (b, a)
            for a, b in zip(first.tolist(), last.tolist(), strict=True)
            if self.upper[a] != self.upper[b]
            and self.pieces.shape[a].coords[0] == self.pieces.shape[b].coords[-1]
        ]


def _cut_up(
    pieces: Pieces,
    line: int,
    at: Floats,
    point: Floats,
    upper_first: bool,
) -> _SharedLines:
    """One line cut at arc lengths, by turns for the upper and the lower pass."""
    shape, stops = pieces.shape[line], np.concatenate([[0.0], at, [pieces.shape[line].length]])
    parts = np.empty(len(at) + 1, dtype=object)
    between = list(zip(stops[:-1].tolist(), stops[1:].tolist(), strict=True))
    for k, points in enumerate(stretches(shapely.get_coordinates(shape), between)):
        points[0] = point[k - 1] if k > 0 else points[0]
        points[-1] = point[k] if k < len(at) else points[-1]
        parts[k] = shapely.LineString(points)
    number = np.arange(len(parts))
    return _SharedLines(
        Pieces(parts, np.full(len(parts), pieces.origin[line], dtype=np.int32)),
        np.full(len(parts), line, dtype=np.intp),
        number % 2 == int(not upper_first),
    )


def _halves(pieces: Pieces, spans: Spans, chosen: Places) -> _SharedLines:
    """The lines that must be cut, in pieces."""
    found = []
    for line in distinct(spans.line).tolist():
        own = np.flatnonzero(spans.line == line)
        point = chosen.point[own]
        at = spans.low[own] + shapely.line_locate_point(spans.shape[own], shapely.points(point))
        found.append(_cut_up(pieces, line, at, point, not bool(spans.upwards[own[0]])))
    return _all(found)


def _share_lines(pieces: Pieces, free: NDArray[np.intp], chosen: Places) -> _SharedLines:
    """The lines that either pass can sew and at which others are cut, in pieces by turns."""
    found = []
    shapes = pieces.shape.copy()
    for line in np.intersect1d(free, chosen.partner).tolist():
        point = distinct(chosen.point[chosen.partner == line], axis=0)
        shape = shapes[line] = _begin_at(shapes[line], point[0])
        at = shapely.line_locate_point(shape, shapely.points(point))
        order = np.argsort(at, kind="stable")
        at, point = at[order], point[order]
        kept = _drop_crowded(at, shape.length)
        if len(kept):
            found.append(_cut_up(replace(pieces, shape=shapes), line, at[kept], point[kept], False))
    return _all(found)


def _begin_at(line: shapely.LineString, point: Floats) -> shapely.LineString:
    """A closed line begun at a point on it; others as they are."""
    if not line.is_closed:
        return line
    at = line.project(shapely.Point(point))
    round_it = [(at, line.length), (0.0, at)]
    points = np.vstack(stretches(shapely.get_coordinates(line), round_it))
    points[0] = points[-1] = point
    new = np.concatenate([[True], (np.diff(points, axis=0) != 0).any(axis=1)])
    return shapely.LineString(points[new])


def _drop_crowded(at: Floats, length: float) -> list[int]:
    """Those places that leave no piece too short to be sewn."""
    kept: list[int] = []
    last = 0.0
    for index, place in enumerate(at.tolist()):
        if place - last >= CLEAR_MM and length - place >= CLEAR_MM:
            kept.append(index)
            last = place
    return kept


def _all(found: list[_SharedLines]) -> _SharedLines:
    none = np.zeros(0, dtype=np.intp)
    return _SharedLines(
        _together([each.pieces for each in found]),
        np.concatenate([none, *(each.line for each in found)]),
        np.concatenate([none.astype(bool), *(each.upper for each in found)]),
    )


def _together(parts: Sequence[Pieces]) -> Pieces:
    nothing = np.zeros(0, dtype=object)
    return Pieces(
        np.concatenate([nothing, *(part.shape for part in parts)]),
        np.concatenate([np.zeros(0, dtype=np.int32), *(part.origin for part in parts)]),
    )


def _upper(shapes: NDArray[np.object_], line_y: float) -> NDArray[np.bool_]:
    """Which lines go to the upper pass: those that touch each other go together."""
    if not len(shapes):
        return np.zeros(0, dtype=bool)
    pairs = shapely.STRtree(shapes).query(shapes, predicate="intersects").T
    group = connected_components(len(shapes), pairs.astype(np.intp))
    length = shapely.length(shapes)
    height = shapely.get_y(shapely.centroid(shapes))
    moment = np.bincount(group, weights=length * height)[group]
    return moment / np.bincount(group, weights=length)[group] >= line_y


def _cuts(chosen: Places, halves: _SharedLines) -> tuple[LineCut, ...]:
    """The cuts of the lines that must be cut, with how well each hides."""
    graded = zip(chosen.point.tolist(), chosen.hiding.tolist(), strict=True)
    hiding = {(x, y): HidingGrade(grade) for (x, y), grade in graded}
    return tuple(replace(cut, hiding=hiding[cut.at_mm]) for cut in halves.cuts())
