"""The fewest sewing fields that cover a rectangle, upright or turned by a quarter.

Neighbouring fields overlap, so that a line can be cut where it hides and no stitch is left half in
one field. Covering with overlap ``o`` is covering without it once every size is made ``o`` less:
whatever has its lower left corner in the lesser tile lies in the full field, if it is no larger
than ``o``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

_SLACK = 1e-6


@dataclass(frozen=True)
class Field:
    """A sewing field as it lies on the runner, in mm, its margin already taken off.

    ``turned`` says that the runner goes into the machine turned by a quarter for this field.
    """

    left: float
    low: float
    right: float
    high: float
    turned: bool = False

    @property
    def centre(self) -> tuple[float, float]:
        """Middle of the field."""
        return (self.left + self.right) / 2, (self.low + self.high) / 2

    def common(self, other: Field) -> tuple[float, float, float, float] | None:
        """The rectangle shared with another field, or nothing."""
        left, low = max(self.left, other.left), max(self.low, other.low)
        right, high = min(self.right, other.right), min(self.high, other.high)
        return (left, low, right, high) if left < right and low < high else None


def fewest_fields(
    bounds: tuple[float, float, float, float],
    size: tuple[float, float],
    overlap_mm: float,
    may_turn: bool,
) -> tuple[Field, ...]:
    """Fields of ``size`` (along, across) that cover ``bounds``, as few as cuts from edge to edge
    allow, in reading order.

    Raises ``ValueError`` where more than one is needed and the overlap leaves nothing of a field.
    """
    left, low, right, high = bounds
    single = _single(bounds, size, may_turn)
    if single is not None:
        return (single,)
    tile = (size[0] - overlap_mm, size[1] - overlap_mm)
    if min(tile) <= 0:
        raise ValueError("the overlap takes up the whole field")
    area = (max(right - left - overlap_mm, 0.0), max(high - low - overlap_mm, 0.0))
    turns = may_turn and abs(tile[0] - tile[1]) > _SLACK
    placed = _rows_and_columns(area, tile, turns)
    better = _guillotine(area, tile, turns, len(placed)) if turns else placed
    return tuple(_field(place, size, (left, low), overlap_mm) for place in better)


def _single(
    bounds: tuple[float, float, float, float], size: tuple[float, float], may_turn: bool
) -> Field | None:
    """The one field that covers everything, where there is one."""
    left, low, right, high = bounds
    area = (right - left, high - low)
    for turned in (False, True) if may_turn else (False,):
        along, across = size[::-1] if turned else size
        if area[0] <= along + _SLACK and area[1] <= across + _SLACK:
            return _field((left, low, *area, turned), size, (0.0, 0.0), 0.0)
    return None


_Place = tuple[float, float, float, float, bool]
"""Lower left corner and size of the part of the area that a tile serves; whether it is turned."""


def _rows_and_columns(
    area: tuple[float, float], tile: tuple[float, float], turns: bool
) -> list[_Place]:
    """The best plain arrangement in even rows and columns, all fields the same way round."""
    ways = [(tile, False)] + ([((tile[1], tile[0]), True)] if turns else [])
    counts = [(_needed(area[0], way[0]), _needed(area[1], way[1]), turned) for way, turned in ways]
    columns, rows, turned = min(counts, key=lambda count: (count[0] * count[1], count[2]))
    width, height = area[0] / columns, area[1] / rows
    return [
        (column * width, row * height, width, height, turned)
        for row in reversed(range(rows))
        for column in range(columns)
    ]


def _needed(length: float, tile: float) -> int:
    return max(1, math.ceil(length / tile - _SLACK))


def _guillotine(
    area: tuple[float, float], tile: tuple[float, float], turns: bool, known: int
) -> list[_Place]:
    """Fewer fields by cutting the area from edge to edge into unlike parts; exact in that class.

    Cuts lie where whole tiles end, for a cut can always be slid back to there (Herz, "Recursive
    computational procedure for two-dimensional stock cutting", IBM J. Res. Dev. 16, 1972).
    """
    ends = sorted({tile[0], tile[1]})

    @cache
    def best(width: float, height: float) -> tuple[int, float, bool]:
        """Fewest tiles, where to cut (0 for one tile), and whether the cut is upright or the
        tile turned."""
        for turned in (False, True):
            w, h = (tile[1], tile[0]) if turned else tile
            if width <= w + _SLACK and height <= h + _SLACK:
                return 1, 0.0, turned
        options = [
            (best(cut, height)[0] + best(_rest(width, cut), height)[0], cut, True)
            for cut in _whole_tiles(width, ends)
        ] + [
            (best(width, cut)[0] + best(width, _rest(height, cut))[0], cut, False)
            for cut in _whole_tiles(height, ends)
        ]
        return min(options)

    if best(*area)[0] >= known:
        return _rows_and_columns(area, tile, turns)
    return sorted(_cut_up(best, (0.0, 0.0), area), key=lambda place: (-place[1], place[0]))


def _rest(length: float, cut: float) -> float:
    # Rounded so that equal remainders meet in the table of known answers.
    return round(length - cut, 6)


def _whole_tiles(length: float, ends: list[float]) -> list[float]:
    """Lengths below ``length`` that rows of whole tiles take up."""
    small, large = ends[0], ends[-1]
    found = {
        round(i * small + j * large, 6)
        for j in range(int(length / large) + 1)
        for i in range(int((length - j * large) / small) + 1)
    }
    return sorted(cut for cut in found if 0 < cut < length - _SLACK)


_Best = Callable[[float, float], tuple[int, float, bool]]


def _cut_up(best: _Best, corner: tuple[float, float], area: tuple[float, float]) -> list[_Place]:
    _, cut, flag = best(*area)
    if cut == 0.0:
        return [(*corner, *area, flag)]
    if flag:
        return [
            *_cut_up(best, corner, (cut, area[1])),
            *_cut_up(best, (corner[0] + cut, corner[1]), (_rest(area[0], cut), area[1])),
        ]
    return [
        *_cut_up(best, corner, (area[0], cut)),
        *_cut_up(best, (corner[0], corner[1] + cut), (area[0], _rest(area[1], cut))),
    ]


def _field(
    place: _Place, size: tuple[float, float], origin: tuple[float, float], overlap_mm: float
) -> Field:
    """The full field about the part that it serves, its slack shared by both sides."""
    x, y, width, height, turned = place
    along, across = (size[1], size[0]) if turned else size
    centre_x = origin[0] + x + (width + overlap_mm) / 2
    centre_y = origin[1] + y + (height + overlap_mm) / 2
    return Field(
        centre_x - along / 2,
        centre_y - across / 2,
        centre_x + along / 2,
        centre_y + across / 2,
        turned,
    )
