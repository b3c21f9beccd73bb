"""Loops and leaves along a wandering line, counted by crossings, turns and tips."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon, box

from quiltpath.geometry.free_curves.line_loops import with_loops
from tests.patterns.runners import disc, drawn, plain

ROOM = box(0, 0, 400, 300)
RUNNER = plain(420, 300, motifs=(disc(200, 150, 50),))


def turns(line: np.ndarray) -> int:
    """Whole turns of a closed line's direction."""
    way = np.diff(np.vstack([line, line[1:2]]), axis=0)
    heading = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    return round(abs(heading[-1] - heading[0]) / (2 * np.pi))


def crossings(line: np.ndarray) -> int:
    """Places where a line meets itself, by noding it (GEOS)."""
    noded = shapely.get_parts(shapely.node(LineString(line)))
    ends = np.round([p for part in noded for p in (part.coords[0], part.coords[-1])], 4)
    _, degree = np.unique(ends, axis=0, return_counts=True)
    return int(np.count_nonzero(degree == 4))


def oval() -> np.ndarray:
    turn = np.linspace(0, 2 * np.pi, 721)
    return np.column_stack([200 + 150 * np.cos(turn), 150 + 100 * np.sin(turn)])


@pytest.mark.parametrize("figures", [("loop",), ("leaf",), ("loop", "leaf")])
def test_each_loop_crosses_itself_once_and_leaves_do_not(figures: tuple[str, ...]) -> None:
    """Ramanujan's ellipse of 150 by 100 mm is 793.2 mm round: with 60 mm from one to the next, and
    half of that before the first and after the last, 13 figures. A closed line that crosses itself
    n times turns at most n + 1 times round (Whitney 1937), and loops to both sides take from each
    other what they add."""
    line = with_loops(oval(), ROOM, 9.0, 60.0, figures)
    loops = {("loop",): 13, ("leaf",): 0, ("loop", "leaf"): 7}[figures]
    leaves = 13 - loops
    met = crossings(line)
    assert loops <= met <= loops + leaves, "a leaf touches itself at its foot"
    away = np.abs(LineString(oval()).distance(shapely.points(line)))
    tips = np.flatnonzero((away > 15) & (away >= np.roll(away, 1)) & (away > np.roll(away, -1)))
    assert len(tips) == 13
    assert turns(line) <= met + 1


def test_figures_stand_to_both_sides_by_turns_and_stay_inside() -> None:
    line = with_loops(oval(), ROOM, 9.0, 60.0)
    inside = shapely.contains_xy(Polygon(oval()), line[:, 0], line[:, 1])
    off = shapely.distance(LineString(oval()), shapely.points(line)) > 12
    sides = [bool(at) for at, far in zip(inside, off, strict=True) if far]
    changes = sum(a != b for a, b in pairwise(sides))
    assert changes == 12
    tight = box(45, 45, 355, 255)
    assert tight.contains(LineString(with_loops(oval(), tight, 9.0, 60.0)))


@pytest.mark.parametrize("figure", ["loops", "leaves", "loops and leaves"])
def test_it_is_one_line_round_motifs_that_keeps_off_them(figure: str) -> None:
    """Inside the inset and off the clearance, and nothing is left bare: no spot lies farther than
    1.3 spacings from the line, corners included, read on a grid of 3 mm."""
    lines = drawn(RUNNER, "loops", figure=figure, spacing="about 24 mm", clearance=8, inset=6)
    (line,) = lines.geometry
    assert line.is_closed
    assert line.distance(RUNNER.motifs[0].shape) >= 8 - 0.05
    assert box(6, 6, 414, 294).covers(line)
    x, y = np.meshgrid(np.arange(7, 413, 3.0), np.arange(7, 293, 3.0))
    spots = shapely.points(x.ravel(), y.ravel())
    clear = RUNNER.outline.difference(RUNNER.motifs[0].shape.buffer(8))
    spots = spots[shapely.contains(clear, spots)]
    assert shapely.distance(line, spots).max() <= 1.3 * 24


def test_another_seed_wanders_elsewhere_and_the_same_does_not() -> None:
    first, again, other = (
        drawn(RUNNER, "loops", spacing="about 24 mm", seed=seed).geometry[0] for seed in (1, 1, 2)
    )
    assert first.equals(again) and not first.equals(other)


def test_loops_are_round_enough_to_steer() -> None:
    """No bend of a loop is tighter than half its radius, read by circles through three points."""
    line = with_loops(oval(), ROOM, 9.0, 60.0)
    dense = shapely.get_coordinates(shapely.segmentize(LineString(line), 1.0))[:-1]
    smooth = dense[::3]
    a, b = smooth - np.roll(smooth, 1, 0), np.roll(smooth, -1, 0) - smooth
    c = a + b
    area = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    radius = np.hypot(*a.T) * np.hypot(*b.T) * np.hypot(*c.T) / np.maximum(2 * area, 1e-9)
    assert radius.min() >= 4.5
