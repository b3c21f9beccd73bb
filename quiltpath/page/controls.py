"""What the page's controls stand at and what they offer: only what the model accepts.

Patterns and regions are offered where the runner has what they need.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

from quiltpath.checks.wadding import WADDING_KINDS
from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import KIND_WORDS, RegionKind, Runner, patches
from quiltpath.marking.paper_sizes import PAPERS_MM
from quiltpath.page.motif_rooms import motifs_of
from quiltpath.patterns.book import PatternBook
from quiltpath.patterns.kind import PRINTED
from quiltpath.patterns.kinds import KINDS
from quiltpath.patterns.layer import LEAST_MM, Layer, RepertoireLayer
from quiltpath.project import Project
from quiltpath.project.loading import parse_content
from quiltpath.runner.layer_names import layer_words
from quiltpath.schema import Spacing, toml_content

Part = dict[str, Any]

SPACING_MM = (4.0, 205.0)
"""Closer is darning, wider holds no wadding: common practice."""
CLOSE_MM = 10.0
"""What lies closer by its pattern is known by that: matchstick quilting (common practice)."""
CLEARANCE_MM = (0.0, 50.8)
SHARE_AT_ONCE = 5.0
"""A fifth of the largest region that a free curve may fill is drawn in some seconds."""
STITCH_MM = (2.0, 4.5)
ANGLES = (-90, 90)
"""degrees; lines half a turn apart are the same lines"""


def control_values(project: Project, runner: Runner, folder: Path, text: str) -> Part:
    """What the controls stand at for the project in ``text``, whose file lies in ``folder``."""
    offers = Offers(project, runner, folder)
    return {
        "title": project.title,
        "entries": entries(project, text, offers),
        "regions": offers.regions,
        "motifs": motifs_of(project, runner),
        "grid": _block_edges(runner),
        "stitch": _range(project.stitch.length, *STITCH_MM),
        "units": project.units or "mm",
        "patterns": offers.patterns(has_region=False),
        "titles": offers.titles,
        "wadding": {
            "at": project.wadding.kind or "",
            "names": [kind.name for kind in WADDING_KINDS],
        },
        "paper": {"at": _paper_words(project), "names": list(PAPERS_MM)},
    }


def _paper_words(project: Project) -> str:
    size = project.paper.size
    return size if isinstance(size, str) and project.paper.roll is None else "its own size"


def entries(project: Project, text: str, offers: Offers) -> list[Part]:
    """Each [[quilting]] entry with what can be changed in it."""
    layers, written = _layers_of_entries(project), toml_content(text, "").get("quilting", [])
    names = named_entries(project, text, offers.titles)
    return [
        {
            "entry": number,
            "name": name,
            **_written(written[number], offers),
            **_entry(layers[number], offers),
        }
        for number, (_, name) in zip(sorted(layers), names, strict=True)
    ]


def named_entries(project: Project, text: str, titles: Mapping[str, str]) -> list[tuple[str, str]]:
    """The kind of each entry's first layer, and what a person reads of the entry."""
    layers, written = _layers_of_entries(project), toml_content(text, "").get("quilting", [])
    return [
        (layers[number][0].kind, _called(layers[number], written[number], titles))
        for number in sorted(layers)
    ]


def _layers_of_entries(project: Project) -> dict[int, list[Layer]]:
    layers: dict[int, list[Layer]] = {}
    for layer, number in zip(project.quilting, project.entry_of_layer, strict=True):
        layers.setdefault(number, []).append(layer)
    return layers


def _called(layers: Sequence[Layer], table: Mapping[str, Any], titles: Mapping[str, str]) -> str:
    """What a person reads of an entry: its name, the title of its pattern, else what it draws."""
    if len(layers) > 1:  # a pattern of several layers, each with a number behind its title
        pattern = str(table.get("pattern", ""))
        return str(table.get("name", titles.get(pattern, pattern)))
    return layer_words(layers[0].name or layers[0].kind)


def _written(table: dict[str, Any], offers: Offers) -> Part:
    """The pattern that the file names, empty for a layer told by its kind, what it may name, and
    which of its figures the file gives."""
    return {
        "pattern": str(table.get("pattern", "")),
        "patterns": offers.patterns("region" in table),
        "given": [key for key in ("spacing", "angle") if key in table],
    }


def _entry(layers: list[Layer], offers: Offers) -> Part:
    """By its first layer; limits are those of all layers that a pattern has."""
    layer: Any = layers[0]
    region = layer.region if isinstance(layer.region, str) else ", ".join(layer.region)
    entry: Part = {"kind": layer.kind, "draws": layer_words(layer.kind), "region": region}
    if KINDS[layer.kind].keeps_clear:
        entry["clearance"] = _range(layer.clearance or 0.0, *CLEARANCE_MM)
    return {**entry, **_amount(layers, offers), **_directions(layers)}


def _range(at: float, low: float, high: float) -> Part:
    """Where a control stands and how far it goes; a file may go beyond what is usual."""
    return {"at": at, "low": min(low, at), "high": max(high, at)}


def _amount(layers: list[Layer], offers: Offers) -> Part:
    """How close the lines lie, where one figure says so."""
    layer: Any = layers[0]
    key = layer.amount_key
    amount = getattr(layer, key, None)
    if amount is None or getattr(layer, "spacings", None):
        return {}
    mm, about = (amount.mm, amount.about) if isinstance(amount, Spacing) else (amount, False)
    least = max(SPACING_MM[0], *(_least_mm(each, key) for each in layers), offers.finest_mm(layers))
    return {"spacing": {"key": key, "about": about, **_range(mm, least, SPACING_MM[1])}}


def _least_mm(layer: Layer, key: str) -> float:
    """What the model asks of a figure that is to be sewn; 0 where it asks nothing."""
    of_a_figure = isinstance(layer, RepertoireLayer) and isinstance(
        getattr(layer, key, None), Spacing
    )
    return LEAST_MM.get(key, 0.0) if of_a_figure else 0.0


def _directions(layers: list[Layer]) -> Part:
    layer: Any = layers[0]
    found: Part = {}
    if hasattr(layer, "angle"):
        found["angle"] = _range(layer.angle, *_whole_degrees(layers))
    if hasattr(layer, "angles"):
        found["angles"] = [_range(angle, *ANGLES) for angle in layer.angles]
    return found


def _whole_degrees(layers: list[Layer]) -> tuple[int, int]:
    """The least and the most that the models of all layers take under ``angle``."""
    fields = [type(layer).model_fields.get("angle") for layer in layers]
    bounds = [bound for field in fields if field for bound in field.metadata]
    lows = [math.ceil(b.ge) for b in bounds if hasattr(b, "ge")]
    lows += [math.floor(b.gt) + 1 for b in bounds if hasattr(b, "gt")]
    highs = [math.floor(b.le) for b in bounds if hasattr(b, "le")]
    highs += [math.ceil(b.lt) - 1 for b in bounds if hasattr(b, "lt")]
    return max([ANGLES[0], *lows]), min([ANGLES[1], *highs])


def _block_edges(runner: Runner) -> dict[str, list[float]]:
    """Where the blocks start and end along and across, as a measured grid would say it."""
    boxes = [r.shape.bounds for r in runner.regions if r.kind is RegionKind.BLOCK]
    return {
        "along": sorted({round(box[side], 2) for box in boxes for side in (0, 2)}),
        "across": sorted({round(box[side], 2) for box in boxes for side in (1, 3)}),
    }


@dataclass(frozen=True)
class Needs:
    """What a runner must have for a pattern: in any case, and where no other region is named;
    and the layers that it then has; and its title."""

    always: frozenset[str]
    regions: frozenset[str]
    layers: tuple[Layer, ...]
    title: str = ""

    @property
    def all(self) -> frozenset[str]:
        """Both together, but for the runner itself."""
        return (self.always | self.regions) - {"runner"}

    @property
    def one_path(self) -> bool:
        """Whether it can be sewn as one line."""
        return all(KINDS[layer.kind].one_path for layer in self.layers)


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

    @cached_property
    def titles(self) -> dict[str, str]:
        """What each pattern is called, by the name that a file has for it."""
        return {name: needs.title or name for name, needs in self._needs.items()}

    def finest_mm(self, layers: list[Layer]) -> float:
        """The closest spacing that is drawn while a slider waits; 0 for what is drawn at once."""
        return max(
            math.sqrt(
                SHARE_AT_ONCE
                * sum(patch.shape.area for patch in patches(self._runner, layer.region))
                / KINDS[layer.kind].most_spacings
            )
            for layer in layers
        )

    def patterns(self, has_region: bool) -> list[str]:
        """Names of patterns that can be drawn, in a region that the file names or in their own."""
        there = {*self.regions, *(region.name for region in self._runner.regions)}
        there |= {PRINTED} if self._runner.printed else set()
        return [
            name
            for name, needs in self._needs.items()
            if needs.always <= there and (has_region or needs.regions <= there)
        ]


def taken_over(needs: Needs, known: Mapping[str, Any]) -> Part:
    """What a pattern takes over of the spacing and the angle that a person has given the one before
    it: a spacing that it can be drawn at, and an angle where it names none of its own. Matchsticks
    and the like are as close as they are."""
    layer: Any = needs.layers[0]
    taken = {}
    spacing = known.get("spacing")
    mm = spacing.get("mm") if isinstance(spacing, Mapping) else None
    if layer.amount_key == "spacing" and isinstance(mm, int | float):
        least = max(SPACING_MM[0], *(_least_mm(each, "spacing") for each in needs.layers))
        own = getattr(layer, "spacing", None)
        if own is not None and own.mm >= CLOSE_MM and mm >= least:
            taken["spacing"] = spacing
    if "angle" in known and hasattr(layer, "angle") and "angle" not in layer.model_fields_set:
        taken["angle"] = known["angle"]
    return taken


@lru_cache(maxsize=8)
def needs_of_patterns(folder: Path, own: str | None) -> dict[str, Needs]:
    """The needs of each pattern, by name; one whose file is wrong is left out."""
    found = {}
    book = PatternBook.beside(folder, own, "")
    for name in book.names():
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
            frozenset().union(*map(_needed, layers)),
            frozenset().union(*map(_regions, layers)),
            tuple(layers),
            book.find(name).title,
        )
    return found


def _needed(layer: Layer) -> frozenset[str]:
    needs = KINDS[layer.kind].needs
    word = needs(layer) if needs is not None else None
    return frozenset({word} if word else ())


def _regions(layer: Layer) -> frozenset[str]:
    return frozenset({layer.region} if isinstance(layer.region, str) else layer.region)
