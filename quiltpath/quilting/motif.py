"""Along the outlines of motifs, or at a distance outside them."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from quiltpath.errors import InputError
from quiltpath.project.quilting_sections import MotifLayer
from quiltpath.quilting.echo import arc_pieces, closed_lines
from quiltpath.quilting.region import Patch, area_of, near_names
from quiltpath.quilting.strokes import Geometries, Strokes, gathered, objects, strokes
from quiltpath.runner.runner import PlacedMotif, Runner


def motif(runner: Runner, layer: MotifLayer, within: Sequence[Patch]) -> Strokes:
    """The drawn lines of every motif, or of those of one name."""
    chosen = [m for m in runner.motifs if layer.motif in ("all", m.name)]
    if not chosen:
        raise _none_such(runner, layer.motif)
    area = area_of(tuple(within))
    return gathered([strokes(_lines(m, layer), area, f"{m.name} in {m.place}") for m in chosen])


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
