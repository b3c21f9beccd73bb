"""The finished edge as a file of its own, to be run with the needle up before anything is sewn."""

from __future__ import annotations

import numpy as np
import shapely

from quiltpath.output.machine_parts.fields import Field
from quiltpath.output.machine_parts.parts import Part
from quiltpath.stitching.stitches import PointKind, Stitches

STEP_MM = 8.0
"""Short enough for one record of every format."""


def trace_stitches(part: Part, outline: shapely.Polygon) -> Stitches:
    """Steps around what the part's field shows of the runner's finished edge, and back to the
    start. Where the field shows none of it, around everything that the part sews.
    """
    field = part.field
    seen = shapely.intersection(outline, shapely.box(*_box(field)))
    if not isinstance(seen, shapely.Polygon) or seen.is_empty:
        seen = shapely.multipoints(part.stitches.needle_holes).envelope
    ring = shapely.get_coordinates(shapely.segmentize(seen.exterior, STEP_MM))
    points = np.vstack([ring[:1], ring])
    count = len(points)
    kind = np.full(count, PointKind.STITCH, dtype=np.int8)
    kind[0] = PointKind.TRAVEL
    stretch = np.zeros(count, dtype=np.int32)
    stretch[:2] = -1
    nothing = np.full(count, -1, dtype=np.int32)
    return Stitches(
        points, kind, np.zeros(count, dtype=np.int32), nothing, stretch, np.zeros((0, 3))
    )


def _box(field: Field) -> tuple[float, float, float, float]:
    return field.left, field.low, field.right, field.high
