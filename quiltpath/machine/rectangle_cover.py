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
from functools import partial
from itertools import permutations, product

SLACK = 1e-6
"""mm by which lengths may differ and still be the same."""

MOST_TRIALS = 400_000
MOST_PINWHEELS = 40_000
"""Beyond as many trials a way is left out. Shipped fields on any runner stay below the first."""

Place = tuple[float, float, float, float, bool]
"""Lower left corner and size of the part of the area that a tile serves; whether it is turned."""

Size = tuple[float, float]
_Block = tuple[float, float, float, float]

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


def fewest_fields(
    bounds: tuple[float, float, float, float],
    size: tuple[float, float],
    overlap_mm: float,
    may_turn: bool,
) -> tuple[Field, ...]:
    """Fields of ``size`` (along, across) that cover ``bounds``, in reading order.

    The plainest arrangement in strips is taken, unless cutting the area up otherwise saves a field.

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
    ways = [[(0.0, 0.0, *cuts.whole)], *cuts.pinwheels()]
    count, number = min((cuts.count(way), number) for number, way in enumerate(ways))
    if count >= known:
        return []
    places = [place for block in ways[number] for place in cuts.places(block)]
    return sorted(places, key=lambda place: (-place[1], place[0]))


class _Cuts:
    """Fewest tiles of every part that cuts can make.

    Cuts lie where whole tiles end, for a cut can always be slid back to there (Herz, "Recursive
    computational procedure for two-dimensional stock cutting", IBM J. Res. Dev. 16, 1972); and a
    part counts as wide as the whole tiles that it takes.
    """

    def __init__(self, area: Size, tile: Size) -> None:
        self._tile = tile
        self._wide, self._high = _whole_tiles(area[0], tile), _whole_tiles(area[1], tile)
        self._known: dict[Size, tuple[int, float, bool]] = {}
        self.whole = (_fitting(area[0], self._wide), _fitting(area[1], self._high))

    @property
    def trials(self) -> int:
        """About as many additions as finding the best takes."""
        columns, rows = len(self._wide), len(self._high)
        return columns * rows * (columns + rows)

    def best(self, width: float, height: float) -> tuple[int, float, bool]:
        """Fewest tiles, where to cut (0 for a single tile), and whether the cut is upright or the
        tile turned."""
        if (width, height) not in self._known:
            self._known[width, height] = self._single(width, height) or min(
                self._upright_cuts(width, height) + self._level_cuts(width, height)
            )
        return self._known[width, height]

    def _single(self, width: float, height: float) -> tuple[int, float, bool] | None:
        for turned in (False, True):
            w, h = self._tile[::-1] if turned else self._tile
            if width <= w + SLACK and height <= h + SLACK:
                return 1, 0.0, turned
        return None

    def _upright_cuts(self, width: float, height: float) -> list[tuple[int, float, bool]]:
        rest = partial(_rest, width, sizes=self._wide)
        return [
            (self.best(cut, height)[0] + self.best(rest(cut), height)[0], cut, True)
            for cut in _to_the_middle(width, self._wide)
        ]

    def _level_cuts(self, width: float, height: float) -> list[tuple[int, float, bool]]:
        rest = partial(_rest, height, sizes=self._high)
        return [
            (self.best(width, cut)[0] + self.best(width, rest(cut))[0], cut, False)
            for cut in _to_the_middle(height, self._high)
        ]

    def pinwheels(self) -> list[list[_Block]]:
        """The area as four parts around a fifth, or around where two of them lie on each other,
        in every way that whole tiles allow."""
        width, height = self.whole
        columns = list(permutations([x for x in self._wide if x < width - SLACK], 2))
        rows = list(permutations([y for y in self._high if y < height - SLACK], 2))
        if len(columns) * len(rows) > MOST_PINWHEELS:
            return []
        pairs = [(x, y) for x, y in product(columns, rows) if x[0] < x[1] or y[0] < y[1]]
        return [self._pinwheel(*x, *y) for x, y in pairs]

    def _pinwheel(self, x1: float, x2: float, y1: float, y2: float) -> list[_Block]:
        width, height = self.whole
        arms = [
            (0.0, 0.0, x2, y1),
            (x2, 0.0, _rest(width, x2, self._wide), y2),
            (x1, y2, _rest(width, x1, self._wide), _rest(height, y2, self._high)),
            (0.0, y1, x1, _rest(height, y1, self._high)),
        ]
        if x1 < x2 and y1 < y2:
            middle = (x1, y1, _rest(x2, x1, self._wide), _rest(y2, y1, self._high))
            return [*arms, middle]
        return arms

    def count(self, blocks: list[_Block]) -> int:
        """Fewest tiles of all blocks."""
        return sum(self.best(width, height)[0] for _, _, width, height in blocks)

    def places(self, block: _Block) -> list[Place]:
        """The tiles that the best cuts of a block come to."""
        x, y, width, height = block
        _, cut, flag = self.best(width, height)
        if cut == 0.0:
            return [(x, y, width, height, flag)]
        if flag:
            blocks = [(x, y, cut, height), (x + cut, y, _rest(width, cut, self._wide), height)]
        else:
            blocks = [(x, y, width, cut), (x, y + cut, width, _rest(height, cut, self._high))]
        return [place for part in blocks for place in self.places(part)]


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


def _fitting(length: float, sizes: list[float]) -> float:
    """The least size that covers ``length``."""
    return sizes[min(bisect_left(sizes, length - SLACK), len(sizes) - 1)]


def _rest(length: float, cut: float, sizes: list[float]) -> float:
    """What a cut leaves over, as wide as the whole tiles that it takes."""
    return _fitting(length - cut, sizes)


def _to_the_middle(length: float, sizes: list[float]) -> list[float]:
    """Cuts up to the middle and one past it: the other part then has its turn as the first. A cut
    after which as many whole tiles are needed as before is none."""
    last = bisect_left(sizes, length / 2) + 1
    return [
        size
        for size in sizes[:last]
        if size < length - SLACK and _rest(length, size, sizes) < length - SLACK
    ]
