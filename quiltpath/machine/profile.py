"""One machine as data: where it reaches, how fast it sews, what it reads.

Only the facts that decide how a design is cut up and written down. The shipped profiles are
generic; a user copies one into a folder of their own and puts their machine's figures in. That
folder comes first where a profile is looked up by its name.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Annotated

from pydantic import Field, ValidationError, model_validator

from quiltpath.errors import InputError
from quiltpath.files import is_folder, read_bounded
from quiltpath.language import messages
from quiltpath.project.faults import first_fault, refuse_unknown_keys
from quiltpath.project.project_file import MACHINE_FOOT
from quiltpath.schema import Length, LengthOrZero, Section, decode_text, fault, toml_content

PerMinute = Annotated[float, Field(gt=0, le=10_000)]
Minutes = Annotated[float, Field(ge=0, le=600)]
Word = Annotated[str, Field(pattern=r"^[A-Z0-9. -]{1,60}$")]

MAX_PROFILE_BYTES = 100_000
_SHIPPED = Path(__file__).parent / "profiles"


class MachineKind(Enum):
    """How the cloth and the needle move against each other."""

    HOOP = "hoop"
    """the cloth is clamped in a hoop; a runner is done in several hoopings"""
    LONGARM = "longarm"
    """the head moves over a frame; the throat limits the depth of a pass"""
    GANTRY = "gantry"
    """a home-built bridge moves a head over a bed"""

    @property
    def part_words(self) -> tuple[str, str]:
        """What is sewn with the work clamped once is called, and several of it."""
        return {
            MachineKind.HOOP: messages("hooping", "hoopings"),
            MachineKind.LONGARM: messages("pass", "passes"),
            MachineKind.GANTRY: messages("field", "fields"),
        }[self]


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
    ``foot``    what it sews with
    ``loading`` minutes to clamp the work for the first part, ``reloading`` for each that follows
    ``formats`` stitch formats and path formats that it reads, best first
    ``secure_paths``  whether path files keep the tiny stitches that secure thread ends; false where
                the machine keeps its stitches even and ties off by itself
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
    foot: Annotated[str, Field(max_length=80)] = MACHINE_FOOT
    loading: Minutes = 6.0
    reloading: Minutes = 6.0
    formats: Annotated[tuple[str, ...], Field(min_length=1)]
    secure_paths: bool = True
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


@dataclass(frozen=True)
class ProfileRegistry:
    """Folders of profiles, the user's own first; a profile is named by its file's stem."""

    folders: tuple[Path, ...] = (_SHIPPED,)

    @classmethod
    def beside(cls, folder: Path | None, own: str | None, where: str = "") -> ProfileRegistry:
        """The shipped profiles, preceded by the folder ``own`` beside the project file."""
        if own is None or folder is None:
            return cls()
        if not is_folder(folder / own):
            raise InputError(
                where, "machine.folder", f"there is no folder {own!r}", "name one beside this file"
            )
        return cls((folder / own, _SHIPPED))

    def names(self) -> list[str]:
        """All names, sorted; a user's profile hides a shipped one of the same name."""
        return sorted({path.stem for folder in self.folders for path in folder.glob("*.toml")})

    def find(self, name: str) -> MachineProfile:
        """The profile of that name; raises ``InputError`` with the nearest names."""
        if name in self.names():
            paths = (folder / f"{name}.toml" for folder in self.folders)
            return read_profile(next(path for path in paths if path.is_file()))
        close = difflib.get_close_matches(name, self.names(), n=3)
        remedy = (
            f"did you mean {' or '.join(close)}?" if close else "'quiltpath machines' lists them"
        )
        raise InputError("", "machine.profile", f"there is no machine {name!r}", remedy)


def read_profile(path: Path) -> MachineProfile:
    """The profile in a TOML file; raises ``InputError``, one line."""
    try:
        contents = read_bounded(path, MAX_PROFILE_BYTES)
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the name and the folder") from None
    if contents is None:
        raise InputError(path.name, "", "is too large for a machine profile", "shorten it")
    return profile_from(contents, path.name)


def profile_from(contents: bytes, name: str) -> MachineProfile:
    """The profile in the contents of a file called ``name``; raises ``InputError``, one line."""
    content = toml_content(decode_text(contents, name), name)
    refuse_unknown_keys(content, MachineProfile, name)
    try:
        return MachineProfile.model_validate(content, context={"units": None})
    except ValidationError as error:
        raise first_fault(error, content, MachineProfile, name) from None
