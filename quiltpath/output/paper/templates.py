"""Full-size templates: each shape once, with its number of uses, cut line, centre and grain."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quiltpath.output.check_bars import rectangle
from quiltpath.output.cloth import PRINTED, SEAM, many
from quiltpath.output.drawing import (
    GREY,
    INK,
    LAYER_DASHES,
    Group,
    Item,
    Line,
    Lines,
    Shape,
    Style,
    Text,
)
from quiltpath.output.paper.choice import Marking
from quiltpath.output.paper.piece import Piece
from quiltpath.output.paper.text_width import fitted
from quiltpath.project.layer_section import Layer
from quiltpath.project.quilting_sections import ChevronLayer
from quiltpath.quilting.chevron import leg_length
from quiltpath.quilting.lines import Lines as QuiltingLines
from quiltpath.quilting.region import patches
from quiltpath.runner.runner import Runner

Box = tuple[float, float, float, float]

ROOM_MM = 9.0
"""Paper round the lines of a template, up to its cut line."""

JOINED_MM = 4.0
"""Lines whose boxes come nearer than this are marked with one template."""

ALIKE_MM = 0.1
CUT = Style(GREY, 0.25, (3, 1.5))
EDGE = Style(INK, 0.5)
LEAST_MM = 42.0


@dataclass(frozen=True)
class Template:
    """Lines that are marked together, the same in every one of ``places``.

    ``chosen`` (k,) indices of the lines as they lie at the first place; ``box`` around them, mm;
    ``centres`` where the middle of the box lies at each place.
    """

    name: str
    chosen: NDArray[np.intp]
    box: Box
    places: tuple[str, ...]
    centres: tuple[tuple[float, float], ...]
    window: Box | None = None


def templates(
    runner: Runner, lines: QuiltingLines, layers: Sequence[Layer], ways: Iterable[Marking]
) -> tuple[Template, ...]:
    """The templates for everything that the markings leave to templates."""
    repeats: list[Template] = []
    rest: list[NDArray[np.intp]] = []
    for way in ways:
        layer = layers[way.index]
        if isinstance(layer, ChevronLayer) and len(way.templated):
            repeats += _repeats(runner, lines, layer, way)
        else:
            rest.append(way.templated)
    chosen = np.concatenate([*rest, np.zeros(0, dtype=np.intp)]).astype(np.intp)
    motifs = [shapely.box(*motif.shape.bounds) for motif in runner.motifs]
    return (*_alike(runner, lines, _clusters(lines.geometry, chosen, motifs)), *repeats)


def _clusters(
    geometry: NDArray[np.object_], chosen: NDArray[np.intp], motifs: Sequence[BaseGeometry]
) -> list[NDArray[np.intp]]:
    """Lines whose boxes touch, directly or through others or a motif, from left to right."""
    if not len(chosen):
        return []
    around = shapely.box(*(shapely.bounds(geometry[chosen]) + _grown(JOINED_MM / 2)).T)
    touched = [box for box in motifs if shapely.intersects(box, around).any()]
    joined = shapely.get_parts(shapely.union_all([*around, *touched]))
    while len(joined) > 1:
        whole = shapely.get_parts(shapely.union_all(shapely.box(*shapely.bounds(joined).T)))
        if len(whole) == len(joined):
            break
        joined = whole
    tree = shapely.STRtree(joined)
    line, cluster = tree.query(around, predicate="intersects")
    groups = [chosen[np.unique(line[cluster == number])] for number in range(len(joined))]
    return sorted(groups, key=lambda g: tuple(shapely.total_bounds(geometry[g]).tolist()))


def _grown(by: float) -> NDArray[np.float64]:
    return np.array([-by, -by, by, by])


def _alike(
    runner: Runner, lines: QuiltingLines, clusters: Sequence[NDArray[np.intp]]
) -> list[Template]:
    """Clusters that are moved copies of one another, once with all their places."""
    kept: list[tuple[NDArray[np.float64], Template]] = []
    for chosen in clusters:
        box = _box(lines.geometry[chosen])
        shape = _at_origin(lines, chosen, box)
        place, centre = _place(runner, box), ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        for number, (known, template) in enumerate(kept):
            if _same(known, shape):
                more = (*template.places, place), (*template.centres, centre)
                kept[number] = known, Template(template.name, template.chosen, template.box, *more)
                break
        else:
            name = _name(lines, chosen)
            kept.append((shape, Template(name, chosen, box, (place,), (centre,))))
    return [template for _, template in kept]


def _box(geometry: NDArray[np.object_]) -> Box:
    x0, y0, x1, y1 = shapely.total_bounds(geometry).tolist()
    return x0, y0, x1, y1


def _at_origin(lines: QuiltingLines, chosen: NDArray[np.intp], box: Box) -> NDArray[np.float64]:
    """(n, 2) vertices moved to the origin, in an order that depends on the shapes alone."""
    moved = shapely.transform(
        lines.geometry[chosen], lambda points: np.round(points - box[:2], 2) + 0.0
    )
    return shapely.get_coordinates(shapely.normalize(shapely.multilinestrings(moved)))


def _same(one: NDArray[np.float64], other: NDArray[np.float64]) -> bool:
    """Every vertex of each within a tenth of a mm of the other's."""
    return one.shape == other.shape and bool(np.abs(one - other).max(initial=0.0) <= ALIKE_MM)


def _place(runner: Runner, box: Box) -> str:
    """Where a template goes: the block that holds its middle, or its distance along the runner."""
    middle = shapely.Point((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    for block in runner.blocks:
        if block.shape.covers(middle):
            return block.name
    if box[2] - box[0] > 0.8 * runner.length_mm:
        return "whole runner"
    return f"{middle.x - runner.outline.bounds[0]:.0f} mm from the left end"


def _name(lines: QuiltingLines, chosen: NDArray[np.intp]) -> str:
    layers = [lines.layers[index] for index in np.unique(lines.layer[chosen]).tolist()]
    return ", ".join(dict.fromkeys(layers))


def _repeats(
    runner: Runner, lines: QuiltingLines, layer: ChevronLayer, way: Marking
) -> list[Template]:
    """One zigzag of two legs, from the middle of each place: moved along, it marks them all."""
    found: dict[tuple[float, float], Template] = {}
    for patch in patches(runner, layer.region):
        x0, y0, x1, y1 = patch.shape.bounds
        leg, middle = leg_length(layer.leg, x1 - x0), (x0 + x1) / 2
        box = (max(middle - leg, x0), y0, min(middle + leg, x1), y1)
        size = (round(x1 - x0, 1), round(y1 - y0, 1))
        uses = f"{patch.name}, {max(1, round((x1 - x0) / (2 * leg)))} times along"
        first = found.get(size)
        centre = (middle, (y0 + y1) / 2)
        if first:
            more = (*first.places, uses), (*first.centres, centre)
            found[size] = Template(way.name, first.chosen, first.box, *more, first.window)
        else:
            found[size] = Template(way.name, way.templated, box, (uses,), (centre,), box)
    return list(found.values())


def template_piece(
    runner: Runner, lines: QuiltingLines, template: Template, rooms: Sequence[tuple[float, float]]
) -> Piece:
    """The template as it is printed: cut out of one page where it fits one of the ``rooms``."""
    box = _printed_box(template.box)
    if any(box[2] - box[0] <= wide and box[3] - box[1] <= high for wide, high in rooms):
        return _small(runner, lines, template, box)
    return _large(runner, lines, template)


def _small(runner: Runner, lines: QuiltingLines, template: Template, box: Box) -> Piece:
    """With a cut line all round, and what it is for inside it."""
    corners = rectangle(box[0], box[1], box[2] - box[0], box[3] - box[1])
    cut = Group("cut line", (Line(corners, CUT, closed=True),))
    drawn = _drawn(lines, template)
    group = Group(template.name, (_reference(runner, box), drawn, cut, _words(template, box)))
    outline = np.array([shapely.box(*box).exterior], dtype=object)
    return Piece(template.name, box, group, outline)


def _large(runner: Runner, lines: QuiltingLines, template: Template) -> Piece:
    """Over several pages; what it is for stands in their feet, so that no word is cut."""
    x0, y0, x1, y1 = template.box
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    marks = Group("template marks", (*_centre(middle), *_arrow(middle[0] - 15, middle[1])))
    drawn = _drawn(lines, template)
    group = Group(template.name, (_reference(runner, template.box), drawn, marks))
    name = f"{template.name} · {_uses(template)}"
    return Piece(name, template.box, group, _shown(lines, template), map=drawn)


def _shown(lines: QuiltingLines, template: Template) -> NDArray[np.object_]:
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


def _drawn(lines: QuiltingLines, template: Template) -> Group:
    """The lines; the first layer solid, the others in their dashes."""
    layer = lines.layer[template.chosen]
    items: list[Item] = []
    for number, index in enumerate(np.unique(layer).tolist()):
        part = replace(template, chosen=template.chosen[layer == index])
        dashes = LAYER_DASHES[number % len(LAYER_DASHES)]
        items.append(many(_shown(lines, part), Style(INK, 0.4, dashes)))
    return Group("lines", tuple(items))


def _reference(runner: Runner, box: Box) -> Group:
    """Edge, printed lines and seams that fall on the template, to lay it by."""
    around = shapely.box(*box)
    kinds = (
        ([runner.outline.exterior], EDGE),
        (list(runner.printed), PRINTED),
        ([seam.line for seam in runner.seams], SEAM),
    )
    items: list[Lines] = []
    for geometry, style in kinds:
        shown = _inside(np.array([*geometry, shapely.LineString()], dtype=object), around)
        if len(shown):
            items.append(many(shown, style))
    return Group("edges and printed lines", tuple(items))


def _uses(template: Template) -> str:
    count = len(template.places)
    return f"{count} times: {', '.join(template.places)}" if count > 1 else template.places[0]


def _words(template: Template, box: Box) -> Group:
    x0, y0, x1, y1 = box
    room = x1 - x0 - 8
    words, grain = f"{template.name} · {_uses(template)}", "along the runner"
    return Group(
        "template marks",
        (
            *_centre(((x0 + x1) / 2, (y0 + y1) / 2)),
            *_arrow(x0 + 4, y0 + 6.4),
            Text((x0 + 4, y1 - 5.4), words, fitted(words, 3.4, room)),
            Text((x0 + 4, y0 + 2.0), grain, fitted(grain, 3.0, room)),
        ),
    )


def _arrow(x: float, y: float) -> tuple[Item, ...]:
    """30 mm along the runner's length, a head at both ends."""
    stem = Line(np.array([(x, y), (x + 30, y)]), Style(INK, 0.3))
    return stem, _head(x + 30, y, 1), _head(x, y, -1)


def _centre(at: tuple[float, float]) -> tuple[Item, ...]:
    x, y = at
    cross = np.array([(x - 4, y), (x + 4, y), (x, y - 4), (x, y + 4)])
    return (Lines(cross, np.array([0, 2, 4]), Style(INK, 0.2)),)


def _head(x: float, y: float, way: int) -> Shape:
    points = np.array([(x, y), (x - 3 * way, y + 1.0), (x - 3 * way, y - 1.0)])
    return Shape((points,), Style(stroke=None, fill=INK))
