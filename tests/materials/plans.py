"""Cutting plans of runners that are given as shapes, for projects that say little else."""

from __future__ import annotations

from typing import Any

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials import CuttingPlan, cutting_plan
from quiltpath.project import Project
from quiltpath.project.materials_sections import ClothSection
from quiltpath.project.runner_sections import RunnerSection
from quiltpath.stitching.thread_and_time import ThreadSetting, ThreadUse

THREAD = ThreadSetting(1.0, 0.0, 0.1, 60.0, 100.0, None, None)


def plan(
    runner: Runner,
    *,
    seam_m: float = 0.0,
    thread_m: tuple[float, float] = (0.0, 0.0),
    bobbins: int = 0,
    **sections: Any,
) -> CuttingPlan:
    """The plan for a runner on which ``seam_m`` are sewn with so much needle and bobbin thread."""
    size = RunnerSection(length=1000, width=300)  # the plan goes by the runner's own
    use = ThreadUse(*thread_m, seam_m, 0.0, bobbins, THREAD)
    return cutting_plan(Project(runner=size, **sections), runner, use)


def cloth(name: str, *use: str, width: float = 1016, length: float | None = None) -> ClothSection:
    """A cloth that is so wide and, where it is at hand, so long in mm."""
    return ClothSection(name=name, use=use, width=width, length=length)
