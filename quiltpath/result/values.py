"""Everything that was computed for one project: what the writers are handed."""

from __future__ import annotations

from dataclasses import dataclass

from quiltpath.checks import Gaps, LineGap
from quiltpath.findings import Finding
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials import CuttingPlan
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.routing import Runs
from quiltpath.stitching import Stitches
from quiltpath.stitching.thread_and_time import SewingTime, ThreadUse


@dataclass(frozen=True)
class Result:
    """The values of all floors for one project. No file has been touched to make it.

    ``gap_limit_mm`` is None where the project says nothing about its wadding; ``line_gaps`` has
    an entry for each layer, None where no two of its lines are parallel.
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
    findings: tuple[Finding, ...]
    cutting: CuttingPlan
    line_gaps: tuple[LineGap | None, ...] = ()
