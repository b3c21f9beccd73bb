"""Pebbles: round stones side by side, gone round in one line."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from quiltpath.geometry.curves import Points
from quiltpath.patterns.clear_rooms import ClearRoom
from quiltpath.patterns.kind import FREE, Kind
from quiltpath.patterns.layer import INCH, QUARTER_INCH, RepertoireLayer, about
from quiltpath.schema import Length, LengthOrZero, Spacing, fault
from quiltpath.units import both_units

MOST_SPACINGS = 4_000

LEAST_STONE_MM = 5.0
"""Smaller ones are corners to stitches of 3 mm."""


class PebblesLayer(RepertoireLayer):
    """Stones of many sizes against each other; the line goes round each once, as in an eight."""

    amount_key: ClassVar[str] = "size"
    lines_in_it: ClassVar[float] = 4.5
    kind: Literal["pebbles"]
    size: Spacing = about(0.75 * INCH)
    """across the largest stones"""
    least: Length | None = None
    """across the smallest; two fifths of the largest where it is left out"""
    clearance: LengthOrZero | None = QUARTER_INCH
    seed: Annotated[int, Field(ge=0, le=999_999)] = 1
    """another number, another heap"""

    @model_validator(mode="after")
    def _stones_can_be_sewn(self) -> Self:
        if self.least is not None and not LEAST_STONE_MM <= self.least <= self.size.mm:
            least = both_units(LEAST_STONE_MM)
            raise fault("least is no size for a stone here", f"give {least} up to the size")
        return self


def pebbles(layer: PebblesLayer, room: ClearRoom) -> list[Points]:
    """One closed line for each part of the room; see ``geometry/free_curves``."""
    from quiltpath.geometry.free_curves import stones

    largest = layer.size.mm
    least = max(LEAST_STONE_MM, 0.4 * largest) if layer.least is None else layer.least
    return stones.pebbles(room.clear, least, largest, motif_mm=0.0, seed=layer.seed)


KINDS = (
    Kind(
        PebblesLayer,
        FREE,
        in_clear=pebbles,
        one_path=True,
        most_spacings=MOST_SPACINGS,
        length_share=0.93,
    ),
)
