"""One machine as data: where it reaches, how fast it sews, what it reads.

Only the facts that decide how a design is cut up and written down. The shipped profiles are
generic; a user copies one into a folder of their own and puts their machine's figures in.
"""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from pydantic import Field, model_validator

from quiltpath.project.fields import Length, LengthOrZero, Section, fault

PerMinute = Annotated[float, Field(gt=0, le=10_000)]
Word = Annotated[str, Field(pattern=r"^[A-Z0-9. -]{1,60}$")]


class MachineKind(Enum):
    """How the cloth and the needle move against each other."""

    HOOP = "hoop"
    """the cloth is clamped in a hoop; a runner is done in several hoopings"""
    LONGARM = "longarm"
    """the head moves over a frame; the throat limits the depth of a pass"""
    GANTRY = "gantry"
    """a home-built bridge moves a head over a bed"""


class FieldSection(Section):
    """What the needle reaches: ``along`` is x of the machine, ``across`` its y."""

    along: Length
    across: Length


class GcodeWords(Section):
    """Machine words of a gantry that ISO 6983 leaves to its builder."""

    needle_down: Word = "M3"
    needle_up: Word = "M5"
    wait: Word = "M0"
    """program stop, ISO 6983"""


class MachineProfile(Section):
    """A machine. Lengths in mm.

    ``field``   the sewing field of a hoop, rail length and usable throat of a frame, or a bed
    ``margin``  kept free inside the field on every side
    ``turns``   whether the cloth may go in turned by 90 degrees
    ``speed``   stitches a minute in use; ``first_speed`` for the first run of a new file
    ``formats`` stitch formats and path formats that it reads, best first
    """

    title: Annotated[str, Field(max_length=80)]
    kind: MachineKind
    field: FieldSection
    margin: LengthOrZero = 0.0
    turns: bool = True
    speed: PerMinute = 600.0
    first_speed: PerMinute = 300.0
    longest_stitch: Length = 12.1
    longest_jump: Length = 12.1
    trims: bool = True
    formats: Annotated[tuple[str, ...], Field(min_length=1)]
    gcode: GcodeWords = GcodeWords()

    @model_validator(mode="after")
    def _has_room(self) -> MachineProfile:
        if min(self.usable) <= 0:
            raise fault(
                f"a margin of {self.margin:g} mm leaves nothing of the field",
                "make the margin less than half the field",
            )
        return self

    @property
    def usable(self) -> tuple[float, float]:
        """Reach along and across with the margin taken off, in mm."""
        return self.field.along - 2 * self.margin, self.field.across - 2 * self.margin
