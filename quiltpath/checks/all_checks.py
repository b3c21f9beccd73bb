"""All checks in one fixed order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from shapely.geometry import Polygon

from quiltpath.checks.density import uneven_density
from quiltpath.checks.largest_empty_circle import Gaps, widest_gaps
from quiltpath.checks.limits import CheckLimits
from quiltpath.checks.line_spacing import LineGap, line_gap, lines_too_close
from quiltpath.checks.needle_checks import (
    bobbin_findings,
    ends_on_show,
    shallow_crossings,
    worn_holes,
)
from quiltpath.checks.obstacles import LineStrings
from quiltpath.checks.wadding import CLOSER_THERE, gap_findings
from quiltpath.findings import Finding, Remedy
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines
from quiltpath.routing import Runs
from quiltpath.stitching import Stitches

_LIMITS = CheckLimits()


@dataclass(frozen=True)
class Supplies:
    """What is at hand: the wadding's limit in mm, if known, and the bobbin's thread.

    ``bobbin_m_per_stitch``  bobbin thread that a stitch takes on average, in metres
    ``bobbin_m``             thread on a full bobbin, in metres
    """

    gap_limit_mm: float | None
    bobbin_m_per_stitch: float
    bobbin_m: float


@dataclass(frozen=True)
class LineChecks:
    """What can be said of the lines before it is known how they are sewn.

    ``gaps``       the widest unquilted places
    ``uneven``     remarks on dense quilting beside sparse
    ``close``      remarks on lines too close for the foot
    ``line_gaps``  for each layer the widest distance between neighbouring parallel lines
    """

    gaps: Gaps
    uneven: tuple[Finding, ...]
    close: tuple[Finding, ...]
    line_gaps: tuple[LineGap | None, ...]


@dataclass(frozen=True)
class CheckResults:
    """What all checks found, in a fixed order, with ``gaps`` and ``line_gaps`` of the lines."""

    findings: tuple[Finding, ...]
    gaps: Gaps
    line_gaps: tuple[LineGap | None, ...]


def check_lines(
    runner: Runner,
    lines: Lines,
    limits: CheckLimits = _LIMITS,
    gaps: Callable[[], Gaps] | None = None,
) -> LineChecks:
    """The checks that need no sewing order, so that they can be made beside its search.

    ``gaps`` is asked last for what :func:`find_gaps` says, where that is looked for elsewhere.
    """
    layers = range(len(lines.layers))
    others = (
        uneven_density(runner, lines, limits),
        lines_too_close(lines, limits),
        tuple(line_gap(lines.geometry[lines.layer == layer]) for layer in layers),
    )
    return LineChecks(
        gaps() if gaps else find_gaps(lines.geometry, runner.outline, limits), *others
    )


def find_gaps(lines: LineStrings, outline: Polygon, limits: CheckLimits = _LIMITS) -> Gaps:
    """The widest unquilted places among (n,) stitched lines: the longest of all checks."""
    return widest_gaps(lines, outline, limits.gap_places, limits.gap_tolerance_mm)


def check_all(
    runner: Runner,
    lines: Lines,
    runs: Runs,
    stitches: Stitches,
    supplies: Supplies,
    gap_remedy: Callable[[], Remedy] = lambda: CLOSER_THERE,
    limits: CheckLimits = _LIMITS,
    drawn: LineChecks | None = None,
) -> CheckResults:
    """Every check once. The gap comes first: it alone can say no.

    ``gap_remedy`` says what would close the gap; it is asked only where the gap is too wide.
    ``drawn`` is what :func:`check_lines` found, where that was asked before.
    """
    drawn = drawn or check_lines(runner, lines, limits)
    findings = (
        *gap_findings(drawn.gaps, supplies.gap_limit_mm, gap_remedy, limits.often_washed_mm),
        *drawn.uneven,
        *drawn.close,
        *shallow_crossings(runner, runs, limits),
        *ends_on_show(runner, lines, runs, limits),
        *worn_holes(stitches, limits),
        *bobbin_findings(stitches, supplies.bobbin_m_per_stitch, supplies.bobbin_m, limits),
    )
    return CheckResults(findings, drawn.gaps, drawn.line_gaps)
