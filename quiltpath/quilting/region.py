"""Where a layer goes: words such as ``"blocks"`` or ``"B2"`` as shapes on the runner."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.runner.runner import RegionKind, Runner

KIND_WORDS = {
    "blocks": RegionKind.BLOCK,
    "sashing": RegionKind.SASHING,
    "outer sashing": RegionKind.OUTER_SASHING,
    "border": RegionKind.BORDER,
    "cornerstones": RegionKind.CORNERSTONE,
}


@dataclass(frozen=True)
class Patch:
    """One shape that a layer fills by itself, in mm, with its name."""

    name: str
    shape: BaseGeometry


def patches(runner: Runner, region: str | tuple[str, ...]) -> tuple[Patch, ...]:
    """The shapes that ``region`` names, in the order of the runner; each shape once.

    Raises :class:`InputError` with the nearest names where one is unknown.
    """
    words = (region,) if isinstance(region, str) else region
    found: dict[str, Patch] = {}
    for word in words:
        for patch in _named(runner, word.strip()):
            found.setdefault(patch.name, patch)
    return tuple(found.values())


def area_of(found: tuple[Patch, ...]) -> BaseGeometry:
    """The patches as one shape."""
    if len(found) == 1:
        return found[0].shape
    return shapely.union_all([patch.shape for patch in found])


def _named(runner: Runner, word: str) -> list[Patch]:
    if word == "runner":
        return [Patch(word, runner.outline)]
    if word == "outside motifs":
        motifs = shapely.union_all([motif.shape for motif in runner.motifs])
        return [Patch(word, shapely.difference(runner.outline, motifs))]
    if word in KIND_WORDS:
        return _of_kind(runner, word)
    return _by_name(runner, word)


def _of_kind(runner: Runner, word: str) -> list[Patch]:
    regions = runner.of_kind(KIND_WORDS[word])
    if not regions:
        raise InputError("", "region", f"this runner has no {word}", "add it to [grid]")
    return [Patch(region.name, region.shape) for region in regions]


def _by_name(runner: Runner, word: str) -> list[Patch]:
    """A block, strip or cornerstone by its name, or every motif of a name."""
    named = [Patch(r.name, r.shape) for r in runner.regions if r.name.lower() == word.lower()]
    if named:
        return named
    inside = [
        Patch(f"{motif.name} in {motif.place}", motif.shape)
        for motif in runner.motifs
        if word in ("motifs", motif.name)
    ]
    if not inside:
        raise _unknown(runner, word)
    return inside


def _unknown(runner: Runner, word: str) -> InputError:
    names = [region.name for region in runner.regions]
    names += ["runner", "outside motifs", "motifs", *KIND_WORDS]
    names += sorted({motif.name for motif in runner.motifs})
    return InputError("", "region", f"there is no region {word!r}", near_names(word, names))


def near_names(word: str, names: list[str]) -> str:
    """A remedy that offers the names that come nearest."""
    by_lower = {name.lower(): name for name in reversed(names)}
    close = difflib.get_close_matches(word.lower(), list(by_lower), n=3, cutoff=0.5)
    if close:
        return f"did you mean {' or '.join(by_lower[name] for name in close)}?"
    return f"use one of {', '.join(names[:8])}"
