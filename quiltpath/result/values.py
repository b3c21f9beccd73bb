"""Everything that was computed for one project: what the writers are handed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from quiltpath.checks import Gaps, LineGap, is_too_wide
from quiltpath.errors import InputError
from quiltpath.findings import Finding, for_a_person
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials import CuttingPlan
from quiltpath.materials.edge_corners import edge_of
from quiltpath.materials.trimming import Trimming, trimming
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.result.distortion_facts import DistortionFacts, distortion_facts
from quiltpath.result.feet import foot_of, layers_by_hand
from quiltpath.result.machine_parts import (
    MachineParts,
    Refusal,
    SewingTotals,
    machine_parts,
)
from quiltpath.result.marking_ways import Marking, markings
from quiltpath.result.relief_facts import ReliefFacts, relief_facts
from quiltpath.result.sewing_facts import SewingFacts, sewing_facts
from quiltpath.result.start_facts import StartFacts, start_facts
from quiltpath.routing import Runs
from quiltpath.runner.states import States
from quiltpath.stitching import Stitches
from quiltpath.stitching.thread_and_time import SewingTime, ThreadUse

HALTS_FOR = ("bobbin-change", "bobbin-outlasted")
"""Codes of what is said of bobbins where all is sewn by hand in one go: a machine's files halt for
a full one, and its sheet says where."""


@dataclass(frozen=True)
class Result:
    """The values of all floors for one project. No file has been touched to make it.

    ``gap_limit_mm`` is None where the project says nothing about its wadding; ``line_gaps`` has
    an entry for each layer, None where no two of its lines are parallel. ``checked`` is what the
    checks say of the quilting; :attr:`findings` is all that there is to say.

    ``machine``, ``sewing``, ``relief`` and ``distortion`` are computed when they are first asked
    for, and once: who only wants another spacing's figures does not pay for a frame's passes.
    """

    project: Project
    runner: Runner
    lines: Lines
    runs: Runs
    stitches: Stitches
    gaps: Gaps
    gap_limit_mm: float | None
    thread: ThreadUse
    time: SewingTime
    checked: tuple[Finding, ...]
    cutting: CuttingPlan
    line_gaps: tuple[LineGap | None, ...] = ()

    def __repr__(self) -> str:
        said = len(self.checked)
        return f"Result({self.project.title!r}, {self.lines!r}, {self.stitches!r}, {said} findings)"

    @property
    def states(self) -> States:
        """Flat, quilted and washed; ``runner`` and all that is drawn on it are flat."""
        return self.cutting.states

    @cached_property
    def machine(self) -> MachineParts | Refusal | None:
        """The parts for the project's machine, or why it cannot sew them; None without one."""
        return machine_parts(self.project, self.runner, self.lines, self.runs, self.stitches)

    @property
    def sewable_parts(self) -> MachineParts | None:
        """The parts for the project's machine; None without one, and where it refuses."""
        return None if isinstance(self.machine, Refusal) else self.machine

    @property
    def machine_parts(self) -> MachineParts | None:
        """The parts for the project's machine; raises :class:`InputError` where it refuses."""
        if isinstance(self.machine, Refusal):
            raise self.machine.error(self.project.file_name)
        return self.machine

    @cached_property
    def sewing(self) -> SewingFacts:
        """What helps at the machine; part by part where one sews several."""
        return sewing_facts(
            self.project,
            self.runner,
            self.lines,
            self.runs,
            self.stitches,
            self.thread,
            self.cutting.quilting_share,
            self.sewable_parts,
        )

    @cached_property
    def starts(self) -> StartFacts:
        """How often thread begins, why, and how seldom it would as one line."""
        return start_facts(self.project, self.runner, self.lines, self.runs)

    @cached_property
    def flat_trimming(self) -> Trimming:
        """How the outline is drawn on the flat top, which quilting draws up."""
        return trimming(edge_of(self.runner.outline))

    @cached_property
    def markings(self) -> tuple[Marking, ...]:
        """How each layer that draws something is marked; raises :class:`InputError` where one asks
        for a way that its lines do not allow."""
        return markings(self.runner, self.lines, self.project.quilting)

    @cached_property
    def relief(self) -> ReliefFacts:
        """How the cloth stands up between its lines: computed only for who shows or tells it."""
        return relief_facts(self.project, self.runner, self.lines, self.stitches)

    def keep_relief(self, relief: ReliefFacts) -> None:
        """Take ``relief`` as it was computed in another process from a copy of this result."""
        vars(self)["relief"] = relief

    @cached_property
    def distortion(self) -> DistortionFacts:
        """How the quilted piece lies before it is squared up, and what would even it out."""
        gap = self.gap_limit_mm if self.holds else None
        return distortion_facts(self.project, self.runner, self.lines, self.cutting, gap)

    @property
    def as_sewn(self) -> SewingTotals:
        """The count, the minutes and the foot that every document tells."""
        machine, foot = self.sewable_parts, foot_of(self.project, self.lines, self.runs)
        if machine is not None:
            return machine.as_sewn(self.project.time, foot)
        return SewingTotals.of(self.stitches.stitch_count, len(self.runs), 1, foot, self.time)

    @property
    def layers_by_hand(self) -> tuple[str, ...]:
        """Names of the layers that hands sew with the feed dogs down."""
        return layers_by_hand(self.project, self.lines, self.runs)

    @property
    def sewing_time(self) -> SewingTime:
        """The one time that every document tells: of the machine's parts, where there is one."""
        machine = self.sewable_parts
        return machine.time(self.project.time) if machine else self.time

    @property
    def starts_in_parts(self) -> str:
        """What follows the design's starts where the parts of a machine take others; else nothing.

        Words for a person, with the semicolon that they begin with.
        """
        machine, starts = self.sewable_parts, self.as_sewn.starts
        if machine is None or starts == len(self.runs):
            return ""
        return f"; {starts} when sewn in {machine.parts_words}"

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the checks say, how it will lie, and what the machine cannot do."""
        found = (*self.checked, *self.distortion.findings)
        if isinstance(self.machine, Refusal):
            return (self.machine.finding.in_units(self.project.handout_units), *found)
        if self.machine is not None and self.project.machine.bobbin_stops:
            return tuple(finding for finding in found if finding.code not in HALTS_FOR)
        return found

    @property
    def for_a_person(self) -> tuple[Finding, ...]:
        """The findings that a person is asked about, those that stop the work first."""
        return for_a_person(self.findings)

    @property
    def holds(self) -> bool | None:
        """Whether the wadding is held everywhere; None where its limit is not known."""
        return None if self.gap_limit_mm is None else not is_too_wide(self.gaps, self.gap_limit_mm)

    def in_project_words(self, error: InputError) -> InputError:
        """``error`` in the project's units, with its file named where it names none."""
        told = error.in_units(self.project.handout_units)
        return told.at(error.where or self.project.file_name)
