"""The widest unquilted place: closed forms, a Voronoi diagram, brute force, packets."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial import Voronoi
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.checks import wadding_limit_mm, widest_gaps
from quiltpath.units import MM_PER_INCH
from tests.checks.drawings import parallel, random_drawing, raster_gap
from tests.outside.check import outside

RUNNER = box(0, 0, 800, 320)


def widest(lines: list[LineString], outline: Polygon = RUNNER) -> float:
    return widest_gaps(lines, outline, count=1).widest_mm


@outside("gap", "lines 1 in apart at 30 degrees", "closed form: the spacing", 25.4, 0.05)
def parallel_lines() -> float:
    return widest(parallel(25.4, RUNNER, 30))


@outside("gap", "square grid of 40 mm on the bias", "closed form: the side of a square", 40.0, 0.05)
def bias_grid() -> float:
    return widest(parallel(40, RUNNER, 45) + parallel(40, RUNNER, 135))


@outside("gap", "lines 40 mm apart, one left out", "closed form: twice the spacing", 80.0, 0.05)
def one_left_out() -> float:
    return widest([line for line in parallel(40, RUNNER) if line.coords[0][1] != 160])


@outside(
    "gap",
    "hanging diamonds of 60 and 30 degrees, 50 mm apart",
    "closed form: a rhombus takes a circle as wide as it is high",
    50.0,
    0.05,
)
def diamonds() -> float:
    return widest(parallel(50, RUNNER, 30) + parallel(50, RUNNER, -30))


@outside(
    "gap",
    "unquilted 3-4-5 triangle of 300 and 400 mm",
    "Euclid: inscribed circle, 2 area / perimeter = 100",
    200.0,
    0.05,
)
def triangle() -> float:
    return widest([], Polygon([(0, 0), (400, 0), (0, 300)]))


@outside(
    "gap",
    "unquilted equilateral triangle, side 300 mm",
    "closed form: side / sqrt 3",
    300 / math.sqrt(3),
    0.05,
)
def equilateral() -> float:
    return widest([], Polygon([(0, 0), (300, 0), (150, 150 * math.sqrt(3))]))


@outside(
    "gap",
    "unquilted regular hexagon, side 100 mm",
    "closed form: side times sqrt 3",
    100 * math.sqrt(3),
    0.05,
)
def hexagon() -> float:
    turn = np.radians(np.arange(0, 360, 60))
    return widest([], Polygon(100 * np.column_stack([np.cos(turn), np.sin(turn)])))


@outside("gap", "unquilted runner of 2200 by 320 mm", "closed form: its width", 320.0, 0.05)
def bare_runner() -> float:
    return widest([], box(0, 0, 2200, 320))


@outside(
    "gap",
    "ring of radius 60 in a ring of radius 100, square of 210 mm",
    "closed form: the middle, 2 r",
    120.0,
    0.1,
)
def rings() -> float:
    drawn = [Point(0, 0).buffer(radius, quad_segs=256).exterior for radius in (60, 100)]
    return widest([LineString(ring.coords) for ring in drawn], box(-105, -105, 105, 105))


@outside(
    "gap",
    "corner beyond a ring of radius 100 in a square of 240 mm, rings 10 mm apart inside",
    "closed form: 2 (120 sqrt 2 - 100) / (1 + sqrt 2)",
    2 * (120 * math.sqrt(2) - 100) / (1 + math.sqrt(2)),
    0.1,
)
def corner() -> float:
    drawn = [Point(0, 0).buffer(radius, quad_segs=256).exterior for radius in range(10, 101, 10)]
    return widest([LineString(ring.coords) for ring in drawn], box(-120, -120, 120, 120))


@outside(
    "gap",
    "12 random drawings: difference from brute force",
    "scipy.spatial.cKDTree on a raster of 0.1 mm",
    0.0,
    0.5,
)
def brute_force() -> float:
    drawings = [random_drawing(seed) for seed in range(100, 112)]
    return max(abs(widest(*drawn) - raster_gap(*drawn)) for drawn in drawings)


@outside(
    "gap",
    "40 dots on cloth: difference from the largest empty circle",
    "scipy.spatial.Voronoi: its vertices inside, and the edge's mirror dots",
    0.0,
    0.5,
)
def dots() -> float:
    """A mirrored dot stands for the edge: a circle that touches the edge touches its mirror."""
    places = np.random.default_rng(3).uniform(20, 280, (40, 2))
    tiny = [LineString([(x, y), (x + 0.001, y)]) for x, y in places]
    walls = [(x, y) for x in np.linspace(0, 300, 601) for y in (0.0, 300.0)]
    sites = np.concatenate([places, walls, [(y, x) for x, y in walls]])
    vertices = Voronoi(sites).vertices
    inside = vertices[((vertices > 0) & (vertices < 300)).all(axis=1)]
    away = np.hypot(*(inside[:, None] - sites[None]).transpose(2, 0, 1)).min(axis=1)
    return float(abs(widest(tiny, box(0, 0, 300, 300)) - 2 * away.max()))


@outside(
    "gap",
    "polyester: inches that it may go unquilted",
    "melodycrust.blogspot.com, 2020: up to 3 in",
    3.0,
    1e-9,
)
def polyester() -> float:
    return (wadding_limit_mm("polyester", None) or 0.0) / MM_PER_INCH


@outside(
    "gap",
    "wool: inches that it may go unquilted",
    "melodycrust.blogspot.com, 2020: up to 3 in",
    3.0,
    1e-9,
)
def wool() -> float:
    return (wadding_limit_mm("wool", None) or 0.0) / MM_PER_INCH


@outside(
    "gap",
    "cotton with scrim: inches that it may go unquilted",
    "common practice: 8 to 10 in, the careful end",
    8.0,
    1e-9,
)
def scrim() -> float:
    return (wadding_limit_mm("cotton with scrim", None) or 0.0) / MM_PER_INCH


@outside("gap", "a packet that says 4 in", "common practice: the packet counts", 101.6, 1e-9)
def packet() -> float:
    return wadding_limit_mm("wool", 4 * MM_PER_INCH) or 0.0
