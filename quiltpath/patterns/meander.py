"""Meander: a closed line that wanders over its whole region and never crosses itself."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from quiltpath.geometry.curves import Points
from quiltpath.patterns.clear_rooms import ClearRoom
from quiltpath.patterns.kind import FREE, Kind
from quiltpath.patterns.layer import INCH, RepertoireLayer, about
from quiltpath.patterns.square_walk import maze
from quiltpath.schema import Spacing


class MeanderLayer(RepertoireLayer):
    """A wandering line that fills its region, keeps its distance and never crosses itself."""

    kind: Literal["meander"]
    spacing: Spacing = about(INCH / 2)
    """between neighbouring lines"""
    seed: Annotated[int, Field(ge=0, le=999_999)] = 1
    """another number, another wandering"""


def meander(layer: MeanderLayer, room: ClearRoom) -> list[Points]:
    """A walk round a random spanning tree of the squares that lie clear, corners rounded.

    "about" lets the spacing along and across differ a little, so that whole squares fill a
    rectangle. Each separate part of the room has its own line.
    """
    return maze(room.whole, room.clear, layer.spacing, layer.seed)


KINDS = (Kind(MeanderLayer, FREE, in_clear=meander, one_path=True),)
