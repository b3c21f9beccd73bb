"""[also]: what ``make`` writes besides, each the same as the command of its name."""

from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Field, model_validator

from quiltpath.project.fields import Length, Section, fault
from quiltpath.units import minutes_of, parse_length

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


Minutes = Annotated[float, BeforeValidator(_minutes)]
"""A time above 0 as a person writes it, in minutes."""


def _thread_m(value: Any) -> float:
    try:
        metres = parse_length(value) / 1000 if isinstance(value, str) else float("nan")
    except ValueError as error:
        raise fault(str(error), 'write it as "90 m" or "100 yd"') from None
    if not 0 < metres <= MOST_THREAD_M:
        raise fault(f"{value!r} is no length of thread", 'write it as "90 m" or "100 yd"')
    return metres


ThreadMetres = Annotated[float, BeforeValidator(_thread_m)]
"""Thread as a person writes it, in metres."""


class AskSection(Section):
    """What is at hand: the closest spacing and the longest runner that it is enough for."""

    thread: ThreadMetres | None = None
    """for needle and bobbin together"""
    time: Minutes | None = None
    """at the machine"""
    binding: Length | None = None
    """length of the binding cloth"""

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.thread is None and self.time is None and self.binding is None:
            raise fault("nothing is at hand", "give thread, time or binding")
        return self


class NestSection(Section):
    """Several of this runner on one backing, for one load of the frame."""

    width: Length
    """of the backing"""
    copies: Annotated[int, Field(ge=1, le=MOST_COPIES)] = 2
    apart: Length = 101.6
    """between two of them: 4 in, to run off on and to cut apart"""
    turns: bool = True
    """whether they may lie with their length across the backing"""


class AlsoSection(Section):
    """Further files of the set. Nothing here costs time where it is left out."""

    look: Length | None = None
    """how far away you stand: the lines near to and from there, side by side"""
    sizes: Annotated[tuple[str, ...], Field(max_length=MOST_SIZES)] = ()
    """tables such as "72 x 36 in" and place mats such as "mat 18 x 12 in": what changes"""
    nest: NestSection | None = None
    ask: AskSection | None = None
    resume: Annotated[tuple[Annotated[int, Field(ge=1)], ...], Field(max_length=24)] = ()
    """checkpoints from which stitch files are kept ready, in case of a break"""

    @model_validator(mode="after")
    def _across_a_room(self) -> Self:
        if self.look is not None and not NEAREST_MM <= self.look <= FARTHEST_MM:
            raise fault("that is not across a room", "give 1 to 50 m")
        return self

    @property
    def asked(self) -> bool:
        """True where anything is asked for."""
        return bool(self.look or self.sizes or self.nest or self.ask or self.resume)
