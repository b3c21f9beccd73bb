"""Lines along a field: past motifs like water, or as rays, twists or rings."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Literal, Self

import shapely
from pydantic import model_validator
from shapely.geometry import Polygon

from quiltpath.errors import InputError
from quiltpath.geometry.curves import Points
from quiltpath.patterns.clear_rooms import ClearRoom
from quiltpath.patterns.kind import EITHER, Kind
from quiltpath.patterns.layer import (
    INCH,
    QUARTER_INCH,
    Angle,
    Edge,
    RepertoireLayer,
    about,
)
from quiltpath.patterns.own_spine import Spine, check_spine, spine_mm
from quiltpath.patterns.stipple import EDGE_SPACINGS
from quiltpath.schema import LengthOrZero, Spacing

if TYPE_CHECKING:
    from quiltpath.geometry.free_curves.fields import Field

MOST_SPACINGS = 15_000

CLOSEST = {"water": 0.4}
"""Of a spacing: where a stream is narrow its lines run on beside each other rather than stop."""

TWIST_DEG = 55.0
RINGS_DEG = 90.0


class FieldLinesLayer(RepertoireLayer):
    """Smooth lines, evenly apart, that part before motifs; neighbouring ends are joined, the
    others run into the next line."""

    kind: Literal["field-lines"]
    spacing: Spacing = about(0.75 * INCH)
    """from line to line, as even as the flow allows"""
    clearance: LengthOrZero | None = QUARTER_INCH
    along: Literal["water", "rays", "twist", "rings", "spine"] = "water"
    """what the lines follow: a stream past the motifs; rays from the middle, straight or twisted;
    rings round the middle; or a curve of one's own"""
    spine: Spine = ()
    """points that this curve goes through, each as a share of the region's length and its width"""
    angle: Angle = 0.0
    """the way the stream runs, degrees from the runner's length; added to a twist's own turn, or
    how lines cross a curve of one's own"""
    edge: Edge = "line"
    """how near the inset edge lines may come: onto it, half a gap or a whole one"""
    joined: bool = True
    """neighbouring ends are joined by short steps, the others run into the line beside them, so
    that one thread can sew all"""

    @model_validator(mode="after")
    def _has_a_spine_where_it_follows_one(self) -> Self:
        check_spine(self.spine, self.along == "spine", "lines are led", "along")
        return self


def field_lines(layer: FieldLinesLayer, room: ClearRoom) -> list[Points]:
    """Lines in each part of the room; see ``geometry/free_curves``."""
    from quiltpath.geometry.free_curves.streamlines import STOP
    from quiltpath.geometry.free_curves.streamlines import field_lines as lines_along

    gap, found = layer.spacing.mm, []
    for part in shapely.get_parts(room.clear):
        if isinstance(part, Polygon):
            found += lines_along(
                part,
                _field(layer, room, part),
                gap,
                edge_mm=EDGE_SPACINGS[layer.edge] * gap,
                motif_mm=0.0,
                closest=CLOSEST.get(layer.along, STOP),
                joined=layer.joined,
            )
    return found


def _field(layer: FieldLinesLayer, room: ClearRoom, part: Polygon) -> Field:
    """The direction of lines at each point of the part."""
    from quiltpath.geometry.free_curves import fields

    motifs = [Polygon(ring) for ring in part.interiors]
    middle = shapely.get_coordinates(shapely.union_all(motifs or [part]).centroid)[0]
    centre = (float(middle[0]), float(middle[1]))
    made: dict[str, Callable[[], Any]] = {
        "water": lambda: fields.water(motifs, layer.angle),
        "rays": lambda: fields.radial(centre),
        "twist": lambda: fields.radial(centre, TWIST_DEG + layer.angle),
        "rings": lambda: fields.radial(centre, RINGS_DEG),
        "spine": lambda: _beside_spine(layer, room),
    }
    field: Field = made[layer.along]()
    return field


def _beside_spine(layer: FieldLinesLayer, room: ClearRoom) -> Field:
    from quiltpath.geometry.free_curves import fields

    spine = spine_mm(layer.spine, room.patch, layer.turned)
    if spine is None:
        return fields.straight(0.0)
    try:
        return fields.along_spine(spine, layer.angle)
    except ValueError as error:
        raise InputError.parted("spine", error) from None


KINDS = (
    Kind(
        FieldLinesLayer,
        EITHER,
        in_clear=field_lines,
        hides_thread=True,
        one_path=True,
        most_spacings=MOST_SPACINGS,
        length_share=0.98,
        by_hand=lambda own: own.along == "twist",
    ),
)
