"""Routing: lines to runs in sewing order."""

from quiltpath.routing.policy import POLICIES, Policy, policy_named
from quiltpath.routing.routing import route
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
