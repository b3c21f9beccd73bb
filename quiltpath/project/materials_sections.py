"""[table], [[panel]], [[cloth]], [top], [backing], [basting], [binding], [quilted], [stock]:
from the table to the bound runner, what is at hand and how it is to be made.

[[swatch]]: samples of the user's own, measured before quilting, after it, and after washing.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from quiltpath.schema import Length, LengthOrZero, Section, fault
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


MM_PER_M = 1000.0


def _both_ways(value: Any) -> Any:
    """One size stands for a square."""
    return value if isinstance(value, list | tuple) else (value, value)


Size = Annotated[tuple[Length, Length], BeforeValidator(_both_ways)]
"""Along and across; one size for a square."""


class SwatchSection(Section):
    """One quilted sample of the same layers and thread."""

    density: Annotated[float, Field(gt=0, le=1000)] | None = None
    """metres of seam on a square metre; or give the spacing"""
    spacing: Length | None = None
    """distance of parallel lines on the sample"""
    crossed: bool = False
    """lines both ways at that spacing, as in a crosshatch"""
    before: Size
    quilted: Size
    washed: Size | None = None

    @model_validator(mode="after")
    def _one_density(self) -> Self:
        if (self.density is None) == (self.spacing is None):
            raise fault("a swatch has a density or a spacing", "give one of the two")
        return self

    @model_validator(mode="after")
    def _does_not_grow(self) -> Self:
        steps = [self.before, self.quilted, self.washed or self.quilted]
        for earlier, later in pairwise(steps):
            if any(b > a for a, b in zip(earlier, later, strict=True)):
                raise fault("the swatch grew", "measure before, quilted and washed again")
            if any(b < 0.7 * a for a, b in zip(earlier, later, strict=True)):
                raise fault("the swatch lost more than 30 percent", "check the sizes and units")
        return self

    @property
    def m_per_m2(self) -> float:
        """Lines s apart are 1 / s long on a unit of area; crossed lines twice that."""
        if self.density is not None:
            return self.density
        assert self.spacing is not None
        return (2 if self.crossed else 1) * MM_PER_M / self.spacing


@dataclass(frozen=True)
class BastingSetting:
    """How layers are held; lengths in mm."""

    method: Literal["pins", "spray"] = "pins"
    pins_apart_mm: float = 4 * MM_PER_INCH
    at_a_go_mm: float = 20 * MM_PER_INCH
    wadding_join: Literal["tape", "herringbone"] = "tape"


@dataclass(frozen=True)
class BindingSetting:
    """How the binding is made; lengths in mm.

    ``seam_mm``         seam allowance; as much shows on the front
    ``strip_mm``        strip width; None works it out from the seam and the bulk
    ``bulk_mm``         what the thickness of the wadding takes up
    ``cover_mm``        how far the fold of a double binding lies over the seam on the other face
    ``loose_start_mm``  left loose at the start; ``open_mm`` is left open between end and start
    ``mitre_mm``        what the folds of one mitre take up
    ``allowance_mm``    instead of overlap, mitres and handling: so much over the perimeter
    ``join_loss_mm``    what a join costs; None for one strip width
    ``first_to``        the face it is sewn to first; places along the edge are seen from there
    ``clear_mm``        how far joins keep from corners, the panel join and the closing join
    """

    fold: Literal["single", "double"] = "double"
    grain: Literal["straight", "bias"] = "straight"
    seam_mm: float = MM_PER_INCH / 4
    strip_mm: float | None = None
    bulk_mm: float = MM_PER_INCH / 8
    cover_mm: float = MM_PER_INCH / 4
    loose_start_mm: float = 4 * MM_PER_INCH
    open_mm: float = 8 * MM_PER_INCH
    mitre_mm: float = MM_PER_INCH / 8
    allowance_mm: float | None = None
    join_loss_mm: float | None = None
    clear_mm: float = 2 * MM_PER_INCH
    top_stitch_mm: float = MM_PER_INCH / 16
    first_to: Literal["front", "back"] = "front"

    @property
    def width_mm(self) -> float:
        """Width to cut the strips.

        Single: 4 seams. Double, folded in half: seam, front, bulk, back down to the seam line,
        and the cover; twice. With 1/4 in seams and the usual bulk and cover that is 2 1/4 in.
        """
        if self.strip_mm is not None:
            return self.strip_mm
        if self.fold == "single":
            return 4 * self.seam_mm
        return 2 * (3 * self.seam_mm + self.bulk_mm + self.cover_mm)

    @property
    def turn_under_mm(self) -> float:
        """What is turned under on the other face: a single binding's seam less the bulk."""
        return self.width_mm - 3 * self.seam_mm - self.bulk_mm if self.fold == "single" else 0.0

    @property
    def join_mm(self) -> float:
        """Length that one diagonal join costs."""
        return self.width_mm if self.join_loss_mm is None else self.join_loss_mm
