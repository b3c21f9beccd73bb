"""Regions with the motifs taken out, so that a line is drawn round them and not cut by them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.geometry.curves import STRAY_MM, Points, arc_steps
from quiltpath.geometry.runner_shapes import Patch, Runner
from quiltpath.patterns.frame import Frame, frame_of
from quiltpath.patterns.layer import RepertoireLayer
from quiltpath.patterns.strokes import Strokes, join_strokes, strokes
from quiltpath.units import both_units

PLAY_MM = 0.05
"""How far a smooth line may stray over the edge of its room before it is cut there."""

ALIKE_DIGITS = 5
"""Regions whose corners agree to so many digits of a mm are drawn once."""

SAME_AREA = 1e-9


@dataclass(frozen=True)
class ClearRoom:
    """A ``patch``, the same less its inset (``whole``), and with the motifs taken out (``clear``).

    Among several patches the lower left corner of ``whole`` is the origin, so that equal ones are
    alike; a single one lies where it lies.
    """

    patch: Patch
    inset_mm: float
    whole: BaseGeometry
    clear: BaseGeometry

    def frame(self, turned: bool) -> Frame | None:
        """The rectangle round the whole; None if it is too small."""
        return frame_of(self.patch, self.inset_mm, turned)

    @property
    def motifs(self) -> BaseGeometry:
        """What was taken out."""
        return shapely.difference(self.whole, self.clear)

    @property
    def has_no_motifs(self) -> bool:
        """Whether nothing was taken out."""
        return bool(self.clear.area >= self.whole.area * (1 - SAME_AREA))

    @property
    def sameness(self) -> tuple[bytes, bytes]:
        """Alike for rooms in which one drawing will do."""
        whole, clear = (
            shapely.transform(shape, lambda xy: np.round(xy, ALIKE_DIGITS) + 0.0)
            for shape in (self.whole, self.clear)
        )
        return shapely.to_wkb(whole), shapely.to_wkb(clear)


def draw_in_clear(
    runner: Runner,
    layer: RepertoireLayer,
    patches: Sequence[Patch],
    draw: Callable[[Any, ClearRoom], list[Points]],
    most_spacings: float,
) -> Strokes:
    """What ``draw`` gives in each patch with the motifs taken out at the layer's clearance.

    Raises :class:`InputError` for a region of more than ``most_spacings`` times the square of the
    spacing, before anything is drawn.
    """
    placed = _placed_rooms(runner, layer, patches)
    rooms = {room.sameness: room for _, room, _ in placed}
    _check_size(_drawn_mm2(placed), layer, most_spacings)
    drawings = {key: draw(layer, room) for key, room in rooms.items()}
    return join_strokes(
        [_placed(patch, room, corner, drawings[room.sameness]) for patch, room, corner in placed]
    )


def share_of_the_most(
    runner: Runner, layer: RepertoireLayer, patches: Sequence[Patch], most_spacings: float
) -> float:
    """How much of what :func:`draw_in_clear` draws at most the layer takes up: 1 for all of it."""
    area = _drawn_mm2(_placed_rooms(runner, layer, patches))
    return area / layer.size_mm**2 / most_spacings


def _placed_rooms(
    runner: Runner, layer: RepertoireLayer, patches: Sequence[Patch]
) -> list[tuple[Patch, ClearRoom, Points]]:
    motifs, moves = _zones(runner, layer.clearance), len(patches) > 1
    rooms = (_room(patch, layer, motifs, moves) for patch in patches)
    return [found for found in rooms if found is not None]


def _drawn_mm2(placed: Sequence[tuple[Patch, ClearRoom, Points]]) -> float:
    """Rooms that are alike are drawn once."""
    rooms = {room.sameness: room for _, room, _ in placed}
    return sum(float(room.clear.area) for room in rooms.values())


def clear_rooms(
    runner: Runner, layer: RepertoireLayer, patches: Sequence[Patch]
) -> list[ClearRoom]:
    """The rooms in which such a layer is drawn, each where it lies."""
    motifs = _zones(runner, layer.clearance)
    found = (_room(patch, layer, motifs, moves=False) for patch in patches)
    return [room for _, room, _ in filter(None, found)]


def _check_size(area_mm2: float, layer: RepertoireLayer, most: float) -> None:
    count = area_mm2 / layer.size_mm**2
    if count <= most:
        return
    least = math.ceil(10 * layer.size_mm * math.sqrt(count / most)) / 10
    raise InputError(
        "",
        layer.amount_key,
        f"{layer.size_mm:g} mm is too close for so large a region: a line would have to find its"
        f" way through {count:,.0f} places, more than {most:,.0f}",
        f"give {least:g} mm ({both_units(least, 16).split(' (')[0]}) or more, or fill blocks alone",
    )


def _zones(runner: Runner, clearance_mm: float | None) -> BaseGeometry:
    """The motifs grown by the clearance; empty where the layer asks for none."""
    shapes = [motif.shape for motif in runner.motifs if clearance_mm is not None]
    if clearance_mm:
        reach = clearance_mm + 2 * STRAY_MM
        steps = arc_steps(reach, math.pi / 2)
        shapes = [shapely.buffer(shape, reach, quad_segs=steps) for shape in shapes]
    return shapely.union_all(shapes)


def _room(
    patch: Patch, layer: RepertoireLayer, motifs: BaseGeometry, moves: bool
) -> tuple[Patch, ClearRoom, Points] | None:
    """The patch with its room and where the room's origin lies; None where nothing is left."""
    whole = shapely.buffer(patch.shape, -layer.inset) if layer.inset else patch.shape
    clear = shapely.difference(whole, motifs)
    if layer.holes == "wide" and clear.area < whole.area:
        clear = _without_crumbs(clear, layer.apart_mm)
    if whole.is_empty or clear.is_empty:
        return None
    corner = np.array(whole.bounds[:2]) if moves else np.zeros(2)
    shape, whole, clear = (
        shapely.transform(each, lambda xy: xy - corner) for each in (patch.shape, whole, clear)
    )
    return patch, ClearRoom(Patch(patch.name, shape), layer.inset, whole, clear), corner


def _without_crumbs(clear: BaseGeometry, spacing_mm: float) -> BaseGeometry:
    """Without the parts beside a larger one that are narrower than twice the spacing.

    Such are what is left inside a motif's handle, or between a motif and the edge.
    """
    parts = shapely.get_parts(clear)
    wide = ~shapely.is_empty(shapely.buffer(parts, -spacing_mm))
    return shapely.union_all(parts[wide]) if 0 < wide.sum() < len(parts) else clear


def _placed(patch: Patch, room: ClearRoom, corner: Points, drawn: list[Points]) -> Strokes:
    """A drawing moved to where its patch lies, to be cut to that and kept off its motifs."""
    within = patch.shape
    if not room.has_no_motifs:
        reach = shapely.transform(shapely.buffer(room.clear, PLAY_MM), lambda xy: xy + corner)
        within = shapely.intersection(reach, patch.shape)
    lines = [shapely.linestrings(points + corner) for points in drawn if len(points) > 1]
    return strokes(lines, within, patch.name)
