"""[machine]: which files to write, and for which machine the work is cut up."""

from typing import Annotated, Literal

from pydantic import Field

from quiltpath.project.fields import Length, LengthOrZero, Section


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
