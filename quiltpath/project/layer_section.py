"""What every layer of quilting has, whatever its kind."""

from typing import Annotated, Literal

from pydantic import Field

from quiltpath.project.fields import LengthOrZero, Section

Role = Literal["hold", "outline", "fill"]
Angle = Annotated[float, Field(ge=-360, le=360)]
"""degrees, anticlockwise from the runner's length"""


class Layer(Section):
    """What every layer has: a name, where it goes and how it keeps its distance."""

    kind: str
    name: str = ""
    region: str | tuple[str, ...] = "runner"
    """runner, blocks, sashing, outer sashing, border, cornerstones, or names of blocks"""
    clearance: LengthOrZero | None = None
    """distance kept from motifs; without it lines run over them"""
    overrun: LengthOrZero | None = None
    """how far lines run past the finished edge into the wadding margin"""
    follow: Literal["print", "ruler"] = "print"
    """bent with a print that was measured, or straight as a ruler"""
    role: Role | None = None
    """hold, outline or fill; each kind has its own usual one"""
    marking: Literal["auto", "ruler", "ticks", "template", "none"] = "auto"
    """how the layer is marked on the cloth"""
