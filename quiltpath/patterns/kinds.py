"""All kinds of layer: gathered from the modules that hold their keys and their drawing."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Any, Protocol

from pydantic import BeforeValidator

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import message
from quiltpath.patterns import (
    bands_along_strips,
    border_runs,
    bundles,
    chevron,
    circles,
    echo,
    field_lines,
    loop_meander,
    meander,
    medallions,
    one_line,
    own_drawing,
    pebbles,
    printed_lines,
    rows,
    scrolls,
    shape_spiral,
    shells,
    squares,
    stipple,
    straight,
    wood_grain,
)
from quiltpath.patterns.kind import Kind
from quiltpath.patterns.layer import Layer
from quiltpath.patterns.lines import LineRole
from quiltpath.patterns.printed_lines import MotifLayer, all_printed
from quiltpath.schema import Spacing, fault


class KindModule(Protocol):
    """A module with the rows of one kind, or of a family of two or three."""

    @property
    def KINDS(self) -> tuple[Kind, ...]:
        """The rows, in the order in which they are listed."""


MODULES: tuple[KindModule, ...] = (
    straight,
    chevron,
    echo,
    printed_lines,
    rows,
    wood_grain,
    meander,
    shells,
    scrolls,
    circles,
    squares,
    bundles,
    medallions,
    one_line,
    bands_along_strips,
    stipple,
    loop_meander,
    field_lines,
    shape_spiral,
    border_runs,
    pebbles,
    own_drawing,
)
"""A new kind is a module with ``KINDS`` in it, and its name here."""


def registry(modules: Iterable[KindModule]) -> dict[str, Kind]:
    """The kinds by their words, in order; raises ``TypeError`` for a word that two would share."""
    found: dict[str, Kind] = {}
    for kind in (kind for module in modules for kind in module.KINDS):
        if kind.word in found:
            names = f"{found[kind.word].model.__name__} and {kind.model.__name__}"
            raise TypeError(f"{names} are both called {kind.word!r}: give one of them another word")
        found[kind.word] = kind
    return found


KINDS = registry(MODULES)


def _by_kind(value: Any, info: Any) -> Layer:
    if isinstance(value, Layer):
        return value
    if not isinstance(value, dict):
        raise fault("a layer is a table", 'begin it with [[quilting]] and kind = "straight"')
    if "kind" not in value:
        raise fault("the layer has neither kind nor pattern", "give one: see 'quiltpath patterns'")
    if not isinstance(value["kind"], str) or value["kind"] not in KINDS:
        raise fault(f"there is no kind {value['kind']!r}", f"use {', '.join(KINDS)}")
    return KINDS[value["kind"]].model.model_validate(value, context=info.context)


AnyLayer = Annotated[Layer, BeforeValidator(_by_kind)]
"""A layer of whatever kind its table names."""


def is_fill(layer: Layer) -> bool:
    """True for layers whose lines fill the runner: what a comparison changes."""
    return layer.role == "fill" if layer.role else KINDS[layer.kind].role is LineRole.FILL


def fill_spacing(layer: Layer) -> Spacing | None:
    """The distance between the lines of a layer that fills; None where it has no such figure."""
    return getattr(layer, "spacing", None) if is_fill(layer) else None


def reason_for_no_marks(layer: Layer, runner: Runner) -> str | None:
    """Why a layer needs no marks on the cloth, or None where it does."""
    if layer.marking == "none":
        return message("as the project asks")
    if isinstance(layer, MotifLayer) and layer.marking == "auto" and all_printed(runner, layer):
        return message("sew along the print")
    reason = KINDS[layer.kind].unmarked
    return reason(layer) if reason is not None and layer.marking == "auto" else None
