"""A spiral that takes the shape of its region: a pointed end, an oval, an L, each in one line."""

from __future__ import annotations

from typing import Literal

from quiltpath.geometry.curves import Points
from quiltpath.patterns.clear_rooms import ClearRoom
from quiltpath.patterns.kind import EITHER, Kind
from quiltpath.patterns.layer import INCH, Edge, RepertoireLayer, about
from quiltpath.patterns.stipple import EDGE_SPACINGS
from quiltpath.schema import Spacing

MOST_SPACINGS = 20_000


class ShapeSpiralLayer(RepertoireLayer):
    """Turns that follow the edge of any shape, in to the middle and out again: one closed line."""

    kind: Literal["shape-spiral"]
    spacing: Spacing = about(INCH / 2)
    """between neighbouring turns, a little less where whole turns fill the shape"""
    edge: Edge = "line"
    """what lies on the inset edge: the line itself, or the middle or the end of a gap"""


def shape_spiral(layer: ShapeSpiralLayer, room: ClearRoom) -> list[Points]:
    """One closed line for each part of the room; see ``geometry/free_curves``."""
    from quiltpath.geometry.free_curves.level_spiral import shape_spiral as spiral

    gap = layer.spacing.mm
    return spiral(room.clear, gap, edge_mm=EDGE_SPACINGS[layer.edge] * gap, motif_mm=0.0)


KINDS = (
    Kind(
        ShapeSpiralLayer, EITHER, in_clear=shape_spiral, one_path=True, most_spacings=MOST_SPACINGS
    ),
)
