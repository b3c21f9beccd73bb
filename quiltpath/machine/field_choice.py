"""How many fields a design takes, how much they overlap, and where they lie.

The wished overlap is kept as long as it costs no loading and no cut in the open; it is given up
little by little, down to the stated least.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from quiltpath.machine.hooping_search import (
    Box,
    CutTask,
    CutUp,
    Fields,
    best_places,
    most_tried,
    overlap_of,
)
from quiltpath.machine.part_choice import Choice, PartDivision, PartWay
from quiltpath.machine.profile import MachineProfile
from quiltpath.machine.rectangle_cover import fewest_fields, least_fields
from quiltpath.stitching import Stitches

OVERLAP_STEP_MM = 0.5


@dataclass(frozen=True)
class Overlaps:
    """The overlap that is wished and the least one, in mm."""

    wished: float
    least: float


def covering_fields(bounds: Box, profile: MachineProfile, overlaps: Overlaps) -> Fields:
    """The fewest fields of the machine that cover ``bounds``, with as much overlap as that allows.

    Raises ``ValueError`` where the wished overlap leaves nothing of a field.
    """
    found, _ = _covering(bounds, profile, overlaps)
    return found


def field_count(bounds: Box, profile: MachineProfile, overlaps: Overlaps) -> int:
    """How many those are. Raises as :func:`covering_fields` does."""
    tried = {overlaps.wished, min(overlaps.wished, overlaps.least)}
    return min(len(fewest_fields(bounds, profile.usable, at, profile.turns)) for at in tried)


def _covering(
    bounds: Box, profile: MachineProfile, overlaps: Overlaps
) -> tuple[Fields, Fields | None]:
    """The fewest fields, and those of the wished overlap where that takes more."""

    def at(overlap: float) -> Fields:
        return fewest_fields(bounds, profile.usable, overlap, profile.turns)

    wished = at(overlaps.wished)
    least = least_fields(bounds, profile.usable, overlaps.least, profile.turns)
    if overlaps.least >= overlaps.wished or len(wished) == least:
        return wished, None
    fewer = at(overlaps.least)
    if len(fewer) >= len(wished):
        return wished, None
    return _widest(at, fewer, overlaps), wished


def _widest(at: Callable[[float], Fields], fewer: Fields, overlaps: Overlaps) -> Fields:
    """As few fields with the largest overlap, to half a millimetre."""
    steps = np.arange(overlaps.least, overlaps.wished, OVERLAP_STEP_MM).tolist()
    low, high = 0, len(steps)
    best = fewer
    while high - low > 1:
        middle = (low + high) // 2
        found = at(steps[middle])
        if len(found) == len(fewer):
            low, best = middle, found
        else:
            high = middle
    return best


@dataclass(frozen=True)
class ChosenFields:
    """The design cut up, and the choice that led to it."""

    made: CutUp
    choice: Choice


def choose_fields(
    stitches: Stitches,
    grade: NDArray[np.int8],
    bounds: Box,
    profile: MachineProfile,
    overlaps: Overlaps,
    overlap_stitches: int = 0,
) -> ChosenFields:
    """The fields that cost a person least. Raises as :func:`covering_fields` and
    :meth:`CutTask.by` do."""
    fields, more = _covering(bounds, profile, overlaps)
    widest = overlap_of(fields, bounds, overlaps.wished)
    cutting = CutTask(stitches, grade, overlap_stitches, bounds, widest)
    most = most_tried(cutting, fields)
    made, tried = best_places(cutting, fields, most)
    if made.cost.open_cuts and overlaps.least < widest and tried < most:
        closer, again = best_places(
            replace(cutting, overlap_mm=overlaps.least), made.fields, most - tried
        )
        made = closer if closer.cost.open_cuts < made.cost.open_cuts else made
        tried += again
    runner_up = None
    if more is not None:
        runner_up = PartDivision(PartWay(overlaps.wished), cutting.by(more).cost)
        tried += 1
    alone = len(fields) == 1
    overlap = 0.0 if alone else round(overlap_of(made.fields, bounds, overlaps.wished), 1)
    fewest = least_fields(bounds, profile.usable, overlaps.least, profile.turns)
    taken = PartDivision(PartWay(overlap), made.cost)
    return ChosenFields(made, Choice(taken, runner_up, min(fewest, made.cost.loadings), tried))
