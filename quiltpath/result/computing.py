"""Project to result: every floor once, no file touched."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from quiltpath.checks import LineChecks, Supplies, check_all, check_lines, wadding_limit_mm
from quiltpath.checks.hand_sizes import drawing_findings, hand_findings, refuse_slips_of_the_unit
from quiltpath.checks.needle_checks import pivot_findings
from quiltpath.checks.seam_fit import seam_findings
from quiltpath.checks.skew_balance import skew_findings, skew_forecast
from quiltpath.checks.wadding import gap_remedy
from quiltpath.errors import InputError
from quiltpath.findings import Finding
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials import cutting_plan, plan_findings
from quiltpath.materials.settling import settle
from quiltpath.patterns import Lines, is_slow_to_draw
from quiltpath.progress import Progress, no_progress
from quiltpath.project import Project
from quiltpath.result.feet import foot_of
from quiltpath.result.machine_parts import profile_of, rollers_along
from quiltpath.result.reuse import Reuse
from quiltpath.result.values import Result
from quiltpath.routing import Policy, Runs, policy_named
from quiltpath.runner.places import place_on
from quiltpath.runner.states import Pair, Size, States
from quiltpath.stitching import Stitches, place
from quiltpath.stitching.thread_and_time import (
    SewingTime,
    ThreadUse,
    sewing_time,
    thread_setting,
    thread_use,
)
from quiltpath.units import Measures, units_of_faults

Checking = Callable[[Runner, Lines], Callable[[], LineChecks]]
"""Called with drawn lines, which it may begin to check; what it returns is asked for the answer."""

STEPS = 6


def check_when_asked(runner: Runner, lines: Lines) -> Callable[[], LineChecks]:
    """Nothing is begun; the lines are checked when the answer is asked for."""
    return partial(check_lines, runner, lines)


@dataclass(frozen=True)
class DrawingStep:
    """The first step: the flat runner with its lines, and the states that lie ahead of it."""

    project: Project
    runner: Runner
    lines: Lines
    states: States


@dataclass(frozen=True)
class SewingStep:
    """The second step: the lines in sewing order, as stitches, with what they take."""

    drawn: DrawingStep
    runs: Runs
    stitches: Stitches
    thread: ThreadUse
    time: SewingTime


def compute(project: Project, progress: Progress = no_progress) -> Result:
    """The result for ``project``. Pure: same project, same result; no file is touched.

    Args:
        project: what a file says, as ``load`` or ``parse`` read it.
        progress: called with what is being done, the steps done and the steps in all.

    Returns:
        Everything computed: lines, runs, stitches, checks, thread, time and the cutting plan;
        lengths in mm, thread in m, time in minutes.

    Raises:
        InputError: one line that names the project's file and the key at fault.

    Example:
        >>> import quiltpath
        >>> project = quiltpath.parse('''
        ... units = "mm"
        ... runner = { length = 600, width = 200, size_is = "flat" }
        ... quilting = [{ kind = "straight", spacing = 25 }]
        ... ''')
        >>> result = quiltpath.compute(project)
        >>> len(result.lines), len(result.runs)
        (7, 7)
    """
    *_, result = compute_by_steps(project, progress)
    assert isinstance(result, Result)
    return result


def compute_by_steps(
    project: Project,
    progress: Progress = no_progress,
    reuse: Reuse | None = None,
    checking: Checking = check_when_asked,
) -> Iterator[DrawingStep | SewingStep | Result]:
    """The same, handed over as it comes: what was drawn, what was sewn, the whole result.

    ``reuse`` keeps what stayed the same since the last time; ``checking`` may check the lines
    beside the search for their order. Raises as :func:`compute` does.
    """
    try:
        yield from _computed(project, progress, reuse or Reuse(), checking)
    except InputError as error:
        told = error.in_units(units_of_faults(project.units))
        raise told.at(error.where or project.file_name) from None


def _computed(
    project: Project, progress: Progress, reuse: Reuse, checking: Checking
) -> Iterator[DrawingStep | SewingStep | Result]:
    policy, limit = _policy(project), _gap_limit(project)
    profile_of(project)  # a machine that is not known is told before anything is drawn
    progress("runner", 0, STEPS)
    drawn = draw_flat(project, reuse, progress)
    checked = checking(drawn.runner, drawn.lines)
    yield drawn
    sewn = _sewn(drawn, policy, reuse, progress)
    yield sewn
    yield _checked(sewn, limit, checked, progress)


def draw_flat(project: Project, reuse: Reuse, progress: Progress = no_progress) -> DrawingStep:
    """The lines on the flat top that leaves the wished runner once it is quilted and washed."""

    def density(kept: Pair, length_mm: Callable[[Runner], float]) -> tuple[Size, float]:
        runner = reuse.runner(project, kept)
        refuse_slips_of_the_unit(project, runner)
        progress("lines", 1, STEPS)
        m_per_m2 = 1000 * length_mm(runner) / runner.outline.area
        return Size(runner.length_mm, runner.width_mm), m_per_m2

    layers = project.quilting
    guess = partial(density, length_mm=lambda runner: reuse.expected_length_mm(runner, layers))
    drawing = partial(density, length_mm=lambda runner: reuse.length_mm(runner, layers))
    states, kept = settle(project, drawing, guess if is_slow_to_draw(layers) else None)
    runner = reuse.runner(project, kept)
    return DrawingStep(project, runner, reuse.lines(runner, project.quilting), states)


def _checked(
    sewn: SewingStep, limit: float | None, of_lines: Callable[[], LineChecks], progress: Progress
) -> Result:
    project, runner, lines = sewn.drawn.project, sewn.drawn.runner, sewn.drawn.lines
    runs, stitches, thread = sewn.runs, sewn.stitches, sewn.thread
    progress("checks", 5, STEPS)
    kept = sewn.drawn.states
    foot = foot_of(project, lines, runs)
    rollers = rollers_along(project, runner.length_mm)
    plan = cutting_plan(project, runner, thread, kept, foot, rollers=rollers)
    supplies = Supplies(limit, _bobbin_m_per_stitch(thread, stitches), thread.setting.bobbin_m)
    remedy = partial(gap_remedy, project, runner, lines, limit or 0.0)
    fit = (
        *seam_findings(runner, lines, project.quilting),
        *skew_findings(skew_forecast(lines, runs)),
        *pivot_findings(runner, lines, project.quilting),
    )
    sizes = hand_findings(project, runner)
    sizes += drawing_findings(runner)
    # Asked last: another process may still be at the lines.
    checked = check_all(runner, lines, runs, stitches, supplies, remedy, drawn=of_lines())
    found = (*sizes, *_remarks(lines, runs), *checked.findings, *fit, *plan_findings(plan))
    units = project.handout_units
    findings = tuple(_placed(finding, sewn.drawn).in_units(units) for finding in found)
    progress("done", STEPS, STEPS)
    return Result(
        project,
        runner,
        lines,
        runs,
        stitches,
        checked.gaps,
        limit,
        thread,
        sewn.time,
        findings,
        plan,
        checked.line_gaps,
    )


def _placed(finding: Finding, drawn: DrawingStep) -> Finding:
    """With the place in the words of a person who has the cloth before her."""
    if finding.at_mm is None:
        return finding
    words = Measures(drawn.project.handout_units)
    return replace(finding, where=place_on(drawn.runner, finding.at_mm, words))


def _sewn(drawn: DrawingStep, policy: Policy, reuse: Reuse, progress: Progress) -> SewingStep:
    project = drawn.project
    progress("sewing order", 2, STEPS)
    runs = reuse.runs(drawn.lines, policy, drawn.runner)
    progress("stitches", 3, STEPS)
    stitches = place(runs, project.stitch)
    progress("thread and time", 4, STEPS)
    setting = thread_setting(project.thread, project.stitch)
    thread = thread_use(stitches, _tails(project, runs), setting)
    return SewingStep(drawn, runs, stitches, thread, _time(project, runs, stitches, thread))


def _policy(project: Project) -> Policy:
    try:
        return policy_named(project.sewing.policy, project.sewing.settings)
    except ValueError as error:
        raise InputError.parted("sewing.policy", error) from None


def _gap_limit(project: Project) -> float | None:
    try:
        return wadding_limit_mm(project.wadding.kind, project.wadding.limit)
    except ValueError as error:
        raise InputError.parted("wadding.kind", error) from None


def _bobbin_m_per_stitch(thread: ThreadUse, stitches: Stitches) -> float:
    """On average, without tails and wastage."""
    count = stitches.stitch_count
    return thread.setting.bobbin_mm(stitches.stitched_mm, count) / max(count, 1) / 1000


def _tails(project: Project, runs: Runs) -> int:
    """Thread ends left to bury, on one side of the quilt."""
    return int(np.count_nonzero(runs.secured)) if project.stitch.securing == "tails" else 0


def _time(project: Project, runs: Runs, stitches: Stitches, thread: ThreadUse) -> SewingTime:
    count, pivots = stitches.stitch_count, stitches.pivots
    return sewing_time(count, len(runs), pivots, thread.bobbins, project.time)


def _remarks(lines: Lines, runs: Runs) -> tuple[Finding, ...]:
    """What drawing and routing have to say about themselves."""
    drawn = [Finding(r.code, r.message, r.remedy, r.at_mm) for r in lines.remarks]
    changed = [Finding(c.code, c.message, "", c.at_mm) for c in runs.changes]
    return (*drawn, *changed)
