"""Along the sashing: in the ditch of the printed lines or beside them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from quiltpath.errors import InputError
from quiltpath.project.quilting_sections import SashingLayer
from quiltpath.quilting.region import Patch, area_of
from quiltpath.quilting.strokes import Geometries, Strokes, objects, strokes
from quiltpath.runner.runner import RegionKind, Runner

PROBE_MM = 0.5


def sashing(runner: Runner, layer: SashingLayer, within: Sequence[Patch]) -> Strokes:
    """The printed lines, moved towards the blocks by the layer's offset."""
    if not runner.printed:
        raise InputError("", "kind", "this runner has no printed lines", "add a [grid] to follow")
    printed = objects(runner.printed)
    area = area_of(tuple(within))
    if layer.offset == 0:
        return strokes(printed, area, "printed line")
    return strokes(_beside(runner, printed, layer.offset), area, "beside printed line")


def _beside(runner: Runner, printed: Geometries, offset_mm: float) -> Geometries:
    """Each line moved towards its block; a line between two blocks gets one on either side."""
    blocks = runner.shape_of(RegionKind.BLOCK)
    left, right = (
        shapely.length(shapely.intersection(shapely.offset_curve(printed, side), blocks))
        for side in (PROBE_MM, -PROBE_MM)
    )
    on_left, on_right = left >= right * 0.5, right >= left * 0.5
    moved = [
        shapely.offset_curve(printed[on_left], offset_mm, join_style="mitre"),
        shapely.offset_curve(printed[on_right], -offset_mm, join_style="mitre"),
    ]
    return np.concatenate(moved)
