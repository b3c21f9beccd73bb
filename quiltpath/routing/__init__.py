"""Routing: lines to runs in sewing order."""

from __future__ import annotations

from quiltpath.routing.policy import POLICIES, Policy, policy_named
from quiltpath.routing.route import route
from quiltpath.routing.runs import BreakReason, PieceKind, RunChange, Runs

__all__ = [
    "POLICIES",
    "BreakReason",
    "PieceKind",
    "Policy",
    "RunChange",
    "Runs",
    "policy_named",
    "route",
]
