"""Loops and leaves sewn in passing, where a wandering line leaves room for them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.arrays import Floats, Points, arc_lengths
from quiltpath.geometry.free_curves.smooth_curve import simplify_curve

STEP = 0.06  # of a loop's radius, along the line and the figures
OVERLAP = 1.05  # how far, in radii, a loop swings back
FOOT = 0.5  # radii to either side of its place that a loop takes from the line
KEPT = 0.8  # radii that stay free between a figure and other strands and figures
OWN_KEPT, FOOT_CLEAR = 0.35, 0.95  # radii: to its own strand, from so far off its foot
NEAR = 3.0  # radii along the line that count as the figure's own place
MOST_BEND_DEG = 60.0  # a line that bends by more within a figure's foot holds none
LEAF_HIGH, LEAF_WIDE, LEAF_LEAN = 2.5, 0.62, 0.45  # radii; lean: along for one aside


@dataclass(frozen=True)
class FigurePlace:
    """Where a figure stands: millimetres along the line, and on which side, 1 for the left."""

    way: float
    side: float


def with_loops(
    line: Points,
    room: BaseGeometry,
    radius_mm: float,
    every_mm: float,
    figures: tuple[str, ...] = ("loop",),
) -> Points:
    """The closed line (n, 2) with loops of that radius, about ``every_mm`` from one to the next.

    ``figures`` are ``"loop"`` or ``"leaf"``, taken by turns. Each stands inside ``room`` where
    nothing else comes near, to the left and to the right by turns where both are free. The line is
    as smooth as before but for the leaves' ends; each loop crosses itself once, leaves do not.
    """
    course = _Course(line, STEP * radius_mm)
    parts, reached, foot = [], 0.0, FOOT * radius_mm
    for way, figure, name in _figures(course, room, radius_mm, every_mm, figures):
        parts.append(course.between(reached, way - foot))
        if name == "leaf":
            halves = course.between(way - foot, way), course.between(way, way + foot)
            figure = np.concatenate([halves[0], figure, halves[1]])
        parts.append(figure)
        reached = way + foot
    parts.append(course.between(reached, course.length))
    whole = np.concatenate(parts)
    return simplify_curve(np.vstack([whole, whole[:1]]))


def _figures(
    course: _Course,
    room: BaseGeometry,
    radius_mm: float,
    every_mm: float,
    names: tuple[str, ...],
) -> Iterator[tuple[float, Points, str]]:
    """Where along the line figures stand, the points of each, and what it is."""
    inner = shapely.buffer(room, -KEPT * radius_mm / 2)
    shapely.prepare(inner)
    strands = cKDTree(course.points)
    taken: list[Points] = []
    feet = np.empty((int(course.length / every_mm) + 1, 2))
    reach_mm = 2 * (max(2.0, LEAF_HIGH) + KEPT + FOOT) * radius_mm
    way, side, number = every_mm / 2, 1.0, 0
    while way < course.length - every_mm / 2:
        name = names[number % len(names)]
        draw = _leaf if name == "leaf" else _loop
        sides = () if _bends(course, way, radius_mm) else (side, -side)
        here = course.at(np.array([way]))[0]
        beside = np.abs(feet[: len(taken)] - here).max(axis=1) < reach_mm
        near = [taken[other] for other in np.flatnonzero(beside)]
        tree = cKDTree(np.concatenate(near)) if near else None
        drawn = ((turn, draw(course, FigurePlace(way, turn), radius_mm)) for turn in sides)
        free = (
            (turn, figure)
            for turn, figure in drawn
            if shapely.contains_xy(inner, figure[:, 0], figure[:, 1]).all()
            and _is_free(course, strands, way, figure, radius_mm)
            and (tree is None or tree.query(figure)[0].min() > KEPT * radius_mm)
        )
        if found := next(free, None):
            turn, figure = found
            feet[len(taken)] = here
            taken.append(figure)
            yield way, figure, name
            way, side, number = way + every_mm, -turn, number + 1
        else:
            way += radius_mm / 4


class _Course:
    """A closed line by its length."""

    def __init__(self, line: Points, step_mm: float) -> None:
        self.step_mm = step_mm
        self.points = shapely.get_coordinates(shapely.segmentize(LineString(line), step_mm))
        self.way = arc_lengths(self.points)
        self.length = float(self.way[-1])

    def at(self, way: Floats) -> Points:
        way = np.mod(way, self.length)
        return np.stack([np.interp(way, self.way, part) for part in self.points.T], axis=1)

    def between(self, start: float, end: float) -> Points:
        count = max(1, int(np.ceil((end - start) / self.step_mm)))
        return self.at(start + (end - start) * np.arange(count) / count)

    def axes(self, place: FigurePlace, reach_mm: float) -> tuple[Points, Points]:
        """Unit vectors along the line at a place and to the figure's side."""
        before, after = self.at(place.way + np.array([-reach_mm, reach_mm]))
        along = (after - before) / np.hypot(*(after - before))
        return along, place.side * np.array([-along[1], along[0]])


def _bends(course: _Course, way: float, radius_mm: float) -> bool:
    """Whether the line turns too much where a figure would stand."""
    before, here, after = course.at(way + radius_mm * np.array([-1.0, 0.0, 1.0]))
    first, second = here - before, after - here
    cosine = first @ second / np.hypot(*first) / np.hypot(*second)
    return bool(cosine < np.cos(np.radians(MOST_BEND_DEG)))


def _is_free(
    course: _Course, strands: cKDTree, way: float, figure: Points, radius_mm: float
) -> bool:
    """Whether no strand comes near a figure, and the line itself only where it stands."""
    foot = course.at(np.array([way]))[0]
    away = figure[np.hypot(*(figure - foot).T) > FOOT_CLEAR * radius_mm]
    if strands.query(away)[0].min() < OWN_KEPT * radius_mm:
        return False
    near = strands.query_ball_point(away, KEPT * radius_mm)
    met = course.way[np.unique(np.concatenate(near)).astype(int)]
    off = np.abs((met - way + course.length / 2) % course.length - course.length / 2)
    return bool((off <= NEAR * radius_mm).all())


def _loop(course: _Course, place: FigurePlace, radius_mm: float) -> Points:
    """A loop in passing: forwards, up and over backwards, and on where the line goes on."""
    along, aside = course.axes(place, FOOT * radius_mm)
    turn = np.linspace(0, 2 * np.pi, round(2 * np.pi / STEP), endpoint=False)
    line = course.at(place.way + FOOT * radius_mm * (turn / np.pi - 1))
    swing = OVERLAP * radius_mm * np.sin(turn)
    high = radius_mm * (1 - np.cos(turn))
    return np.asarray(line + swing[:, None] * along + high[:, None] * aside)


def _leaf(course: _Course, place: FigurePlace, radius_mm: float) -> Points:
    """A pointed leaf that leans forwards, out along its far side and back along the near one."""
    along, aside = course.axes(place, FOOT * radius_mm)
    axis = aside + LEAF_LEAN * along
    axis /= np.hypot(*axis)
    ahead = along - (along @ axis) * axis
    ahead /= np.hypot(*ahead)
    share = np.linspace(0, 1, round(LEAF_HIGH / STEP))
    wide = LEAF_WIDE * radius_mm * np.sin(np.pi * share**0.8)
    spine = course.at(np.array([place.way])) + LEAF_HIGH * radius_mm * share[:, None] * axis
    out, back = spine + wide[:, None] * ahead, spine - wide[:, None] * ahead
    return np.asarray(np.concatenate([out, back[-2::-1]]))
