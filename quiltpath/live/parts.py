"""What the page is handed at each step of a computing, soonest first."""

from __future__ import annotations

from functools import singledispatch
from typing import Any

from quiltpath.estimate.bobbin_changes import bobbin_changes
from quiltpath.make.compute import Drawn, Sewn, thread_setting
from quiltpath.output.page import payload
from quiltpath.output.page.page import drawn_figures, gap_figures, sewn_figures
from quiltpath.project import PatternBook, Project
from quiltpath.project.fields import Spacing
from quiltpath.quilting.draw import KINDS
from quiltpath.result import Result
from quiltpath.runner import RegionKind, Runner

Part = dict[str, Any]

REGIONS = ("runner", "blocks", "sashing", "outer sashing", "border", "cornerstones")


@singledispatch
def part(step: Drawn | Sewn | Result) -> Part:
    """``data`` for the picture, ``figures`` to stand beside it, and what else is known by then."""
    raise TypeError(step)


@part.register
def _(step: Drawn) -> Part:
    data = {
        **payload.cloth(step.runner),
        "layers": payload.layers(step.lines),
        "stitches": payload.drawn_points(step.lines),
        "gaps": [],
    }
    return {
        "data": data,
        "figures": drawn_figures(step.runner, step.lines),
        **standing(step.project, step.runner),
    }


@part.register
def _(step: Sewn) -> Part:
    lines, stitches = step.drawn.lines, step.stitches
    changes = bobbin_changes(stitches, thread_setting(step.drawn.project)).tolist()
    data = {
        "stitches": payload.sewn_points(stitches, lines, changes),
        "time": payload.timing(step.drawn.project, step.time),
    }
    return {"data": data, "figures": sewn_figures(step.runs, stitches, step.thread, step.time)}


@part.register
def _(step: Result) -> Part:
    return {
        "data": {"gaps": payload.gap_circles(step.gaps)},
        "figures": gap_figures(step.gaps, step.gap_limit_mm),
        "warnings": [finding.text for finding in step.findings],
    }


def standing(project: Project, runner: Runner) -> Part:
    """What the controls stand at."""
    return {
        "entries": entries(project),
        "motifs": _motifs(project, runner),
        "grid": _block_edges(runner),
        "stitch_mm": project.stitch.length,
        "units": project.units or "mm",
    }


def choices() -> Part:
    """What there is to choose from."""
    return {"patterns": PatternBook.beside(None, None, "").names(), "regions": list(REGIONS)}


def entries(project: Project) -> list[Part]:
    """Each [[quilting]] entry with what can be changed in it, by its first layer."""
    found: dict[int, Part] = {}
    for layer, number in zip(project.quilting, project.entry_of_layer, strict=True):
        if number not in found:
            found[number] = _entry(layer, number)
    return [found[number] for number in sorted(found)]


def _entry(layer: Any, number: int) -> Part:
    region = layer.region if isinstance(layer.region, str) else ", ".join(layer.region)
    entry: Part = {
        "entry": number,
        "name": layer.name or layer.kind,
        "kind": layer.kind,
        "region": region,
    }
    if KINDS[layer.kind].keeps_clear:
        entry["clearance"] = layer.clearance or 0.0
    key = getattr(layer, "amount_key", "spacing")
    amount = getattr(layer, key, None)
    if isinstance(amount, Spacing):
        entry["spacing"] = {"key": key, "mm": amount.mm, "about": amount.about}
    elif isinstance(amount, float):
        entry["spacing"] = {"key": key, "mm": amount, "about": False}
    if hasattr(layer, "angle"):
        entry["angle"] = layer.angle
    if hasattr(layer, "angles"):
        entry["angles"] = list(layer.angles)
    return entry


def _motifs(project: Project, runner: Runner) -> list[Part]:
    """Motifs that can be moved: each where it lies, with the words that say so in the file."""
    middles = {(motif.name, motif.place): _middle(motif.shape.bounds) for motif in runner.motifs}
    found: list[Part] = []
    for number, motif in enumerate(project.motif):
        common = {"entry": number, "name": motif.name, "size": motif.size}
        named = motif.blocks if isinstance(motif.blocks, tuple) else ()
        found += [
            {**common, "place": name, "at": middles[motif.name, name]}
            for name in named
            if (motif.name, name) in middles
        ]
        found += [{**common, "place": place, "at": at} for place, at in enumerate(motif.at)]
    return found


def _middle(bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = bounds
    return round((low_x + high_x) / 2, 2), round((low_y + high_y) / 2, 2)


def _block_edges(runner: Runner) -> dict[str, list[float]]:
    """Where the blocks start and end along and across, as a measured grid would say it."""
    boxes = [r.shape.bounds for r in runner.regions if r.kind is RegionKind.BLOCK]
    return {
        "along": sorted({round(box[side], 2) for box in boxes for side in (0, 2)}),
        "across": sorted({round(box[side], 2) for box in boxes for side in (1, 3)}),
    }
