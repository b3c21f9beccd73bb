"""A binder on paper: strips joined in order, laid round an edge from the start, closed.

The strip is walked along the edge corner by corner; a mitre's folds take what they take where they
are. Nothing is spread evenly, so that it says where the joins really come to lie.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from quiltpath.materials.binding_plan import BindingPlan


@dataclass(frozen=True)
class Laid:
    """Where the joins lie along the edge; the strip that is over when the end is laid on the
    start, and the closing join's own place; in mm."""

    joins: tuple[float, ...]
    over: float
    start: float


def laid_round(plan: BindingPlan) -> Laid:
    """Join, cut off the start, lay from there anticlockwise, fold at each corner, overlap."""
    joins, setting = plan.joins, plan.setting
    assert Counter(joins.strips_mm) == Counter(plan.strips.lengths_mm)
    ends = np.cumsum(np.array(joins.strips_mm) - setting.join_mm)[:-1]
    long = sum(joins.strips_mm) - setting.join_mm * (len(joins.strips_mm) - 1)
    assert joins.cut_first_mm <= joins.strips_mm[0] - setting.join_mm, "the cut takes a join off"
    wanted = ends - joins.cut_first_mm
    edge = plan.edge
    ahead = sorted((c.along_mm - joins.start_mm) % edge.length_mm for c in edge.corners)
    folds = np.array(ahead)
    # Strip that is used up when so much edge is covered: the edge and the folds passed.
    used_at_fold = folds + setting.mitre * np.arange(len(folds))
    lie = []
    for at in wanted:
        passed = int(np.searchsorted(used_at_fold, at))
        lie.append(float((joins.start_mm + at - passed * setting.mitre) % edge.length_mm))
    taken = edge.length_mm + setting.mitre * len(folds) + setting.width_mm
    return Laid(tuple(lie), long - joins.cut_first_mm - taken, joins.start_mm)


def to_nearest(at: float, places: tuple[float, ...], edge: float) -> float:
    """Distance along a closed edge to the nearest of these places."""
    gaps = [abs(at - place) % edge for place in places]
    return min((min(gap, edge - gap) for gap in gaps), default=edge)
