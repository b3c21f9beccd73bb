"""Stitches cut into the parts that each field sews, with as few cuts as the fields allow.

A run is followed as far as the field that reaches furthest can sew it; the cut to the next field
lies where both reach, at the hole that hides it best: at a crossing or on the sashing, next best
at a corner. Reaching furthest first gives the fewest pieces, as for covering a line with intervals.
Python loops over pieces, never over stitches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats
from quiltpath.machine.rectangle_cover import Field
from quiltpath.stitching import PointKind, Stitches

_EDGE = 1e-6

ON_CROSSING, ON_CORNER, IN_THE_OPEN, IN_SECURING = range(4)
"""Grades of a needle hole as a place to cut, best first."""

_TOUCHING_MM = 1.8
"""Half of the longest stitch: the hole nearest to a crossing is no further from it."""


@dataclass(frozen=True)
class FieldPiece:
    """A stretch of sewing done in one field: ``first`` to ``last`` index into the holes.

    ``cut_before`` and ``cut_after`` say that the run goes on in another field.
    """

    field: int
    first: int
    last: int
    cut_before: bool
    cut_after: bool


@dataclass(frozen=True)
class Cut:
    """A needle hole at which a run passes from one field to another, and how well it hides."""

    at_mm: tuple[float, float]
    fields: tuple[int, int]
    grade: int


def cut_into_pieces(
    stitches: Stitches,
    fields: Sequence[Field],
    grade: NDArray[np.int8],
    overlap_stitches: int,
) -> tuple[tuple[FieldPiece, ...], tuple[Cut, ...]]:
    """All sewing as pieces, in sewing order, and the cuts between them.

    ``grade`` (k,) is that of :func:`hiding_grades`. With ``overlap_stitches`` the piece before a
    cut sews on by as many stitches, where its field reaches.
    Raises ``ValueError`` where a stitch lies in no field.
    """
    holes = stitches.hole_indices
    starts = _chain_starts(stitches, holes)
    lasts = np.append(starts[1:], len(holes)) - 1
    reach = _reach(stitches.points[holes], fields, starts, lasts)
    pieces: list[FieldPiece] = []
    cuts: list[Cut] = []
    for first, last in zip(starts.tolist(), lasts.tolist(), strict=True):
        for piece in _follow(first, last, reach, grade, overlap_stitches):
            if piece.cut_before:
                at = stitches.points[holes[piece.first]]
                parties = (pieces[-1].field, piece.field)
                cuts.append(Cut((float(at[0]), float(at[1])), parties, int(grade[piece.first])))
            pieces.append(piece)
    return tuple(pieces), tuple(cuts)


def _chain_starts(stitches: Stitches, holes: NDArray[np.intp]) -> NDArray[np.intp]:
    """Positions among the holes at which the needle comes without sewing."""
    lands = (stitches.kind[holes] == PointKind.STITCH) & (stitches.stretch[holes] < 0)
    lands[:1] = True
    return np.flatnonzero(lands)


@dataclass(frozen=True)
class _Reach:
    """(f, k) how far each field sews on from a hole without leaving it, -1 where it is outside;
    and how far back."""

    on: NDArray[np.int32]
    back: NDArray[np.int32]


def _reach(
    points: Floats,
    fields: Sequence[Field],
    starts: NDArray[np.intp],
    lasts: NDArray[np.intp],
) -> _Reach:
    box = np.array([(f.left, f.low, f.right, f.high) for f in fields]).T[:, :, None]
    x, y = np.ascontiguousarray(points.T)
    inside = (x >= box[0] - _EDGE) & (x <= box[2] + _EDGE)
    inside &= (y >= box[1] - _EDGE) & (y <= box[3] + _EDGE)
    count = len(points)
    index = np.arange(count, dtype=np.int32)
    gap_on = np.where(inside, np.int32(count), index)[:, ::-1]
    gap_on = np.minimum.accumulate(gap_on, axis=1)[:, ::-1]
    gap_back = np.maximum.accumulate(np.where(inside, np.int32(-1), index), axis=1)
    chain = np.repeat(np.arange(len(starts)), lasts - starts + 1)
    on = np.minimum(gap_on - 1, lasts[chain].astype(np.int32))
    back = np.maximum(gap_back + 1, starts[chain].astype(np.int32))
    outside = ~inside
    on[outside], back[outside] = -1, count
    return _Reach(on, back)


def _follow(
    first: int, last: int, reach: _Reach, grade: NDArray[np.int8], overlap: int
) -> list[FieldPiece]:
    """One run as pieces."""
    field = int(reach.on[:, first].argmax())
    pieces: list[FieldPiece] = []
    at, cut_before = first, False
    while reach.on[field, at] < last:
        end = int(reach.on[field, at])
        onward = int(reach.on[:, max(end, at)].argmax())
        if end < at or reach.on[onward, end] <= end:
            raise ValueError("a stitch lies in no field")
        cut = _best_cut(max(at + 1, int(reach.back[onward, end])), end, grade)
        pieces.append(FieldPiece(field, at, min(cut + overlap, end), cut_before, True))
        at, field, cut_before = cut, onward, True
    pieces.append(FieldPiece(field, at, last, cut_before, False))
    return pieces


def _best_cut(low: int, high: int, grade: NDArray[np.int8]) -> int:
    """The hole from ``low`` to ``high`` that hides a cut best; of equals the middle one."""
    zone = grade[low : high + 1]
    best = np.flatnonzero(zone == zone.min())
    return low + int(best[np.abs(best - (high - low) / 2).argmin()])


def hiding_grades(
    stitches: Stitches, holes: NDArray[np.intp], printed: Sequence[shapely.LineString] = ()
) -> NDArray[np.int8]:
    """(k,) grade of each of the ``holes`` (indices into ``stitches``).

    ``printed`` are the printed or sewn sashing lines: thread along and across them does not show.
    """
    grade = np.full(len(holes), IN_THE_OPEN, dtype=np.int8)
    corner = np.zeros(len(holes), dtype=np.bool_)
    corner[:-1] = np.diff(stitches.stretch[holes]) != 0
    grade[corner] = ON_CORNER
    points = stitches.points[holes]
    grade[_crossing(stitches, holes) | _near(points, printed)] = ON_CROSSING
    grade[stitches.kind[holes] == PointKind.SECURING] = IN_SECURING
    return grade


def _crossing(stitches: Stitches, holes: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Holes that the thread of another line passes."""
    line, points = stitches.line[holes], stitches.points[holes]
    ends = np.flatnonzero(stitches.stretch[holes] >= 0)
    sewn = np.stack([points[ends - 1], points[ends]], axis=1)
    # Stitch by stitch: the tree finds short pieces far sooner than whole lines.
    pairs = shapely.STRtree(shapely.linestrings(sewn)).query(
        shapely.points(points), predicate="dwithin", distance=_TOUCHING_MM
    )
    other = line[ends[pairs[1]]] != line[pairs[0]]
    crossing = np.zeros(len(holes), dtype=np.bool_)
    crossing[pairs[0][other]] = True
    return crossing


def _near(points: Floats, printed: Sequence[shapely.LineString]) -> NDArray[np.bool_]:
    near = np.zeros(len(points), dtype=np.bool_)
    if len(printed):
        tree = shapely.STRtree(list(printed))
        pairs = tree.query(shapely.points(points), predicate="dwithin", distance=_TOUCHING_MM)
        near[pairs[0]] = True
    return near
