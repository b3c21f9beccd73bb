"""Alignment crosses by name: the same name at a cross on every sheet and in every list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quiltpath.geometry.arrays import Floats, distinct
from quiltpath.machine.parts import Part

ROW_MM = 0.1
"""Crosses whose distances from an edge differ by less stand in one row."""

SAME_MM = 1e-3


@dataclass(frozen=True, eq=False)
class CrossRow:
    """Crosses at one distance from an edge: ``axis`` 0 from the left end, 1 from the lower edge.

    ``first`` is the number of the first of them, ``places`` (n, 2) mm on the runner.
    """

    axis: int
    first: int
    places: Floats

    @property
    def names(self) -> list[str]:
        """Of each, in order."""
        return [cross_name(self.first + number) for number in range(len(self.places))]


def cross_name(number: int) -> str:
    """What a cross is called: no block, run or part is called so."""
    return f"x{number}"


def cross_rows(parts: Sequence[Part]) -> tuple[CrossRow, ...]:
    """Every cross once, in rows along the runner or across it, whichever makes fewer.

    Numbers run on from row to row, within each away from the edge that it is measured from.
    """
    every = distinct(np.round(np.vstack([part.crosses for part in parts]), 3), axis=0)
    rounded = np.round(every / ROW_MM).astype(int)
    axis = int(len(distinct(rounded[:, 0])) >= len(distinct(rounded[:, 1])))
    rows, first = [], 1
    for at in distinct(rounded[:, axis]):
        own = every[rounded[:, axis] == at]
        own = own[np.argsort(own[:, 1 - axis], kind="stable")]
        rows.append(CrossRow(axis, first, own))
        first += len(own)
    return tuple(rows)


def names_of(crosses: Floats, rows: Sequence[CrossRow]) -> tuple[str, ...]:
    """The names of some of the crosses that stand in ``rows``."""
    places = np.vstack([row.places for row in rows])
    near = np.abs(crosses[:, None] - places[None]).max(axis=2).argmin(axis=1)
    return tuple(cross_name(int(index) + 1) for index in near)
