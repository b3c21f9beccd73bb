"""Names beside crosses: those that can be read, before all others the first of each row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from quiltpath.drawing.page_model import INK, Item, Points, Text
from quiltpath.drawing.text_width import text_width

HIGH = 0.75
"""Height of a name's letters over their size."""

Box = tuple[float, float, float, float]


def names_beside(
    rows: Sequence[tuple[Sequence[str], Points]],
    size_mm: float,
    arm_mm: float,
    *,
    colour: str = INK,
) -> list[Item]:
    """A text for each cross whose name hits no other cross and no other name.

    ``rows`` are names with (n, 2) places in mm on the page, ``arm_mm`` is half a cross. A name
    stands to the upper right of its cross, else in another of its four corners; where none is free
    it is left out, and is found by counting on from the first of its row.
    """
    crosses = [
        (x - arm_mm, y - arm_mm, x + arm_mm, y + arm_mm)
        for _, places in rows
        for x, y in places.tolist()
    ]
    named = [
        (number > 0, place, name)
        for names, places in rows
        for number, (place, name) in enumerate(zip(places.tolist(), names, strict=True))
    ]
    taken: list[Box] = []
    items: list[Item] = []
    for _, (x, y), name in sorted(named, key=lambda one: one[0]):
        others = [cross for cross in crosses if not _holds(cross, x, y)]
        for box in _boxes((x, y), text_width(name, size_mm), HIGH * size_mm, arm_mm / 4):
            if not any(_meet(box, other) for other in (*taken, *others)):
                taken.append(box)
                items.append(Text(box[:2], name, size_mm, colour=colour))
                break
    return items


def _boxes(at: tuple[float, float], wide: float, high: float, gap: float) -> Iterator[Box]:
    """Where a name may stand: in the four corners of its cross."""
    x, y = at
    for left in (x + gap, x - gap - wide):
        for low in (y + gap, y - gap - high):
            yield left, low, left + wide, low + high


def _holds(box: Box, x: float, y: float) -> bool:
    return abs((box[0] + box[2]) / 2 - x) < 1e-9 and abs((box[1] + box[3]) / 2 - y) < 1e-9


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
