"""How far a small mistake in clamping would show at the joins between parts."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from quiltpath.output.machine_parts.plan import PartPlan

SHIFT_MM = 1.0
TURN_DEG = 0.5


@dataclass(frozen=True)
class Misplacement:
    """The worst join if the later of its two parts lies ``SHIFT_MM`` and ``TURN_DEG`` off.

    ``offset_mm``  how far the thread ends would lie apart
    ``at_mm``      where on the runner
    ``parts``      numbers of the two parts
    """

    offset_mm: float
    at_mm: tuple[float, float]
    parts: tuple[int, int]


def worst_misplacement(plan: PartPlan) -> Misplacement | None:
    """The join at which a misplaced part would show most; nothing where nothing is cut.

    A part turns about the middle of its two crosses, so a join at distance r from there moves by
    2 r sin(angle / 2), the chord, to which the shift adds at worst.
    """
    if not plan.cuts:
        return None
    at = np.array([cut.at_mm for cut in plan.cuts])
    later = np.array([max(cut.fields) for cut in plan.cuts])
    pivots = np.array([part.crosses.mean(axis=0) for part in plan.parts])
    away = np.hypot(*(at - pivots[later - 1]).T)
    offset = SHIFT_MM + 2.0 * away * math.sin(math.radians(TURN_DEG) / 2.0)
    worst = int(np.argmax(offset))
    cut = plan.cuts[worst]
    return Misplacement(float(offset[worst]), cut.at_mm, cut.fields)
