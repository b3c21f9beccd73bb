"""Patterns and regions that a runner can have: what the page's lists offer."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

from quiltpath.errors import InputError
from quiltpath.project import PatternBook, Project
from quiltpath.project.layer_section import Layer
from quiltpath.project.loading import parse_content
from quiltpath.quilting.region import KIND_WORDS
from quiltpath.runner import Runner

PRINTED, MOTIFS, BLOCKS = "printed lines", "motifs", "blocks"


@dataclass(frozen=True)
class Needs:
    """What a runner must have for a pattern: in any case, and where no other region is named."""

    always: frozenset[str]
    regions: frozenset[str]


class Offers:
    """What there is to choose from for ``project`` on ``runner``."""

    def __init__(self, project: Project, runner: Runner, folder: Path) -> None:
        self._runner = runner
        self._needs = needs_of_patterns(folder, project.patterns_folder)

    @cached_property
    def regions(self) -> list[str]:
        """The words for regions that this runner has."""
        runner = self._runner
        parts = [word for word, kind in KIND_WORDS.items() if runner.of_kind(kind)]
        return ["runner", *parts, *(["motifs", "outside motifs"] if runner.motifs else [])]

    def patterns(self, has_region: bool) -> list[str]:
        """Names of patterns that can be drawn, in a region that the file names or in their own."""
        there = {*self.regions, *(region.name for region in self._runner.regions)}
        there |= {PRINTED} if self._runner.printed else set()
        return [
            name
            for name, needs in self._needs.items()
            if needs.always <= there and (has_region or needs.regions <= there)
        ]


@lru_cache(maxsize=8)
def needs_of_patterns(folder: Path, own: str | None) -> dict[str, Needs]:
    """The needs of each pattern, by name; one whose file is wrong is left out."""
    found = {}
    for name in PatternBook.beside(folder, own, "").names():
        content = {
            "runner": {"length": "1 m", "width": "1 m"},
            "quilting": [{"pattern": name}],
            **({} if own is None else {"patterns_folder": own}),
        }
        try:
            layers = parse_content(content, folder=folder).quilting
        except InputError:
            continue
        found[name] = Needs(
            frozenset().union(*map(_always, layers)), frozenset().union(*map(_regions, layers))
        )
    return found


def _always(layer: Any) -> frozenset[str]:
    around = getattr(layer, "around", "")
    if layer.kind == "motif" or around == MOTIFS:
        return frozenset({MOTIFS})
    if layer.kind == "sashing":
        return frozenset({PRINTED})
    return frozenset({BLOCKS}) if around == BLOCKS else frozenset()


def _regions(layer: Layer) -> frozenset[str]:
    return frozenset({layer.region} if isinstance(layer.region, str) else layer.region)
