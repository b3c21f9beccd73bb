"""Cloth by the piece and by the length, and how shops sell it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from quiltpath.units import MM_PER_INCH, MM_PER_UNIT

YARD_MM = MM_PER_UNIT["yd"]
_SLACK = 1e-6

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


def eighths_of_a_yard(mm: float) -> float:
    """Yards to buy: up to the next eighth."""
    return math.ceil(mm / (YARD_MM / 8) - _SLACK) / 8


def tenths_of_a_metre(mm: float) -> float:
    """Metres to buy: up to the next tenth."""
    return math.ceil(mm / 100 - _SLACK) / 10
