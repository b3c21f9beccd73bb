"""Loops, leaves, or both by turns along one wandering line."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

import shapely
from pydantic import Field

from quiltpath.geometry.curves import Points
from quiltpath.patterns.clear_rooms import ClearRoom
from quiltpath.patterns.kind import FREE, Kind
from quiltpath.patterns.layer import INCH, QUARTER_INCH, RepertoireLayer, about
from quiltpath.schema import LengthOrZero, Spacing

MOST_SPACINGS = 4_000

EDGE = 0.5
"""Spacings from the inset edge to the line, for its loops to stand outside it as well."""

MOTIF = 0.4
SPARE = 0.1
"""Spacings that figures keep off the edge and the motifs' clearance."""

RADIUS = 0.3
EVERY = 2.4
"""Spacings along the line from one figure to the next, where there is room."""

FIGURES: dict[str, tuple[str, ...]] = {
    "loops": ("loop",),
    "leaves": ("leaf",),
    "loops and leaves": ("loop", "leaf"),
}


class LoopMeanderLayer(RepertoireLayer):
    """A smooth line that wanders round all motifs, with loops or leaves sewn in passing."""

    lines_in_it: ClassVar[float] = 1.6
    kind: Literal["loops"]
    spacing: Spacing = about(INCH)
    """the usual gap between neighbouring stretches of the line; figures are half as high"""
    figure: Literal["loops", "leaves", "loops and leaves"] = "loops"
    """what is sewn in passing"""
    clearance: LengthOrZero | None = QUARTER_INCH
    seed: Annotated[int, Field(ge=0, le=999_999)] = 1
    """another number, another wandering"""


def loop_meander(layer: LoopMeanderLayer, room: ClearRoom) -> list[Points]:
    """One closed line for each part of the room that is wide enough (``geometry/free_curves``)."""
    from quiltpath.geometry.free_curves import line_loops, stippling

    gap = layer.spacing.mm
    lines = stippling.stipple(
        room.clear, gap, edge_mm=EDGE * gap, motif_mm=MOTIF * gap, seed=layer.seed
    )
    inner = shapely.buffer(room.clear, -SPARE * gap)
    figures = FIGURES[layer.figure]
    return [
        line_loops.with_loops(line, inner, RADIUS * gap, EVERY * gap, figures) for line in lines
    ]


KINDS = (
    Kind(
        LoopMeanderLayer,
        FREE,
        in_clear=loop_meander,
        one_path=True,
        most_spacings=MOST_SPACINGS,
        length_share=0.9,
    ),
)
