"""Motifs: drawn or traced shapes scaled, turned and put where the project says."""

from __future__ import annotations

import difflib
import math
from dataclasses import replace

import shapely
from shapely.affinity import affine_transform
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.validation import explain_validity

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import PlacedMotif, Region
from quiltpath.geometry.svg_shapes import SvgDrawing, read_svg
from quiltpath.project import Project
from quiltpath.project.runner_sections import MotifSection

MOST_POINTS = 1_000_000
"""Points of all placed motifs together: a bound on memory, thousands of times what a runner has."""

Place = tuple[str, tuple[float, float]]


def place_motifs(
    project: Project,
    blocks: tuple[Region, ...],
    outline: Polygon | None,
    shift: tuple[float, float],
) -> tuple[PlacedMotif, ...]:
    """Every motif at each of its places; raises :class:`InputError` for one off the runner.

    Without an outline they may lie anywhere. ``shift`` brings the places that the project names
    to the flat top, in mm.
    """
    placed: list[PlacedMotif] = []
    points = 0
    for index, motif in enumerate(project.motif, start=1):
        drawn = _drawn(project, motif, f"motif[{index}]")
        for place, centre in places_of(motif, blocks, f"motif[{index}]", shift):
            laid = _laid(motif, drawn, place, centre)
            points += shapely.get_num_coordinates(laid.shape)
            if points > MOST_POINTS:
                fault = f"with {motif.name!r} all motifs come to more than {MOST_POINTS:,} points"
                remedy = "simplify the drawing or put it in fewer places"
                raise InputError("", f"motif[{index}]", fault, remedy)
            if outline is not None and not shapely.covers(outline, laid.shape):
                raise InputError(
                    "",
                    f"motif[{index}]",
                    f"{motif.name!r} at {place} reaches past the finished edge",
                    "make it smaller or move it inwards",
                )
            placed.append(laid)
    return tuple(placed)


def trimmed_motifs(motifs: tuple[PlacedMotif, ...], outline: Polygon) -> tuple[PlacedMotif, ...]:
    """What is left of the motifs inside ``outline``; those that lie wholly off it are gone."""
    left = []
    for motif in motifs:
        inside = shapely.intersection(motif.shape, outline)
        parts = [part for part in shapely.get_parts(inside) if isinstance(part, Polygon)]
        if shapely.covers(outline, motif.shape):
            left.append(motif)
        elif parts:
            lines = shapely.get_parts(shapely.intersection(list(motif.outlines), outline))
            kept = tuple(line for line in lines if isinstance(line, LineString))
            left.append(replace(motif, shape=MultiPolygon(parts), outlines=kept, is_cut=True))
    return tuple(left)


def _drawn(project: Project, motif: MotifSection, key: str) -> SvgDrawing:
    if motif.file is None:
        return _traced(motif, f"{key}.outline")
    try:
        return read_svg(project.drawing(motif.file), motif.file, motif.size, motif.read_as)
    except InputError as error:
        raise InputError("", f"{key}.file", f"{motif.file}: {error.fault}", error.remedy) from None


def _traced(motif: MotifSection, key: str) -> SvgDrawing:
    """A shape whose corners stand in the project file."""
    shape = Polygon(motif.outline)
    if not shape.is_valid or shape.area <= 0:
        fault = f"the outline crosses itself ({explain_validity(shape).lower()})"
        raise InputError("", key, fault, "list its corners once round the shape")
    return SvgDrawing((LineString(shape.exterior.coords),), MultiPolygon([shape]))


def places_of(
    motif: MotifSection,
    blocks: tuple[Region, ...],
    key: str = "motif",
    shift: tuple[float, float] = (0.0, 0.0),
) -> list[Place]:
    """Name and centre of every place of a motif, in mm: its blocks, then its points.

    Raises :class:`InputError` under ``key`` for a block that is not there.
    """
    centres = {block.name: _centre(block.shape) for block in blocks}
    named = list(centres) if motif.blocks == "all" else list(motif.blocks or ())
    for name in named:
        if name not in centres:
            near = difflib.get_close_matches(name, centres, n=2, cutoff=0.3)
            known = near or list(centres)[:6]
            remedy = f"use one of {', '.join(known)}" if known else "add a [grid] with blocks"
            raise InputError("", f"{key}.blocks", f"there is no block {name!r}", remedy)
    aside_x, aside_y = motif.offset
    places: list[Place] = [
        (name, (centres[name][0] + aside_x, centres[name][1] + aside_y)) for name in named
    ]
    places += [
        (f"point {i}", (x + shift[0], y + shift[1])) for i, (x, y) in enumerate(motif.at, start=1)
    ]
    return places


def _centre(shape: Polygon) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = shape.bounds
    middle = Point((low_x + high_x) / 2, (low_y + high_y) / 2)
    return (
        (middle.x, middle.y) if shape.contains(middle) else shape.representative_point().coords[0]
    )


def _laid(
    motif: MotifSection, drawn: SvgDrawing, place: str, centre: tuple[float, float]
) -> PlacedMotif:
    matrix = _matrix(motif, drawn, centre)
    shape = affine_transform(drawn.shape, matrix)
    outlines = tuple(affine_transform(line, matrix) for line in drawn.outlines)
    return PlacedMotif(
        motif.name,
        place,
        shape,
        outlines,
        passed_over=drawn.passed_over,
        is_printed=motif.printed,
        strays_mm=drawn.strays_mm,
    )


def _matrix(motif: MotifSection, drawn: SvgDrawing, centre: tuple[float, float]) -> list[float]:
    """Scale to size, turn, and move the middle of the drawing to ``centre``."""
    low_x, low_y, high_x, high_y = shapely.total_bounds([drawn.shape, *drawn.outlines])
    side = max(high_x - low_x, high_y - low_y)
    scale = (motif.size or side) / side
    cos, sin = (scale * f(math.radians(motif.rotate)) for f in (math.cos, math.sin))
    middle_x, middle_y = (low_x + high_x) / 2, (low_y + high_y) / 2
    return [
        cos,
        -sin,
        sin,
        cos,
        centre[0] - cos * middle_x + sin * middle_y,
        centre[1] - sin * middle_x - cos * middle_y,
    ]
