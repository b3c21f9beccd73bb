"""The best order of runs by somebody else's solver: integer programming with HiGHS through scipy.

Ends of runs are joined in pairs so that all runs hang together in one path. Wherever a solution
falls into several, no more joints may lie within one of them than it has runs less one (Dantzig,
Fulkerson and Johnson, Operations Research 2, 1954), and HiGHS is asked again.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix, vstack
from scipy.sparse.csgraph import connected_components


def least_travel(
    ends: np.ndarray, near: int | None = None, group: np.ndarray | None = None
) -> float:
    """Travel of the best open tour over runs ``ends`` (r, 2, 2), mm, each sewn from either end.

    Those of one ``group`` (r,) are sewn one after the other. With ``near`` joints lead to so many
    nearest ends alone: quicker, and the best of those tours may be longer than the best of all.
    """
    points, runs = ends.reshape(-1, 2), len(ends)
    apart = np.hypot(*np.moveaxis(points[:, None] - points[None], -1, 0))
    one, two = _joints(apart, near or len(points))
    # Where the path begins and ends, joints lead to a place beyond all runs, at no cost.
    cost = np.concatenate([apart[one, two], np.zeros(2 * runs)])
    joint = np.stack([np.append(one, range(2 * runs)), np.append(two, [2 * runs] * 2 * runs)])
    count, run = len(cost), joint // 2
    degree = csr_matrix((np.ones(2 * count), (joint.reshape(-1), np.tile(np.arange(count), 2))))
    wanted = np.append(np.ones(2 * runs), 2)
    rules = [LinearConstraint(degree, wanted, wanted)]
    if group is not None:
        changes = np.append(group[one // 2] != group[two // 2], np.zeros(2 * runs, dtype=bool))
        rules.append(LinearConstraint(changes.astype(float), -np.inf, len(set(group.tolist())) - 1))
    while True:
        found = milp(cost, constraints=rules, bounds=Bounds(0, 1), integrality=np.ones(count))
        chosen = found.x > 0.5
        graph = csr_matrix((np.ones(chosen.sum()), run[:, chosen]), shape=(runs + 1, runs + 1))
        parts, label = connected_components(graph, directed=False)
        if parts == 1:
            return float(found.fun)
        inside = [label == part for part in range(parts) if part != label[runs]]
        cuts = vstack([csr_matrix(each[run].all(axis=0).astype(float)) for each in inside])
        rules.append(LinearConstraint(cuts, -np.inf, [each.sum() - 1.0 for each in inside]))


def _joints(apart: np.ndarray, near: int) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of ends of different runs, each with its nearest."""
    order = np.argsort(apart, axis=1, kind="stable")[:, : near + 2]
    one = np.repeat(np.arange(len(apart)), order.shape[1])
    pairs = np.sort(np.stack([one, order.reshape(-1)]), axis=0)
    pairs = np.unique(pairs[:, pairs[0] // 2 != pairs[1] // 2], axis=1)
    return pairs[0], pairs[1]
