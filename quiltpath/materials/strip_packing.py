"""Laying pieces out on cloth: between the selvedges, with the grain, in little length.

Strip packing: the width is given and the length is to be small. Pieces are set down one after the
other, each where it comes lowest (then furthest left) on the skyline of those before it, in a few
orders; the shortest layout is kept. For a runner's dozen of pieces this comes as near to the
lower bound as a general rectangle packer tried at many lengths, and needs none.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from quiltpath.errors import InputError
from quiltpath.materials.piecing import CutPiece
from quiltpath.materials.shopping import Cloth
from quiltpath.units import both_units

_TOUCH = 1e-6


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
    """All pieces of one cloth; ``length_mm`` of it is used."""

    cloth: Cloth
    placed: tuple[PlacedPiece, ...]
    length_mm: float

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

    Pieces keep the direction that they are given, so that the grain stays theirs.
    """
    for piece in pieces:
        if piece.on_width_mm > cloth.usable_mm + _TOUCH:
            raise InputError(
                "", cloth.name,
                f"{piece.name} is {both_units(piece.on_width_mm)} wide, the cloth only"
                f" {both_units(cloth.usable_mm)}", "take a wider cloth",
            )  # fmt: skip
    layouts = [lay_in_order(sorted(pieces, key=order), cloth) for order in _ORDERS]
    return min(layouts, key=lambda layout: round(layout.length_mm, 6))


_ORDERS: tuple[Callable[[CutPiece], tuple[float, ...]], ...] = (
    lambda p: (-p.on_length_mm, -p.on_width_mm),
    lambda p: (-p.on_width_mm, -p.on_length_mm),
    lambda p: (-p.on_length_mm * p.on_width_mm, -p.on_length_mm),
    lambda p: (-p.on_length_mm - p.on_width_mm, -p.on_length_mm),
)


def lay_in_order(pieces: Sequence[CutPiece], cloth: Cloth) -> ClothLayout:
    """Each piece where it comes lowest on those before it; all fit the width."""
    skyline = [(0.0, cloth.usable_mm, 0.0)]
    placed = []
    for piece in pieces:
        across, along = _lowest(skyline, piece.on_width_mm, cloth.usable_mm)
        placed.append(PlacedPiece(piece, across, along))
        top = along + piece.on_length_mm
        skyline = _raised(skyline, across, across + piece.on_width_mm, top)
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


def _raised(skyline: Sequence[Step], low: float, high: float, top: float) -> list[Step]:
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
