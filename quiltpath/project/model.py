"""The project file as one validated model: the only place that knows the file's keys."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from quiltpath.project.fields import Section
from quiltpath.project.quilting_sections import AnyLayer
from quiltpath.project.runner_sections import GridSection, MotifSection, RunnerSection
from quiltpath.project.sewing_sections import (
    MachineSection,
    SewingSection,
    StitchSection,
    ThreadSection,
    TimeSection,
    WaddingSection,
)


class Project(Section):
    """Everything that one project file says. Lengths are in mm; names are still the user's."""

    title: str = Field(default="Table runner", max_length=120)
    units: Literal["mm", "cm", "in"] | None = None
    """unit of bare numbers"""
    patterns_folder: str | None = None
    """a folder with the user's own patterns, beside the project file"""
    runner: RunnerSection
    grid: GridSection | None = None
    motif: tuple[MotifSection, ...] = ()
    quilting: tuple[AnyLayer, ...] = ()
    stitch: StitchSection = StitchSection()
    sewing: SewingSection = SewingSection()
    thread: ThreadSection = ThreadSection()
    time: TimeSection = TimeSection()
    wadding: WaddingSection = WaddingSection()
    machine: MachineSection = MachineSection()
