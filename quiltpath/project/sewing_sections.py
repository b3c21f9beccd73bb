"""How lines become stitches: [stitch], [sewing], [thread], [time], [wadding], [cost], [machine].

These sections are the settings: what places stitches or reckons time takes the section itself.
A length is in mm once it is read, whatever unit it was written in.
"""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from quiltpath.schema import Length, LengthOrZero, Section, fault
from quiltpath.units import MM_PER_INCH

Share = Annotated[float, Field(ge=0, lt=1)]
"""A part of a whole, from 0 to below 1."""

Seconds = Annotated[float, Field(ge=0, le=3600)]
"""A time in seconds, an hour at most."""

FileVariant = Literal[
    "mirrored", "half-turned", "lower-left", "lower-right", "upper-right", "upper-left"
]
"""How a further file lies for a machine that cannot turn it, or the corner that it begins at."""

Metres = Annotated[float, Field(gt=0, le=100_000)]
"""Thread in metres."""


class StitchSection(Section):
    """Stitch length and how thread ends are secured."""

    length: Length = 3.2
    """mm that a stitch comes as near to as the line allows"""
    shortest: Length = 3.0
    """mm; shorter only where no whole number of stitches fills the line between two corners"""
    longest: Length = 3.5
    """mm, never more: 3 to 3.5 mm is usual for a walking foot (common practice)"""
    corner: Annotated[float, Field(gt=0, lt=180)] = 30.0
    """degrees; a sharper turn always gets a needle point, a gentler one is part of a curve"""
    securing: Literal["tiny", "tails"] = "tiny"
    """tiny stitches where a run starts or ends inside the quilt, or thread left there to bury"""
    securing_count: Annotated[int, Field(ge=1, le=12)] = 6
    """tiny stitches at each end: a few are usual (common practice)"""
    securing_length: Length = 1.0
    """mm of one tiny stitch, about 1 mm (common practice)"""
    tail: LengthOrZero = 100.0
    """mm of thread left to bury at each end, about 100 mm (common practice)"""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.shortest <= self.length <= self.longest:
            raise fault(
                f"the stitch length {self.length:g} mm is not within"
                f" {self.shortest:g} to {self.longest:g} mm",
                "widen shortest and longest or change length",
            )
        if self.length < 0.5 or self.longest > 12:
            raise fault("stitches run from 0.5 to 12 mm", "3.2 mm is usual for quilting")
        return self

    @property
    def securing_path_mm(self) -> float:
        """Path that securing takes up at one end; 0 with tails."""
        return self.securing_count * self.securing_length if self.securing == "tiny" else 0.0


class SewingSection(Section):
    """Sewing order: a policy by name, with changes if wanted."""

    policy: str = "walking-foot"
    """a table of costs and an order, by name"""
    settings: dict[str, str | float | bool | tuple[str, ...]] = Field(default_factory=dict)
    """costs and order that replace those of the named policy: clearance = false keeps thread off
    the curve round motifs, step = false leaves rings apart, step_longest = "1/2 in",
    order = "alternate-leanings" sews one line of each leaning in turn, regions = "mixed" does not
    finish one block before the next, roles = "mixed" sews hold lines along with the rest"""


class ThreadSection(Section):
    """What the thread estimate needs to know."""

    thickness: Length = 1.0
    """mm of top, wadding and backing under the foot, squashed"""
    diameter: LengthOrZero = 0.0
    """mm, of the thread; 0 leaves it out of the model"""
    wastage: Share = 0.10
    """share for ends, breaks and repairs: 10 to 15 percent is the trade's allowance"""
    bobbin: Metres = 60.0
    """metres on one full bobbin; about 50 to 100 is common practice"""
    reserve: Share = 0.10
    """share of a bobbin that is kept back when a machine halts for a full one"""
    spool: Metres = 200.0
    """metres on one spool, for the shopping list; 200 m is a usual small one"""
    needle_factor: Annotated[float, Field(ge=1, le=5)] | None = None
    """metres of needle thread for a metre of seam, from the user's own unpicked test seam"""
    bobbin_factor: Annotated[float, Field(ge=1, le=5)] | None = None
    """metres of bobbin thread for a metre of seam; of the two one may stand for both"""


class TimeSection(Section):
    """What the time estimate needs to know."""

    stitches_per_minute: Annotated[float, Field(gt=0, le=10_000)] = 600.0
    """what is sewn, not what the machine could: lines are followed by hand and eye"""
    start: Seconds = 10.0
    """seconds to place the work, put the needle down and hold the thread ends"""
    stop: Seconds = 5.0
    """seconds to lift the foot and cut the thread"""
    pivot: Seconds = 2.0
    """seconds for needle down, foot up, turn"""
    bobbin_change: Seconds = 120.0
    """seconds to take the work off the needle, change the bobbin and begin again"""


class WaddingSection(Section):
    """How far apart quilting may be: the packet's figure, or a kind's usual one."""

    kind: str | None = None
    """what the wadding is made of, for the usual limit of that kind"""
    limit: Length | None = None
    """mm that lines may be apart, as the packet says; it comes before the kind's"""
    extra: LengthOrZero = 3 * MM_PER_INCH
    """mm larger than the top all round; 3 in is common practice"""
    extra_ends: LengthOrZero | None = None
    """mm larger at the two ends; left out, the same as all round"""
    clear: LengthOrZero = 2 * MM_PER_INCH
    """mm between its joins and those of the other layers, 2 in (common practice)"""
    seam_worth: LengthOrZero = 200.0
    """mm of wadding that a join must save to be worth sewing; 0 asks for the very least"""


class CostSection(Section):
    """Prices, for comparing designs; what is left out is not reckoned."""

    thread_1000_m: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """price of a thousand metres of thread"""
    hour: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """price of an hour at the machine"""
    currency: str = Field(default="", max_length=4)
    """sign that stands beside a price"""


class MachineSection(Section):
    """Files for the machine. Without a profile the whole design goes into one file a format."""

    formats: tuple[str, ...] = ("dst", "pes")
    """stitch formats and path formats; with a profile those of the profile, unless given"""
    profile: str | None = None
    """a shipped machine by name, or a profile of one's own as a .toml file beside the project"""
    overlap: LengthOrZero = 12.0
    """mm that neighbouring fields overlap: room to choose where a line is cut"""
    least_overlap: LengthOrZero = 4.0
    """mm that they still overlap where that saves clamping the work once more; a little more than
    a stitch, so that each lies whole in one field. As much as overlap: never less than wished"""
    least_overrun: LengthOrZero = 6.0
    """mm that lines still run on beyond the edge where stopping sooner saves clamping the work
    once more; about 1/4 in, the seam of a binding. It is trimmed off in either case"""
    turns: bool | None = None
    """whether the runner may go in turned by a quarter; else as the profile has it"""
    overlap_stitches: Annotated[int, Field(ge=0, le=6)] = 0
    """stitches sewn twice at a cut; 0 lets the needle points coincide"""
    order: Literal["along", "centre-out"] = "along"
    """parts from the left end to the right, or from the middle outwards"""
    sew_crosses: bool = False
    """the alignment crosses as the first stitches of each part"""
    tolerance: Length = 0.05
    """mm that a path file may stray from the needle points"""
    secure_paths: bool | None = None
    """whether path files keep the tiny stitches at thread ends; else as the profile has it"""
    variants: tuple[FileVariant, ...] = ()
    """further files of each part for a frame that only loads and starts: mirrored, half-turned, or
    with zero and first thread at a corner: lower-left, lower-right, upper-left, upper-right"""
    names: Literal["plain", "8.3"] = "plain"
    """how files for a profile are called: in words, or in 8 letters and 3 for old readers"""
    bobbin_stops: bool = True
    """whether files for a profile halt where the bobbin is down to its reserve"""

    @property
    def short_names(self) -> bool:
        """Whether files for a profile are called in 8 letters and 3."""
        return self.names == "8.3"

    @property
    def own_profile(self) -> str | None:
        """The profile's file, where it is one of the user's own."""
        own = self.profile is not None and self.profile.endswith(".toml")
        return self.profile if own else None

    @property
    def asked_formats(self) -> tuple[str, ...]:
        """The formats that the project itself names; none where the profile is to choose."""
        chosen = self.profile is None or "formats" in self.model_fields_set
        return self.formats if chosen else ()
