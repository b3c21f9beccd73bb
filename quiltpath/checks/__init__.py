"""Checks: what a person should know before sewing."""

from quiltpath.checks.finding import Finding
from quiltpath.checks.gap import Gap, Gaps, widest_gaps
from quiltpath.checks.wadding import gap_findings, wadding_limit_mm

__all__ = ["Finding", "Gap", "Gaps", "gap_findings", "wadding_limit_mm", "widest_gaps"]
