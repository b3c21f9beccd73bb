"""The runner as it will look quilted: its cloth, its thread and its height under one low light."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.documents.preview import ROOM_MM, PreviewCloth, cloth_of
from quiltpath.documents.printed_cloth import cloth_photos
from quiltpath.drawing.relief import lay_thread, picture, surface_without_thread
from quiltpath.drawing.relief_light import light_surface
from quiltpath.drawing.relief_stitches import nearest_stitches
from quiltpath.drawing.relief_view import (
    Heights,
    Light,
    LitView,
    Paint,
    QuiltedCloth,
    Rgb,
    Surface,
    Thread,
)
from quiltpath.geometry.arrays import Floats, Geometries
from quiltpath.geometry.runner_shapes import RegionKind, Runner
from quiltpath.project import Project
from quiltpath.result.values import Result

PX_PER_MM = 1.0
MOST_PIXELS = 1_500_000
"""A larger quilt gets fewer pixels to the millimetre, so that its picture takes no longer."""

PRINTED_MM = 0.6
SEAM_MM = 0.7
SEAM_COLOUR = "#8a8170"
STONE_SHARE = 0.35
"""How strongly the print's colour covers the cornerstones."""


@dataclass(frozen=True)
class LitCloth:
    """One runner ready to be lit: what its pictures near to and from afar are made from."""

    cloth: QuiltedCloth
    thread: Thread
    light: Light


def lit_cloth(result: Result) -> LitCloth:
    """Cloth, thread and light of a result, in the project's own colours."""
    colours = cloth_of(result.project)
    look = result.project.look
    thread = Thread(result.relief.thread_mm, colours.thread, look.thread_width)
    cloth = quilted_cloth(result.runner, colours, result.cutting.quilting_share)
    cloth = replace(cloth, photos=cloth_photos(result))
    return LitCloth(cloth, thread, light_of(result.project))


def light_of(project: Project) -> Light:
    """The project's light."""
    return Light(from_deg=project.look.light)


def quilted_cloth(runner: Runner, colours: PreviewCloth, taken_up: float) -> QuiltedCloth:
    """The runner's cloth in its colours, puckered by what its quilting takes up."""
    stones = [stone.shape for stone in runner.of_kind(RegionKind.CORNERSTONE)]
    paint = [
        Paint(runner.outline, colours.ground),
        *(Paint(block.shape, colours.block) for block in runner.blocks),
        *(Paint(stone, colours.print, STONE_SHARE) for stone in stones),
        *(Paint(motif.shape, colours.motif) for motif in runner.motifs),
        *_as_shapes(runner.printed, PRINTED_MM, colours.print),
        *_as_shapes([seam.line for seam in runner.seams], SEAM_MM, SEAM_COLOUR),
    ]
    return QuiltedCloth(runner.outline, tuple(paint), take_up=taken_up)


def _as_shapes(lines: Sequence[BaseGeometry], width_mm: float, colour: str) -> list[Paint]:
    """Lines on the cloth as narrow shapes, one by one: each has a box of its own to fill."""
    return [Paint(line.buffer(width_mm / 2, cap_style="flat"), colour) for line in lines]


def line_path(lines: Geometries) -> Floats:
    """(n, 2) points of lines that are not sewn yet, mm, a row of NaN before each."""
    points, index = shapely.get_coordinates(lines, return_index=True)
    first = np.flatnonzero(np.diff(index, prepend=-1))
    return np.insert(points, first, np.nan, axis=0)


def whole_view(runner: Runner, px_per_mm: float = PX_PER_MM) -> LitView:
    """The whole runner with a little room round it, at fewer pixels where it is very large."""
    low_x, low_y, high_x, high_y = runner.outline.bounds
    room = min(ROOM_MM, max(runner.margin_mm, 5.0))
    sides = low_x - room, low_y - room, high_x + room, high_y + room
    area = (sides[2] - sides[0]) * (sides[3] - sides[1])
    return LitView(*sides, min(px_per_mm, math.sqrt(MOST_PIXELS / area)))


def bare_surface(field: Heights, dressed: LitCloth, view: LitView) -> Surface:
    """The cloth as its stitches hold it, without their thread."""
    return surfaces(field, dressed, view)[0]


def surfaces(field: Heights, dressed: LitCloth, view: LitView) -> tuple[Surface, Surface]:
    """The cloth without its thread and with it."""
    stitches = nearest_stitches(dressed.thread.points, view)
    cloth = surface_without_thread(field, dressed.cloth, stitches, view)
    return cloth, lay_thread(cloth, stitches, dressed.thread)


def lit_whole(result: Result, px_per_mm: float = PX_PER_MM) -> Rgb:
    """(rows, columns, 3) the whole runner under the project's light."""
    dressed, view = lit_cloth(result), whole_view(result.runner, px_per_mm)
    return light_surface(surfaces(result.relief.field, dressed, view)[1], dressed.light)


def lit_part(field: Heights, dressed: LitCloth, view: LitView) -> Rgb:
    """(rows, columns, 3) of a view, near to or from afar; ``field`` reaches beyond it."""
    return picture(field, dressed.cloth, dressed.thread, view, dressed.light)
