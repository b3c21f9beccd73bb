"""Along what is printed or sewn already: the lines of the sashing, and the outlines of motifs.

In the ditch, on the line itself, or beside it by an offset.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Geometries
from quiltpath.geometry.runner_shapes import (
    Patch,
    PlacedMotif,
    RegionKind,
    Runner,
    area_of,
    near_names,
)
from quiltpath.language import message
from quiltpath.patterns.echo import arc_pieces, closed_lines
from quiltpath.patterns.kind import EITHER, MOTIFS, PRINTED, WALKING, Kind
from quiltpath.patterns.layer import Layer
from quiltpath.patterns.lines import LineRole
from quiltpath.patterns.strokes import Strokes, join_strokes, objects, strokes
from quiltpath.schema import LengthOrZero, Position

PROBE_MM = 0.5


class SashingLayer(Layer):
    """Along the printed lines of the sashing."""

    kind: Literal["sashing"]
    offset: Position = 0.0
    """beside the printed line, towards the block; 0 is in the ditch"""


class MotifLayer(Layer):
    """Along the outlines of motifs."""

    kind: Literal["motif"]
    motif: str = "all"
    """which motif is sewn round, by its name"""
    offset: LengthOrZero = 0.0
    """beside the outline, outside"""


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


def motif(runner: Runner, layer: MotifLayer, within: Sequence[Patch]) -> Strokes:
    """The drawn lines of every motif, or of those of one name."""
    chosen = [m for m in runner.motifs if layer.motif in ("all", m.name)]
    if not chosen:
        raise _none_such(runner, layer.motif)
    area = area_of(tuple(within))
    return join_strokes([strokes(_lines(m, layer), area, _source(m)) for m in chosen])


def all_printed(runner: Runner, layer: MotifLayer) -> bool:
    """Whether each motif that the layer sews round is printed and followed on its own line."""
    chosen = [m.is_printed for m in runner.motifs if layer.motif in ("all", m.name)]
    return layer.offset == 0 and bool(chosen) and all(chosen)


def printed_sources(runner: Runner) -> set[str]:
    """What the lines along printed motifs come from, as :attr:`Lines.source` names it."""
    return {_source(motif) for motif in runner.motifs if motif.is_printed}


def _source(placed: PlacedMotif) -> str:
    return f"{placed.name} in {placed.place}"


def _lines(placed: PlacedMotif, layer: MotifLayer) -> Geometries:
    if not layer.offset:
        return objects(placed.outlines)
    grown = shapely.buffer(placed.shape, layer.offset, quad_segs=arc_pieces(layer.offset))
    return closed_lines(grown)


def _none_such(runner: Runner, wanted: str) -> InputError:
    if not runner.motifs:
        return InputError("", "motif", "this runner has no motifs", "add a [[motif]]")
    names = ["all", *sorted({m.name for m in runner.motifs})]
    return InputError("", "motif", f"there is no motif {wanted!r}", near_names(wanted, names))


def _in_the_ditch(layer: SashingLayer) -> str | None:
    """Lines in the ditch are their own marks."""
    return None if layer.offset else message("sew along the printed or sewn lines")


KINDS = (
    Kind(
        SashingLayer,
        WALKING,
        on_runner=sashing,
        role=LineRole.HOLD,
        hides_thread=True,
        needs=lambda layer: PRINTED,
        unmarked=_in_the_ditch,
    ),
    Kind(
        MotifLayer,
        EITHER,
        on_runner=motif,
        role=LineRole.OUTLINE,
        hides_thread=True,
        keeps_clear=False,
        needs=lambda layer: MOTIFS,
    ),
)
