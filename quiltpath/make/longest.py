"""The longest runner that something suffices for, found by halving.

What a runner takes only grows with its length, so the last length that fits is found without
trying all: first doubled until it is too much, then halved. A runner with a grid grows by blocks.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from quiltpath.errors import InputError
from quiltpath.make.compute import compute
from quiltpath.make.sizes import block_step_mm, resized, size_of
from quiltpath.project import Project
from quiltpath.result import Result
from quiltpath.units import MM_PER_INCH, both_units

STEP_MM = MM_PER_INCH / 8
LONGEST_STEPS = 8 * 360
"""Runners up to 10 yards."""


@dataclass(frozen=True)
class Longest:
    """The longest runner; ``blocks`` along it where it has a grid."""

    length_mm: float
    blocks: int | None = None

    @property
    def words(self) -> str:
        """Its length, and its blocks."""
        length = both_units(self.length_mm)
        return length if self.blocks is None else f"{length}, {self.blocks} blocks along"


def least(fits: Callable[[int], bool], low: int, high: int) -> int | None:
    """The least whole number from which on ``fits`` is true; None where it is not at ``high``."""
    if not fits(high):
        return None
    bottom = low - 1
    while high - bottom > 1:
        middle = (bottom + high) // 2
        bottom, high = (bottom, middle) if fits(middle) else (middle, high)
    while high > low and fits(high - 1):
        high -= 1
    return high


def greatest(fits: Callable[[int], bool], low: int, high: int) -> int | None:
    """The greatest whole number up to which ``fits`` is true; None where it is not at ``low``."""
    found = least(lambda number: fits(-number), -high, -low)
    return None if found is None else -found


def longest(project: Project, suffices: Callable[[Result], bool]) -> Longest | None:
    """The longest runner of this design that ``suffices``; None where not even the shortest does.

    For a project whose size may change by itself. Lengths go in steps of 1/8 in, or by blocks.
    """
    first, step = _range(project)

    @cache
    def made(number: int) -> Result | None:
        """None where the design cannot be so short: its ends or its motifs do not fit."""
        try:
            return compute(resized(project, first + number * step, size_of(project)[1]))
        except InputError:
            return None

    def fits(number: int) -> bool:
        result = made(number)
        return result is None or suffices(result)

    most = int((LONGEST_STEPS * STEP_MM - first) / step)
    top = max(1, round((size_of(project)[0] - first) / step))
    while top < most and fits(top):
        top *= 2
    found = greatest(fits, 0, min(top, most))
    result = None if found is None else made(found)
    if result is None:
        return None
    grid = result.project.grid
    return Longest(result.runner.length_mm, grid.along if grid else None)


def _range(project: Project) -> tuple[float, float]:
    """The shortest length tried and the step: one block, or about a square in steps of 1/8 in."""
    if project.grid is not None:
        return block_step_mm(project)
    return STEP_MM * math.ceil(size_of(project)[1] / STEP_MM - 1e-9), STEP_MM
