"""The traditional repertoire: one model a pattern, with defaults and limits.

A drawing function of the same name stands in ``quiltpath.quilting.repertoire``.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from quiltpath.project.fields import Length, LengthOrZero, Spacing, fault
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
    def _can_be_sewn(self) -> RepertoireLayer:
        for name, least in LEAST_MM.items():
            distance = getattr(self, name, None)
            if isinstance(distance, Spacing) and distance.mm < least:
                raise fault(
                    f"{name} is too small for stitches of 3 mm", f"give {both_units(least)} or more"
                )
        return self


class _Rows(RepertoireLayer):
    """Rows that run from end to end and off the edge."""

    inset: LengthOrZero = 0.0
    spacing: Spacing = about(INCH)
    wave: Spacing = about(6 * INCH)
    """one wave along the row, from crest to crest"""


class WavesLayer(_Rows):
    """Gentle waves: sine curves side by side."""

    kind: Literal["waves"]
    height: Length = INCH
    """from trough to crest"""

    @model_validator(mode="after")
    def _gentle(self) -> WavesLayer:
        if self.height > self.wave.mm / 2:
            limit = both_units(self.wave.mm / 2)
            raise fault("waves this steep are not gentle", f"give a height of {limit} or less")
        return self


class SerpentineLayer(_Rows):
    """Serpentine lines: arcs of a circle to one side and the other."""

    kind: Literal["serpentine"]
    sweep: Annotated[float, Field(ge=20, le=180)] = 120.0
    """degrees of circle in each arc; 180 makes half circles"""


class SwitchbackLayer(RepertoireLayer):
    """Lines there and back, joined by rounded turns: one path."""

    kind: Literal["switchback"]
    spacing: Spacing = about(INCH)


class MeanderLayer(RepertoireLayer):
    """A wandering line that fills its region, keeps its distance and never crosses itself."""

    kind: Literal["meander"]
    spacing: Spacing = about(INCH / 2)
    seed: Annotated[int, Field(ge=0, le=999_999)] = 1
    """another number, another wandering"""


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
    def _odd(self) -> BasketWeaveLayer:
        if self.lines % 2 == 0:
            raise fault(
                f"with {self.lines} lines a square does not end where the next begins",
                f"give {self.lines - 1} or {self.lines + 1}",
            )
        return self


class BambooLayer(RepertoireLayer):
    """Long bars with double joints, set off from one bar to the next."""

    kind: Literal["bamboo"]
    inset: LengthOrZero = 0.0
    spacing: Spacing = about(1.25 * INCH)
    """width of one bar"""
    joint: Spacing = about(10 * INCH)
    """from one joint to the next along a bar"""
    ring: Length = QUARTER_INCH
    """between the two lines of a joint"""

    @model_validator(mode="after")
    def _joints_apart(self) -> BambooLayer:
        if self.ring > self.joint.mm / 4:
            limit = both_units(self.joint.mm / 4)
            raise fault("the joints are wider than the bars between", f"ring: {limit} or less")
        return self


class _Medallion(RepertoireLayer):
    """A figure in the middle of each block; a long region gets several, side by side."""

    spacing: Spacing = about(INCH / 2)


class SpiralLayer(_Medallion):
    """A round spiral in and out again, at one distance everywhere, with both ends outside."""

    kind: Literal["spiral"]
    spacing: Spacing = about(INCH / 2)


class SquareSpiralLayer(_Medallion):
    """A square spiral in and out again, at one distance everywhere, with both ends outside."""

    kind: Literal["square-spiral"]


class ConcentricLayer(_Medallion):
    """Squares or diamonds one inside the other."""

    kind: Literal["concentric"]
    shape: Literal["squares", "diamonds"] = "squares"


class RadiatingLayer(RepertoireLayer):
    """Lines from the edge towards the middle, joined in pairs round a small circle."""

    amount_key: ClassVar[str] = "middle"
    kind: Literal["radiating"]
    inset: LengthOrZero = 0.0
    rays: Annotated[int, Field(ge=4, le=96, multiple_of=2)] = 24
    middle: Length = INCH
    """radius of the circle where the lines turn back"""


class OneLineCrosshatchLayer(RepertoireLayer):
    """A whole crosshatch in one line that turns at the region's edges, and comes back to its start.

    The numbers of cells are chosen so that there is one line only, as near as can be to the
    spacing and the angle wished for. Turns at the edge want an inset that keeps them inside the
    trim line; 0 puts them on the finished edge itself.
    """

    kind: Literal["one-line-crosshatch"]
    spacing: Spacing = about(INCH)
    angle: Annotated[float, Field(gt=0, lt=90)] = 45.0
    """slope of the lines against the length of the region"""


class _Bands(RepertoireLayer):
    """Figures along a strip of sashing, or round a border with its corners."""

    amount_key: ClassVar[str] = "repeat"
    lines_in_it: ClassVar[float] = 4.0
    repeat: Spacing = about(2 * INCH)


class CableLayer(_Bands):
    """Two or more strands that twine along a strip; at a border's corners they turn with it."""

    kind: Literal["cable"]
    region: str | tuple[str, ...] = "sashing"
    repeat: Spacing = about(4 * INCH)
    """one full wave of a strand"""
    strands: Annotated[int, Field(ge=2, le=4)] = 2
    """two for a cable, three for a plait"""


class VineLayer(_Bands):
    """A waving stem with leaves to either side by turns: one path."""

    kind: Literal["leaf-vine"]
    region: str | tuple[str, ...] = "sashing"
    repeat: Spacing = about(4 * INCH)
    """one wave of the stem, with a leaf on each side"""


REPERTOIRE_KINDS: dict[str, type[RepertoireLayer]] = {
    "waves": WavesLayer,
    "serpentine": SerpentineLayer,
    "switchback": SwitchbackLayer,
    "meander": MeanderLayer,
    "clamshells": ClamshellsLayer,
    "fans": FansLayer,
    "orange-peel": OrangePeelLayer,
    "overlapping-circles": CirclesLayer,
    "interlocking-squares": InterlockingSquaresLayer,
    "nested-hexagons": HexagonsLayer,
    "basket-weave": BasketWeaveLayer,
    "bamboo": BambooLayer,
    "spiral": SpiralLayer,
    "square-spiral": SquareSpiralLayer,
    "concentric": ConcentricLayer,
    "radiating": RadiatingLayer,
    "one-line-crosshatch": OneLineCrosshatchLayer,
    "cable": CableLayer,
    "leaf-vine": VineLayer,
}
