"""Echo lines: rings at true, even distances from an outline."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.project.quilting_sections import EchoLayer
from quiltpath.quilting.amount import check_amount
from quiltpath.quilting.region import Patch, area_of, near_names, patches
from quiltpath.quilting.strokes import Geometries, Strokes, gathered, objects, strokes
from quiltpath.runner.runner import Runner

FROM_THE_TRUE_ARC_MM = 0.02
MITRE_LIMIT = 6.0
RINGS_AT_A_TIME = 16


def echo(runner: Runner, layer: EchoLayer, within: Sequence[Patch]) -> Strokes:
    """Rings around what the layer names; where outward rings of neighbours meet, they join up."""
    area = area_of(tuple(within))
    check_amount(area.area / layer.spacing.mm, layer.spacing.mm)
    sources = _echoed(runner, layer)
    if layer.direction == "inwards":
        return gathered([_inwards(layer, patch, area) for patch in sources])
    if layer.around == "outline":
        raise InputError(
            "", "direction", "rings outwards of the outline lie off the runner", "write 'inwards'"
        )
    whole = area_of(sources)
    return _outwards(layer, whole, area, f"around {layer.around}")


def _echoed(runner: Runner, layer: EchoLayer) -> tuple[Patch, ...]:
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
    rings = [ring for inner in _offsets(layer, patch.shape, -distances) for ring in inner]
    return strokes(rings, area, f"inside {patch.name}")


def inner_depth(shape: BaseGeometry) -> float:
    """Radius in mm of the largest circle inside the shape, within about 0.01 mm."""
    parts = shapely.get_parts(shape)
    return max(float(shapely.maximum_inscribed_circle(part, 0.01).length) for part in parts)


def _gap_inwards(layer: EchoLayer, depth: float) -> float:
    """ "About" takes an odd number of gaps across, so that the innermost two are alike as well."""
    if not layer.spacing.about:
        return layer.spacing.mm
    pairs = max(0, round((2 * depth / layer.spacing.mm - 1) / 2))
    return 2 * depth / (2 * pairs + 1)


def _distances(layer: EchoLayer, gap: float, depth: float) -> np.ndarray:
    first = gap if layer.first is None else layer.first
    most = max(0, math.ceil((depth - first) / gap - 1e-9))
    count = most if layer.rings == "full" else min(int(layer.rings), most)
    return first + gap * np.arange(count)


def _outwards(layer: EchoLayer, whole: BaseGeometry, area: BaseGeometry, words: str) -> Strokes:
    """Rings outwards, a few at a time until one no longer touches the area."""
    gap = layer.spacing.mm
    first = gap if layer.first is None else layer.first
    left = math.inf if layer.rings == "full" else float(layer.rings)
    drawn: list[Strokes] = []
    shapely.prepare(area)
    while left > 0:
        count = int(min(left, RINGS_AT_A_TIME))
        rings = _offsets(layer, whole, first + gap * np.arange(count))
        reached = [lines[shapely.intersects(area, lines)] for lines in rings]
        drawn += [strokes(lines, area, words) for lines in reached]
        if any(not len(lines) for lines in reached):
            break
        first, left = first + count * gap, left - count
    return gathered(drawn)


def _offsets(layer: EchoLayer, shape: BaseGeometry, distances: np.ndarray) -> Iterator[Geometries]:
    """For each signed distance, the closed lines at that distance from the shape."""
    if not len(distances):
        return
    furthest = float(np.abs(distances).max())
    grown = shapely.buffer(
        shape,
        distances,
        quad_segs=arc_pieces(furthest),
        join_style="round" if layer.corners == "round" else "mitre",
        mitre_limit=MITRE_LIMIT,
    )
    for each in np.atleast_1d(grown):
        yield closed_lines(each)


def arc_pieces(radius_mm: float, within_mm: float = FROM_THE_TRUE_ARC_MM) -> int:
    """Chords for a quarter circle, so that none strays from the arc by more than ``within_mm``."""
    if radius_mm <= within_mm:
        return 4
    return max(4, math.ceil(math.pi / 4 / math.acos(1 - within_mm / radius_mm)))


def closed_lines(shape: BaseGeometry) -> Geometries:
    """Outer and inner rings of a shape as closed LineStrings."""
    parts = shapely.get_parts(shape)
    rings = shapely.get_rings(parts[~shapely.is_empty(parts)]) if len(parts) else objects([])
    coords, index = shapely.get_coordinates(rings, return_index=True)
    return shapely.linestrings(coords, indices=index) if len(coords) else objects([])
