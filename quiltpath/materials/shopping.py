"""Cloth at hand, and what to buy: what is needed less what is there, as shops sell it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from quiltpath.language import message
from quiltpath.project.materials_sections import ClothSection, StockSection
from quiltpath.stitching.thread_and_time import ThreadUse
from quiltpath.units import MM_PER_INCH, eighths_of_a_yard, tenths_of_a_metre

QUILTING_COTTON_MM = 40 * MM_PER_INCH
"""Usable width once the selvedges are off, 40 to 42 in (common practice)."""

WADDING_MM = 90 * MM_PER_INCH
"""Width of a usual packet or roll of wadding (common practice)."""


@dataclass(frozen=True)
class Cloth:
    """A cloth of one kind; ``usable_mm`` is its width between the selvedges.

    ``length_mm`` is what is at hand; None means that it is still to be bought. ``grain`` is false
    for wadding and other stuff that has neither grain nor selvedge. ``turns`` is true where it has
    no direction, so that pieces of a top may lie either way on it.
    """

    name: str
    usable_mm: float = QUILTING_COTTON_MM
    length_mm: float | None = None
    grain: bool = True
    turns: bool = False


def cloths_for(sections: Sequence[ClothSection], use: str) -> tuple[Cloth, ...]:
    """The cloths that are named for a use; without any, a usual one that bears the use's name."""
    grain = use != "wadding"
    named = [
        Cloth(section.name, section.width, section.length, grain, section.direction == "none")
        for section in sections
        if use in section.uses
    ]
    usual = Cloth(use, QUILTING_COTTON_MM if grain else WADDING_MM, grain=grain)
    return tuple(named) or (usual,)


Unit = Literal["mm of cloth", "mm", "m of thread", "pieces"]
_SLACK = 1e-6


@dataclass(frozen=True)
class ShoppingItem:
    """One line of the list.

    ``need`` and ``have`` in ``unit``; ``width_mm`` is a cloth's usable width; ``pack`` is what is
    sold at once (metres on a spool); ``note`` says what kind to ask for; of the need
    ``allowance_mm`` is for crooked cuts and the first wash.
    """

    name: str
    unit: Unit
    need: float
    have: float = 0.0
    width_mm: float | None = None
    pack: float | None = None
    note: str = ""
    allowance_mm: float = 0.0

    @property
    def short(self) -> float:
        """What the stock does not cover."""
        return max(0.0, self.need - self.have)

    @property
    def buy_yd(self) -> float:
        """Yards, up to the next 1/8."""
        return eighths_of_a_yard(self.short)

    @property
    def buy_m(self) -> float:
        """Metres of cloth or tape, up to the next 0.1."""
        return tenths_of_a_metre(self.short)

    @property
    def buy_packs(self) -> int:
        """Spools or pieces, whole ones."""
        return math.ceil(self.short / (self.pack or 1.0) - _SLACK)

    @property
    def is_sold_by_length(self) -> bool:
        """True for cloth, wadding and tape."""
        return self.unit in ("mm of cloth", "mm")


def pieces(name: str, need: float, have: int, note: str) -> ShoppingItem:
    """A line of what is sold by the piece."""
    return ShoppingItem(name, "pieces", need, float(have), note=note)


def thread_items(
    thread: ThreadUse, spool_m: float, stock: StockSection, copies: int = 1
) -> tuple[ShoppingItem, ShoppingItem]:
    """Spools for needle and bobbin together, and bobbins to wind, for so many copies."""
    total = (thread.needle_m + thread.bobbin_m) * copies
    both = message("needle and bobbin together")
    return (
        ShoppingItem(
            message("quilting thread"), "m of thread", total, stock.thread, pack=spool_m, note=both
        ),
        pieces(
            message("bobbins"),
            float(thread.bobbins * copies),
            stock.bobbins,
            message("wound before the start"),
        ),
    )
