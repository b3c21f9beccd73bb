"""Several runners on one backing, for one load of the frame: the least length of cloth found.

Runners are rectangles with a strip between neighbours on which thread may run off and which is cut
apart afterwards. Up to five are tried in every order and both ways round, and more where some are
alike, such as a set of place mats; else in a few orders. Each is set down where it comes lowest on
those before it. Where a lower bound on any layout says so, what was found is the least there is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, product

from quiltpath.errors import InputError
from quiltpath.materials.piecing import CutPiece
from quiltpath.materials.shopping import Cloth
from quiltpath.materials.strip_packing import ClothLayout, lay_in_order, lay_out
from quiltpath.units import both_units

MOST_ORDERS = 120
"""Orders of five runners of different sizes, or of more where some are alike."""

EVERY_TURN = 8
MOST = 24

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Nesting:
    """Runners on a backing; ``backing_mm`` (across, along) is what it takes in all.

    ``places``     name and (low across, low along, high across, high along) of each, in mm, in
                   the order given
    ``turned``     whether each lies with its length across the backing
    ``bound_mm``   no layout whatever is shorter than this
    """

    places: tuple[tuple[str, Box], ...]
    turned: tuple[bool, ...]
    backing_mm: tuple[float, float]
    bound_mm: float

    @property
    def is_least(self) -> bool:
        """True where the bound proves that no layout is shorter."""
        return self.backing_mm[1] <= self.bound_mm + 1e-6

    @property
    def waste_share(self) -> float:
        """Part of the backing that no runner covers."""
        covered = sum((b[2] - b[0]) * (b[3] - b[1]) for _, b in self.places)
        return 1.0 - covered / (self.backing_mm[0] * self.backing_mm[1])


def nest(
    runners: Sequence[tuple[str, float, float]],
    width_mm: float,
    *,
    apart_mm: float,
    edge_mm: float,
    turns: bool = True,
) -> Nesting:
    """Runners (name, length, width) on a backing of ``width_mm``, ``edge_mm`` free all round.

    Raises :class:`InputError` where one does not fit the width, or there are too many.
    """
    if not 1 <= len(runners) <= MOST:
        raise InputError("nest", "", f"{len(runners)} runners", f"give 1 to {MOST}")
    # With every size one strip larger, touching pieces are a strip apart.
    cloth = Cloth("backing", width_mm - 2 * edge_mm + apart_mm)
    best: tuple[ClothLayout, tuple[bool, ...]] | None = None
    for way in _ways(runners, cloth, apart_mm, turns):
        pieces = [
            CutPiece(str(number), *_size(runner, apart_mm, turned))
            for number, (runner, turned) in enumerate(zip(runners, way, strict=True))
        ]
        for layout in _layouts(pieces, cloth):
            if best is None or layout.length_mm < best[0].length_mm - 1e-6:
                best = layout, way
    if best is None:
        raise _too_wide(runners, width_mm - 2 * edge_mm, turns)
    layout, way = best
    bound = _least_mm(runners, cloth, apart_mm, turns)
    return Nesting(
        _places(runners, layout, apart_mm, edge_mm),
        way,
        (width_mm, layout.length_mm - apart_mm + 2 * edge_mm),
        bound - apart_mm + 2 * edge_mm,
    )


def _least_mm(
    runners: Sequence[tuple[str, float, float]], cloth: Cloth, apart_mm: float, turns: bool
) -> float:
    """Lower bound on any layout: by area, by the longest, and by those that lie beside nothing.

    Pieces wider than half the cloth, either way round, come one after the other.
    """
    ways = [
        [_size(runner, apart_mm, turned) for turned in _fitting(runner, cloth, apart_mm, turns)]
        for runner in runners
    ]
    shortest = [min(along for along, _ in way) for way in ways]
    area = sum(math.prod(way[0]) for way in ways) / cloth.usable_mm
    half = cloth.usable_mm / 2 + 1e-6
    alone = [
        least
        for way, least in zip(ways, shortest, strict=True)
        if all(across > half for _, across in way)
    ]
    return max(area, max(shortest), sum(alone))


def _fitting(
    runner: tuple[str, float, float], cloth: Cloth, apart_mm: float, turns: bool
) -> list[bool]:
    """Whether its length lies across, for each way in which a runner fits the width."""
    ways = (False, True) if turns else (False,)
    return [way for way in ways if _size(runner, apart_mm, way)[1] <= cloth.usable_mm + 1e-6]


def _size(runner: tuple[str, float, float], apart_mm: float, turned: bool) -> tuple[float, float]:
    """Along and across the backing, its strip included."""
    _, length, width = runner
    along, across = (width, length) if turned else (length, width)
    return along + apart_mm, across + apart_mm


def _ways(
    runners: Sequence[tuple[str, float, float]], cloth: Cloth, apart_mm: float, turns: bool
) -> Iterator[tuple[bool, ...]]:
    """Which runners lie with their length across; only what fits the width."""
    fits = [_fitting(runner, cloth, apart_mm, turns) for runner in runners]
    if len({runner[1:] for runner in runners}) == 1:
        # Of one size it only matters how many are turned.
        yield from combinations_with_replacement(fits[0], len(runners))
    elif len(runners) <= EVERY_TURN:
        yield from product(*fits)
    elif all(fits):
        yield tuple(ways[0] for ways in fits)
        yield tuple(ways[-1] for ways in fits)


def _layouts(pieces: Sequence[CutPiece], cloth: Cloth) -> Iterator[ClothLayout]:
    """Every order where there are few, a few orders where there are many."""
    by_size: dict[tuple[float, float], list[CutPiece]] = {}
    for piece in pieces:
        by_size.setdefault((piece.on_length_mm, piece.on_width_mm), []).append(piece)
    repeats = math.prod(math.factorial(len(alike)) for alike in by_size.values())
    if math.factorial(len(pieces)) // repeats <= MOST_ORDERS:
        groups = [tuple(alike) for alike in by_size.values()]
        yield from (lay_in_order(order, cloth) for order in _orders(groups))
    else:
        yield lay_out(pieces, cloth)


def _orders(groups: Sequence[tuple[CutPiece, ...]]) -> Iterator[tuple[CutPiece, ...]]:
    """Every order of the pieces, those of one group (equal ones) in their own order."""
    if not any(groups):
        yield ()
    for index, group in enumerate(groups):
        if group:
            rest = [*groups[:index], group[1:], *groups[index + 1 :]]
            yield from ((group[0], *order) for order in _orders(rest))


def _places(
    runners: Sequence[tuple[str, float, float]],
    layout: ClothLayout,
    apart_mm: float,
    edge_mm: float,
) -> tuple[tuple[str, Box], ...]:
    found = {int(placed.piece.name): placed.box for placed in layout.placed}
    places = []
    for number, (name, _, _) in enumerate(runners):
        x0, y0, x1, y1 = found[number]
        box = (x0 + edge_mm, y0 + edge_mm, x1 + edge_mm - apart_mm, y1 + edge_mm - apart_mm)
        places.append((name, box))
    return tuple(places)


def _too_wide(
    runners: Sequence[tuple[str, float, float]], room_mm: float, turns: bool
) -> InputError:
    name, least = max(
        ((name, min(length, width) if turns else width) for name, length, width in runners),
        key=lambda found: found[1],
    )
    return InputError(
        "nest",
        "--width",
        f"{name} needs {both_units(least)}, the backing has {both_units(room_mm)} inside its edge",
        "take a wider backing" if turns else "take a wider backing, or let them turn",
    )
