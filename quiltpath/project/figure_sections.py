"""Patterns of figures that repeat both ways: shells, fans, petals, circles, squares, hexagons."""

from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from quiltpath.project.fields import LengthOrZero, Spacing, fault
from quiltpath.project.repertoire_layer import INCH, RepertoireLayer, about


class _Figures(RepertoireLayer):
    """Figures that repeat both ways."""

    amount_key: ClassVar[str] = "size"
    lines_in_it: ClassVar[float] = 4.5
    size: Spacing = about(3 * INCH)


class ClamshellsLayer(_Figures):
    """Half circles in rows, each resting between two of the row below."""

    kind: Literal["clamshells"]
    size: Spacing = about(3 * INCH)
    """width of one shell"""


class FansLayer(_Figures):
    """Overlapping fans of concentric arcs, as if swung from the elbow."""

    kind: Literal["fans"]
    inset: LengthOrZero = 0.0
    size: Spacing = about(6 * INCH)
    """width of one fan"""
    arcs: Annotated[int, Field(ge=2, le=8)] = 5

    @property
    def apart_mm(self) -> float:
        """Distance from arc to arc."""
        return self.size.mm / 2 / self.arcs


class OrangePeelLayer(_Figures):
    """Petals along the sides of a square grid, from quarter circles."""

    kind: Literal["orange-peel"]
    size: Spacing = about(3 * INCH)
    """length of one petal"""


class CirclesLayer(_Figures):
    """Circles that each pass through the middles of their neighbours."""

    lines_in_it: ClassVar[float] = 14.5
    kind: Literal["overlapping-circles"]
    size: Spacing = about(4 * INCH)
    """width of one circle"""


class InterlockingSquaresLayer(_Figures):
    """Squares that overlap at the corners by a third."""

    kind: Literal["interlocking-squares"]
    size: Spacing = about(3 * INCH)
    """side of one square"""


class HexagonsLayer(_Figures):
    """Regular hexagons that fit together, with smaller ones inside each."""

    kind: Literal["nested-hexagons"]
    size: Spacing = about(5 * INCH)
    """from point to point"""
    rings: Annotated[int, Field(ge=1, le=12)] = 4

    @property
    def apart_mm(self) -> float:
        """Distance from ring to ring."""
        return self.size.mm * 0.43 / self.rings


class BasketWeaveLayer(_Figures):
    """Squares of upright and level lines by turns: one path."""

    kind: Literal["basket-weave"]
    size: Spacing = about(3 * INCH)
    """side of one square"""
    lines: Annotated[int, Field(ge=3, le=25)] = 5
    """lines in each square, an odd number so that each ends where the next begins"""

    @property
    def apart_mm(self) -> float:
        """Distance from line to line."""
        return self.size.mm / self.lines

    @model_validator(mode="after")
    def _odd(self) -> Self:
        if self.lines % 2 == 0:
            raise fault(
                f"with {self.lines} lines a square does not end where the next begins",
                f"give {self.lines - 1} or {self.lines + 1}",
            )
        return self
