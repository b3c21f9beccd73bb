"""Checks: what a person should know before sewing."""

from quiltpath.checks.check_all import Checked, DrawnChecks, Supplies, check_all, check_drawn
from quiltpath.checks.finding import Finding
from quiltpath.checks.gap import Gap, Gaps, widest_gaps
from quiltpath.checks.limits import CheckLimits
from quiltpath.checks.line_gap import LineGap, line_gap
from quiltpath.checks.wadding import (
    WADDING_KINDS,
    WaddingKind,
    spacing_remedy,
    too_wide,
    wadding_limit_mm,
    widest_passing_spacing,
)

__all__ = [
    "WADDING_KINDS",
    "CheckLimits",
    "Checked",
    "DrawnChecks",
    "Finding",
    "Gap",
    "Gaps",
    "LineGap",
    "Supplies",
    "WaddingKind",
    "check_all",
    "check_drawn",
    "line_gap",
    "spacing_remedy",
    "too_wide",
    "wadding_limit_mm",
    "widest_gaps",
    "widest_passing_spacing",
]
