"""From the table to the bound runner: what is at hand, how it is made, what was measured.

[table], [[panel]], [[cloth]], [stock] say what is there; [top], [backing], [basting], [binding]
how it is made; [quilted] and [[swatch]] what quilting and washing took; [instructions] how all of
it is written down. These sections are the settings: what plans takes the section itself. A length
is in mm once it is read, whatever unit it was written in.
"""

from itertools import pairwise
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from quiltpath.language import Language, message
from quiltpath.project.runner_sections import Listed
from quiltpath.schema import FileForm, Length, LengthOrZero, Section, TwoLengths, fault
from quiltpath.units import MM_PER_INCH, both_units

IN = MM_PER_INCH
Count = Annotated[int, Field(ge=0, le=10_000)]
"""So many pieces."""

ON_A_MARK_MM = 1.0
"""Measures that are read off a tape may miss their sum by this much."""

TakenUp = Annotated[float, Field(ge=0, le=0.3)]
"""A share of its size that a piece loses, 30 percent at most."""

ClothUse = Literal[
    "backing", "wadding", "binding", "block", "sashing", "cornerstone", "outer sashing", "border"
]
"""A layer, the binding, or the kind of part of a pieced top."""


WALKING_FOOT, DARNING_FOOT = message("walking foot"), message("darning foot")
BOTH_FEET = message("walking foot and darning foot")


class TableSection(Section):
    """The table. With it the runner's length may be left out: table length + 2 x drop."""

    length: Length
    """mm, of the table top"""
    width: Length
    """mm, of the table top"""
    drop: LengthOrZero = 8 * IN
    """mm of overhang at each end; 6 to 12 in is common practice"""
    place_mats: LengthOrZero = 0.0
    """mm that place mats reach in from the long edges; 0 where there are none"""

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
    """Printed panels at hand, of one kind. A sheet may carry several, and a piece for the binding:
    that piece is a [[cloth]]."""

    name: str = Field(default="panel", min_length=1, max_length=60)
    """what it is called"""
    size: TwoLengths
    """mm of the cloth as bought, along and across; flat, as all of a panel"""
    printed: TwoLengths | None = None
    """mm of the print, end strips and overlap included; left out, the size less the rim"""
    rim: LengthOrZero = 0.0
    """mm of unprinted cloth all round, where printed is left out; it is cut off first"""
    end_strip: LengthOrZero = 0.0
    """mm from the last printed line to the end of the print"""
    blocks_along: Listed | None = None
    """mm of the blocks on one panel in order; with them [grid] may be left out"""
    blocks_across: Listed | None = None
    """mm of the blocks across one panel; one that fills it where it is left out"""
    sashing: LengthOrZero = 0.0
    """mm of sashing between these blocks"""
    seam: Length = IN / 4
    """mm of seam allowance, 1/4 in (common practice)"""
    overlap: LengthOrZero = 0.0
    """mm of extra print at each end, for a join across the print"""
    count: Annotated[int, Field(ge=1, le=100)] = 1
    """panels of this kind at hand"""
    picture: str | None = None
    """a straight picture of the print from edge to edge (JPEG, PNG or WebP) beside this file; it
    lies on the cloth in the lit previews"""

    @property
    def print_mm(self) -> tuple[float, float]:
        """Size of the print along and across, in mm."""
        return self.printed or (self.size[0] - 2 * self.rim, self.size[1] - 2 * self.rim)

    @model_validator(mode="after")
    def _print_on_cloth(self) -> Self:
        if self.printed is not None and self.rim:
            raise fault("printed and rim are both given", "keep one of them")
        if min(self.print_mm) <= 0:
            raise fault("the rim takes the whole panel", "measure rim again")
        if any(p > s for p, s in zip(self.print_mm, self.size, strict=True)):
            raise fault("the print is larger than its cloth", "measure size and printed again")
        if 2 * (self.end_strip + self.overlap) >= self.print_mm[0]:
            raise fault("the end strips take the whole print", "measure end_strip again")
        self._blocks_on_print()
        return self

    def _blocks_on_print(self) -> None:
        if self.blocks_along is None:
            return
        strips = (len(self.blocks_along) - 1) * self.sashing + 2 * self.end_strip
        total = sum(self.blocks_along) + strips + 2 * self.overlap
        if abs(total - self.print_mm[0]) > ON_A_MARK_MM:
            raise fault(
                f"blocks, sashing and end strips come to {both_units(total)}, the print is"
                f" {both_units(self.print_mm[0])} long",
                "measure blocks_along, sashing and end_strip again",
            )


class ClothSection(Section):
    """A cloth: how wide it is between the selvedges, how much of it is at hand, what it is for."""

    name: str = Field(min_length=1, max_length=60)
    """what it is called"""
    use: ClothUse | tuple[ClothUse, ...]
    """what it is for: one use or several"""
    width: Length = 40 * IN
    """mm that can be used: 40 to 42 in of quilting cotton once the selvedges are off"""
    length: LengthOrZero | None = None
    """mm at hand; left out where it is still to be bought"""
    direction: Literal["along", "none"] = "along"
    """a print or nap runs along the cloth, so that pieces keep their way; without one they may be
    turned to save cloth"""

    @property
    def uses(self) -> tuple[str, ...]:
        """What the cloth is for."""
        return (self.use,) if isinstance(self.use, str) else self.use


class TopSection(Section):
    """How the top comes to be."""

    made: Literal["at hand", "pieced"] = "at hand"
    """there already, or cut and sewn from the cloths of its parts"""
    seam: Length = IN / 4
    """mm of seam allowance of a pieced top, 1/4 in (common practice)"""
    grows: Literal["border", "outer sashing", "sashing", "blocks"] | None = None
    """the part that makes up what quilting and washing take; left out, the border, else the outer
    sashing of a print, which never stretches, or the blocks of a pieced top"""
    border_corners: Literal["butted", "mitred"] = "butted"
    """a border's strips meet square, the long sides first, or on a seam of 45 degrees"""


class MaterialsSection(Section):
    """How much of everything: what is bought over the need, and for how many pieces."""

    allowance: LengthOrZero = 2 * IN
    """mm of length bought more of each cloth, for crooked cuts and the first wash (common
    practice)"""
    copies: Annotated[int, Field(ge=1, le=50)] = 1
    """so many are made alike: place mats, or two short runners"""


class BackingSection(Section):
    """How much larger than the top the backing is, and what its seams keep clear of."""

    extra: LengthOrZero = 4 * IN
    """mm larger than the top all round; 4 in is common practice"""
    extra_ends: LengthOrZero | None = None
    """mm larger at the two ends, where it is to be more; longarm takers want more"""
    seam: LengthOrZero = IN / 2
    """mm of seam allowance; 1/2 in, pressed open, lies flatter than 1/4 in (common practice)"""
    clear: LengthOrZero = 2 * IN
    """mm between its joins and those of the other layers, 2 in (common practice)"""
    seam_worth: LengthOrZero = 200.0
    """mm of cloth that a join must save to be worth sewing; 0 asks for the very least cloth; left
    out, no join lies across a frame's rollers, where it would build up as it is wound"""


class BastingSection(Section):
    """How the layers are held until they are quilted."""

    method: Literal["pins", "spray"] = "pins"
    """curved pins through all layers, or spray between them; left out, pins at a table and in a
    hoop, and neither on a frame, whose rollers hold the layers"""
    pins_apart: Length = 4 * IN
    """mm between pins at most: about a hand's width (common practice)"""
    at_a_go: Length = 20 * IN
    """mm of length that is sprayed and smoothed at a go, at most"""
    wadding_join: Literal["tape", "herringbone"] = "tape"
    """how pieces of wadding are held: fusible tape, or a stitch by hand"""


class BindingSection(Section):
    """How the edge is bound."""

    fold: Literal["single", "double"] = "double"
    """the strip folded in half along its length, or one thickness turned under"""
    cut: Literal["straight", "bias"] = "straight"
    """with the grain, or on the bias for an edge that curves"""
    bias_below: LengthOrZero = 24 * IN
    """mm of radius below which a strip cut with the grain puckers: a quarter of an inch of binding
    folded over a curve of 24 in eases in by 1 percent, about what such cloth gives (common
    practice)"""
    seam: Length | None = None
    """mm; as much shows on the front; left out, what is usual for the fold: ``seam_mm``"""
    width: Length | None = None
    """mm, of the strips; left out it follows from the seam: ``width_mm``"""
    bulk: LengthOrZero = IN / 8
    """mm that the thickness of the wadding takes up"""
    cover: LengthOrZero = IN / 4
    """mm that a double binding's fold lies over the seam on the other face"""
    loose_start: LengthOrZero = 4 * IN
    """mm left loose at the start, 4 in (common practice)"""
    open: LengthOrZero = 8 * IN
    """mm left open between end and start, 4 in from each (common practice)"""
    mitre: LengthOrZero = IN / 8
    """mm that the folds of one mitre take up"""
    allowance: LengthOrZero | None = None
    """mm over the perimeter, instead of overlap, mitres and handling"""
    join_loss: LengthOrZero | None = None
    """mm that a join costs; left out, one strip width: ``join_mm``"""
    clear: LengthOrZero = 2 * IN
    """mm that joins keep from corners, the panel join and the closing join"""
    first_to: Literal["front", "back"] = "front"
    """the face it is sewn to first; places along the edge are seen from there. Sewn to the back
    first it is top-stitched on the front"""

    @property
    def seam_mm(self) -> float:
        """The seam allowance, or the usual one: 1/4 in for a double binding, 1/2 in for a single.

        (Common practice.)
        """
        return self.seam or (IN / 4 if self.fold == "double" else IN / 2)

    @property
    def width_mm(self) -> float:
        """Width to cut the strips.

        Single: 4 seams. Double, folded in half: seam, front, bulk, back down to the seam line,
        and the cover; twice. With 1/4 in seams and the usual bulk and cover that is 2 1/4 in.
        """
        if self.width is not None:
            return self.width
        if self.fold == "single":
            return 4 * self.seam_mm
        return 2 * (3 * self.seam_mm + self.bulk + self.cover)

    @property
    def turn_under_mm(self) -> float:
        """What is turned under on the other face: a single binding's seam less the bulk."""
        return self.width_mm - 3 * self.seam_mm - self.bulk if self.fold == "single" else 0.0

    @property
    def join_mm(self) -> float:
        """Length that one diagonal join costs."""
        return self.width_mm if self.join_loss is None else self.join_loss


class QuiltedSection(Section):
    """What quilting and washing take, and what was measured after quilting."""

    taken_up: TakenUp | None = None
    """share of its size that quilting draws the piece up; left out, its density says"""
    wash: TakenUp = 0.0
    """share that washing takes after that"""
    lengths: tuple[Length, ...] = ()
    """mm, measured after quilting: at both edges and in the middle"""
    widths: tuple[Length, ...] = ()
    """mm, measured after quilting: at both ends and in the middle"""

    @model_validator(mode="after")
    def _both_ways(self) -> Self:
        if bool(self.lengths) != bool(self.widths):
            raise fault("measured one way only", "give lengths and widths")
        return self


class StockSection(Section):
    """What is in the drawer already; cloth has its own length."""

    thread: Annotated[float, Field(ge=0, le=100_000)] = 0.0
    """metres of quilting thread"""
    bobbins: Count = 0
    """wound ones"""
    pins: Count = 0
    """curved ones, for basting"""
    spray: Count = 0
    """cans for cloth"""
    tape: LengthOrZero = 0.0
    """mm of fusible tape, for joins of the wadding"""
    needles: Count = 0
    """packets of the kind that the instructions name"""
    foot: Count = 0
    """feet of the kind that the instructions name"""


class InstructionsSection(Section):
    """How the instructions are written."""

    units: Literal["both", "inches", "metric"] | None = None
    """left out: the file's own, both where it names none; both is inches with millimetres beside
    them; with metric, what the file leaves open is a round metric figure as well: seams of 6 mm,
    binding cut 60 mm wide"""
    language: Language = "en"
    """of what is printed: the instructions, the sheets to mark by, and the notes and sheets for the
    machine; this file, the screen and its warnings, the report and the previews stay English"""
    large_print: bool = False
    """for eyes that want it"""
    left_handed: bool = False
    """cutting and sewing by hand drawn for a left hand; the runner and what lies under a machine
    are drawn as ever, and so is all that is true to size"""
    paper: Literal["A4", "Letter", "A4 or Letter"] | None = None
    """left out: the size that [paper] names, where it is one of these, else A4"""
    needle: str = Field(default=message("quilting needle, size 90/14"), max_length=60)
    """the kind to put in; size 90/14 goes through three layers (common practice)"""
    foot: str = Field(default=WALKING_FOOT, max_length=60)
    """the kind to put on; left out, a walking foot, which keeps the layers from creeping, or a
    darning foot for lines that turn more than that can (common practice), or that of the machine"""


MM_PER_M = 1000.0


def _both_ways(value: Any) -> Any:
    """One size stands for a square."""
    return value if isinstance(value, list | tuple) else (value, value)


Size = Annotated[
    tuple[Length, Length],
    BeforeValidator(_both_ways),
    FileForm(
        "a list of two lengths, or one for a square",
        "sizes",
        '["10 in", "10 in"]',
        types=("array", "string", "number"),
    ),
]
"""Along and across, in mm; one size for a square."""


MOST_PUFF_MM = 60.0


class SwatchSection(Section):
    """One quilted sample of the same layers and thread."""

    density: Annotated[float, Field(gt=0, le=1000)] | None = None
    """metres of seam on a square metre; or give the spacing"""
    spacing: Length | None = None
    """mm between parallel lines on the sample"""
    crossed: bool = False
    """lines both ways at that spacing, as in a crosshatch"""
    before: Size
    """mm, before it was quilted"""
    quilted: Size
    """mm, once it was quilted"""
    washed: Size | None = None
    """mm, once it was washed and dry; left out where it was not"""
    puff: Length | None = None
    """mm, how high the cloth stands midway between its lines, above the lines themselves"""

    @model_validator(mode="after")
    def _one_density(self) -> Self:
        if (self.density is None) == (self.spacing is None):
            raise fault("a swatch has a density or a spacing", "give one of the two")
        return self

    @model_validator(mode="after")
    def _puff_between_lines(self) -> Self:
        if self.puff is not None and self.spacing is None:
            raise fault("a puff is as high as its lines are apart", "give the swatch's spacing")
        if self.puff is not None and self.puff > MOST_PUFF_MM:
            raise fault(f"a puff of {self.puff:g} mm", f"give {MOST_PUFF_MM:g} mm or less")
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
