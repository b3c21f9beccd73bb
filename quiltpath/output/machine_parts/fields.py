"""The fewest sewing fields that cover a rectangle, upright or turned by a quarter.

Neighbouring fields overlap, so that a line can be cut where it hides and no stitch is left half in
one field. Covering with overlap ``o`` is covering without it once every size is made ``o`` less:
whatever has its lower left corner in the lesser tile lies in the full field, if it is no larger
than ``o``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from quiltpath.output.machine_parts.covering import SLACK, Place, fewer_tiles


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
