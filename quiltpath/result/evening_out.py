"""Which spacing of which layer would let the piece lie even: looked for, then drawn and measured.

What a layer stitches in a place goes with one over its spacing. So its density is reckoned for
every step of spacing without drawing anything; only the most hopeful few are drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from quiltpath.checks.distortion import SEEN_MM, Distortion, QuiltedSheet
from quiltpath.checks.largest_empty_circle import leaves_wider_than
from quiltpath.checks.wadding import STEP_MM, respaced
from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Floats, Geometries
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines, draw
from quiltpath.patterns.kinds import fill_spacing
from quiltpath.patterns.layer import Layer
from quiltpath.project import Project
from quiltpath.schema import Spacing
from quiltpath.units import inch_fraction, millimetres

METRIC_STEP_MM = 2.0
MOST_DENSER = 1.1
"""No place may become denser than this times the densest: stiff all over is no way out."""
LEAST_MM, MOST_MM = 6.0, 102.0
"""Spacings that are offered: 1/4 in to 4 in."""
COARSE = 4
"""Every so many steps are looked at first, then those round the best of them."""
MOST_DRAWN = 2
EVEN_MM = 0.75 * SEEN_MM
"""Well within what is seen."""
ENOUGH_SHARE = 0.5
"""A change that does not halve it is not worth the drawing."""


@dataclass(frozen=True)
class EveningSpacing:
    """A change that evens it out.

    ``layer``    name of the layer
    ``line``     what to write in the project file
    ``left_mm``  what is left of the unevenness
    """

    layer: str
    line: str
    left_mm: float


@dataclass(frozen=True)
class _Try:
    index: int
    spacing_mm: float
    about: bool
    expected_mm: float
    change: float

    @property
    def rank(self) -> tuple[float, float]:
        """What nobody sees is even enough; then the smaller change comes first."""
        return max(self.expected_mm, EVEN_MM), self.change


def find_evening_spacing(
    project: Project,
    runner: Runner,
    lines: Lines,
    gap_mm: float | None,
    sheet: QuiltedSheet,
    now: Distortion,
) -> EveningSpacing | None:
    """The smallest change of one spacing that leaves no more than half of ``now``; else None.

    It leaves no gap wider than ``gap_mm``.
    """
    outline = runner.outline
    tries = sorted(_tries(project, lines, sheet), key=lambda one: one.rank)
    for one in tries[:MOST_DRAWN]:
        if one.expected_mm > ENOUGH_SHARE * now.worst_mm:
            break
        drawn = _drawn(project, runner, lines, one)
        if drawn is None or (gap_mm is not None and leaves_wider_than(gap_mm, drawn, outline)):
            continue
        left = sheet.lies(sheet.cells.m_per_m2(drawn)).worst_mm
        if left <= ENOUGH_SHARE * now.worst_mm:
            return EveningSpacing(lines.layers[one.index], _line(project, one), left)
    return None


def _tries(project: Project, lines: Lines, sheet: QuiltedSheet) -> Iterator[_Try]:
    """The steps of each layer that has a spacing, as they would come out."""
    step = METRIC_STEP_MM if _is_metric(project) else STEP_MM
    least, most = math.ceil(LEAST_MM / step), math.floor(MOST_MM / step)
    for index, layer in enumerate(project.quilting):
        if (spacing := _spacing_of(layer)) is None:
            continue
        own = sheet.cells.m_per_m2(lines.geometry[lines.layer == index])
        tried = partial(_try, index, own, spacing, sheet)
        coarse = [tried(number * step) for number in range(least, most + 1, COARSE)]
        yield from coarse
        best = round(min(coarse, key=lambda one: one.rank).spacing_mm / step)
        for number in range(max(best - COARSE + 1, least), min(best + COARSE, most + 1)):
            if number != best:
                yield tried(number * step)


def _spacing_of(layer: Layer) -> Spacing | None:
    """The spacing of a layer that fills, where one figure says all."""
    several = getattr(layer, "spacings", None) is not None
    return None if several else fill_spacing(layer)


def _try(index: int, own: Floats, spacing: Spacing, sheet: QuiltedSheet, mm: float) -> _Try:
    """A layer with ``own`` density at another spacing; denser than what is there is no way out."""
    density = np.maximum(sheet.m_per_m2 + own * (spacing.mm / mm - 1), 0.0)
    too_dense = density.max() > MOST_DENSER * sheet.m_per_m2.max()
    expected = math.inf if too_dense else sheet.lies(density).worst_mm
    return _Try(index, mm, spacing.about, expected, abs(math.log(spacing.mm / mm)))


def _is_metric(project: Project) -> bool:
    return project.units in ("mm", "cm")


def _drawn(project: Project, runner: Runner, lines: Lines, one: _Try) -> Geometries | None:
    """All lines with one layer respaced; None where that cannot be sewn."""
    layer = respaced(project.quilting[one.index], one.spacing_mm, one.about)
    try:
        own = draw(runner, [layer]).geometry
    except InputError:
        return None
    return np.concatenate([lines.geometry[lines.layer != one.index], own])


def _line(project: Project, one: _Try) -> str:
    """As the file writes it."""
    mm = one.spacing_mm
    written = millimetres(mm) if _is_metric(project) else inch_fraction(mm, 8)
    return f'spacing = "{"about " if one.about else ""}{written}"'
