"""The parts of a design, each sewn in one go: its field, its stitches, its alignment crosses.

A part has two crosses in common with a neighbour that was sewn before it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats
from quiltpath.machine.hooping_cuts import FieldPiece
from quiltpath.machine.rectangle_cover import Field
from quiltpath.stitching import PointKind, Stitches

_Columns = tuple[Floats, NDArray[np.int8], NDArray[np.int32], NDArray[np.int32]]

ARM_MM = 3.0
"""Half the length of a cross; drawn and sewn alike."""

MARKED_INSIDE_MM, MOST_INSIDE = 25.0, 1 / 8
"""From the cloth's edge to a cross that is marked by hand: 1 in, clear of a raw edge that frays and
of the binding's seam (common practice), of a narrow piece no more than that share of it."""

APART_MM = 12.0
"""Crosses that are nearer to one another than that run into each other under a pen."""

TOUCH_MM = 1e-6

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Part:
    """What is sewn with the work clamped once; coordinates are those of the runner.

    ``number``     place in the sewing order, from 1
    ``name``       file name without extension; names sort in sewing order
    ``field``      where the machine's usable field lies on the runner
    ``stitches``   what is sewn, with securing at the cuts
    ``crosses``    (2, 2) alignment crosses
    ``pieces``     starts of thread in this part
    ``fewest``     the fewest starts that there can be, where the part was put in order by itself
    """

    number: int
    name: str
    field: Field
    stitches: Stitches
    crosses: Floats
    pieces: int
    fewest: int | None = None

    @property
    def machine_stitches(self) -> Stitches:
        """The stitches as the machine sees them: a turned runner is turned back upright."""
        return _quarter_turn(self.stitches) if self.field.turned else self.stitches


@dataclass(frozen=True)
class CutSecuring:
    """Tiny stitches that lock the thread on each side of a cut; ``count`` 0 for none."""

    count: int = 4
    length_mm: float = 1.0


def part_stitches(
    stitches: Stitches,
    pieces: Sequence[FieldPiece],
    securing: CutSecuring,
    crosses: Floats | None = None,
) -> Stitches:
    """The pieces of one part as stitches: each with travel, needle down, sewing, trim.

    With ``crosses`` the part begins by sewing them, and waits for the person after each.
    """
    holes = stitches.hole_indices
    blocks = [_cross_block(cross) for cross in (crosses if crosses is not None else ())]
    blocks += [_piece_block(stitches, holes, piece, securing) for piece in pieces]
    return _join(blocks)


def with_crosses(stitches: Stitches, crosses: Floats) -> Stitches:
    """The stitches with crosses sewn before them, and a wait for the person after each."""
    first = _join([_cross_block(cross) for cross in crosses])
    return Stitches(
        np.vstack([first.points, stitches.points]),
        np.concatenate([first.kind, stitches.kind]),
        np.concatenate([first.run, stitches.run + len(crosses)]).astype(np.int32),
        np.concatenate([first.line, stitches.line]),
        np.concatenate([first.stretch, stitches.stretch]),
        stitches.forced_short + np.array([0, 0, len(first)]),
        stitches.pivots,
    )


@dataclass(frozen=True)
class _Block:
    """One start of thread: points, kinds, lines, stretches."""

    points: Floats
    kind: NDArray[np.int8]
    line: NDArray[np.int32]
    stretch: NDArray[np.int32]


def _piece_block(
    stitches: Stitches, holes: NDArray[np.intp], piece: FieldPiece, securing: CutSecuring
) -> _Block:
    index = holes[piece.first : piece.last + 1]
    points, kind = stitches.points[index], stitches.kind[index].copy()
    line, stretch = stitches.line[index], stitches.stretch[index].copy()
    kind[0], stretch[0] = PointKind.STITCH, -1
    opening = _locking(points, securing) if piece.cut_before else points[:0]
    closing = _locking(points[::-1], securing) if piece.cut_after else points[:0]
    return _with_commands(
        [
            (points[:1], kind[:1], line[:1], stretch[:1]),
            _secure(opening, line[:1]),
            (points[1:], kind[1:], line[1:], stretch[1:]),
            _secure(closing, line[-1:]),
        ],
        [PointKind.TRIM],
    )


def _locking(points: Floats, securing: CutSecuring) -> Floats:
    """There and back along the first stitch, ending where it began."""
    if len(points) < 2 or securing.count == 0:
        return points[:0]
    way = points[1] - points[0]
    share = min(1.0, securing.length_mm / max(float(np.hypot(*way)), 1e-9))
    pairs = -(-securing.count // 2)
    return np.tile([points[0] + share * way, points[0]], (pairs, 1))


def _secure(points: Floats, line: NDArray[np.int32]) -> _Columns:
    count = len(points)
    return (
        points,
        np.full(count, PointKind.SECURING, dtype=np.int8),
        np.repeat(line, count) if count else line[:0],
        np.full(count, -1, dtype=np.int32),
    )


def _with_commands(columns: Sequence[_Columns], ending: Sequence[PointKind]) -> _Block:
    """The columns one after the other, with travel before and commands after."""
    points = np.vstack([column[0] for column in columns])
    after = len(ending)
    none = np.full(after, -1, dtype=np.int32)
    first = np.array([PointKind.TRAVEL], dtype=np.int8)
    return _Block(
        np.vstack([points[:1], points, np.repeat(points[-1:], after, axis=0)]),
        np.concatenate([first, *(c[1] for c in columns), np.array(ending, dtype=np.int8)]),
        np.concatenate([none[:1], *(c[2] for c in columns), none]),
        np.concatenate([none[:1], *(c[3] for c in columns), none]),
    )


def _cross_block(centre: Floats) -> _Block:
    points = cross_holes(centre)
    line = np.full(len(points), -1, dtype=np.int32)
    stretch = np.concatenate([[-1], np.zeros(len(points) - 1)]).astype(np.int32)
    kind = np.full(len(points), PointKind.STITCH, dtype=np.int8)
    return _with_commands([(points, kind, line, stretch)], [PointKind.TRIM, PointKind.STOP])


def _join(blocks: Sequence[_Block]) -> Stitches:
    sizes = [len(block.points) for block in blocks]
    return Stitches(
        np.vstack([block.points for block in blocks]),
        np.concatenate([block.kind for block in blocks]),
        np.repeat(np.arange(len(blocks), dtype=np.int32), sizes),
        np.concatenate([block.line for block in blocks]),
        np.concatenate([block.stretch for block in blocks]),
        np.zeros((0, 3)),
    )


def _quarter_turn(stitches: Stitches) -> Stitches:
    """A quarter turn to the right, so that what lay along the runner now lies across."""
    points = np.column_stack([stitches.points[:, 1], -stitches.points[:, 0]])
    return _at(stitches, points)


def turned_back(stitches: Stitches) -> Stitches:
    """Stitches of a runner that lies turned a quarter to the right, as it lies in the guide."""
    points = np.column_stack([-stitches.points[:, 1], stitches.points[:, 0]])
    return _at(stitches, points + 0.0)


def _at(stitches: Stitches, points: Floats) -> Stitches:
    return Stitches(
        points,
        stitches.kind,
        stitches.run,
        stitches.line,
        stitches.stretch,
        stitches.forced_short,
    )


def alignment_crosses(
    fields: Sequence[Field], cloth: Bounds, *, sewn: bool = False
) -> tuple[Floats, ...]:
    """(2, 2) crosses of each field, fields in sewing order, in mm on the runner.

    They lie far apart in what the field has in common with the field sewn before it that it
    shares most with, on the cloth where that is possible; the first field takes those of the
    second. A field that shares nothing is aligned on its own middle line. Where the machine sews
    them (``sewn``) they may lie as near to the edge as their arms allow: the binding covers them.
    """
    partner = [_partner(fields, index) for index in range(len(fields))]
    shared = [
        field.common(fields[other]) if other is not None else None
        for field, other in zip(fields, partner, strict=True)
    ]
    found = [
        _spread(_on_cloth(box, field, cloth, sewn=sewn))
        for box, field in zip(shared, fields, strict=True)
    ]
    follower = next((index for index, other in enumerate(partner) if other == 0), None)
    if follower is not None:
        found[0] = found[follower]
    return tuple(found)


def shared_crosses(fields: Sequence[Field], crosses: Sequence[Floats]) -> tuple[Floats, ...]:
    """The crosses with one in the place of several that a pen would draw over one another.

    A cross serves each part whose field it lies in. The one that serves most is taken first, the
    earliest of equals.
    """
    every = np.vstack(crosses)
    part = np.repeat(np.arange(len(crosses)), [len(own) for own in crosses])
    apart = np.hypot(*(every[:, None] - every[None]).transpose(2, 0, 1))
    held = np.array([_holds(fields[index], every) for index in part.tolist()])
    serves = held & (apart < APART_MM) & (part[:, None] != part[None])
    serves |= apart == 0.0
    left, found = np.ones(len(every), dtype=bool), every.copy()
    while left.any():
        most = int(((serves & left[:, None]).sum(axis=0) * left).argmax())
        chosen = np.flatnonzero(serves[:, most] & left)
        first = chosen[np.lexsort([apart[chosen, most], part[chosen]])]
        chosen = first[np.unique(part[first], return_index=True)[1]]  # one to a part
        found[chosen] = every[most]
        left[chosen] = False
    return tuple(np.split(found, np.cumsum([len(own) for own in crosses])[:-1]))


def _holds(field: Field, places: Floats) -> NDArray[np.bool_]:
    """Which of the places the needle gets to."""
    x, y = places.T
    along = (x >= field.left - TOUCH_MM) & (x <= field.right + TOUCH_MM)
    up = (y >= field.low - TOUCH_MM) & (y <= field.high + TOUCH_MM)
    inside: NDArray[np.bool_] = along & up
    return inside


def _partner(fields: Sequence[Field], index: int) -> int | None:
    shared = [_area(fields[index].common(other)) for other in fields[:index]]
    return int(np.argmax(shared)) if shared and max(shared) > 0 else None


def _area(box: Bounds | None) -> float:
    return (box[2] - box[0]) * (box[3] - box[1]) if box else 0.0


def _on_cloth(box: Bounds | None, field: Field, cloth: Bounds, *, sewn: bool) -> Bounds:
    """The shared rectangle as far as it lies on the cloth, a cross's arm inside."""
    wide = box or (field.left, field.low, field.right, field.high)
    low, high = list(wide[:2]), list(wide[2:])
    for axis in (0, 1):
        inside = ARM_MM if sewn else _inside_mm(cloth[axis + 2] - cloth[axis])
        for edge in (inside, ARM_MM):  # what two fields share at an end may be less than an inch
            low[axis] = max(wide[axis] + ARM_MM, cloth[axis] + edge)
            high[axis] = min(wide[axis + 2] - ARM_MM, cloth[axis + 2] - edge)
            if low[axis] <= high[axis]:
                break
        else:
            low[axis] = high[axis] = (wide[axis] + wide[axis + 2]) / 2
    return low[0], low[1], high[0], high[1]


def _inside_mm(cloth_mm: float) -> float:
    """How far inside the edge a cross is marked on a cloth so long or wide."""
    return max(ARM_MM, min(MARKED_INSIDE_MM, MOST_INSIDE * cloth_mm))


def _spread(box: Bounds) -> Floats:
    """Two points on the middle line of the longer side, at its ends."""
    left, low, right, high = box
    if right - left >= high - low:
        middle = (low + high) / 2
        return np.array([[left, middle], [right, middle]])
    middle = (left + right) / 2
    return np.array([[middle, low], [middle, high]])


def cross_holes(centre: Floats) -> Floats:
    """(9, 2) holes that sew one cross: out and back along each of its arms."""
    arms = np.array([[1, 0], [-1, 0], [0, 1], [0, -1]]) * ARM_MM
    out_and_back = np.zeros((9, 2))
    out_and_back[1::2] = arms
    return centre + out_and_back
