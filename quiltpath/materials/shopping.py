"""What to buy: needed, less what is in stock, rounded up as shops sell it.

Cloth by the piece and by the length, and how shops sell it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from quiltpath.units import MM_PER_INCH, eighths_of_a_yard, tenths_of_a_metre

Unit = Literal["mm of cloth", "mm", "m of thread", "pieces"]
_SLACK = 1e-6


@dataclass(frozen=True)
class ShoppingItem:
    """One line of the list.

    ``need`` and ``have`` in ``unit``; ``width_mm`` is a cloth's usable width; ``pack`` is what is
    sold at once (metres on a spool); ``note`` says what kind to ask for.
    """

    name: str
    unit: Unit
    need: float
    have: float = 0.0
    width_mm: float | None = None
    pack: float | None = None
    note: str = ""

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


@dataclass(frozen=True)
class ThreadNeed:
    """Thread for the quilting, in metres, and what one spool holds."""

    needle_m: float
    bobbin_m: float
    bobbins: int
    spool_m: float


def item(
    name: str,
    unit: Unit,
    need: float,
    stock: Mapping[str, float],
    *,
    width_mm: float | None = None,
    pack: float | None = None,
    note: str = "",
) -> ShoppingItem:
    """A line of the list with the stock of that name taken off."""
    return ShoppingItem(name, unit, need, stock.get(name, 0.0), width_mm, pack, note)


def thread_items(thread: ThreadNeed, stock: Mapping[str, float]) -> tuple[ShoppingItem, ...]:
    """Spools for needle and bobbin together, and bobbins to wind."""
    total = thread.needle_m + thread.bobbin_m
    return (
        item("quilting thread", "m of thread", total, stock, pack=thread.spool_m,
             note="needle and bobbin together"),
        item("bobbins", "pieces", float(thread.bobbins), stock, note="wound before the start"),
    )  # fmt: skip


QUILTING_COTTON_MM = 40 * MM_PER_INCH
"""Usable width once the selvedges are off, 40 to 42 in (common practice)."""


@dataclass(frozen=True)
class Cloth:
    """A cloth of one kind; ``usable_mm`` is its width between the selvedges.

    ``length_mm`` is what is at hand; None means that it is still to be bought. ``grain`` is false
    for wadding and other stuff that has neither grain nor selvedge.
    """

    name: str
    usable_mm: float = QUILTING_COTTON_MM
    length_mm: float | None = None
    grain: bool = True
