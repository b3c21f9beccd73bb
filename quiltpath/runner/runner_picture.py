"""The runner's own parts as groups of a drawing: outline, seams, blocks, sashing, motifs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.drawing.page_model import (
    GREY,
    INK,
    LAYER_COLOURS,
    LAYER_DASHES,
    Group,
    Item,
    Line,
    Polylines,
    Shape,
    Style,
    Text,
)
from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import say
from quiltpath.patterns import Lines
from quiltpath.runner.layer_names import layer_words

OUTLINE = Style(INK, 0.6)
SEAM = Style(INK, 0.4, (10, 2, 2, 2))
PRINTED = Style(GREY, 0.25)
BLOCK = Style("#9a9a9a", 0.2, (1, 1))
MOTIF = Style(INK, 0.3)


def many(geometry: Sequence[BaseGeometry] | NDArray[np.object_], style: Style) -> Polylines:
    """Linestrings as one item in one style."""
    points, index = shapely.get_coordinates(geometry, return_index=True)
    per_line = np.bincount(index, minlength=len(geometry))
    start = np.concatenate([[0], np.cumsum(per_line)])
    return Polylines(points, start.astype(np.intp), style)


def rings_of(shape: BaseGeometry) -> tuple[Floats, ...]:
    """Every ring of a polygon or several, without the repeated last point."""
    polygons = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    rings = [ring for part in polygons for ring in (part.exterior, *part.interiors)]
    return tuple(shapely.get_coordinates(ring)[:-1] for ring in rings)


def outline_group(runner: Runner, style: Style = OUTLINE) -> Group:
    """The finished edge."""
    edge = shapely.get_coordinates(runner.outline.exterior)[:-1]
    return Group("outline", (Line(edge, style, closed=True),), title=say("edge of the flat top"))


def seams_group(runner: Runner) -> Group:
    """Seams of the top, each with its name."""
    lines = tuple(Line(shapely.get_coordinates(seam.line), SEAM) for seam in runner.seams)
    return Group("seams", lines, title=say("seams of the top"))


def blocks_group(runner: Runner) -> Group:
    """Blocks with their names in their lower left corners."""
    items: list[Item] = []
    for block in runner.blocks:
        low_x, low_y, _, _ = block.shape.bounds
        items += [Line(ring, BLOCK, closed=True) for ring in rings_of(block.shape)]
        items.append(Text((low_x + 2, low_y + 2), block.name, 4.0, colour=GREY))
    return Group("blocks", tuple(items))


def sashing_group(runner: Runner) -> Group:
    """The printed or sewn lines of the sashing."""
    drawn = (many(runner.printed, PRINTED),) if runner.printed else ()
    return Group("sashing", drawn, title=say("printed or sewn lines of the sashing"))


def motifs_group(runner: Runner) -> Group:
    """Outlines of the motifs where they lie, in one group for each motif."""
    placed = (
        Group(f"{motif.name} {motif.place}", (many(motif.outlines, MOTIF),))
        for motif in runner.motifs
    )
    return Group("motifs", tuple(placed))


def layer_style(index: int, width_mm: float = 0.35) -> Style:
    """Colour and dashes of a quilting layer; the dashes tell layers apart on a mono printer."""
    colour = LAYER_COLOURS[index % len(LAYER_COLOURS)]
    return Style(colour, width_mm, LAYER_DASHES[index % len(LAYER_DASHES)])


def layer_groups(lines: Lines, *, mono: bool = False) -> tuple[Group, ...]:
    """One group for each quilting layer that draws something; ``mono`` leaves the dashes only."""
    return tuple(
        Group(
            f"layer {index + 1} {lines.layers[index]}",
            (many(lines.geometry[lines.layer == index], _style(index, mono)),),
            title=f"set {index + 1}: {layer_words(lines.layers[index])}",
        )
        for index in range(len(lines.layers))
        if (lines.layer == index).any()
    )


def _style(index: int, mono: bool) -> Style:
    return replace(layer_style(index), stroke=INK) if mono else layer_style(index)


def filled_shape(shape: BaseGeometry, style: Style) -> Shape:
    """A polygon, with its holes, as a filled shape."""
    return Shape(rings_of(shape), style)
