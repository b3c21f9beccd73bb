"""Several runners on one backing, for one load of the frame: the least length of cloth found.

Runners are rectangles with a strip between neighbours on which thread may run off and which is cut
apart afterwards. Up to five are tried in every order and both ways round, more in a few orders;
each is set down where it comes lowest on those before it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations, product

from quiltpath.errors import InputError
from quiltpath.materials.cloth import Cloth
from quiltpath.materials.packing import ClothLayout, lay_in_order, lay_out, least_length
from quiltpath.materials.piecing import CutPiece
from quiltpath.units import both_units

EVERY_ORDER = 5
EVERY_TURN = 8
MOST = 24

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Nested:
    """Runners on a backing; ``backing_mm`` (across, along) is what it takes in all.

    ``places``     name and (low across, low along, high across, high along) of each, in mm, in
                   the order given
    ``turned``     whether each lies with its length across the backing
    ``bound_mm``   no layout is shorter than this
    """

    places: tuple[tuple[str, Box], ...]
    turned: tuple[bool, ...]
    backing_mm: tuple[float, float]
    bound_mm: float

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
) -> Nested:
    """Runners (name, length, width) on a backing of ``width_mm``, ``edge_mm`` free all round.

    Raises :class:`InputError` where one does not fit the width, or there are too many.
    """
    if not 1 <= len(runners) <= MOST:
        raise InputError("nest", "", f"{len(runners)} runners", f"give 1 to {MOST}")
    # With every size one strip larger, touching pieces are a strip apart.
    cloth = Cloth("backing", width_mm - 2 * edge_mm + apart_mm)
    best: tuple[ClothLayout, tuple[bool, ...]] | None = None
    for way in _ways(runners, cloth, apart_mm, turns):
        pieces = [_piece(i, runners[i], apart_mm, turn) for i, turn in enumerate(way)]
        for layout in _layouts(pieces, cloth):
            if best is None or layout.length_mm < best[0].length_mm - 1e-6:
                best = layout, way
    if best is None:
        raise _too_wide(runners, width_mm - 2 * edge_mm, turns)
    layout, way = best
    pieces = [_piece(i, runners[i], apart_mm, turn) for i, turn in enumerate(way)]
    return Nested(
        _places(runners, layout, apart_mm, edge_mm),
        way,
        (width_mm, layout.length_mm - apart_mm + 2 * edge_mm),
        least_length(pieces, cloth) - apart_mm + 2 * edge_mm,
    )


def _ways(
    runners: Sequence[tuple[str, float, float]], cloth: Cloth, apart_mm: float, turns: bool
) -> Iterator[tuple[bool, ...]]:
    """Which runners lie with their length across; only what fits the width."""
    fits = []
    for _, length, width in runners:
        along = width + apart_mm <= cloth.usable_mm + 1e-6
        across = turns and length + apart_mm <= cloth.usable_mm + 1e-6
        fits.append(([False] if along else []) + ([True] if across else []))
    if len(runners) <= EVERY_TURN:
        yield from product(*fits)
    elif all(fits):
        yield tuple(ways[0] for ways in fits)
        yield tuple(ways[-1] for ways in fits)


def _piece(
    number: int, runner: tuple[str, float, float], apart_mm: float, turned: bool
) -> CutPiece:
    _, length, width = runner
    along, across = (width, length) if turned else (length, width)
    return CutPiece(str(number), along + apart_mm, across + apart_mm)


def _layouts(pieces: Sequence[CutPiece], cloth: Cloth) -> Iterator[ClothLayout]:
    if len(pieces) <= EVERY_ORDER:
        yield from (lay_in_order(order, cloth) for order in permutations(pieces))
    else:
        yield lay_out(pieces, cloth)


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
        "take a wider backing, or turn them",
    )
