"""[stitch], [sewing], [thread], [time], [wadding], [cost]: how the lines become stitches.

[machine]: which files to write, and for which machine the work is cut up.

What the sewer has set: stitch length, its bounds, and how thread ends are held.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from quiltpath.schema import Length, LengthOrZero, Section, fault

Share = Annotated[float, Field(ge=0, lt=1)]
Seconds = Annotated[float, Field(ge=0, le=3600)]
Metres = Annotated[float, Field(gt=0, le=100_000)]


class StitchSection(Section):
    """Stitch length and how thread ends are secured."""

    length: Length = 3.2
    shortest: Length = 3.0
    longest: Length = 3.5
    """3 to 3.5 mm is common practice for straight quilting with a walking foot"""
    corner: Annotated[float, Field(gt=0, lt=180)] = 30.0
    """a turn sharper than this many degrees always gets a needle point"""
    securing: Literal["tiny", "tails"] = "tiny"
    securing_count: Annotated[int, Field(ge=1, le=12)] = 6
    securing_length: Length = 1.0
    tail: LengthOrZero = 100.0
    """thread left to bury at each end, about 100 mm (common practice)"""

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


class SewingSection(Section):
    """Sewing order: a policy by name, with changes if wanted."""

    policy: str = "walking-foot"
    settings: dict[str, str | float | bool | tuple[str, ...]] = Field(default_factory=dict)
    """costs and order that replace those of the named policy"""


class ThreadSection(Section):
    """What the thread estimate needs to know."""

    thickness: Length = 1.0
    """top, wadding and backing under the foot, squashed"""
    diameter: LengthOrZero = 0.0
    """of the thread; 0 leaves it out of the model"""
    wastage: Share = 0.10
    """10 to 15 percent is the trade's allowance for ends, breaks and repairs"""
    bobbin: Metres = 60.0
    """metres on one full bobbin; about 50 to 100 is common practice"""
    spool: Metres = 200.0
    """metres on one spool, for the shopping list"""
    needle_factor: Annotated[float, Field(ge=1, le=5)] | None = None
    """metres of needle thread for a metre of seam, from the user's own unpicked test seam"""
    bobbin_factor: Annotated[float, Field(ge=1, le=5)] | None = None


class TimeSection(Section):
    """What the time estimate needs to know."""

    stitches_per_minute: Annotated[float, Field(gt=0, le=10_000)] = 600.0
    start: Seconds = 10.0
    """placing the work, needle down, thread ends held"""
    stop: Seconds = 5.0
    pivot: Seconds = 2.0
    """needle down, foot up, turn"""
    bobbin_change: Seconds = 120.0


class WaddingSection(Section):
    """How far apart quilting may be: the packet's figure, or a kind's usual one."""

    kind: str | None = None
    limit: Length | None = None
    extra: LengthOrZero = 3 * 25.4
    """larger than the top all round; 3 in is common practice"""
    extra_ends: LengthOrZero | None = None
    clear: LengthOrZero = 2 * 25.4
    """between its joins and those of the other layers"""
    seam_worth: LengthOrZero = 200.0
    """wadding that a join must save; 0 asks for the very least"""


class CostSection(Section):
    """Prices, for comparing designs."""

    thread_1000_m: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """of a thousand metres of thread"""
    hour: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """of an hour at the machine"""
    currency: str = Field(default="", max_length=4)


class MachineSection(Section):
    """Files for the machine. Without a profile the whole design goes into one file a format."""

    formats: tuple[str, ...] = ("dst", "pes")
    """stitch formats and path formats; with a profile those of the profile, unless given"""
    profile: str | None = None
    """a shipped machine by name, or a profile of one's own as a .toml file beside the project"""
    overlap: LengthOrZero = 12.0
    """least overlap of neighbouring fields: room to choose where a line is cut"""
    overlap_stitches: Annotated[int, Field(ge=0, le=6)] = 0
    """stitches sewn twice at a cut; 0 lets the needle points coincide"""
    order: Literal["along", "centre-out"] = "along"
    """parts from the left end to the right, or from the middle outwards"""
    sew_crosses: bool = False
    """the alignment crosses as the first stitches of each part"""
    tolerance: Length = 0.05
    """how far a path file may stray from the needle points"""

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


@dataclass(frozen=True)
class StitchSetting:
    """Stitch length and securing, lengths in mm, the corner in degrees.

    ``securing`` is ``"tiny"`` (``securing_count`` stitches of about ``securing_mm`` where a run
    starts or ends inside the quilt) or ``"tails"`` (thread left to bury, no extra stitches).
    """

    set_mm: float
    low_mm: float
    high_mm: float
    corner_deg: float
    securing: Literal["tiny", "tails"]
    securing_count: int
    securing_mm: float

    @property
    def securing_length_mm(self) -> float:
        """Path taken up by securing at one end; 0 with tails."""
        return self.securing_count * self.securing_mm if self.securing == "tiny" else 0.0


@dataclass(frozen=True)
class TimeSetting:
    """Speed in stitches a minute; each of the other acts in seconds."""

    stitches_per_minute: float
    start_s: float
    stop_s: float
    pivot_s: float
    bobbin_change_s: float
