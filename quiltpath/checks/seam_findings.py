"""Near misses of seams, layer by layer, with the figures that would meet or halve all of them."""

from __future__ import annotations

from collections.abc import Sequence

from quiltpath.checks.finding import Finding
from quiltpath.checks.seam_fit import SeamFit, seam_fit
from quiltpath.checks.seams import NEAR_MISS_MM, NearMiss, Seams, near_misses, seams_of
from quiltpath.project.layer_section import Layer
from quiltpath.project.quilting_sections import GridLayer, StraightLayer
from quiltpath.quilting.lines import Lines
from quiltpath.quilting.region import patches
from quiltpath.runner.runner import Runner
from quiltpath.units import millimetres


def seam_findings(runner: Runner, lines: Lines, layers: Sequence[Layer]) -> tuple[Finding, ...]:
    """One finding for each straight or grid layer that nearly meets seams."""
    seams = seams_of(runner)
    findings = []
    for index, layer in enumerate(layers):
        missed = near_misses(lines, [index], seams) if spaced(layer) else ()
        if missed:
            fit = fit_of(runner, layer, seams)
            findings.append(_finding(layer.name or layer.kind, missed, fit))
    return tuple(findings)


def spaced(layer: Layer) -> bool:
    """True for layers whose one spacing may be changed: straight lines and even grids."""
    if not isinstance(layer, StraightLayer | GridLayer) or layer.spacings:
        return False
    return isinstance(layer, StraightLayer) or not (layer.spacing_2 or layer.spacings_2)


def fit_of(runner: Runner, layer: Layer, seams: Seams) -> SeamFit | None:
    """The figures that suit the seams best, for a layer that :func:`spaced` allows."""
    if not isinstance(layer, StraightLayer | GridLayer):
        return None
    angles = layer.angles if isinstance(layer, GridLayer) else (layer.angle,)
    return seam_fit(patches(runner, layer.region), seams, layer.spacing.mm, angles)


def in_project_words(fit: SeamFit) -> str:
    """The fit as keys of the project file."""
    angles = ", ".join(f"{angle:.5g}" for angle in fit.angles_deg)
    key = f"angle = {angles}" if len(fit.angles_deg) == 1 else f"angles = [{angles}]"
    return f'spacing = "{fit.gap_mm:.2f} mm", anchor = "{fit.offset_mm:.2f} mm", {key}'


def _finding(name: str, missed: tuple[NearMiss, ...], fit: SeamFit | None) -> Finding:
    worst = min(missed, key=lambda miss: (miss.miss_mm, miss.at_mm))
    times = "once" if len(missed) == 1 else f"{len(missed)} times"
    what = "a crossing of seams" if worst.crossing else "a seam"
    message = (
        f"{name}: a line misses a seam or a crossing of seams by less than"
        f" {millimetres(NEAR_MISS_MM)} {times}, the closest by {worst.miss_mm:.1f} mm at {what}"
    )
    remedy = "change the spacing or the anchor; no spacing near this one suits all seams"
    if fit is not None and fit.good:
        remedy = f"{in_project_words(fit)} keeps within {fit.worst_mm:.1f} mm of meeting or halving"
    return Finding("seam-missed", message, remedy, worst.at_mm)
