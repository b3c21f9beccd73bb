"""How each layer is marked: by ruler list, by tick strips or by a full-size template."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.output.paper.insets import InsetList, inset_lists
from quiltpath.output.paper.ruler import RulerList, ruler_lists, straight_only
from quiltpath.project.layer_section import Layer
from quiltpath.project.quilting_sections import EchoLayer, SashingLayer
from quiltpath.quilting.lines import Lines
from quiltpath.quilting.region import patches
from quiltpath.runner.runner import Runner

MOST_BY_RULER = 20
"""Marks on one edge that a person still measures off without a slip; more are printed as ticks."""


class Way(Enum):
    """A way to bring lines on to cloth."""

    RULER = "ruler"
    TICKS = "ticks"
    TEMPLATE = "template"
    NONE = "none"


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


def unmarked(layer: Layer) -> str | None:
    """Why a layer needs no marks on the cloth, or None where it does."""
    if layer.marking == "none":
        return "as the project asks"
    if layer.marking == "auto" and isinstance(layer, SashingLayer) and layer.offset == 0:
        return "it follows printed or sewn lines"
    return None


def _marking(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    name = lines.layers[index]
    chosen = np.flatnonzero(lines.layer == index)
    if reason := unmarked(layer):
        return Marking(index, name, Way.NONE, reason)
    if layer.marking == "template":
        return Marking(index, name, Way.TEMPLATE, "as the project asks", templated=chosen)
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
        index, name, Way(layer.marking), "as the project asks", found.lists, (), found.templated
    )


Choose = Callable[[Runner, Lines, int, Layer], Marking]


def _by_kind(layer: Layer) -> Choose:
    return {
        "straight": _straight,
        "grid": _straight,
        "echo": _echo,
        "sashing": _sashing,
    }.get(layer.kind, _template)


def _template(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    chosen = np.flatnonzero(lines.layer == index)
    return Marking(
        index, lines.layers[index], Way.TEMPLATE, "its lines bend or turn", templated=chosen
    )


def _sashing(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    name = lines.layers[index]
    if isinstance(layer, SashingLayer) and layer.offset == 0:
        return Marking(index, name, Way.NONE, "it follows printed or sewn lines")
    beside = InsetList(("the printed line",), (abs(float(getattr(layer, "offset", 0.0))),))
    return Marking(index, name, Way.RULER, "at one distance from printed lines", insets=(beside,))


def _echo(runner: Runner, lines: Lines, index: int, layer: Layer) -> Marking:
    if isinstance(layer, EchoLayer) and layer.direction == "inwards":
        chosen = lines.layer == index
        shapes: dict[str, BaseGeometry] = {"inside outline": runner.outline}
        shapes |= {f"inside {region.name}": region.shape for region in runner.regions}
        if set(lines.source[chosen].tolist()) <= shapes.keys():
            insets = inset_lists(lines.geometry[chosen], lines.source[chosen], shapes)
            if insets is not None:
                reason = "its rings keep one distance from an edge"
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
        f"straight, {most} marks on an edge"
        if way is Way.RULER
        else f"straight, but {most} marks on an edge"
    )
    return Marking(index, lines.layers[index], way, reason, lists, (), missed)
