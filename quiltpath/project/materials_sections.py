"""[table], [[panel]], [[cloth]], [top], [backing], [basting], [binding], [quilted], [stock]:
from the table to the bound runner, what is at hand and how it is to be made."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from quiltpath.project.fields import Length, LengthOrZero, Section, fault
from quiltpath.units import MM_PER_INCH, both_units

IN = MM_PER_INCH
Count = Annotated[int, Field(ge=0, le=10_000)]
TakenUp = Annotated[float, Field(ge=0, le=0.3)]

ClothUse = Literal[
    "backing", "wadding", "binding", "block", "sashing", "cornerstone", "outer sashing", "border"
]


class TableSection(Section):
    """The table. With it the runner's length may be left out: table length + 2 x drop."""

    length: Length
    width: Length
    drop: LengthOrZero = 8 * IN
    """overhang at each end; 6 to 12 in is common practice"""
    place_mats: LengthOrZero = 0.0
    """how far place mats reach in from the long edges"""

    def check_length(self, length_mm: float) -> None:
        """A drop and a length that are both given must agree, to a ruler's mark."""
        sum_mm = self.length + 2 * self.drop
        if "drop" in self.model_fields_set and abs(sum_mm - length_mm) > 1.0:
            raise fault(
                f"table {both_units(self.length)} + 2 x drop {both_units(self.drop)} ="
                f" {both_units(sum_mm)}, but the runner's length is {both_units(length_mm)}",
                "leave one of drop and length out",
            )


class PanelSection(Section):
    """Printed panels at hand, of one kind."""

    name: str = Field(default="panel", min_length=1, max_length=60)
    size: tuple[Length, Length]
    """the cloth as bought, along and across"""
    printed: tuple[Length, Length]
    """the print, end strips and overlap included"""
    end_strip: LengthOrZero = 0.0
    """from the last printed line to the end of the print"""
    seam: Length = IN / 4
    overlap: LengthOrZero = 0.0
    """extra print at each end, for a join across the print"""
    count: Annotated[int, Field(ge=1, le=100)] = 1

    @model_validator(mode="after")
    def _print_on_cloth(self) -> Self:
        if any(p > s for p, s in zip(self.printed, self.size, strict=True)):
            raise fault("the print is larger than its cloth", "measure size and printed again")
        if 2 * (self.end_strip + self.overlap) >= self.printed[0]:
            raise fault("the end strips take the whole print", "measure end_strip again")
        return self


class ClothSection(Section):
    """A cloth: how wide it is between the selvedges, how much of it is at hand, what it is for."""

    name: str = Field(min_length=1, max_length=60)
    use: ClothUse | tuple[ClothUse, ...]
    width: Length = 40 * IN
    """usable: 40 to 42 in of quilting cotton once the selvedges are off"""
    length: LengthOrZero | None = None
    """at hand; left out where it is still to be bought"""

    @property
    def uses(self) -> tuple[str, ...]:
        """What the cloth is for."""
        return (self.use,) if isinstance(self.use, str) else self.use


class TopSection(Section):
    """How the top comes to be."""

    made: Literal["at hand", "pieced"] = "at hand"
    seam: Length = IN / 4


class LayerKeys(Section):
    """How much larger than the top a layer is, and what its seams keep clear of."""

    extra: LengthOrZero = 4 * IN
    """all round"""
    extra_ends: LengthOrZero | None = None
    """at the two ends, where it is to be more; longarm takers want more"""
    seam: LengthOrZero = IN / 2
    clear: LengthOrZero = 2 * IN
    """between its joins and those of the other layers"""
    seam_worth: LengthOrZero = 200.0
    """cloth that a join must save; 0 asks for the very least cloth"""


class BackingSection(LayerKeys):
    """[backing]: 4 in larger all round is common practice."""


class BastingSection(Section):
    """How the layers are held until they are quilted."""

    method: Literal["pins", "spray"] = "pins"
    pins_apart: Length = 4 * IN
    at_a_go: Length = 20 * IN
    """length of a section of spray"""
    wadding_join: Literal["tape", "herringbone"] = "tape"


class BindingSection(Section):
    """How the edge is bound."""

    fold: Literal["single", "double"] = "double"
    cut: Literal["straight", "bias"] = "straight"
    seam: Length | None = None
    """1/4 in for a double binding, 1/2 in for a single one; as much shows on the front"""
    width: Length | None = None
    """of the strips; left out it follows from the seam"""
    bulk: LengthOrZero = IN / 8
    """what the thickness of the wadding takes up"""
    cover: LengthOrZero = IN / 4
    """how far a double binding's fold lies over the seam"""
    loose_start: LengthOrZero = 4 * IN
    open: LengthOrZero = 8 * IN
    """left open between end and start"""
    mitre: LengthOrZero = IN / 8
    """what the folds of one mitre take up"""
    allowance: LengthOrZero | None = None
    """so much over the perimeter, instead of overlap, mitres and handling"""
    join_loss: LengthOrZero | None = None
    """what a join costs; left out, one strip width"""
    clear: LengthOrZero = 2 * IN
    """between joins and corners, the panel join and the closing join"""
    first_to: Literal["front", "back"] = "front"
    """the face it is sewn to first; sewn to the back first it is top-stitched on the front"""

    @property
    def seam_mm(self) -> float:
        """The seam allowance, or the usual one for the fold."""
        return self.seam or (IN / 4 if self.fold == "double" else IN / 2)


class QuiltedSection(Section):
    """What quilting and washing take, and what was measured after quilting."""

    taken_up: TakenUp | None = None
    """share of its size that quilting draws the piece up; left out, its density says"""
    wash: TakenUp = 0.0
    """share that washing takes"""
    lengths: tuple[Length, ...] = ()
    """measured after quilting: at both edges and in the middle"""
    widths: tuple[Length, ...] = ()

    @model_validator(mode="after")
    def _both_ways(self) -> Self:
        if bool(self.lengths) != bool(self.widths):
            raise fault("measured one way only", "give lengths and widths")
        return self


class StockSection(Section):
    """What is in the drawer already; cloth has its own length."""

    thread: Annotated[float, Field(ge=0, le=100_000)] = 0.0
    """metres"""
    bobbins: Count = 0
    pins: Count = 0
    spray: Count = 0
    tape: LengthOrZero = 0.0
    needles: Count = 0
    foot: Count = 0


class InstructionsSection(Section):
    """How the instructions are written."""

    units: Literal["both", "inches", "metric"] = "both"
    large_print: bool = False
    paper: Literal["A4", "Letter"] | None = None
    """left out: the size that [paper] names, where it is one of these, else A4"""
    needle: str = Field(default="quilting needle, size 90/14", max_length=60)
    foot: str = Field(default="walking foot", max_length=60)
