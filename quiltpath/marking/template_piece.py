"""Full-size templates as they are printed: lines, cut line, centre, grain and number of uses."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.drawing.page_model import (
    GREY,
    INK,
    LAYER_DASHES,
    Box,
    Group,
    Item,
    Line,
    Polylines,
    Shape,
    Style,
    Text,
)
from quiltpath.drawing.sketch import box_corners
from quiltpath.drawing.text_width import size_that_fits
from quiltpath.geometry.arrays import distinct
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import say
from quiltpath.marking.taping import PaperPiece
from quiltpath.marking.templates import Template
from quiltpath.patterns import Lines
from quiltpath.runner.runner_picture import PRINTED, SEAM, many

ROOM_MM = 9.0
"""Paper round the lines of a template, up to its cut line."""

LEAST_MM = 42.0
CUT = Style(GREY, 0.25, (3, 1.5))
REPEAT = Style(GREY, 0.25, (1, 1.5))
EDGE = Style(INK, 0.5)


Draw = Callable[[Lines, Template], Group]
"""Draws the lines of a template."""


def template_piece(
    runner: Runner,
    lines: Lines,
    template: Template,
    rooms: Sequence[tuple[float, float]],
    draw: Draw | None = None,
) -> PaperPiece:
    """The template as it is printed: cut out of one page where it fits one of the ``rooms``.

    ``draw`` draws its lines, in dashes by their sets where it is left out.
    """
    draw = draw or _drawn
    box = _printed_box(template.box)
    if any(box[2] - box[0] <= wide and box[3] - box[1] <= high for wide, high in rooms):
        return _small(runner, lines, template, box, draw)
    return _large(runner, lines, template, draw)


def _small(runner: Runner, lines: Lines, template: Template, box: Box, draw: Draw) -> PaperPiece:
    """With a cut line all round, and what it is for inside it."""
    corners = box_corners(box[0], box[1], box[2] - box[0], box[3] - box[1])
    cut = Group("cut line", (Line(corners, CUT, closed=True),))
    drawn = draw(lines, template)
    marks = _words(template, box), _repeat_lines(template)
    group = Group(
        template.name,
        (_reference(runner, box, moved_on=template.moved_on), drawn, cut, *marks),
    )
    outline = np.array([shapely.box(*box).exterior], dtype=object)
    return PaperPiece(template.name, box, group, outline)


def _large(runner: Runner, lines: Lines, template: Template, draw: Draw) -> PaperPiece:
    """Over several pages; what it is for stands in their feet, so that no word is cut."""
    x0, y0, x1, y1 = template.box
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    marks = Group("template marks", (*_centre(middle), *_arrow(middle[0] - 15, middle[1])))
    drawn = draw(lines, template)
    reference = (
        _reference(runner, template.box, moved_on=template.moved_on),
        _repeat_lines(template),
    )
    group = Group(template.name, (*reference, drawn, marks))
    name = f"{template.name} · {_uses(template)}"
    return PaperPiece(
        name, template.box, group, shown(lines, template), map=_drawn(lines, template)
    )


def shown(lines: Lines, template: Template) -> NDArray[np.object_]:
    """The lines of the template as far as they are printed."""
    geometry = lines.geometry[template.chosen]
    return geometry if template.window is None else _inside(geometry, shapely.box(*template.window))


def _printed_box(box: Box) -> Box:
    x0, y0, x1, y1 = box
    more_x = max(ROOM_MM, (LEAST_MM - (x1 - x0)) / 2)
    more_y = max(ROOM_MM, (LEAST_MM - (y1 - y0)) / 2)
    return x0 - more_x, y0 - more_y, x1 + more_x, y1 + more_y


def _inside(geometry: NDArray[np.object_], window: object) -> NDArray[np.object_]:
    parts = shapely.get_parts(shapely.intersection(geometry, window))
    is_line = shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING
    return parts[is_line & ~shapely.is_empty(parts)]


def _drawn(lines: Lines, template: Template) -> Group:
    """The lines; the first layer solid, the others in their dashes."""
    layer = lines.layer[template.chosen]
    items: list[Item] = []
    for number, index in enumerate(distinct(layer).tolist()):
        part = replace(template, chosen=template.chosen[layer == index])
        dashes = LAYER_DASHES[number % len(LAYER_DASHES)]
        items.append(many(shown(lines, part), Style(INK, 0.4, dashes)))
    return Group("lines", tuple(items))


def _reference(runner: Runner, box: Box, *, moved_on: bool) -> Group:
    """Edge, printed lines and seams that fall on the template, to lay it by.

    One that is moved on shows the edge alone: the others lie elsewhere at its next place.
    """
    around = shapely.box(*box)
    kinds = [([runner.outline.exterior], EDGE)]
    if not moved_on:
        kinds.append((list(runner.printed), PRINTED))
        kinds.append(([seam.line for seam in runner.seams], SEAM))
    items: list[Polylines] = []
    for geometry, style in kinds:
        there = _inside(np.array([*geometry, shapely.LineString()], dtype=object), around)
        if len(there):
            items.append(many(there, style))
    return Group("edges and printed lines", tuple(items))


def _repeat_lines(template: Template) -> Group:
    """Where one repeat ends and the next begins: the template is moved on by their distance."""
    if template.window is None:
        return Group("repeat")
    x0, y0, x1, y1 = template.window
    corners = np.array([(x0, y0), (x0, y1), (x1, y1), (x1, y0), (x0, y0)])
    return Group("repeat", (Polylines(corners, np.array([0, 5]), REPEAT),))


def _uses(template: Template) -> str:
    count = len(template.places)
    return (
        say("{times} times: {places}", times=count, places=", ".join(template.places))
        if count > 1
        else template.places[0]
    )


def _words(template: Template, box: Box) -> Group:
    x0, y0, x1, y1 = box
    room = x1 - x0 - 8
    words, grain = f"{template.name} · {_uses(template)}", say("along the runner, this side up")
    return Group(
        "template marks",
        (
            *_centre(((x0 + x1) / 2, (y0 + y1) / 2)),
            *_arrow(x0 + 4, y0 + 6.4),
            Text((x0 + 4, y1 - 5.4), words, size_that_fits(words, 3.4, room)),
            Text((x0 + 4, y0 + 2.0), grain, size_that_fits(grain, 3.0, room)),
        ),
    )


def _arrow(x: float, y: float) -> tuple[Item, ...]:
    """30 mm along the runner's length, a head at both ends."""
    stem = Line(np.array([(x, y), (x + 30, y)]), Style(INK, 0.3))
    return stem, _head(x + 30, y, 1), _head(x, y, -1)


def _centre(at: tuple[float, float]) -> tuple[Item, ...]:
    x, y = at
    cross = np.array([(x - 4, y), (x + 4, y), (x, y - 4), (x, y + 4)])
    return (Polylines(cross, np.array([0, 2, 4]), Style(INK, 0.2)),)


def _head(x: float, y: float, way: int) -> Shape:
    points = np.array([(x, y), (x - 3 * way, y + 1.0), (x - 3 * way, y - 1.0)])
    return Shape((points,), Style(stroke=None, fill=INK))
