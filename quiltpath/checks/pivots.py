"""Turns of a crosshatch in one line must lie inside the trim line, or squaring up cuts them off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from quiltpath.checks.finding import Finding
from quiltpath.project.layer_section import Layer
from quiltpath.project.repertoire_sections import OneLineCrosshatchLayer
from quiltpath.quilting.lines import Lines
from quiltpath.runner.runner import Runner
from quiltpath.units import both_units

CLEAR_MM = 3.0
"""A ruler laid on by eye may trim so far inside the edge that was meant (common practice)."""


@dataclass(frozen=True)
class OutermostTurn:
    """How far inside the finished edge the outermost turn of a layer's closed lines is, where."""

    inside_mm: float
    at_mm: tuple[float, float]


def outermost_turn(runner: Runner, lines: Lines, layer: int) -> OutermostTurn | None:
    """The turn nearest the edge, of the lines of the layer with that index.

    None where the layer has no closed line: what something has cut open is told elsewhere.
    """
    own = lines.geometry[(lines.layer == layer) & shapely.is_closed(lines.geometry)]
    if not len(own):
        return None
    points = shapely.get_coordinates(own)
    inside = shapely.distance(shapely.points(points), runner.outline.boundary)
    first = int(np.argmin(inside))
    x, y = points[first].tolist()
    return OutermostTurn(float(inside[first]), (x, y))


def pivot_findings(runner: Runner, lines: Lines, layers: Sequence[Layer]) -> tuple[Finding, ...]:
    """One finding that says no for each crosshatch in one line that turns on the trim line."""
    found = []
    for index, layer in enumerate(layers):
        if isinstance(layer, OneLineCrosshatchLayer):
            turn = outermost_turn(runner, lines, index)
            if turn is not None and turn.inside_mm < CLEAR_MM - 1e-6:
                found.append(_finding(layer.name or layer.kind, turn))
    return tuple(found)


def _finding(name: str, turn: OutermostTurn) -> Finding:
    inside = f"{turn.inside_mm:.1f}"
    where = "on the trim line" if inside == "0.0" else f"{inside} mm inside the trim line"
    return Finding(
        "turns-at-the-trim-line",
        f"{name}: the line turns {where}, where squaring up cuts it into many",
        f"give it an inset of {both_units(6.35)} or more",
        turn.at_mm,
        fails=True,
    )
