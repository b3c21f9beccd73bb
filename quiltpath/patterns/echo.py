"""Echo lines: rings at true, even distances from an outline."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated, Literal

import numpy as np
import shapely
from pydantic import Field
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Geometries
from quiltpath.geometry.runner_shapes import Patch, Runner, area_of, near_names, patches
from quiltpath.patterns.kind import BLOCKS, EITHER, MOTIFS, Kind
from quiltpath.patterns.layer import Layer, check_amount
from quiltpath.patterns.strokes import Strokes, join_strokes, strokes
from quiltpath.schema import LengthOrZero, Spacing

FROM_THE_TRUE_ARC_MM = 0.02

MITRE_LIMIT = 6.0

RINGS_AT_A_TIME = 16


class EchoLayer(Layer):
    """Rings at even distances from an outline."""

    kind: Literal["echo"]
    around: Literal["outline", "blocks", "motifs"] | str = "motifs"
    """what is echoed: the outline, every block, every motif, or one motif by name"""
    direction: Literal["outwards", "inwards"] = "outwards"
    """from the shape out over the region, or into the shape"""
    spacing: Spacing
    """between neighbouring lines"""
    first: LengthOrZero | None = None
    """distance of the first ring, where it differs from the spacing"""
    rings: Literal["full"] | Annotated[int, Field(ge=1, le=2000)] = "full"
    """how many lines, or as many as fill the region"""
    corners: Literal["round", "mitred"] = "round"
    """how a line goes round a corner"""


def echo(runner: Runner, layer: EchoLayer, within: Sequence[Patch]) -> Strokes:
    """Rings around what the layer names; where outward rings of neighbours meet, they join up."""
    area = area_of(tuple(within))
    check_amount(area.area / layer.spacing.mm, layer.spacing.mm)
    sources = _shapes_to_echo(runner, layer)
    if layer.direction == "inwards":
        return join_strokes([_inwards(layer, patch, area) for patch in sources])
    if layer.around == "outline":
        raise InputError(
            "", "direction", "rings outwards of the outline lie off the runner", "write 'inwards'"
        )
    whole = area_of(sources)
    return _outwards(layer, whole, area, f"around {layer.around}")


def _shapes_to_echo(runner: Runner, layer: EchoLayer) -> tuple[Patch, ...]:
    """The shapes from whose outlines the rings are measured."""
    if layer.around == "outline":
        return (Patch("outline", runner.outline),)
    if layer.around == "blocks":
        return patches(runner, "blocks")
    motifs = [m for m in runner.motifs if layer.around in ("motifs", m.name)]
    if motifs:
        return tuple(Patch(f"{m.name} in {m.place}", m.shape) for m in motifs)
    if layer.around == "motifs":
        raise InputError("", "around", "this runner has no motifs", "add a [[motif]]")
    known = ["outline", "blocks", "motifs", *sorted({m.name for m in runner.motifs})]
    wrong = f"there is no motif {layer.around!r} to echo"
    raise InputError("", "around", wrong, near_names(layer.around, known))


def _inwards(layer: EchoLayer, patch: Patch, area: BaseGeometry) -> Strokes:
    depth = inner_depth(patch.shape)
    gap = _gap_inwards(layer, depth)
    distances = _distances(layer, gap, depth)
    shrunk = _offsets(layer, patch.shape, -distances)
    rings = [ring for inner in shrunk for ring in closed_lines(inner)]
    return strokes(rings, area, f"inside {patch.name}")


def inner_depth(shape: BaseGeometry) -> float:
    """Radius in mm of the largest circle inside the shape, within about 0.01 mm."""
    parts = shapely.get_parts(shape)
    return max(float(shapely.maximum_inscribed_circle(part, 0.01).length) for part in parts)


def _gap_inwards(layer: EchoLayer, depth: float) -> float:
    """ "About" takes an odd number of gaps across, so that the innermost two are alike as well."""
    if not layer.spacing.about:
        return layer.spacing.mm
    pairs = round((2 * depth / layer.spacing.mm - 1) / 2)
    return 2 * depth / (2 * pairs + 1)


def _distances(layer: EchoLayer, gap: float, depth: float) -> np.ndarray:
    first = gap if layer.first is None else layer.first
    most = math.ceil((depth - first) / gap - 1e-9)
    count = most if layer.rings == "full" else min(int(layer.rings), most)
    return first + gap * np.arange(count)


def _outwards(layer: EchoLayer, whole: BaseGeometry, area: BaseGeometry, words: str) -> Strokes:
    """Rings outwards, a few at a time until the area lies within the last.

    A ring that touches none of it is not the last: it may lie in the sashing between two blocks.
    """
    gap = layer.spacing.mm
    first = gap if layer.first is None else layer.first
    left = math.inf if layer.rings == "full" else float(layer.rings)
    drawn: list[Strokes] = []
    shapely.prepare(area)
    while left > 0:
        count = int(min(left, RINGS_AT_A_TIME))
        grown = _offsets(layer, whole, first + gap * np.arange(count))
        rings = [closed_lines(each) for each in grown]
        drawn += [strokes(lines[shapely.intersects(area, lines)], area, words) for lines in rings]
        if shapely.covers(grown[-1], area):
            break
        first, left = first + count * gap, left - count
    return join_strokes(drawn)


def _offsets(layer: EchoLayer, shape: BaseGeometry, distances: np.ndarray) -> Geometries:
    """The shape grown by each distance, or shrunk where it is negative."""
    grown: Geometries = shapely.buffer(
        shape,
        distances,
        quad_segs=arc_pieces(float(np.abs(distances).max(initial=0.0))),
        join_style="round" if layer.corners == "round" else "mitre",
        mitre_limit=MITRE_LIMIT,
    )
    return grown


def arc_pieces(radius_mm: float) -> int:
    """Chords for a quarter circle, four or more, so that none strays from it by over 0.02 mm."""
    share = FROM_THE_TRUE_ARC_MM / max(radius_mm, FROM_THE_TRUE_ARC_MM)
    return max(4, math.ceil(math.pi / 4 / math.acos(1 - share)))


def closed_lines(shape: BaseGeometry) -> Geometries:
    """Outer and inner rings of a shape as closed LineStrings."""
    rings = shapely.get_rings(shapely.get_parts(shape))
    coords, index = shapely.get_coordinates(rings, return_index=True)
    return shapely.linestrings(coords, indices=index)


def _needs(layer: EchoLayer) -> str | None:
    return {"motifs": MOTIFS, "blocks": BLOCKS}.get(layer.around)


KINDS = (Kind(EchoLayer, EITHER, on_runner=echo, needs=_needs),)
