"""What is printed and shown of a runner: [paper] to mark by, [look] of previews, [also] to write.

A length is in mm once it is read, whatever unit it was written in; a time in minutes, thread in
metres.
"""

from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, StringConstraints, model_validator

from quiltpath.schema import FileForm, Length, LengthOrZero, Section, fault
from quiltpath.units import both_units, minutes_of, parse_length

PaperSet = Literal["marking", "pricking", "tiled", "whole", "stencils", "projector"]
"""ruler lists, strips and templates; every line to prick or to trace through; the full-size guide
over pages; on one page; motifs as stencils; light on dark"""


class PaperSection(Section):
    """Sheets to print, with the printer's own error taken out."""

    sheets: tuple[PaperSet, ...] = ("marking",)
    """what to print; left out, nothing for a machine with a profile, which follows its files"""
    size: str | tuple[Length, Length] = "A4"
    """a name such as "A4" or "Letter", or width and height in mm; "A4 or Letter" prints on both"""
    roll: Length | None = None
    """mm, width of a roll, in place of a size; pages are then as long as they must be"""
    margin: LengthOrZero = 6.0
    """mm that the printer leaves at the edges; 3 to 6 mm is common practice"""
    overlap: Length = 10.0
    """mm of paper that neighbouring pages share; 10 mm is usual (common practice)"""
    orientation: Literal["fewest", "upright", "sideways"] = "fewest"
    """which way pages lie; "fewest" takes whichever way needs fewer of them"""
    bar_across: Length = 100.0
    """mm that the 100 mm square measures across on a page that this printer printed"""
    bar_up: Length = 100.0
    """mm that it measures upwards"""
    mirrored: bool = False
    """for iron-on marks, and for the light box from the back"""

    @model_validator(mode="after")
    def _plausible(self) -> Self:
        for name, bar in (("bar_across", self.bar_across), ("bar_up", self.bar_up)):
            if not 80 <= bar <= 125:
                raise fault(
                    f"{name} is {bar:g} mm for a bar of 100 mm",
                    "measure the 100 mm square again; over a fifth is no printer's error",
                )
        if not 2 <= self.overlap <= 50:
            raise fault(f"an overlap of {self.overlap:g} mm", "give 2 to 50 mm; 10 mm is usual")
        if self.margin > 30:
            raise fault(f"a printer's margin of {self.margin:g} mm", "give 30 mm or less")
        return self


Colour = Annotated[
    str,
    StringConstraints(pattern=r"^#[0-9a-fA-F]{6}$"),
    FileForm("a colour as # and six hexadecimal digits", "colours", '"#2f4b7c"'),
]
"""Six hexadecimal digits after a #, as sRGB (CSS Color, W3C)."""


class LookSection(Section):
    """Colours as #rrggbb; those left out are the preview's own."""

    thread: Colour | None = None
    """the quilting thread"""
    thread_width: Length = 0.4
    """mm that the stitched thread looks wide; 0.3 to 0.5 mm is usual for 50 to 40 weight"""
    ground: Colour | None = None
    """sashing, borders and whatever is no block"""
    block: Colour | None = None
    """the blocks' cloth"""
    motif: Colour | None = None
    """the motifs' cloth or print"""
    light: Annotated[float, Field(ge=0, lt=360)] = 112.0
    """where the light comes from, in degrees from the right, counted against the clock: 90 is
    from above, 180 from the left"""


NEAREST_MM, FARTHEST_MM = 1000.0, 50_000.0
MOST_SIZES = 11
"""With the design itself twelve; more would not be compared by eye."""

MOST_COPIES = 24
MOST_THREAD_M = 100_000.0


def _minutes(value: Any) -> float:
    try:
        minutes = minutes_of(value) if isinstance(value, str) else float("nan")
    except ValueError as error:
        raise fault(str(error), 'write it as "2 h" or "90 min"') from None
    if not minutes > 0:
        raise fault(f"{value!r} is not a time", 'write it as "2 h" or "90 min"')
    return minutes


Minutes = Annotated[
    float, BeforeValidator(_minutes), FileForm("a time above 0", "times", '"1 h 30 min"')
]
"""A time above 0 as a person writes it, in minutes."""


def _thread_m(value: Any) -> float:
    try:
        metres = parse_length(value) / 1000 if isinstance(value, str) else float("nan")
    except ValueError as error:
        raise fault(str(error), 'write it as "90 m" or "100 yd"') from None
    if not 0 < metres <= MOST_THREAD_M:
        raise fault(f"{value!r} is no length of thread", 'write it as "90 m" or "100 yd"')
    return metres


ThreadMetres = Annotated[
    float, BeforeValidator(_thread_m), FileForm("a length of thread", "lengths", '"90 m"')
]
"""Thread as a person writes it, in metres."""


def _across_a_room(mm: float) -> float:
    if not NEAREST_MM <= mm <= FARTHEST_MM:
        raise fault(f"{both_units(mm)} is not across a room", "give 1 to 50 m")
    return mm


FarOff = Annotated[
    Length,
    AfterValidator(_across_a_room),
    FileForm("a length from 1 to 50 m", "lengths", '"4 m"'),
]
"""How far away somebody stands who looks at the runner, in mm."""


class AskSection(Section):
    """What is at hand: the closest spacing and the longest runner that it is enough for."""

    thread: ThreadMetres | None = None
    """metres for needle and bobbin together"""
    time: Minutes | None = None
    """minutes at the machine"""
    binding: Length | None = None
    """mm of length of the binding cloth"""

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.thread is None and self.time is None and self.binding is None:
            raise fault("nothing is at hand", "give thread, time or binding")
        return self


class NestSection(Section):
    """Several of this runner on one backing, for one load of the frame."""

    width: Length
    """mm, of the backing"""
    length: Length | None = None
    """mm of it that there are, to check against"""
    copies: Annotated[int, Field(ge=1, le=MOST_COPIES)] = 2
    """how many of this runner"""
    apart: Length = 101.6
    """mm between two of them: 4 in, to run off on and to cut apart"""
    turns: bool = True
    """whether they may lie with their length across the backing"""


class AlsoSection(Section):
    """Further files of the set. Nothing here costs time where it is left out."""

    look: FarOff | None = None
    """mm that you stand away: the lines near to and from there, side by side"""
    sizes: Annotated[tuple[str, ...], Field(max_length=MOST_SIZES)] = ()
    """tables such as "72 x 36 in" and place mats such as "mat 18 x 12 in": what changes"""
    nest: NestSection | None = None
    ask: AskSection | None = None
    resume: Annotated[tuple[Annotated[int, Field(ge=1)], ...], Field(max_length=24)] = ()
    """checkpoints from which stitch files are kept ready, in case of a break"""

    @property
    def asked(self) -> bool:
        """True where anything is asked for."""
        return any(getattr(self, key) for key in type(self).model_fields)
