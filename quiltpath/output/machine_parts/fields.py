"""The fewest sewing fields that cover a rectangle, upright or turned by a quarter.

Neighbouring fields overlap, so that a line can be cut where it hides and no stitch is left half in
one field. Covering with overlap ``o`` is covering without it once every size is made ``o`` less:
whatever has its lower left corner in the lesser tile lies in the full field, if it is no larger
than ``o``.
"""

from __future__ import annotations

import math
from bisect import bisect_left
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
    placed = _strips(area, tile, turns)
    if turns:
        placed = _guillotine(area, tile, len(placed)) or placed
    return tuple(_field(place, size, (left, low), overlap_mm) for place in placed)


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


def _strips(area: tuple[float, float], tile: tuple[float, float], turns: bool) -> list[_Place]:
    """The best arrangement in strips from edge to edge, each of fields that lie the same way.

    Strips share the slack evenly, and so do the fields of a strip; of equals the plainest wins.
    """
    along = _strip_counts(area, tile, turns)
    across = _strip_counts(area[::-1], tile[::-1], turns)
    if min(along) <= min(across):
        return _laid_strips(area, tile, min(along))
    turned = _laid_strips(area[::-1], tile[::-1], min(across))
    places = [(y, x, height, width, flag) for x, y, width, height, flag in turned]
    return sorted(places, key=lambda place: (-place[1], place[0]))


_Count = tuple[int, int, int, int]
"""Fields, kinds of strip, strips of turned fields, strips of upright ones: less is better."""


def _strip_counts(
    area: tuple[float, float], tile: tuple[float, float], turns: bool
) -> list[_Count]:
    """Every mixture of upright and turned strips that just covers the area's height."""
    upright, turned = _needed(area[0], tile[0]), _needed(area[0], tile[1])
    counts = []
    for rows in range(_needed(area[1], tile[1]) + 1):
        left_over = area[1] - rows * tile[1]
        others = _needed(left_over, tile[0]) if left_over > _SLACK or rows == 0 else 0
        if others == 0 or turns:
            kinds = (rows > 0) + (others > 0)
            counts.append((rows * upright + others * turned, kinds, others, rows))
    return counts


def _laid_strips(
    area: tuple[float, float], tile: tuple[float, float], count: _Count
) -> list[_Place]:
    """The strips of one mixture from the top down, upright ones first."""
    _, _, others, rows = count
    heights = [tile[1]] * rows + [tile[0]] * others
    shrink = area[1] / sum(heights)
    places: list[_Place] = []
    top = area[1]
    for number, height in enumerate(heights):
        turned = number >= rows
        fields = _needed(area[0], tile[1] if turned else tile[0])
        width = area[0] / fields
        top -= height * shrink
        places += [(k * width, top, width, height * shrink, turned) for k in range(fields)]
    return places


def _needed(length: float, tile: float) -> int:
    return max(1, math.ceil(length / tile - _SLACK))


MOST_TRIALS = 400_000
"""Beyond as many trials strips alone are tried; shipped fields stay far below it."""


def _guillotine(area: tuple[float, float], tile: tuple[float, float], known: int) -> list[_Place]:
    """Fewer than ``known`` fields by cutting the area from edge to edge into unlike parts again and
    again, or nothing. Exact among all coverings that can be made by such cuts.

    Cuts lie where whole tiles end, for a cut can always be slid back to there (Herz, "Recursive
    computational procedure for two-dimensional stock cutting", IBM J. Res. Dev. 16, 1972); and a
    part counts as wide as the whole tiles that it takes.
    """
    if known <= math.ceil(area[0] * area[1] / (tile[0] * tile[1]) - _SLACK):
        return []
    wide, high = _whole_tiles(area[0], tile), _whole_tiles(area[1], tile)
    if len(wide) * len(high) * (len(wide) + len(high)) > MOST_TRIALS:
        return []

    @cache
    def best(width: float, height: float) -> tuple[int, float, bool]:
        """Fewest tiles, where to cut (0 for one tile), and whether the cut is upright or the
        tile turned."""
        for turned in (False, True):
            w, h = (tile[1], tile[0]) if turned else tile
            if width <= w + _SLACK and height <= h + _SLACK:
                return 1, 0.0, turned
        options = [
            (best(cut, height)[0] + best(_rest(width, cut, wide), height)[0], cut, True)
            for cut in _to_the_middle(width, wide)
        ] + [
            (best(width, cut)[0] + best(width, _rest(height, cut, high))[0], cut, False)
            for cut in _to_the_middle(height, high)
        ]
        return min(options)

    whole = (_rest(area[0], 0.0, wide), _rest(area[1], 0.0, high))
    if best(*whole)[0] >= known:
        return []
    places = _cut_up(best, (0.0, 0.0), whole, (wide, high))
    return sorted(places, key=lambda place: (-place[1], place[0]))


def _whole_tiles(length: float, tile: tuple[float, float]) -> list[float]:
    """Lengths that rows of whole tiles take up, to the first that covers ``length``; sorted."""
    small, large = sorted(tile)
    found = {
        round(i * small + j * large, 6)
        for j in range(int(length / large) + 2)
        for i in range(int(max(length - j * large, 0.0) / small) + 2)
    }
    covering = min(size for size in found if size > 0 and size >= length - _SLACK)
    return sorted(size for size in found if 0 < size <= covering)


def _rest(length: float, cut: float, sizes: list[float]) -> float:
    """What a cut leaves over, as wide as the whole tiles that it takes."""
    return sizes[min(bisect_left(sizes, length - cut - _SLACK), len(sizes) - 1)]


def _to_the_middle(length: float, sizes: list[float]) -> list[float]:
    """Cuts up to the middle and one past it: the other part then has its turn as the first. A cut
    after which as many whole tiles are needed as before is none."""
    last = bisect_left(sizes, length / 2) + 1
    return [size for size in sizes[:last] if _rest(length, size, sizes) < length - _SLACK]


_Best = Callable[[float, float], tuple[int, float, bool]]


def _cut_up(
    best: _Best,
    corner: tuple[float, float],
    area: tuple[float, float],
    sizes: tuple[list[float], list[float]],
) -> list[_Place]:
    """The places that the table of best cuts comes to."""
    _, cut, flag = best(*area)
    x, y = corner
    if cut == 0.0:
        return [(x, y, *area, flag)]
    if flag:
        first, second = (cut, area[1]), (_rest(area[0], cut, sizes[0]), area[1])
        beyond = (x + cut, y)
    else:
        first, second = (area[0], cut), (area[0], _rest(area[1], cut, sizes[1]))
        beyond = (x, y + cut)
    return [*_cut_up(best, corner, first, sizes), *_cut_up(best, beyond, second, sizes)]


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
