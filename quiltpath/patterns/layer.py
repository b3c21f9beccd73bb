"""What all layers of quilting have, and what those of a family share: keys, defaults and limits.

Limits are known before anything is drawn: the least that stitches can show, and the most that
anybody sews.
"""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from quiltpath.errors import InputError
from quiltpath.schema import Length, LengthOrZero, Position, Section, Spacing, fault
from quiltpath.units import both_units

Role = Literal["hold", "outline", "fill"]
Angle = Annotated[float, Field(ge=-360, le=360)]
"""degrees, anticlockwise from the runner's length"""

Edge = Literal["line", "half", "gap"]
"""what lies at both edges of a region that lines divide evenly"""

QUARTER_INCH = 6.35
INCH = 25.4

LEAST_MM = {"spacing": 3.0, "size": 12.7, "repeat": 12.7, "wave": 12.7, "joint": 12.7}
"""The least of each distance that stitches of 3 mm can still show."""

MOST_STITCHES = 5_000_000
SHORTEST_STITCH_MM = 3.0


class Layer(Section):
    """What every layer has: a name, where it goes and how it keeps its distance."""

    amount_key: ClassVar[str] = "spacing"
    """the key whose distance says how much thread the layer takes"""

    kind: str
    """what is drawn; or name a pattern, with pattern = "..." in place of kind"""
    name: str = ""
    """what it is called in figures and notes; left out, its pattern or its kind"""
    region: str | tuple[str, ...] = "runner"
    """runner, blocks, sashing, outer sashing, border, cornerstones, or names of blocks"""
    clearance: LengthOrZero | None = None
    """distance kept from motifs; without it lines run over them"""
    holes: Literal["wide", "all"] = "wide"
    """lines within a motif's holes: only where two of them find room, or in all"""
    overrun: LengthOrZero | None = None
    """how far lines run past the finished edge into the wadding margin"""
    follow: Literal["print", "ruler"] = "print"
    """bent with a print that was measured, or straight as a ruler"""
    role: Role | None = None
    """hold, outline or fill; each kind has its own usual one"""
    marking: Literal["auto", "ruler", "ticks", "template", "none"] = "auto"
    """how the layer is marked on the cloth"""


class SpacedLayer(Layer):
    """Lines that repeat at a distance."""

    spacing: Spacing = Spacing(mm=25.4, about=True)
    """between neighbouring lines"""
    anchor: Literal["centre", "edge", "halfway"] | Position = "centre"
    """a line on the centre, on the edge, half a spacing off the centre, or at a position"""
    spacings: tuple[Length, ...] | None = None
    """distances that follow one another and repeat, for pairs and plaids, in place of spacing"""


def about(mm: float) -> Spacing:
    """A distance that gives way to even division."""
    return Spacing(mm=mm, about=True)


class RepertoireLayer(Layer):
    """What every pattern of the repertoire has. Rows run along the longer side of the region."""

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

    @property
    def between_cells_mm(self) -> float:
        """What lies between neighbours where a long region gets several figures side by side."""
        return 0.0

    @model_validator(mode="after")
    def _can_be_sewn(self) -> Self:
        for name, least in LEAST_MM.items():
            distance = getattr(self, name, None)
            if isinstance(distance, Spacing) and distance.mm < least:
                raise fault(
                    f"{name} is too small for stitches of 3 mm", f"give {both_units(least)} or more"
                )
        return self


class RepeatingLayer(RepertoireLayer):
    """Figures that repeat both ways."""

    amount_key: ClassVar[str] = "size"
    lines_in_it: ClassVar[float] = 4.5
    size: Spacing = about(3 * INCH)


def check_amount(expected_mm: float, spacing_mm: float, key: str = "spacing") -> None:
    """Refuse a layer that would make more than five million stitches of 3 mm.

    Lines a distance s apart on an area A are A / s long in all, whatever their direction (the
    coarea formula), so the bound needs no drawing. Raises :class:`InputError`.
    """
    stitches = expected_mm / SHORTEST_STITCH_MM
    if stitches <= MOST_STITCHES:
        return
    # A little more, and to a whole tenth upwards, so that what is offered is accepted.
    least = math.ceil(10 * spacing_mm * stitches / MOST_STITCHES * 1.01) / 10
    raise InputError(
        "",
        key,
        f"{spacing_mm:g} mm is so small that it would make about {stitches:,.0f} stitches,"
        f" more than {MOST_STITCHES:,}",
        f"give {least:g} mm ({both_units(least, 16).split(' (')[0]}) or more",
    )


def check_sum(drawn_mm: float) -> None:
    """Refuse layers that come to more stitches together than one alone may make."""
    stitches = drawn_mm / SHORTEST_STITCH_MM
    if stitches > MOST_STITCHES:
        raise InputError(
            "",
            "",
            f"with this layer all come to about {stitches:,.0f} stitches,"
            f" more than {MOST_STITCHES:,}",
            "leave out layers or space them wider",
        )
