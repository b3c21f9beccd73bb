"""How each layer is marked: by ruler or inset list, by tick strips or by a full-size template.

Read from the lines themselves: straight ones are measured along the edges, rings at one distance
from an edge by that distance, and whatever bends takes a template.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.geometry.arrays import distinct
from quiltpath.geometry.runner_shapes import Runner, patches
from quiltpath.language import message, say
from quiltpath.patterns import Lines
from quiltpath.patterns.echo import EchoLayer
from quiltpath.patterns.kinds import reason_for_no_marks
from quiltpath.patterns.layer import Layer
from quiltpath.patterns.printed_lines import MotifLayer, SashingLayer, printed_sources
from quiltpath.result.ruler_lists import RulerList, ruler_lists, straight_only

MOST_BY_RULER = 20
"""Marks on one edge that a person still measures off without a slip; more are printed as ticks."""

EVEN_MM = 0.05
MOST_SIDES = 12


class Way(Enum):
    """A way to bring lines on to cloth."""

    RULER = "ruler"
    TICKS = "ticks"
    TEMPLATE = "template"
    NONE = "none"


@dataclass(frozen=True)
class InsetList:
    """Distances inwards from the edges of a shape, for every place that is alike."""

    places: tuple[str, ...]
    distances: tuple[float, ...]

    def __len__(self) -> int:
        return len(self.distances)


@dataclass(frozen=True)
class Marking:
    """How one layer is marked.

    ``index``      of the layer
    ``lists``      ruler lists, also what tick strips are drawn from
    ``insets``     distances inwards from an edge
    ``templated``  (k,) indices of the lines that need a template
    ``reason``     why this way, in words for the first page
    """

    index: int
    name: str
    way: Way
    reason: str
    lists: tuple[RulerList, ...] = ()
    insets: tuple[InsetList, ...] = ()
    templated: NDArray[np.intp] = field(default_factory=lambda: np.zeros(0, dtype=np.intp))


def markings(runner: Runner, lines: Lines, layers: Sequence[Layer]) -> tuple[Marking, ...]:
    """The way for every layer that draws something, the project's own choice first.

    Raises :class:`InputError` where a layer asks for a way that its lines do not allow.
    """
    drawn = [index for index in range(len(layers)) if (lines.layer == index).any()]
    return tuple(_marking(runner, lines, index, layers[index]) for index in drawn)


def _marking(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    name = lines.layers[index]
    chosen = np.flatnonzero(lines.layer == index)
    if reason := reason_for_no_marks(layer, runner):
        return Marking(index, name, Way.NONE, reason)
    if layer.marking == "template":
        return Marking(index, name, Way.TEMPLATE, say("as the project asks"), templated=chosen)
    found = _by_kind(layer)(runner, lines, index, layer)
    if layer.marking == "auto" or found.way.value == layer.marking:
        return found
    if not found.lists:
        raise InputError(
            "",
            f"quilting[{index + 1}].marking",
            f"the lines of {name!r} cannot be marked by {layer.marking}",
            f"write {found.way.value!r}, or 'auto'",
        )
    return Marking(
        index,
        name,
        Way(layer.marking),
        say("as the project asks"),
        found.lists,
        (),
        found.templated,
    )


Choose = Callable[[Runner, Lines, int, Layer], Marking]


def _by_kind(layer: Layer) -> Choose:
    return {
        "straight": _straight,
        "grid": _straight,
        "echo": _echo,
        "sashing": _sashing,
        "motif": _motif,
    }.get(layer.kind, _template)


def _template(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    chosen = np.flatnonzero(lines.layer == index)
    return Marking(
        index,
        lines.layers[index],
        Way.TEMPLATE,
        say("for lines that bend or turn"),
        templated=chosen,
    )


def _motif(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    """A template for what is not printed; the print itself is followed."""
    found = _template(runner, lines, index, layer)
    if not isinstance(layer, MotifLayer) or layer.offset != 0:
        return found
    on_print = np.isin(lines.source[found.templated], sorted(printed_sources(runner)))
    return replace(found, templated=found.templated[~on_print])


def _sashing(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    name = lines.layers[index]
    if isinstance(layer, SashingLayer) and layer.offset == 0:
        return Marking(index, name, Way.NONE, say("sew along the printed or sewn lines"))
    beside = InsetList((message("the printed line"),), (abs(float(getattr(layer, "offset", 0.0))),))
    return Marking(
        index, name, Way.RULER, say("at one distance from printed lines"), insets=(beside,)
    )


def _echo(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    if isinstance(layer, EchoLayer) and layer.direction == "inwards":
        chosen = lines.layer == index
        shapes: dict[str, BaseGeometry] = {"inside outline": runner.outline}
        shapes |= {f"inside {region.name}": region.shape for region in runner.regions}
        if set(lines.source[chosen].tolist()) <= shapes.keys():
            insets = inset_lists(lines.geometry[chosen], lines.source[chosen], shapes)
            if insets is not None:
                reason = say("measured in from the edge")
                return Marking(index, lines.layers[index], Way.RULER, reason, insets=insets)
    return _template(runner, lines, index, layer)


def _straight(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    chosen = np.flatnonzero(lines.layer == index)
    geometry, source = lines.geometry[chosen], lines.source[chosen]
    if not straight_only(geometry):
        return _template(runner, lines, index, layer)
    shapes = {patch.name: patch.shape for patch in patches(runner, layer.region)}
    lists, reached = ruler_lists(geometry, source, shapes)
    missed = chosen[~reached]
    if not lists:
        return _template(runner, lines, index, layer)
    most = max(each.most_on_an_edge for each in lists)
    way = Way.RULER if most <= MOST_BY_RULER else Way.TICKS
    reason = (
        say("straight lines, at most {most} marks along an edge", most=most)
        if way is Way.RULER
        else say(
            "straight lines, up to {most} marks along an edge: too many to measure one by one",
            most=most,
        )
    )
    return Marking(index, lines.layers[index], way, reason, lists, (), missed)


def inset_lists(
    geometry: NDArray[np.object_], source: NDArray[np.object_], shapes: dict[str, BaseGeometry]
) -> tuple[InsetList, ...] | None:
    """The lists for rings inside shapes with few straight sides; None where a ring is not even.

    A ring of the distance d is every point of the inside at d from the edge.
    """
    by_distances: dict[tuple[float, ...], tuple[str, ...]] = {}
    for place in dict.fromkeys(source.tolist()):
        edge = shapes[place].boundary
        if len(shapely.get_coordinates(edge.simplify(EVEN_MM))) > MOST_SIDES + 1:
            return None
        rings = geometry[source == place]
        distances = _even_distances(rings, edge)
        if distances is None:
            return None
        by_distances[distances] = (*by_distances.get(distances, ()), place)
    return tuple(InsetList(places, distances) for distances, places in by_distances.items())


def _even_distances(rings: NDArray[np.object_], edge: BaseGeometry) -> tuple[float, ...] | None:
    """The distinct distances of closed lines from the edge; None for one that is cut or strays."""
    if not bool(shapely.is_closed(rings).all()):
        return None
    points, index = shapely.get_coordinates(rings, return_index=True)
    away = shapely.distance(shapely.points(points), edge)
    start = np.searchsorted(index, np.arange(len(rings)))
    low, high = np.minimum.reduceat(away, start), np.maximum.reduceat(away, start)
    if (high - low > EVEN_MM).any():
        return None
    return tuple(distinct(np.round((low + high) / 2, 2)).tolist())
