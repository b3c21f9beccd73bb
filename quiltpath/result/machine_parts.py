"""What the project's machine is given: its parts with their figures, or why it cannot sew them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.lines_to_count import ToCount, count_in_part
from quiltpath.errors import InputError
from quiltpath.findings import Finding
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import say
from quiltpath.machine import MachineKind, MachineProfile, ProfileRegistry
from quiltpath.machine.bobbin_stops import BobbinPlan, add_bobbin_stops
from quiltpath.machine.hooping_cuts import Cut
from quiltpath.machine.loads import Load, load_of
from quiltpath.machine.named_crosses import CrossRow, cross_rows, names_of
from quiltpath.machine.part_facts import PartFacts, part_facts
from quiltpath.machine.part_plan import Misplacement, PartPlan, worst_misplacement
from quiltpath.machine.parts import Part
from quiltpath.machine.profile import profile_from
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.project.sewing_sections import TimeSection
from quiltpath.result.machine_plan import machine_plan
from quiltpath.routing import Runs
from quiltpath.stitching import Stitches
from quiltpath.stitching.checkpoints import Checkpoints, checkpoints
from quiltpath.stitching.thread_and_time import (
    SewingTime,
    ThreadSetting,
    sewing_time,
    thread_setting,
)


@dataclass(frozen=True)
class SewingTotals:
    """What sewing takes, all parts of a machine together: stitches, starts of thread, parts, the
    foot, and minutes: in all, of the needle, of hands, of loading."""

    stitches: int
    starts: int
    minutes: float
    parts: int
    foot: str
    needle_min: float
    hand_min: float
    loading_min: float

    @classmethod
    def of(
        cls, stitches: int, starts: int, parts: int, foot: str, time: SewingTime
    ) -> SewingTotals:
        """So many stitches, starts and parts, and the minutes that they take."""
        minutes = time.sewing_min, parts, foot, time.stitching_min, time.hand_min, time.loading_min
        return cls(stitches, starts, *minutes)


@dataclass(frozen=True)
class MachineParts:
    """The parts in sewing order, with all that a person must know of each.

    ``facts``        the figures of each part
    ``loads``        the zero that the files of each part share, and what is traced
    ``checkpoints``  where each can be taken up again after a break
    ``to_count``     lines and crossings of each, to be counted before unloading
    ``bobbins``      where the bobbin of each is changed; nothing where files do not halt for it
    ``worst``        the join at which a part that lies off would show most; None without cuts
    """

    plan: PartPlan
    facts: tuple[PartFacts, ...]
    loads: tuple[Load, ...]
    checkpoints: tuple[Checkpoints, ...]
    to_count: tuple[ToCount, ...]
    worst: Misplacement | None
    bobbins: tuple[BobbinPlan, ...] = ()

    @property
    def profile(self) -> MachineProfile:
        """The machine."""
        return self.plan.profile

    @property
    def parts(self) -> tuple[Part, ...]:
        """In sewing order."""
        return self.plan.parts

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """Where lines pass from one part to the next."""
        return self.plan.cuts

    @property
    def in_one(self) -> bool:
        """True where the machine sews the whole with the work clamped once."""
        return self.plan.in_one

    @property
    def parts_words(self) -> str:
        """How many parts there are."""
        return say("one part") if self.in_one else say("{parts} parts", parts=len(self.parts))

    @property
    def division_words(self) -> tuple[str, ...]:
        """How the work is divided, the next best way, and the fewest loadings there can be."""
        return self.plan.choice.words(*self.profile.kind.part_words)

    def as_sewn(self, setting: TimeSection, foot: str) -> SewingTotals:
        """What all parts take together."""
        stitches = sum(fact.stitches for fact in self.facts)
        starts = sum(fact.starts for fact in self.facts)
        return SewingTotals.of(stitches, starts, len(self.parts), foot, self.time(setting))

    def time(self, setting: TimeSection) -> SewingTime:
        """Minutes for all parts; ``setting`` says what hands take. A machine that cuts thread
        needs no hand at a start."""
        starts = 0 if self.profile.trims else sum(part.pieces for part in self.parts)
        fresh = sum(bobbin.full_before + len(bobbin.at_mm) for bobbin in self.bobbins)
        counted = sewing_time(0, starts, 0, max(fresh, 1), setting)
        return replace(
            counted,
            stitching_min=sum(fact.sewing_min for fact in self.facts),
            loading_min=self.profile.loading + self.profile.reloading * (len(self.parts) - 1),
        )

    @property
    def cross_rows(self) -> tuple[CrossRow, ...]:
        """Alignment crosses to be marked on the cloth, each once, in rows; none for one part."""
        return () if self.in_one else cross_rows(self.parts)

    @property
    def crosses(self) -> NDArray[np.float64]:
        """(n, 2) mm, the same crosses in the order of their numbers."""
        return np.vstack([np.zeros((0, 2)), *(row.places for row in self.cross_rows)])


@dataclass(frozen=True)
class Refusal:
    """The machine cannot sew the runner: the key at fault, what is wrong, what would do."""

    key: str
    fault: str
    remedy: str

    @property
    def finding(self) -> Finding:
        """The same as a check that says no."""
        return Finding("machine-cannot-sew-it", self.fault, self.remedy)

    def error(self, file: str) -> InputError:
        """The same as a fault of the project's ``file``."""
        return InputError(file, self.key, self.fault, self.remedy)


def machine_parts(
    project: Project, runner: Runner, lines: Lines, runs: Runs, stitches: Stitches
) -> MachineParts | Refusal | None:
    """The parts for the machine that the project names, or why it cannot sew them.

    None where the project names no machine. Raises :class:`InputError` for a machine that is not
    known: that is a fault of the file, not of the design.
    """
    profile = profile_of(project)
    if profile is None:
        return None
    try:
        if not stitches.stitch_count:
            raise nothing_to_sew()
        planned = machine_plan(project, runner, lines, runs, stitches, profile)
    except InputError as error:
        return Refusal(error.key, error.fault, error.remedy)
    thread = thread_setting(project.thread, project.stitch)
    if not project.machine.bobbin_stops:
        return with_facts(planned, thread, runner.outline)
    parts, bobbins = add_bobbin_stops(planned.parts, thread, project.thread.reserve)
    halted = replace(planned, parts=parts)
    return replace(with_facts(halted, thread, runner.outline), bobbins=bobbins)


def nothing_to_sew() -> InputError:
    """A machine is asked for and no line is drawn."""
    fault = "nothing is drawn, so that there is nothing to sew"
    return InputError("", "quilting", fault, "give a closer spacing or a larger place")


def with_facts(planned: PartPlan, thread: ThreadSetting, outline: shapely.Polygon) -> MachineParts:
    """A plan with the figures of each of its parts; ``thread`` is what thread is reckoned by, and
    ``outline`` is the finished edge."""
    rows = () if planned.in_one else cross_rows(planned.parts)
    loads = (
        load_of(part, outline, alone=planned.in_one, cuts=planned.cuts_of(part))
        for part in planned.parts
    )
    named = (
        replace(load, cross_names=names_of(part.crosses, rows) if rows else ())
        for load, part in zip(loads, planned.parts, strict=True)
    )
    return MachineParts(
        planned,
        tuple(part_facts(part, planned.profile, thread) for part in planned.parts),
        tuple(named),
        tuple(checkpoints(part.stitches) for part in planned.parts),
        tuple(count_in_part(part.name, part.stitches) for part in planned.parts),
        worst_misplacement(planned),
    )


def rollers_along(project: Project, length_mm: float) -> int | None:
    """The axis of a flat runner of that length along which a frame's rollers lie: its length (0),
    or its width (1) where it has to go in crosswise; None where the machine is no frame."""
    profile = profile_of(project)
    if profile is None or profile.kind is not MachineKind.LONGARM:
        return None
    return int(profile.turns and length_mm > profile.usable[0])


def profile_of(project: Project) -> MachineProfile | None:
    """The machine that the project names, if it names one. Raises :class:`InputError`."""
    section = project.machine
    if section.own_profile:
        profile = profile_from(project.drawing(section.own_profile), section.own_profile)
    elif section.profile:
        profile = ProfileRegistry().find(section.profile)
    else:
        return None
    return profile if section.turns is None else profile.model_copy(update={"turns": section.turns})
