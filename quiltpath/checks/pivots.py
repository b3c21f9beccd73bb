"""Turns of a crosshatch in one line must lie inside the trim line, or squaring up cuts them off."""

from __future__ import annotations

from collections.abc import Sequence

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


Place = tuple[float, float]


def turns_inside_mm(runner: Runner, lines: Lines, layer: int) -> tuple[float, Place]:
    """How far inside the finished edge the outermost turn of a layer's closed lines is, and where.

    Infinite where the layer has no closed line: what something has cut open is told elsewhere.
    """
    own = lines.geometry[(lines.layer == layer) & shapely.is_closed(lines.geometry)]
    points = shapely.get_coordinates(own)
    if not len(points):
        return float("inf"), (0.0, 0.0)
    inside = shapely.distance(shapely.points(points), runner.outline.boundary)
    first = int(np.argmin(inside))
    x, y = points[first].tolist()
    return float(inside[first]), (x, y)


def pivot_findings(runner: Runner, lines: Lines, layers: Sequence[Layer]) -> tuple[Finding, ...]:
    """One finding that says no for each crosshatch in one line that turns on the trim line."""
    found = []
    for index, layer in enumerate(layers):
        if not isinstance(layer, OneLineCrosshatchLayer):
            continue
        inside, at = turns_inside_mm(runner, lines, index)
        if inside < CLEAR_MM - 1e-6:
            found.append(_finding(layer.name or layer.kind, inside, at))
    return tuple(found)


def _finding(name: str, inside_mm: float, at: Place) -> Finding:
    where = "on the trim line" if inside_mm < 0.05 else f"{inside_mm:.1f} mm inside the trim line"
    return Finding(
        "turns-at-the-trim-line",
        f"{name}: the line turns {where}, where squaring up cuts it into many",
        f"give it an inset of {both_units(6.35)} or more",
        at,
        fails=True,
    )
