"""What every pattern of the repertoire has, and the least that can be sewn."""

from typing import ClassVar, Self

from pydantic import model_validator

from quiltpath.project.fields import LengthOrZero, Spacing, fault
from quiltpath.project.layer_section import Layer
from quiltpath.units import both_units

QUARTER_INCH = 6.35
INCH = 25.4


LEAST_MM = {"spacing": 3.0, "size": 12.7, "repeat": 12.7, "wave": 12.7, "joint": 12.7}
"""The least of each distance that stitches of 3 mm can still show."""


def about(mm: float) -> Spacing:
    """A distance that gives way to even division."""
    return Spacing(mm=mm, about=True)


class RepertoireLayer(Layer):
    """What every pattern of the repertoire has. Rows run along the longer side of the region."""

    amount_key: ClassVar[str] = "spacing"
    """the key whose distance says how much thread the pattern takes"""
    lines_in_it: ClassVar[float] = 1.0
    """how many lines lie across that distance, roughly"""

    inset: LengthOrZero = QUARTER_INCH
    """kept free along the region's edge, so that nothing vanishes in a seam or the binding"""
    turned: bool = False
    """rows across the longer side instead of along it"""

    @property
    def size_mm(self) -> float:
        """The distance under ``amount_key``."""
        distance = getattr(self, self.amount_key)
        return distance.mm if isinstance(distance, Spacing) else float(distance)

    @property
    def apart_mm(self) -> float:
        """Mean distance between neighbouring lines, roughly: what an amount is reckoned from."""
        return self.size_mm / self.lines_in_it

    @model_validator(mode="after")
    def _can_be_sewn(self) -> Self:
        for name, least in LEAST_MM.items():
            distance = getattr(self, name, None)
            if isinstance(distance, Spacing) and distance.mm < least:
                raise fault(
                    f"{name} is too small for stitches of 3 mm", f"give {both_units(least)} or more"
                )
        return self
