"""Laying pieces out on cloth: between the selvedges, with the grain, in little length.

Strip packing: the width is given and the length is to be small. Pieces are set down one after the
other, each where it comes lowest (then furthest left) on the skyline of those before it, in a few
orders; the shortest layout is kept. For a runner's dozen of pieces this comes as near to the
lower bound as a general rectangle packer tried at many lengths, and needs none.

Where the cloth has no direction, pieces of a top may be turned: each size either way while there
are few, and each piece as it comes lowest. Very many equal pieces are first put together to strips
from selvedge to selvedge, as they are cut in practice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations, product
from math import prod
from typing import Literal

from quiltpath.errors import InputError
from quiltpath.materials.piecing import CutPiece
from quiltpath.materials.shopping import Cloth
from quiltpath.units import both_units

_TOUCH = 1e-6

EVERY_ORDER = 4
"""So few pieces that may turn are tried in every order too."""

MOST_SINGLE = 400
"""More pieces than this are cut in strips from selvedge to selvedge."""

MOST_TRIED = 1500
"""Pieces times ways of turning them: so much is tried, about a second of work at most."""


@dataclass(frozen=True)
class PlacedPiece:
    """A piece on the cloth: ``across_mm`` from the left selvedge, ``along_mm`` from the start."""

    piece: CutPiece
    across_mm: float
    along_mm: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        """(low across, low along, high across, high along) in mm."""
        return (
            self.across_mm,
            self.along_mm,
            self.across_mm + self.piece.on_width_mm,
            self.along_mm + self.piece.on_length_mm,
        )


@dataclass(frozen=True)
class ClothLayout:
    """All pieces of one cloth; ``length_mm`` of it is used.

    ``share`` says which part of a cloth it is, where what is at hand does not hold all of it.
    """

    cloth: Cloth
    placed: tuple[PlacedPiece, ...]
    length_mm: float
    share: Literal["", "at hand", "to buy"] = ""

    @property
    def name(self) -> str:
        """The cloth's name, and which part of it."""
        return f"{self.cloth.name}, {self.share}" if self.share else self.cloth.name

    @property
    def piece_count(self) -> int:
        """Pieces, those that are cut from one strip counted singly."""
        return sum(placed.piece.holds for placed in self.placed)

    @property
    def piece_area_mm2(self) -> float:
        """Area of all pieces."""
        return sum(p.piece.on_length_mm * p.piece.on_width_mm for p in self.placed)

    @property
    def waste_share(self) -> float:
        """Part of the used length that no piece covers."""
        whole = self.length_mm * self.cloth.usable_mm
        return max(0.0, 1.0 - self.piece_area_mm2 / whole)


def lay_out(pieces: Sequence[CutPiece], cloth: Cloth) -> ClothLayout:
    """The shortest layout found; raises :class:`InputError` where a piece is wider than the cloth.

    Pieces keep the direction that they are given, so that the grain stays theirs, unless the cloth
    has none and they may turn.
    """
    _check_widths(pieces, cloth)
    if len(pieces) > MOST_SINGLE:
        pieces = in_strips(pieces, cloth)
    layouts = [
        lay_in_order(sorted(way, key=order), cloth)
        for way in _ways_round(pieces, cloth)
        for order in _ORDERS
    ]
    if cloth.turns and any(piece.may_turn for piece in pieces):
        layouts += [lay_in_order(sorted(pieces, key=o), cloth, turning=True) for o in _ORDERS]
        if len(pieces) <= EVERY_ORDER:
            ways = [order for way in _ways_round(pieces, cloth) for order in permutations(way)]
            layouts += [lay_in_order(way, cloth) for way in ways]
    return min(layouts, key=lambda layout: round(layout.length_mm, 6))


def lay_out_on(pieces: Sequence[CutPiece], cloth: Cloth) -> tuple[ClothLayout, ...]:
    """The layout; two where the cloth at hand does not hold all: what it holds, and the rest.

    The rest is laid out by itself on cloth to buy: a length that is short is no piece of a longer
    one. Raises :class:`InputError` as :func:`lay_out` does.
    """
    whole = lay_out(pieces, cloth)
    at_hand = cloth.length_mm
    if at_hand is None or whole.length_mm <= at_hand + _TOUCH:
        return (whole,)
    bought = replace(cloth, length_mm=None)
    splits = [_split(pieces, cloth, bought, at_hand, order) for order in _ORDERS]
    return min(splits, key=lambda parts: round(parts[-1].length_mm, 6))


def _split(
    pieces: Sequence[CutPiece], cloth: Cloth, bought: Cloth, at_hand_mm: float, order: _Order
) -> tuple[ClothLayout, ...]:
    """Pieces in one order: on the cloth at hand while they fit its length, the others on new."""
    held, rest = _held(sorted(pieces, key=order), cloth, at_hand_mm)
    new = replace(lay_out(rest, bought), share="to buy")
    if not held.placed:
        return (new,)
    return replace(held, share="at hand"), new


def _held(
    pieces: Sequence[CutPiece], cloth: Cloth, at_hand_mm: float
) -> tuple[ClothLayout, list[CutPiece]]:
    skyline: list[Step] = [(0.0, cloth.usable_mm, 0.0)]
    placed, rest = [], []
    for piece in pieces:
        across, along = _lowest(skyline, piece.on_width_mm, cloth.usable_mm)
        top = along + piece.on_length_mm
        if top > at_hand_mm + _TOUCH:
            rest.append(piece)
            continue
        placed.append(PlacedPiece(piece, across, along))
        skyline = _raise_skyline(skyline, across, across + piece.on_width_mm, top)
    used = max(top for *_, top in skyline)
    return ClothLayout(cloth, tuple(placed), used), rest


def _check_widths(pieces: Sequence[CutPiece], cloth: Cloth) -> None:
    for piece in pieces:
        if piece.on_width_mm > cloth.usable_mm + _TOUCH:
            raise InputError(
                "", cloth.name,
                f"{piece.name} is {both_units(piece.on_width_mm)} wide, the cloth only"
                f" {both_units(cloth.usable_mm)}", "take a wider cloth",
            )  # fmt: skip


def _fits_turned(piece: CutPiece, cloth: Cloth) -> bool:
    return cloth.turns and piece.may_turn and piece.on_length_mm <= cloth.usable_mm + _TOUCH


def _ways_round(pieces: Sequence[CutPiece], cloth: Cloth) -> Iterator[list[CutPiece]]:
    """The pieces as they are given; and while there are few, so many of each size turned.

    Where that is too much to try, all of a size or none; where even that is, none.
    """
    sizes = Counter(_size(p) for p in pieces if _fits_turned(p, cloth))
    some = [range(n + 1) for n in sizes.values()]
    all_or_none = [(0, n) for n in sizes.values()]
    ways = next(
        (way for way in (some, all_or_none) if len(pieces) * prod(map(len, way)) <= MOST_TRIED),
        [(0,)] * len(sizes),
    )
    for turned in product(*ways):
        left = dict(zip(sizes, turned, strict=True))
        yield [_turned_while(left, piece, cloth) for piece in pieces]


def _size(piece: CutPiece) -> tuple[float, float]:
    return piece.on_length_mm, piece.on_width_mm


def _turned_while(left: dict[tuple[float, float], int], piece: CutPiece, cloth: Cloth) -> CutPiece:
    """The piece turned while some of its size are left to turn."""
    if not _fits_turned(piece, cloth) or not left[_size(piece)]:
        return piece
    left[_size(piece)] -= 1
    return piece.turned


def in_strips(pieces: Sequence[CutPiece], cloth: Cloth) -> list[CutPiece]:
    """Equal pieces side by side as strips from selvedge to selvedge; what is over stays single.

    A size that may turn lies as it takes fewer millimetres of cloth in all.
    """
    made: list[CutPiece] = []
    for piece, count in Counter(pieces).items():
        lying = [piece, piece.turned] if _fits_turned(piece, cloth) else [piece]
        best = min(lying, key=lambda p: (_strip_length(p, count, cloth), p.on_length_mm))
        fits = int(cloth.usable_mm / best.on_width_mm + _TOUCH)
        full, over = divmod(count, fits) if fits > 1 else (0, count)
        strip = replace(
            best, name=f"{fits} x {piece.name}", on_width_mm=fits * best.on_width_mm,
            may_turn=False, holds=fits * piece.holds,
        )  # fmt: skip
        made += [strip] * full + [best] * over
    return made


def _strip_length(piece: CutPiece, count: int, cloth: Cloth) -> float:
    """Length of cloth that so many pieces take side by side."""
    fits = max(1, int(cloth.usable_mm / piece.on_width_mm + _TOUCH))
    return -(-count // fits) * piece.on_length_mm


_Order = Callable[[CutPiece], tuple[float, ...]]

_ORDERS: tuple[_Order, ...] = (
    lambda p: (-p.on_length_mm, -p.on_width_mm),
    lambda p: (-p.on_width_mm, -p.on_length_mm),
    lambda p: (-p.on_length_mm * p.on_width_mm, -p.on_length_mm),
    lambda p: (-p.on_length_mm - p.on_width_mm, -p.on_length_mm),
)


def lay_in_order(pieces: Sequence[CutPiece], cloth: Cloth, *, turning: bool = False) -> ClothLayout:
    """Each piece where it comes lowest on those before it; all fit the width.

    With ``turning`` a piece that may lie either way lies so that its far edge comes lower.
    """
    skyline: list[Step] = [(0.0, cloth.usable_mm, 0.0)]
    placed = []
    for piece in pieces:
        ways = [piece, piece.turned] if turning and _fits_turned(piece, cloth) else [piece]
        found = [(way, *_lowest(skyline, way.on_width_mm, cloth.usable_mm)) for way in ways]
        lying, across, along = min(found, key=lambda f: round(f[2] + f[0].on_length_mm, 6))
        placed.append(PlacedPiece(lying, across, along))
        top = along + lying.on_length_mm
        skyline = _raise_skyline(skyline, across, across + lying.on_width_mm, top)
    return ClothLayout(cloth, tuple(placed), max(top for *_, top in skyline))


Step = tuple[float, float, float]
"""A stretch of the skyline: from, to (across), height (along)."""


def _lowest(skyline: Sequence[Step], width: float, usable: float) -> tuple[float, float]:
    """Lowest, then leftmost, place for a width; places start where a stretch starts or ends."""
    starts = [low for low, _, _ in skyline] + [high - width for _, high, _ in skyline]
    best = (float("inf"), 0.0)
    for start in starts:
        if start < -_TOUCH or start + width > usable + _TOUCH:
            continue
        start = max(0.0, start)
        under = [
            top
            for low, high, top in skyline
            if low < start + width - _TOUCH and high > start + _TOUCH
        ]
        best = min(best, (max(under, default=0.0), start))
    return best[1], best[0]


def _raise_skyline(skyline: Sequence[Step], low: float, high: float, top: float) -> list[Step]:
    """The skyline with a piece on it; neighbours of one height become one stretch."""
    parts: list[Step] = [(low, high, top)]
    for a, b, height in skyline:
        parts += [(a, min(b, low), height), (max(a, high), b, height)]
    merged: list[Step] = []
    for a, b, height in sorted(part for part in parts if part[1] - part[0] > _TOUCH):
        if merged and abs(merged[-1][2] - height) < _TOUCH:
            merged[-1] = (merged[-1][0], b, height)
        else:
            merged.append((a, b, height))
    return merged
