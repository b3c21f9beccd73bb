"""The fewest sewing fields that cover a rectangle, upright or turned by a quarter.

Neighbouring fields overlap, so that a line can be cut where it hides and no stitch is left half in
one field. Covering with overlap ``o`` is covering without it once every size is made ``o`` less:
whatever has its lower left corner in the lesser tile lies in the full field, if it is no larger
than ``o``.

Strips from edge to edge come first. Then fewer tiles are looked for by cutting the rectangle up in
unlike parts, in two ways: cuts from edge to edge, again and again, and once a pinwheel of four
parts around a fifth. On small cases this is what brute force finds; in general the problem is
NP-hard, and no more is claimed than that no better arrangement of these kinds exists.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

SLACK = 1e-6
"""mm by which lengths may differ and still be the same."""

MOST_TRIALS = 400_000
MOST_PINWHEELS = 400_000
_MANY = 10**6
"""Beyond as many trials a way is left out. Shipped fields on any runner stay below the first."""

Place = tuple[float, float, float, float, bool]
"""Lower left corner and size of the part of the area that a tile serves; whether it is turned."""

Size = tuple[float, float]
_Block = tuple[float, float, int, int]
"""Lower left corner of a part, and the indices of its width and its height."""
_Index = NDArray[np.intp]

_Count = tuple[int, int, int, int]
"""Fields, kinds of strip, strips of turned fields, strips of upright ones: less is better."""


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


@lru_cache(maxsize=128)
def fewest_fields(
    bounds: tuple[float, float, float, float],
    size: tuple[float, float],
    overlap_mm: float,
    may_turn: bool,
) -> tuple[Field, ...]:
    """Fields of ``size`` (along, across) that cover ``bounds``, in reading order.

    The plainest arrangement in strips is taken, unless cutting the area up otherwise saves a field.
    What was found is kept: a search asks for the same cover again and again.

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
    turns = may_turn and abs(tile[0] - tile[1]) > SLACK
    placed = _strips(area, tile, turns)
    if turns:
        placed = fewer_tiles(area, tile, len(placed)) or placed
    return tuple(_field(place, size, (left, low), overlap_mm) for place in placed)


def least_fields(
    bounds: tuple[float, float, float, float],
    size: tuple[float, float],
    overlap_mm: float,
    may_turn: bool,
) -> int:
    """A number that no cover of ``bounds`` by overlapping fields stays below.

    The larger of two bounds: by area, once the overlap is taken off; and by lines further apart
    than a field is long, of which each takes as many fields as follow one another along it.
    """
    if _single(bounds, size, may_turn) is not None:
        return 1
    tile = size[0] - overlap_mm, size[1] - overlap_mm
    area = bounds[2] - bounds[0] - overlap_mm, bounds[3] - bounds[1] - overlap_mm
    if min(area) <= 0 or min(tile) <= 0:
        return 2
    by_area = math.ceil(area[0] * area[1] / (tile[0] * tile[1]) - SLACK)
    wide, high = (max(tile), max(tile)) if may_turn else tile
    level = (math.floor(area[1] / high - SLACK) + 1) * _needed(area[0], wide)
    upright = (math.floor(area[0] / wide - SLACK) + 1) * _needed(area[1], high)
    return max(2, by_area, level, upright)


def _single(
    bounds: tuple[float, float, float, float], size: tuple[float, float], may_turn: bool
) -> Field | None:
    """The one field that covers everything, where there is one."""
    left, low, right, high = bounds
    area = (right - left, high - low)
    for turned in (False, True) if may_turn else (False,):
        along, across = size[::-1] if turned else size
        if area[0] <= along + SLACK and area[1] <= across + SLACK:
            return _field((left, low, *area, turned), size, (0.0, 0.0), 0.0)
    return None


def _strips(area: tuple[float, float], tile: tuple[float, float], turns: bool) -> list[Place]:
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


def _strip_counts(
    area: tuple[float, float], tile: tuple[float, float], turns: bool
) -> list[_Count]:
    """Every mixture of upright and turned strips that just covers the area's height."""
    upright, turned = _needed(area[0], tile[0]), _needed(area[0], tile[1])
    counts = []
    for rows in range(_needed(area[1], tile[1]) + 1):
        left_over = area[1] - rows * tile[1]
        others = _needed(left_over, tile[0]) if left_over > SLACK or rows == 0 else 0
        if others == 0 or turns:
            kinds = (rows > 0) + (others > 0)
            counts.append((rows * upright + others * turned, kinds, others, rows))
    return counts


def _laid_strips(
    area: tuple[float, float], tile: tuple[float, float], count: _Count
) -> list[Place]:
    """The strips of one mixture from the top down, upright ones first."""
    _, _, others, rows = count
    heights = [tile[1]] * rows + [tile[0]] * others
    shrink = area[1] / sum(heights)
    places: list[Place] = []
    top = area[1]
    for number, height in enumerate(heights):
        turned = number >= rows
        fields = _needed(area[0], tile[1] if turned else tile[0])
        width = area[0] / fields
        top -= height * shrink
        places += [(k * width, top, width, height * shrink, turned) for k in range(fields)]
    return places


def _needed(length: float, tile: float) -> int:
    return max(1, math.ceil(length / tile - SLACK))


def _field(
    place: Place, size: tuple[float, float], origin: tuple[float, float], overlap_mm: float
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


def fewer_tiles(area: Size, tile: Size, known: int) -> list[Place]:
    """Places of fewer than ``known`` tiles that cover ``area``, or nothing where none were found.

    A place may be larger than what is left of the area, never larger than its tile.
    """
    if known <= math.ceil(area[0] * area[1] / (tile[0] * tile[1]) - SLACK):
        return []
    cuts = _Cuts(area, tile)
    if cuts.trials > MOST_TRIALS:
        return []
    whole = int(cuts.fewest[-1, -1])
    turned, parts = cuts.pinwheel()
    if min(whole, turned) >= known:
        return []
    if whole <= turned:
        parts = [(0.0, 0.0, *(length - 1 for length in cuts.fewest.shape))]
    places = [place for block in parts for place in cuts.places(block)]
    return sorted(places, key=lambda place: (-place[1], place[0]))


class _Cuts:
    """Fewest tiles of every part that cuts can make.

    Cuts lie where whole tiles end, for a cut can always be slid back to there (Herz, "Recursive
    computational procedure for two-dimensional stock cutting", IBM J. Res. Dev. 16, 1972); and a
    part counts as wide as the whole tiles that it takes. So a part is a place in a table: its
    width and its height are indices of ``_wide`` and ``_high``.
    """

    def __init__(self, area: Size, tile: Size) -> None:
        self._tile = tile
        self._wide, self._high = _whole_tiles(area[0], tile), _whole_tiles(area[1], tile)
        self._rest_wide, self._rest_high = _rests(self._wide), _rests(self._high)

    @property
    def trials(self) -> int:
        """About as many additions as finding the best takes."""
        columns, rows = len(self._wide), len(self._high)
        return columns * rows * (columns + rows)

    @cached_property
    def fewest(self) -> NDArray[np.intp]:
        """(columns, rows) fewest tiles of a part of each width and height."""
        # What is not known yet is no way: a cut may leave a part that counts as wide as before.
        table = np.full((len(self._wide), len(self._high)), _MANY, dtype=np.intp)
        for column, row in product(range(len(self._wide)), range(len(self._high))):
            if self._single(column, row) is not None:
                table[column, row] = 1
                continue
            upright = table[:column, row] + table[self._rest_wide[column, :column], row]
            level = table[column, :row] + table[column, self._rest_high[row, :row]]
            table[column, row] = min(upright.min(initial=_MANY), level.min(initial=_MANY))
        return table

    def _single(self, column: int, row: int) -> bool | None:
        """Whether the one tile that covers the part is turned; None where none does."""
        for turned in (False, True):
            w, h = self._tile[::-1] if turned else self._tile
            if self._wide[column] <= w + SLACK and self._high[row] <= h + SLACK:
                return turned
        return None

    def pinwheel(self) -> tuple[int, list[_Block]]:
        """The area as four parts around a fifth, or around where two of them lie on each other,
        with the fewest tiles of all ways that whole tiles allow; their number and the parts."""
        last_x, last_y = len(self._wide) - 1, len(self._high) - 1
        if (last_x * max(last_x - 1, 0)) * (last_y * max(last_y - 1, 0)) > MOST_PINWHEELS:
            return _MANY, []
        x1, x2, y1, y2 = np.meshgrid(*([np.arange(last_x)] * 2 + [np.arange(last_y)] * 2))
        apart = (x1 != x2) & (y1 != y2) & ((x1 < x2) | (y1 < y2))
        x1, x2, y1, y2 = (each[apart] for each in (x1, x2, y1, y2))
        if not len(x1):
            return _MANY, []
        count = sum(self.fewest[wide, high] for wide, high in self._arms(x1, x2, y1, y2))
        inner = (x1 < x2) & (y1 < y2)
        wide, high = self._rest_wide[x2, x1], self._rest_high[y2, y1]
        count = count + np.where(inner, self.fewest[wide, high], 0)
        best = int(np.argmin(count))
        parts = self._pinwheel(int(x1[best]), int(x2[best]), int(y1[best]), int(y2[best]))
        return int(count[best]), parts

    def _arms(self, x1: _Index, x2: _Index, y1: _Index, y2: _Index) -> list[tuple[_Index, _Index]]:
        """Widths and heights of the four outer parts."""
        rest_x, rest_y = self._rest_wide[-1], self._rest_high[-1]
        return [(x2, y1), (rest_x[x2], y2), (rest_x[x1], rest_y[y2]), (x1, rest_y[y1])]

    def _pinwheel(self, x1: int, x2: int, y1: int, y2: int) -> list[_Block]:
        wide, high = self._wide, self._high
        corners = [(0.0, 0.0), (wide[x2], 0.0), (wide[x1], high[y2]), (0.0, high[y1])]
        sizes = self._arms(*(np.array(each) for each in (x1, x2, y1, y2)))
        blocks = [(*at, int(w), int(h)) for at, (w, h) in zip(corners, sizes, strict=True)]
        if x1 < x2 and y1 < y2:
            middle = int(self._rest_wide[x2, x1]), int(self._rest_high[y2, y1])
            blocks.append((wide[x1], high[y1], *middle))
        return blocks

    def places(self, block: _Block) -> list[Place]:
        """The tiles that the best cuts of a block come to."""
        x, y, column, row = block
        single = self._single(column, row)
        if single is not None:
            return [(x, y, self._wide[column], self._high[row], single)]
        upright = self.fewest[:column, row] + self.fewest[self._rest_wide[column, :column], row]
        level = self.fewest[column, :row] + self.fewest[column, self._rest_high[row, :row]]
        if upright.min(initial=_MANY) <= level.min(initial=_MANY):
            cut = int(np.argmin(upright))
            rest = int(self._rest_wide[column, cut])
            blocks = [(x, y, cut, row), (x + self._wide[cut], y, rest, row)]
        else:
            cut = int(np.argmin(level))
            rest = int(self._rest_high[row, cut])
            blocks = [(x, y, column, cut), (x, y + self._high[cut], column, rest)]
        return [place for part in blocks for place in self.places(part)]


def _rests(sizes: list[float]) -> NDArray[np.intp]:
    """(n, n) for each size and each lesser one cut off it, the index of the size that covers what
    is left."""
    every = np.array(sizes)
    left = every[:, None] - every[None, :] - SLACK
    return np.minimum(np.searchsorted(every, left), len(sizes) - 1)


def _whole_tiles(length: float, tile: Size) -> list[float]:
    """Lengths that rows of whole tiles take up, to the first that covers ``length``; sorted."""
    small, large = sorted(tile)
    found = sorted(
        {
            round(i * small + j * large, 9)
            for j in range(int(length / large) + 2)
            for i in range(int(max(length - j * large, 0.0) / small) + 2)
        }
        - {0.0}
    )
    return found[: bisect_left(found, length - SLACK) + 1]
