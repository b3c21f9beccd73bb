"""How the quilted piece will lie before it is squared up, and what would even it out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import shapely

from quiltpath.checks.distortion import SEEN_MM, TOLD_MM, Distortion, QuiltedSheet
from quiltpath.checks.distortion_words import distortion_words
from quiltpath.findings import Finding
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import say
from quiltpath.materials import CuttingPlan
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.result.evening_out import EveningSpacing, find_evening_spacing
from quiltpath.runner.places import place_on
from quiltpath.units import Measures, both_units

HOW = (
    "plane stress by finite elements, each place shrinking by what its own density of stitching,"
    " smoothed over 4 in, would draw up"
)
TRUST = (
    "an estimate: which way it bows is sure, by how much may be half as much again, or half;"
    " cloth, wadding and basting decide"
)


@dataclass(frozen=True)
class DistortionFacts:
    """How the piece lies once it is quilted.

    ``lies``      sizes and edges before squaring up
    ``is_told``   whether a ruler would find it; what was measured after quilting is not foretold
    ``evening``   the change that evens it out, looked for only where it would be seen
    ``sparse``    the sparsest place, as a quilter says it
    ``how``, ``trust``  how it was obtained and how far to trust it, in a sentence each
    """

    lies: Distortion
    is_told: bool
    evening: EveningSpacing | None
    sparse: str
    how: str = HOW
    trust: str = TRUST

    def told(self, words: Measures) -> str:
        """What to expect before squaring up; empty where it need not be told."""
        return self.expected(words) if self.is_told else ""

    def expected(self, words: Measures) -> str:
        """What comes of it in one sentence; empty where a ruler would not find it."""
        clauses = ", ".join(distortion_words(self.lies, words.fine))
        return (
            say("It will not lie quite even, about so: {clauses}.", clauses=clauses)
            if clauses
            else ""
        )

    @property
    def findings(self) -> tuple[Finding, ...]:
        """One where it is told, mild where nobody would see it in the finished piece."""
        if not self.is_told:
            return ()
        clauses = ", ".join(distortion_words(self.lies, _fine))
        message = f"the quilting draws it up unevenly: {clauses}"
        mild = self.lies.worst_mm < SEEN_MM
        if self.evening is None:
            remedy = f"quilt closer where it is sparsest ({self.sparse}), or less where it is dense"
            return (Finding("drawn-up-unevenly", message, remedy, self.lies.sparse_mm, mild),)
        left = _fine(self.evening.left_mm)
        remedy = f"{self.evening.line} for {self.evening.layer!r} leaves {left} of it"
        return (Finding("drawn-up-unevenly", message, remedy, mild=mild),)


def _fine(mm: float) -> str:
    return both_units(mm, 16)


def distortion_facts(
    project: Project, runner: Runner, lines: Lines, plan: CuttingPlan, gap_mm: float | None
) -> DistortionFacts:
    """How it lies by the plan's draw-up; a change leaves no gap wider than ``gap_mm``."""
    overall = float(shapely.length(lines.geometry).sum()) * 1000 / runner.outline.area
    local = partial(plan.draw_up.alone, overall_m_per_m2=overall)
    sheet = QuiltedSheet(runner.outline, lines.geometry, plan.quilting_share, local)
    lies = sheet.lies()
    told = lies.worst_mm >= TOLD_MM and plan.squared is None
    evening = None
    if told and lies.worst_mm >= SEEN_MM:
        evening = find_evening_spacing(project, runner, lines, gap_mm, sheet, lies)
    words = Measures(project.handout_units)
    return DistortionFacts(lies, told, evening, place_on(runner, lies.sparse_mm, words))
