"""[stitch], [sewing], [thread], [time], [wadding], [cost]: how the lines become stitches."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from quiltpath.project.fields import Length, LengthOrZero, Section, fault

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
