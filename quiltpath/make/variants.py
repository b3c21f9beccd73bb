"""Designs to compare: the project with its spacing, its pattern or its stitch length changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pydantic import ValidationError

from quiltpath.errors import InputError
from quiltpath.make.sizes import sized
from quiltpath.project import PatternBook, Project
from quiltpath.project.fields import Spacing
from quiltpath.project.layer_section import Layer
from quiltpath.project.patterns import shipped_folder
from quiltpath.project.quilting_sections import LAYER_KINDS
from quiltpath.units import parse_length

MOST_VARIANTS = 12
"""More would not be compared by eye."""


@dataclass(frozen=True)
class Variant:
    """A project under the name of what was changed in it; ``spacing_mm`` where that is it."""

    label: str
    project: Project
    spacing_mm: float | None = None


def variants(
    project: Project,
    spacings: Sequence[str],
    patterns: Sequence[str],
    stitches: Sequence[str],
    sizes: Sequence[str] = (),
) -> tuple[Variant, ...]:
    """One variant for each wish, in the order given; raises :class:`InputError` for a bad one."""
    made = [
        *_each(spacings, "--spacing", lambda text: respaced(project, text)),
        *_each(patterns, "--pattern", lambda name: _patterned(project, name)),
        *_each(stitches, "--stitch", lambda text: _restitched(project, text)),
        *_each(sizes, "--size", lambda text: Variant(*sized(project, text))),
    ]
    if not 1 <= len(made) <= MOST_VARIANTS:
        raise InputError(
            "compare", "", f"{len(made)} designs were named", f"name 1 to {MOST_VARIANTS} of them"
        )
    return tuple(made)


def _each(wishes: Sequence[str], option: str, variant: Callable[[str], Variant]) -> list[Variant]:
    made = []
    for wish in wishes:
        try:
            made.append(variant(wish.strip()))
        except ValueError as error:
            raise InputError(
                "compare", option, str(error), 'write it as "1 in" or "32 mm"'
            ) from None
    return made


def is_fill(layer: Layer) -> bool:
    """True for layers whose lines fill the runner: what a comparison changes."""
    usual = layer.kind not in ("sashing", "motif")
    return layer.role == "fill" if layer.role else usual


def _length(text: str, project: Project) -> float:
    mm = parse_length(text.removeprefix("about "), project.units)
    if mm <= 0:
        raise ValueError(f"{text!r} is not above 0")
    return mm


def respaced(project: Project, text: str) -> Variant:
    """Every fill layer at this spacing; ``"about 1 in"`` lets it divide evenly."""
    spacing = Spacing(mm=_length(text, project), about=text.startswith("about "))
    may_change = [is_fill(layer) and hasattr(layer, "spacing") for layer in project.quilting]
    layers = tuple(
        layer.model_copy(update={"spacing": spacing}) if may else layer
        for layer, may in zip(project.quilting, may_change, strict=True)
    )
    if not any(may_change):
        raise InputError(
            project.file_name, "quilting", "no fill layer has a spacing to change", "add one"
        )
    return Variant(text, project.replaced(quilting=layers), spacing.mm)


def _patterned(project: Project, name: str) -> Variant:
    """The fill layers replaced by a named pattern, in the region they had."""
    kept = tuple(layer for layer in project.quilting if not is_fill(layer))
    replaced = [layer for layer in project.quilting if is_fill(layer)]
    book = PatternBook((shipped_folder(),))
    changes = {"region": replaced[0].region} if replaced else {}
    drawn = tuple(_layer(table, name) for table in book.layers(name, changes))
    return Variant(name, project.replaced(quilting=(*kept, *drawn)))


def _layer(table: dict[str, object], name: str) -> Layer:
    model = LAYER_KINDS[str(table["kind"])]
    known = {key: value for key, value in table.items() if key in model.model_fields}
    try:
        return model.model_validate(known, context={"units": None})
    except ValidationError as error:
        raise InputError(name, "", str(error.errors()[0]["msg"]), "mend the pattern") from None


def _restitched(project: Project, text: str) -> Variant:
    """The set stitch length changed; its bounds give way where they must."""
    mm, stitch = _length(text, project), project.stitch
    bounds = {"shortest": min(stitch.shortest, mm), "longest": max(stitch.longest, mm)}
    changed = stitch.model_copy(update={"length": mm, **bounds})
    return Variant(f"{text} stitches", project.replaced(stitch=changed))
