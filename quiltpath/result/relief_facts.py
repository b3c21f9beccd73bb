"""How the quilted cloth stands up between its lines: its height, and the figures of that."""

from __future__ import annotations

from dataclasses import dataclass

from quiltpath.checks.puff import (
    HeightField,
    Loft,
    SwatchPuff,
    fit_loft,
    loft_of,
    membrane,
    raise_by_loft,
)
from quiltpath.checks.puff_figures import Puff, Stiffness, puff, stiffness
from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.stitching import Stitches


@dataclass(frozen=True)
class ReliefFacts:
    """The cloth as it will stand.

    ``loft``       how the wadding stands up: the usual of its kind, or the user's own swatches
    ``field``      height of the whole cloth
    ``puff``       how high its puffs are
    ``stiffness``  how it handles
    ``thread_mm``  (n, 2) needle holes in sewing order, a row of NaN where no stitch leads on
    """

    loft: Loft
    field: HeightField
    puff: Puff
    stiffness: Stiffness
    thread_mm: Floats


def relief_facts(project: Project, runner: Runner, lines: Lines, stitches: Stitches) -> ReliefFacts:
    """Height and figures of the cloth held down along ``lines``."""
    loft = loft_for(project)
    cloth = membrane(lines.geometry, runner.outline)
    field = raise_by_loft(cloth, loft)
    return ReliefFacts(
        loft,
        field,
        puff(field, lines.geometry, runner.outline, loft, cloth.links),
        stiffness(lines.geometry, runner.outline),
        stitches.sewn_paths,
    )


def loft_for(project: Project) -> Loft:
    """The loft that the project's swatches were measured to have, else that of its wadding."""
    measured = [
        SwatchPuff(swatch.spacing, swatch.puff, swatch.crossed)
        for swatch in project.swatch
        if swatch.puff is not None and swatch.spacing is not None
    ]
    usual = loft_of(project.wadding.kind)
    return fit_loft(usual, measured) if measured else usual
