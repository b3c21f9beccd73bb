"""What would close a gap: the layer to draw closer, and the widest spacing of it that passes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.checks import spacing_remedy, widest_passing_spacing
from quiltpath.errors import InputError
from quiltpath.make.variants import is_fill
from quiltpath.project import Project
from quiltpath.project.fields import Spacing
from quiltpath.project.layer_section import Layer
from quiltpath.quilting import Lines, draw
from quiltpath.runner import Runner


def gap_remedy(project: Project, runner: Runner, lines: Lines, limit_mm: float) -> str:
    """In words: of the fill layers with a spacing, the one that may stay widest, and how wide."""
    spaced = [
        index
        for index, layer in enumerate(project.quilting)
        if is_fill(layer) and isinstance(getattr(layer, "spacing", None), Spacing)
    ]
    if not spaced:
        return "add a layer of quilting that reaches there"
    passing = {index: _passing(project, runner, lines, index, limit_mm) for index in spaced}
    best = max(spaced, key=lambda index: passing[index] or 0.0)
    return spacing_remedy(f"{lines.layers[best]!r}", passing[best])


def _passing(
    project: Project, runner: Runner, lines: Lines, index: int, limit_mm: float
) -> float | None:
    layer = project.quilting[index]
    spacing: Spacing = layer.spacing  # type: ignore[attr-defined]
    others = lines.geometry[lines.layer != index]

    def drawn(spacing_mm: float) -> NDArray[np.object_]:
        return draw(runner, [_respaced(layer, spacing_mm, spacing.about)]).geometry

    try:
        return widest_passing_spacing(drawn, others, runner.outline, limit_mm, spacing.mm)
    except InputError:  # so close that nobody would sew it
        return None


def _respaced(layer: Layer, spacing_mm: float, about: bool) -> Layer:
    return layer.model_copy(update={"spacing": Spacing(mm=spacing_mm, about=about)})
