"""The traditional repertoire: one model a pattern, with defaults and limits.

A drawing function of the same name stands in ``quiltpath.quilting.repertoire``.
"""

from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from quiltpath.project.fields import Length, LengthOrZero, Spacing, fault
from quiltpath.project.figure_sections import (
    BasketWeaveLayer,
    CirclesLayer,
    ClamshellsLayer,
    FansLayer,
    HexagonsLayer,
    InterlockingSquaresLayer,
    OrangePeelLayer,
)
from quiltpath.project.repertoire_layer import INCH, QUARTER_INCH, RepertoireLayer, about
from quiltpath.units import both_units


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
    def _gentle(self) -> Self:
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
    def _joints_apart(self) -> Self:
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
