"""How far taped pages may creep: every join adds its own small error, and check marks show where.

With an error of e at each of n joins the far end is off by n e at worst, when all go the same way,
and by sqrt(n) e typically: the root mean square of n independent errors of that size.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from quiltpath.output.drawing import GREY, Group, Line, Style, Text
from quiltpath.output.paper.tiling import Tiling

EACH_MM = 0.5
"""How true a join is taped by eye (common practice)."""

CROSS_MM = 3.0
MARK = Style(GREY, 0.25)


@dataclass(frozen=True)
class TapingBudget:
    """Joins in a row from the first page to the last, and the error of each in mm."""

    joins: int
    each_mm: float = EACH_MM

    @property
    def worst_mm(self) -> float:
        """All errors the same way."""
        return self.joins * self.each_mm

    @property
    def typical_mm(self) -> float:
        """Root mean square of independent errors."""
        return math.sqrt(self.joins) * self.each_mm


def along_and_up(tiling: Tiling) -> tuple[TapingBudget, TapingBudget]:
    """The most joins between printed pages of one row, and of one column."""
    return TapingBudget(_most(tiling.needed)), TapingBudget(_most(tiling.needed.T))


def _most(needed: np.ndarray) -> int:
    """Joins between the first and the last page of the longest row."""
    spans = [np.flatnonzero(row) for row in needed]
    return max((int(span[-1] - span[0]) for span in spans if len(span)), default=0)


def check_distance_mm(tiling: Tiling, row: int, column: int) -> float:
    """From the check mark of the first printed page of the row to this page's."""
    first = int(np.flatnonzero(tiling.needed[row])[0])
    return _middle(tiling, column) - _middle(tiling, first)


def _middle(tiling: Tiling, column: int) -> float:
    return float(tiling.across[column] + tiling.across[column + 1]) / 2


def check_mark(tiling: Tiling, row: int, column: int) -> Group:
    """A small cross in the middle of a page's cell with its distance from the row's first one.

    In the coordinates of the page's window. Pages without a neighbour in their row have none.
    """
    if np.count_nonzero(tiling.needed[row]) < 2:
        return Group("check mark")
    x0, y0, x1, y1 = tiling.cell(row, column)
    left, low, _, _ = tiling.window(row, column)
    x, y = (x0 + x1) / 2 - left, (y0 + y1) / 2 - low
    arms = np.array([(-CROSS_MM, 0.0), (CROSS_MM, 0.0)])
    level, upright = arms + np.array([x, y]), arms[:, ::-1] + np.array([x, y])
    words = f"check {check_distance_mm(tiling, row, column):.1f} mm"
    items = (
        Line(level, MARK),
        Line(upright, MARK),
        Text((x + 1.0, y + 1.0), words, 2.5, colour=GREY),
    )
    return Group("check mark", items, title=words)


def in_words(tiling: Tiling) -> str:
    """What the joins may come to, and how to see it; empty where nothing is joined."""
    along, up = along_and_up(tiling)
    told = [
        f"{budget.joins} {'joins' if budget.joins > 1 else 'join'} {way} may come to"
        f" {budget.worst_mm:.1f} mm at worst, {budget.typical_mm:.1f} mm typically"
        for budget, way in ((along, "along"), (up, "up"))
        if budget.joins
    ]
    if not told:
        return ""
    text = f"Taped to within {EACH_MM} mm each, {' and '.join(told)}."
    if along.joins:
        text += (
            " Lay a tape measure along the small crosses of a row: each says how far it should be"
            " from the first. Where one is off, the join before it crept; tape that one again."
        )
    return text
