"""Sizes that no hand can sew, cut or handle: most often a slip of the unit.

A spacing wider than the whole runner is refused before anything is drawn. What can be drawn, but is
too small or too large for a hand, is told. (The limits are common practice.)
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np
import shapely

from quiltpath.errors import InputError
from quiltpath.findings import Finding
from quiltpath.geometry.runner_shapes import PlacedMotif, RegionKind, Runner, patches
from quiltpath.patterns.layer import Layer
from quiltpath.patterns.straight import StraightLayer, directions, extent
from quiltpath.project import Project
from quiltpath.schema import Spacing
from quiltpath.units import MM_PER_INCH, both_units

LEAST_MOTIF_MM = MM_PER_INCH / 2
"""The larger side of a shape that can still be quilted round."""

LEAST_BLOCK_MM = MM_PER_INCH
"""The side of a block that can still be cut and sewn with seams of 1/4 in."""

LEAST_STRIP_MM = MM_PER_INCH / 4
"""Finished width of a strip: no less than its seam allowance."""

LEAST_RUNNER_MM, MOST_RUNNER_MM = 2 * MM_PER_INCH, 400 * MM_PER_INCH
"""Width of a runner that can be bound, length of one that can be handled."""

WIDER_IS_SURE_MM = 12 * MM_PER_INCH
"""On a piece smaller than this a pattern's own figures may be wider than the piece."""

SURELY_TOO_LONG_MM, SURELY_TOO_LARGE_MM2 = 20_000.0, 12e6
"""Nothing longer or larger is drawn: it could take minutes, and it is centimetres or inches for mm.
The largest quilts for beds are some 120 in square, 9.3 square metres."""

CHECK = "check the number and its unit"


def refuse_slips_of_the_unit(project: Project, runner: Runner) -> None:
    """Raises :class:`InputError` for lines that lie further apart than the runner is large.

    Such a layer draws one line at most, wherever it goes: 50 m was written for 50 mm. A runner that
    is itself in a wrong unit is refused as well.
    """
    longest, area = max(runner.length_mm, runner.width_mm), runner.outline.area
    if longest > SURELY_TOO_LONG_MM or area > SURELY_TOO_LARGE_MM2:
        size = f"{_long(runner.length_mm)} by {_long(runner.width_mm)}"
        raise InputError("", "runner", f"{size} is larger than anybody can quilt", CHECK)
    across = max(math.hypot(runner.length_mm, runner.width_mm), WIDER_IS_SURE_MM)
    for index, layer in enumerate(project.quilting):
        for key, mm in _spacings(layer):
            if mm > across:
                wrong = (
                    f"{_long(mm)} is wider than the whole runner,"
                    f" {both_units(runner.length_mm)} by {both_units(runner.width_mm)}"
                )
                entries = project.entry_of_layer
                entry = entries[index] if entries else index
                raise InputError("", f"quilting[{entry + 1}].{key}", wrong, CHECK)


def hand_findings(project: Project, runner: Runner) -> tuple[Finding, ...]:
    """What is too small or too large for a hand; every one of them makes the check say no."""
    return (
        *_of_the_runner(runner),
        *_of_blocks(runner),
        *_of_motifs(runner),
        *_of_layers(project, runner),
    )


def _long(mm: float) -> str:
    return f"{mm / 1000:g} m" if mm >= 10_000 else both_units(mm)


def _sides(shape: shapely.Geometry) -> tuple[float, float]:
    """The smaller and the larger side of the box round a shape, in mm."""
    low_x, low_y, high_x, high_y = shapely.bounds(shape)
    along, across = float(high_x - low_x), float(high_y - low_y)
    return min(along, across), max(along, across)


def _of_the_runner(runner: Runner) -> Iterator[Finding]:
    smaller, larger = _sides(runner.outline)
    if larger > MOST_RUNNER_MM:
        message = f"the runner is {_long(larger)} long, more than anybody can handle in one piece"
        yield Finding("runner-too-large", message, CHECK)
    if smaller < LEAST_RUNNER_MM:
        message = f"the runner is {both_units(smaller)} wide, too narrow to be quilted and bound"
        yield Finding("runner-too-small", message, CHECK)


def _of_blocks(runner: Runner) -> Iterator[Finding]:
    sizes = [_sides(block.shape)[0] for block in runner.blocks]
    if sizes and min(sizes) < LEAST_BLOCK_MM:
        message = f"blocks are {both_units(min(sizes))} wide, too small to be cut and sewn"
        right = f"make them {both_units(LEAST_BLOCK_MM)} or more; {CHECK}"
        yield Finding("block-too-small", message, right)
    strips = runner.of_kind(RegionKind.SASHING, RegionKind.OUTER_SASHING, RegionKind.BORDER)
    narrow = [strip for strip in strips if 2 * _inner_radius(strip.shape) < LEAST_STRIP_MM]
    if narrow:
        wide = 2 * _inner_radius(narrow[0].shape)
        message = f"the {narrow[0].kind.value} is {both_units(wide)} wide, too narrow to be sewn"
        right = f"make it {both_units(LEAST_STRIP_MM)} or more; {CHECK}"
        yield Finding("strip-too-narrow", message, right)


def _inner_radius(shape: shapely.Geometry) -> float:
    """Half the width of a strip or a frame of even width: area by its length, half its outline."""
    return float(shapely.area(shape) / max(shapely.length(shape), 1e-9))


def _of_motifs(runner: Runner) -> Iterator[Finding]:
    told: set[str] = set()
    for motif in runner.motifs:
        size = _sides(motif.shape)[1]
        if size < LEAST_MOTIF_MM and motif.name not in told:
            told.add(motif.name)
            message = (
                f"the motif {motif.name!r} is {both_units(size)} large, too small to sew round"
            )
            right = f"make it {both_units(LEAST_MOTIF_MM)} or more; {CHECK}"
            yield Finding("motif-too-small", message, right)


def drawing_findings(runner: Runner) -> tuple[Finding, ...]:
    """What a motif's drawing holds beside its paths, and how far a large one was simplified; once
    for each motif."""
    named = {motif.name: motif for motif in runner.motifs}
    return (*_passed_over(named), *_simplified(named))


def _passed_over(named: Mapping[str, PlacedMotif]) -> Iterator[Finding]:
    for name, motif in named.items():
        if motif.passed_over:
            yield Finding(
                "drawing-passed-over",
                f"the drawing of the motif {name!r} also holds {' and '.join(motif.passed_over)},"
                " which is not followed",
                "where it matters, turn it into paths in the drawing program",
            )


def _simplified(named: Mapping[str, PlacedMotif]) -> Iterator[Finding]:
    for name, motif in named.items():
        if motif.strays_mm:
            yield Finding(
                "drawing-simplified",
                f"the drawing of the motif {name!r} has very many points: it is sewn with fewer,"
                f" which leave it by {motif.strays_mm:.3f} mm at most, less than a stitch can show",
            )


def _of_layers(project: Project, runner: Runner) -> Iterator[Finding]:
    stitch = project.stitch.shortest
    for layer in project.quilting:
        name = layer.name or layer.kind
        for key, mm in _spacings(layer):
            if mm < stitch:
                message = f"{key} of {name!r} is {mm:g} mm, less than one stitch of {stitch:g} mm"
                yield Finding("spacing-below-a-stitch", message, f"widen it; {CHECK}")
            elif key == "spacing" and mm > (room := _room_of(layer, runner)):
                message = (
                    f"the spacing of {name!r}, {both_units(mm)}, is wider than the place it fills,"
                    f" {both_units(room)}: each place there gets one line at most"
                )
                yield Finding("spacing-beyond-region", message, "give a closer one")


def _room_of(layer: Layer, runner: Runner) -> float:
    """What the largest place that a layer fills measures across its lines, in mm; its larger side
    where they run every way."""
    places = [place.shape for place in patches(runner, layer.region)]
    if isinstance(layer, StraightLayer):
        across = directions(layer.angle)[1]
        return max((float(np.ptp(extent(shape, across))) for shape in places), default=math.inf)
    return max((_sides(shape)[1] for shape in places), default=math.inf)


def _spacings(layer: Layer) -> Iterator[tuple[str, float]]:
    """The distances of a layer by their keys, in mm."""
    for key in type(layer).model_fields:
        value = getattr(layer, key)
        if isinstance(value, Spacing):
            yield key, value.mm
