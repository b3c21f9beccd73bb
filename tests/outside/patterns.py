"""Patterns: arc lengths, areas and counts in closed form or integrated by scipy."""

from __future__ import annotations

import math

import numpy as np
import shapely
from scipy.integrate import quad
from scipy.spatial.distance import pdist
from shapely.geometry import Polygon

from quiltpath.geometry.curves import arc, arc_between, circle, round_corners
from quiltpath.patterns import Lines
from quiltpath.patterns.medallions import involute
from quiltpath.patterns.spacing import even_gap
from tests.outside.check import outside
from tests.patterns.paths import fewest_runs
from tests.patterns.runners import disc, drawn, plain

ARC = "closed form: r times the angle"


def length(points: np.ndarray) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def sewn(lines: Lines) -> float:
    return float(shapely.length(lines.geometry).sum())


@outside("patterns", "circle of radius 100: its length", "closed form: 2 pi r", 200 * math.pi, 0.15)
def circumference() -> float:
    return length(circle((0, 0), 100.0))


@outside(
    "patterns", "circle of radius 100: its area", "closed form: pi r squared", math.pi * 1e4, 10.0
)
def area() -> float:
    return float(Polygon(circle((0, 0), 100.0)).area)


@outside("patterns", "quarter circle of radius 60: its length", ARC, 30 * math.pi, 0.05)
def quarter() -> float:
    return length(arc((5.0, 5.0), 60.0, 0, 90))


@outside(
    "patterns",
    "arc of 120 degrees on a chord of 100: its height",
    "closed form: c / 2 tan(angle / 4)",
    50 * math.tan(math.pi / 6),
    0.02,
)
def sagitta() -> float:
    points = arc_between(np.array([0.0, 0.0]), np.array([100.0, 0.0]), 120.0)
    return float(np.abs(points[:, 1]).max())


@outside(
    "patterns",
    "right corner rounded by 20 mm: length saved",
    "closed form: (2 - pi / 2) r",
    (2 - math.pi / 2) * 20,
    0.02,
)
def corner() -> float:
    return 200 - length(round_corners(np.array([(0.0, 0.0), (100.0, 0.0), (100.0, 100.0)]), 20.0))


@outside(
    "patterns",
    "involute of a circle of 4 mm after five turns: its length",
    "closed form: a t squared / 2",
    2 * (10 * math.pi) ** 2,
    0.5,
)
def involute_length() -> float:
    return length(involute(4.0, 10 * math.pi))


@outside(
    "patterns",
    "involute of a circle of 4 mm: from turn to turn",
    "closed form: 2 pi a",
    8 * math.pi,
    0.03,
)
def involute_turns() -> float:
    """On the tangent of the circle at angle t the curve lies a t from the circle."""
    places = involute(4.0, 8 * math.pi) / 4.0
    turn = np.sqrt(np.maximum((places**2).sum(axis=1) - 1, 0.0))
    at = [
        np.array([np.interp(t, turn, places[:, axis]) for axis in (0, 1)])
        for t in (10.0, 10.0 + 2 * math.pi)
    ]
    return float(4.0 * np.hypot(*(at[1] - at[0])))


@outside(
    "patterns",
    "gentle wave 2000 long, 200 from crest to crest, 20 high",
    "scipy.integrate.quad of the sine's arc length",
    10 * quad(lambda x: math.hypot(1, 0.1 * math.pi * math.cos(math.pi * x / 100)), 0, 200)[0],
    1.0,
)
def wave() -> float:
    lines = drawn(plain(2000, 300), "waves", spacing=100, wave=200, height=20)
    return float(shapely.length(lines.geometry).max())


@outside(
    "patterns",
    "serpentine of half circles along 2000 mm: way over length",
    "closed form: pi / 2",
    math.pi / 2,
    0.001,
)
def serpentine() -> float:
    lines = drawn(plain(2000, 300), "serpentine", spacing=100, wave=200, sweep=180)
    return float(shapely.length(lines.geometry).max()) / 2000


@outside(
    "patterns",
    "clamshells of 100 on 1000 by 250: length",
    "closed form: 5 rows of 10 half circles",
    50 * math.pi * 50,
    2.0,
)
def clamshells() -> float:
    return sewn(drawn(plain(1000, 250), "clamshells", size=100, inset=0))


@outside(
    "patterns",
    "orange peel of 100: length of a petal's side",
    "closed form: quarter circle on a chord of 100",
    100 * math.pi / (2 * math.sqrt(2)),
    0.05,
)
def petal() -> float:
    points = arc_between(np.array([0.0, 0.0]), np.array([100.0, 0.0]), 90.0)
    return length(points)


@outside(
    "patterns", "overlapping circles of 120: nearest centres", "closed form: one radius", 60.0, 0.01
)
def circles() -> float:
    lines = drawn(plain(1200, 400), "overlapping-circles", size=120)
    middles = shapely.get_coordinates(shapely.centroid(lines.geometry))
    return float(pdist(middles).min())


@outside(
    "patterns",
    "overlapping circles of 120: length of each",
    "closed form: pi d",
    120 * math.pi,
    0.15,
)
def circle_length() -> float:
    lines = drawn(plain(1200, 400), "overlapping-circles", size=120)
    return float(shapely.length(lines.geometry).mean())


@outside(
    "patterns",
    "lengthwise lines 40 mm apart on 1830 by 320: length",
    "closed form: 7 lines",
    7 * 1830.0,
    1e-6,
)
def lengthwise() -> float:
    lines = drawn(plain(1830, 320), "straight", spacing=40)
    inner = [line for line in lines.geometry if 0.01 < line.coords[0][1] < 319.99]
    return float(sum(line.length for line in inner))


@outside(
    "patterns",
    "lines at 45 degrees, 50 mm apart: mean length on each square mm",
    "closed form: 1 / spacing, Cavalieri",
    1 / 50,
    0.0005,
)
def slanted() -> float:
    return sewn(drawn(plain(3000, 1500), "straight", spacing=50, angle=45)) / (3000 * 1500)


@outside(
    "patterns",
    "ring 15 mm round a disc of 60: its length",
    "Steiner: 2 pi (r + d)",
    150 * math.pi,
    0.3,
)
def ring() -> float:
    runner = plain(600, 400, motifs=(disc(300, 200, 60),))
    lines = drawn(runner, "echo", spacing=15, rings=1)
    return float(shapely.length(lines.geometry).min())


@outside("patterns", "about 40 mm on 310 mm, divided evenly", "arithmetic: 310 / 8", 38.75, 1e-9)
def even() -> float:
    return even_gap(310.0, 40.0)


@outside(
    "patterns",
    "clamshells in 5 rows: runs that graph theory asks for",
    "Euler and Listing, counted by networkx on GEOS's nodes",
    1,
)
def one_path() -> int:
    return fewest_runs(drawn(plain(1000, 250), "clamshells", size=100, inset=0).geometry)


@outside(
    "patterns",
    "orange peel: runs that graph theory asks for",
    "Euler and Listing, counted by networkx on GEOS's nodes",
    1,
)
def peel_path() -> int:
    return fewest_runs(drawn(plain(600, 400), "orange-peel", size=100).geometry)
