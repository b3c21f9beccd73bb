"""Numbers and arrows that show the sewing order on a drawing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.drawing.page_model import GREY, INK, Group, Item, Polylines, Style, Text
from quiltpath.geometry.arrays import Points, arc_lengths
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import say, say_count
from quiltpath.routing import Runs

TEXT_MM = 5.0
DIGIT_SHARE = 0.556
"""Every digit of Helvetica is 0.556 of its size wide (Adobe's core font metrics)."""

NEAR_EDGE_MM = 30.0
CLEAR_SHARE = 1.0
"""Room between the edge and its numbers, in heights of a number."""

CELLS_AWAY = 4
LEADER = Style(GREY, 0.2)
ARROW = Style(INK, 0.4)
ARROW_MM = 3.5
FIRST_ARROW_MM = 30.0
ARROW_EVERY_MM = 300.0


@dataclass(frozen=True)
class RunNumbers:
    """Numbers of the runs as a group, and how many of them found room."""

    group: Group
    shown: int
    of: int

    @property
    def note(self) -> str:
        """What a reader should know about the numbers."""
        if self.shown == self.of:
            starts = say_count(self.of, "start", "starts")
            return say("{starts}, numbered in the order of sewing", starts=starts)
        return say(
            "{of} starts in the order of sewing; {shown} of them numbered, for room",
            of=self.of,
            shown=self.shown,
        )


@dataclass(frozen=True)
class _Side:
    """One side of the finished rectangle: axis its numbers spread along, and which way is out."""

    along: int
    outward: float
    edge: float
    low: float
    high: float


def number_runs(runner: Runner, runs: Runs, text_mm: float = TEXT_MM) -> RunNumbers:
    """A number for every run start that has room, ``text_mm`` high.

    Runs that start at or past the edge are numbered outside it, spread so that no two numbers
    touch, with a leader to the start; those that start inside carry their number there or, where
    that is taken, beside it with a leader.
    """
    if not len(runs):
        return RunNumbers(Group("sewing order"), 0, 0)
    starts = runs.ends[:, 0]
    points = shapely.points(starts)
    outside = ~shapely.contains(runner.outline, points)
    near = outside | (shapely.distance(points, runner.outline.exterior) <= NEAR_EDGE_MM)
    cell = (DIGIT_SHARE * len(str(len(runs))) + 0.4) * text_mm, 1.25 * text_mm
    items: list[Item] = []
    for side, members in _sides(runner, starts, np.flatnonzero(near)):
        items += _beside(side, starts, members, cell, text_mm)
    items += _at_starts(_before(runs, text_mm), np.flatnonzero(~near), cell, text_mm)
    shown = sum(isinstance(item, Text) for item in items)
    return RunNumbers(Group("sewing order", tuple(items)), shown, len(runs))


def _sides(
    runner: Runner, starts: Points, near: NDArray[np.intp]
) -> list[tuple[_Side, NDArray[np.intp]]]:
    """The four sides, each with the run starts that lie nearest to it."""
    x0, y0, x1, y1 = runner.outline.bounds
    x, y = starts[near].T
    nearest = np.argmin(np.stack([y - y0, y1 - y, x - x0, x1 - x]), axis=0)
    sides = (
        _Side(0, -1.0, y0, x0, x1),
        _Side(0, 1.0, y1, x0, x1),
        _Side(1, -1.0, x0, y0, y1),
        _Side(1, 1.0, x1, y0, y1),
    )
    return [(side, near[nearest == number]) for number, side in enumerate(sides)]


def _beside(
    side: _Side,
    starts: Points,
    members: NDArray[np.intp],
    cell: tuple[float, float],
    text_mm: float,
) -> list[Item]:
    if not len(members):
        return []
    members = members[np.argsort(starts[members, side.along], kind="stable")]
    gap = cell[side.along]
    members = thin_out(members, int((side.high - side.low) / gap) + 1)
    places = spread_apart(starts[members, side.along], gap, side.low, side.high)
    out = (starts[members, 1 - side.along] - side.edge) * side.outward
    level = side.edge + side.outward * (max(float(out.max()), 0.0) + CLEAR_SHARE * text_mm)
    anchors = np.empty((len(members), 2))
    anchors[:, side.along], anchors[:, 1 - side.along] = places, level
    leaders = np.stack([starts[members], anchors], axis=1).reshape(-1, 2)
    offsets = np.arange(0, len(leaders) + 1, 2)
    return [Polylines(leaders, offsets, LEADER), *_texts(side, anchors, members, text_mm)]


def _texts(side: _Side, anchors: Points, members: NDArray[np.intp], text_mm: float) -> list[Item]:
    if side.along == 0:
        below = -0.9 * text_mm
        anchor, shift = "middle", (0.0, 0.2 * text_mm if side.outward > 0 else below)
    else:
        anchor = "start" if side.outward > 0 else "end"
        shift = 0.2 * text_mm * side.outward, -0.36 * text_mm
    placed = (anchors + shift).tolist()
    return [
        Text((x, y), str(number + 1), text_mm, anchor)
        for (x, y), number in zip(placed, members.tolist(), strict=True)
    ]


def thin_out(members: NDArray[np.intp], most: int) -> NDArray[np.intp]:
    """Every k-th member, with the least k that leaves no more than ``most``."""
    return members[:: max(1, -(-len(members) // max(1, most)))]


def spread_apart(places: Points, gap: float, low: float, high: float) -> Points:
    """Sorted places moved as little as may be (least squares) so that neighbours are ``gap`` apart.

    With the gaps taken off this is isotonic regression, solved by pooling adjacent violators
    (Barlow, Bartholomew, Bremner and Brunk, 1972); the result is then kept within low .. high.
    """
    steps = gap * np.arange(len(places))
    pools: list[tuple[float, int]] = []
    for value in np.clip(places, low, high) - steps:
        pools.append((float(value), 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (one, n), (other, m) = pools[-2], pools[-1]
            pools[-2:] = [((one * n + other * m) / (n + m), n + m)]
    flat = np.repeat([value for value, _ in pools], [count for _, count in pools])
    return np.clip(flat, low, max(low, high - steps[-1])) + steps


def _before(runs: Runs, text_mm: float) -> Points:
    """(r, 2) middles for numbers just behind each start, so that they cover no arrow."""
    first = runs.vertex_start[:-1]
    ahead = runs.coordinates[first + 1] - runs.coordinates[first]
    length = np.hypot(*ahead.T)[:, None]
    return runs.coordinates[first] - ahead / np.where(length > 0, length, 1.0) * (text_mm * 0.9)


def _at_starts(
    middles: Points, members: NDArray[np.intp], cell: tuple[float, float], text_mm: float
) -> list[Item]:
    """Numbers at starts inside the runner, each in a cell of its own near its start."""
    taken: set[tuple[int, int]] = set()
    texts: list[Item] = []
    leaders: list[tuple[float, float]] = []
    for number in members.tolist():
        x, y = middles[number].tolist()
        wished = round(x / cell[0]), round(y / cell[1])
        free = next((at for at in _cells_around(wished) if at not in taken), None)
        if free is None:
            continue
        taken.add(free)
        placed = free[0] * cell[0], free[1] * cell[1]
        if free != wished:
            leaders += [(x, y), placed]
        at = placed[0], placed[1] - 0.36 * text_mm
        texts.append(Text(at, str(number + 1), text_mm, "middle"))
    drawn = Polylines(np.array(leaders).reshape(-1, 2), np.arange(0, len(leaders) + 1, 2), LEADER)
    return [drawn, *texts] if leaders else texts


def _cells_around(wished: tuple[int, int]) -> list[tuple[int, int]]:
    """The cells near one, the nearest first."""
    reach = range(-CELLS_AWAY, CELLS_AWAY + 1)
    steps = sorted((i * i + j * j, i, j) for i in reach for j in reach)
    return [(wished[0] + i, wished[1] + j) for _, i, j in steps]


def arrows(
    runs: Runs,
    head_mm: float = ARROW_MM,
    first_mm: float = FIRST_ARROW_MM,
    every_mm: float = ARROW_EVERY_MM,
) -> Group:
    """Open arrowheads along the runs, the first near each start, then every ``every_mm``."""
    if not len(runs):
        return Group("directions")
    along = arc_lengths(runs.coordinates)
    first, last = along[runs.vertex_start[:-1]], along[runs.vertex_start[1:] - 1]
    length = last - first
    begin = np.minimum(first_mm, length / 2)
    count = 1 + ((length - begin) // every_mm).astype(np.intp)
    run = np.repeat(np.arange(len(runs)), count)
    nth = np.arange(len(run)) - np.repeat(np.cumsum(count) - count, count)
    tips, direction = _on_run(runs, along, first[run] + begin[run] + nth * every_mm)
    heads = _heads(tips, direction, head_mm)
    drawn = Polylines(heads.reshape(-1, 2), np.arange(0, 3 * len(tips) + 1, 3), ARROW)
    return Group("directions", (drawn,), title="direction of sewing")


def _on_run(runs: Runs, along: Points, at: Points) -> tuple[Points, Points]:
    """Points and unit directions at arc lengths."""
    segment = np.clip(np.searchsorted(along, at, side="left") - 1, 0, len(along) - 2)
    start, end = runs.coordinates[segment], runs.coordinates[segment + 1]
    span = along[segment + 1] - along[segment]
    span = np.where(span > 0, span, 1.0)
    direction = (end - start) / span[:, None]
    return start + direction * (at - along[segment])[:, None], direction


def _heads(tips: Points, direction: Points, head_mm: float) -> Points:
    """(n, 3, 2) barb, tip, barb."""
    normal = np.stack([-direction[:, 1], direction[:, 0]], axis=1)
    back, half = tips - direction * head_mm, normal * (head_mm * 0.45)
    return np.stack([back + half, tips, back - half], axis=1)
