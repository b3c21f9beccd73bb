"""Guides: the lines that run square to an axis, between which a cell falls into even rows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_SHORTEST_MM = 20.0
"""a shorter line bounds no row that is worth following"""

_FAR_MM = 1e6
"""more than any length of cloth: puts the lines of each place in a range of numbers of its own"""


@dataclass(frozen=True)
class Guides:
    """Lines square to one axis, sorted by place and then by where they begin.

    ``place``        (g,) distinct places on the axis, mm
    ``place_of``     (k,) index of its place, for each line
    ``begin``, ``finish``  (k,) where each line begins and ends on the other axis, mm
    """

    place: Floats
    place_of: NDArray[np.intp]
    begin: Floats
    finish: Floats

    def spanned(self, place: NDArray[np.intp], low: Floats, high: Floats) -> NDArray[np.bool_]:
        """(n,) true where one line at the place covers low..high on the other axis."""
        keys = self.place_of * _FAR_MM + self.begin
        line = np.maximum(np.searchsorted(keys, place * _FAR_MM + low + 1e-6) - 1, 0)
        covers = (self.begin[line] <= low + 1e-6) & (self.finish[line] >= high - 1e-6)
        return covers & (self.place_of[line] == place)


def guides(start: Floats, end: Floats, axis: int) -> Guides:
    """The segments square to the axis, from (k, 2) ends; those that touch count as one."""
    along = np.abs(end - start)
    square = (along[:, axis] < 1e-3) & (along[:, 1 - axis] > _SHORTEST_MM)
    ends = np.stack([start[square, 1 - axis], end[square, 1 - axis]])
    place, place_of = np.unique(np.round(start[square, axis], 3), return_inverse=True)
    order = np.lexsort([ends.min(axis=0), place_of])
    return _merged(Guides(place, place_of[order], ends.min(axis=0)[order], ends.max(axis=0)[order]))


def _merged(lines: Guides) -> Guides:
    """The same guides with touching and overlapping lines of one place made one."""
    if len(lines.begin) == 0:
        return lines
    shift = lines.place_of * _FAR_MM
    reach = np.maximum.accumulate(lines.finish + shift)
    opens = np.concatenate([[True], (lines.begin + shift)[1:] > reach[:-1] + 1e-6])
    first = np.flatnonzero(opens)
    last = np.append(first[1:], len(opens)) - 1
    return Guides(lines.place, lines.place_of[first], lines.begin[first], (reach - shift)[last])
