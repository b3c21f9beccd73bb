"""Cutting plans of runners that are given as shapes, for projects that say little else."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials import CuttingPlan, cutting_plan
from quiltpath.materials.settling import settle
from quiltpath.project import Project
from quiltpath.project.materials_sections import ClothSection
from quiltpath.project.runner_sections import RunnerSection
from quiltpath.runner.states import Size, stretch_shape
from quiltpath.stitching.thread_and_time import ThreadSetting, ThreadUse

THREAD = ThreadSetting(1.0, 0.0, 0.1, 60.0, 100.0, None, None)


def plan(
    runner: Runner,
    *,
    seam_m: float = 0.0,
    thread_m: tuple[float, float] = (0.0, 0.0),
    bobbins: int = 0,
    panel_join: str = "none",
    **sections: Any,
) -> CuttingPlan:
    """The plan for a finished runner on which ``seam_m`` are sewn with so much thread.

    The top is as much larger, all of it, as the density of that seam on the runner draws up.
    """
    given = RunnerSection.model_validate({"length": 1000, "width": 300, "panel_join": panel_join})
    project = Project(runner=given, **sections)

    def drawing(kept: tuple[float, float]) -> tuple[Size, float]:
        flat = Size(runner.length_mm / kept[0], runner.width_mm / kept[1])
        return flat, seam_m / (runner.outline.area / 1e6)

    settled, kept = settle(project, drawing)
    states = replace(settled, wished=Size(runner.length_mm, runner.width_mm))
    use = ThreadUse(*thread_m, 0.0, bobbins, THREAD)
    return cutting_plan(project, grown(runner, (1 / kept[0], 1 / kept[1])), use, states)


def grown(runner: Runner, by: tuple[float, float]) -> Runner:
    """Every part larger along and across, from the lower left corner."""
    return replace(
        runner,
        outline=stretch_shape(runner.outline, by),
        regions=tuple(
            replace(part, shape=stretch_shape(part.shape, by)) for part in runner.regions
        ),
        seams=tuple(replace(seam, line=stretch_shape(seam.line, by)) for seam in runner.seams),
    )


def cloth(name: str, *use: str, width: float = 1016, length: float | None = None) -> ClothSection:
    """A cloth that is so wide and, where it is at hand, so long in mm."""
    return ClothSection(name=name, use=use, width=width, length=length)
