"""Routing: lines to runs in sewing order."""

from __future__ import annotations

from quiltpath.routing.policy import POLICIES, Policy, policy_named
from quiltpath.routing.route import fewest_starts, route
from quiltpath.routing.runs import BreakReason, PieceKind, RuleCost, RunChange, Runs
from quiltpath.routing.solved_stages import SolvedStages

__all__ = [
    "POLICIES",
    "BreakReason",
    "PieceKind",
    "Policy",
    "RuleCost",
    "RunChange",
    "Runs",
    "SolvedStages",
    "fewest_starts",
    "policy_named",
    "route",
]
