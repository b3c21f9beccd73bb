"""Checks: what a person should know before sewing."""

from __future__ import annotations

from quiltpath.checks.all_checks import (
    CheckResults,
    LineChecks,
    Supplies,
    check_all,
    check_lines,
    find_gaps,
)
from quiltpath.checks.largest_empty_circle import Gap, Gaps, widest_gaps
from quiltpath.checks.limits import CheckLimits
from quiltpath.checks.line_spacing import LineGap, line_gap
from quiltpath.checks.wadding import (
    WADDING_KINDS,
    WaddingKind,
    is_too_wide,
    spacing_remedy,
    wadding_limit_mm,
    widest_passing_spacing,
)

__all__ = [
    "WADDING_KINDS",
    "CheckLimits",
    "CheckResults",
    "Gap",
    "Gaps",
    "LineChecks",
    "LineGap",
    "Supplies",
    "WaddingKind",
    "check_all",
    "check_lines",
    "find_gaps",
    "is_too_wide",
    "line_gap",
    "spacing_remedy",
    "wadding_limit_mm",
    "widest_gaps",
    "widest_passing_spacing",
]
