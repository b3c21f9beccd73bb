"""A guide bar rides on a line that is sewn: from which end each straight line is entered.

Seen from the seat of a domestic machine the throat is to the right of the needle, and cloth moves
away from you, so on the cloth the needle travels towards you: the throat lies on the left-hand
side of its direction. Parallel rows are sewn from the row nearest the runner's middle outwards,
each half with the smaller side of the runner in the throat. Then the row sewn before lies to the
left of the needle all the time, where the bar is, and one half turn of the work between the halves
is enough (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import Floats
from quiltpath.patterns import Lines
from quiltpath.routing.runs import PieceKind, Runs

SAME_ROW_MM = 0.05
ANGLE_STEPS = 1000
"""Slopes are told apart to a thousandth of a degree."""


@dataclass(frozen=True)
class ParallelRows:
    """Parallel straight lines of one layer in one region, as rows along their normal.

    ``layer``, ``place``  layer index and region
    ``angle_deg``  slope of the lines, from 0 up to 180
    ``row_mm``     (k,) places of the rows along the normal, increasing
    ``runner_mm``  the runner's extent along the normal
    ``members``    the quilting lines of each row
    """

    layer: int
    place: str
    angle_deg: float
    row_mm: Floats
    runner_mm: tuple[float, float]
    members: tuple[tuple[int, ...], ...]

    @property
    def along(self) -> Floats:
        """Unit vector of the lines."""
        return along_of(self.angle_deg)

    @property
    def middle_row(self) -> int:
        """The row nearest the middle of the runner."""
        return int(np.abs(self.row_mm - sum(self.runner_mm) / 2).argmin())

    def throat_mm(self, row: int, forwards: bool) -> float:
        """How much of the runner lies in the throat while a row is sewn."""
        at = float(self.row_mm[row])
        return at - self.runner_mm[0] if forwards else self.runner_mm[1] - at


@dataclass(frozen=True)
class BarStep:
    """One row: which it is, which way it is sewn, and how the bar is set.

    ``row``        index into the family's rows
    ``forwards``   true where it is sewn along ``ParallelRows.along``
    ``follows``    the sewn row that the bar rides on, None for the first row, which is marked
    ``setting_mm`` distance from the needle to that row
    ``turn``       true where the work is turned by half a turn before it
    """

    row: int
    forwards: bool
    follows: int | None
    setting_mm: float | None
    turn: bool


def along_of(angle_deg: float) -> Floats:
    """Unit vector at an angle; its normal, :func:`normal_of`, is on its right-hand side."""
    radians = np.radians(angle_deg)
    return np.array([np.cos(radians), np.sin(radians)])


def normal_of(along: Floats) -> Floats:
    """The unit vector on the right-hand side."""
    return np.array([along[1], -along[0]])


def parallel_rows(
    lines: Lines, layers: Sequence[int], outline: Polygon
) -> tuple[ParallelRows, ...]:
    """The straight lines of ``layers``, by layer, slope and region, each with its rows."""
    straight = shapely.get_num_coordinates(lines.geometry) == 2
    chosen = np.flatnonzero(np.isin(lines.layer, list(layers)) & straight)
    if not len(chosen):
        return ()
    ends = shapely.get_coordinates(lines.geometry[chosen]).reshape(-1, 2, 2)
    ahead = ends[:, 1] - ends[:, 0]
    slope = np.degrees(np.arctan2(ahead[:, 1], ahead[:, 0])) % 180
    step = np.round(slope * ANGLE_STEPS).astype(np.int64) % (180 * ANGLE_STEPS)
    names, place = np.unique(lines.source[chosen].astype(str), return_inverse=True)
    corners = shapely.get_coordinates(outline.exterior)
    keys = np.stack([lines.layer[chosen], place, step], axis=1)
    order = np.lexsort(keys.T[::-1])
    starts = np.flatnonzero((np.diff(keys[order], axis=0) != 0).any(axis=1)) + 1
    found = []
    for mine in np.split(order, starts):
        layer, where, angle = keys[mine[0]].tolist()
        across = corners @ normal_of(along_of(angle / ANGLE_STEPS))
        extent = float(across.min()), float(across.max())
        rows, members = _rows(angle / ANGLE_STEPS, chosen[mine], ends[mine].mean(axis=1))
        name = str(names[where])
        found.append(ParallelRows(layer, name, angle / ANGLE_STEPS, rows, extent, members))
    return tuple(found)


def _rows(
    angle_deg: float, line: NDArray[np.intp], middles: Floats
) -> tuple[Floats, tuple[tuple[int, ...], ...]]:
    """Places of the rows along the normal, and the lines of each in order along it."""
    along = along_of(angle_deg)
    at = middles @ normal_of(along)
    order = np.lexsort([middles @ along, np.round(at / SAME_ROW_MM)])
    at, line = at[order], line[order]
    starts = np.flatnonzero(np.diff(at, prepend=-np.inf) > SAME_ROW_MM)
    return at[starts], tuple(tuple(part.tolist()) for part in np.split(line, starts[1:]))


def bar_steps(family: ParallelRows) -> tuple[BarStep, ...]:
    """The rows in the order in which the bar always has a sewn row to its left."""
    count, middle = len(family.row_mm), family.middle_row
    up, down = range(middle + 1, count), range(middle - 1, -1, -1)
    outwards = [middle, *up, *down] if _upper(family, middle) else [middle, *down, *up]
    steps: list[BarStep] = []
    for row in outwards:
        upper = _upper(family, row)
        follows = None if row == middle else row - 1 if upper else row + 1
        gap = None if follows is None else abs(float(family.row_mm[row] - family.row_mm[follows]))
        turn = bool(steps) and steps[-1].forwards == upper
        # The throat is on the left-hand side: rows on the side of the normal are sewn backwards.
        steps.append(BarStep(row, not upper, follows, gap, turn))
    return tuple(steps)


def _upper(family: ParallelRows, row: int) -> bool:
    """Whether a row is sewn with the half: its own side of the runner's middle, or the rest's."""
    middle = family.middle_row
    if row != middle:
        return row > middle
    return float(family.row_mm[row]) >= sum(family.runner_mm) / 2 - SAME_ROW_MM


def throat_side(forwards: bool) -> float:
    """Sign, along the family's normal, of the side that lies in the throat."""
    return -1.0 if forwards else 1.0


@dataclass(frozen=True)
class OrderCheck:
    """How the sewing order on the guide suits a bar.

    ``rows``        rows in all
    ``following``   rows next to one that is sewn already, on the side away from the throat
    ``bulk_out``    rows with no more of the runner in the throat than outside
    """

    rows: int
    following: int
    bulk_out: int


def check_order(family: ParallelRows, runs: Runs) -> OrderCheck:
    """The order and directions in which ``runs`` sew the family, held against the same rules."""
    order, forwards = _sewn(family, runs)
    half = (family.runner_mm[1] - family.runner_mm[0]) / 2
    sewn: set[int] = set()
    following = bulk_out = 0
    for row, ahead in zip(order, forwards, strict=True):
        following += row - int(throat_side(ahead)) in sewn
        bulk_out += family.throat_mm(row, ahead) <= half + SAME_ROW_MM
        sewn.add(row)
    return OrderCheck(len(family.row_mm), following, bulk_out)


def _sewn(family: ParallelRows, runs: Runs) -> tuple[list[int], list[bool]]:
    """Rows in the order in which their first line is sewn, and whether forwards."""
    row_of = {line: row for row, members in enumerate(family.members) for line in members}
    mine = np.flatnonzero(
        (runs.piece_kind == PieceKind.LINE) & np.isin(runs.piece_line, list(row_of))
    )
    order: list[int] = []
    forwards: list[bool] = []
    first, last = runs.piece_start[mine], runs.piece_start[mine + 1] - 1
    ahead = (runs.coordinates[last] - runs.coordinates[first]) @ family.along > 0
    for line, way in zip(runs.piece_line[mine].tolist(), ahead.tolist(), strict=True):
        if row_of[line] not in order:
            order.append(row_of[line])
            forwards.append(way)
    return order, forwards
