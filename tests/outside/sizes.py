"""Sizes of runners for tables, and areas and edges of their outlines in closed form."""

from __future__ import annotations

import math
import re

import shapely
from scipy.integrate import quad

from tests.outside.check import outside
from tests.outside.job import IN, guide, project, straight, told

TABLE = '[table]\nlength = "60 in"\nwidth = "42 in"\ndrop = "{} in"\n'


def for_table(drop_in: float, side: str) -> float:
    """Inches of the washed runner for a table of 60 by 42 in."""
    return float(told(TABLE.format(drop_in))["states"]["washed"][side]) / IN


@outside(
    "sizes",
    "60 in table, 6 in and 10 in drop: runner in inches",
    "engineerfix.com, what size table runner do you need; how far should a table runner hang",
    (72.0, 80.0),
    0.002,
)
def drops() -> tuple[float, ...]:
    return for_table(6, "length_mm"), for_table(10, "length_mm")


@outside(
    "sizes",
    "width for a 42 in table, inches",
    "ehow.com: a quarter to a third; a third here",
    14.0,
    0.002,
)
def third() -> float:
    return for_table(6, "width_mm")


DRAWN_UP = "[quilted]\ntaken_up = 0.03\nwash = 0.05\n" + straight(40)


@outside(
    "sizes",
    "1000 mm once 3 percent are quilted and 5 percent washed out of it: flat, and quilted",
    "arithmetic: 1000 / (0.97 x 0.95), 1000 / 0.95",
    (1000 / (0.97 * 0.95), 1000 / 0.95),
    0.01,
)
def allowance() -> tuple[float, ...]:
    states = told(project(1000, 300, DRAWN_UP, size_is="washed"))["states"]
    return states["flat"]["length_mm"], states["quilted"]["length_mm"]


@outside(
    "sizes",
    "the same runner: length of the finished edge as the guide draws it, flat",
    "arithmetic: 1000 / (0.97 x 0.95); svgelements",
    1000 / (0.97 * 0.95),
    0.1,
)
def allowance_drawn() -> float:
    (edge,) = guide(project(1000, 300, DRAWN_UP, size_is="washed"), "outline")
    return float(edge.bounds[2] - edge.bounds[0])


PRINT = '[[panel]]\nsize = "1200 x 300 mm"\nprinted = "1200 x 300 mm"\n[quilted]\ntaken_up = 0.02\n'


@outside(
    "sizes",
    "300 mm of print without a border, 2 percent quilted out of it: mm to grow at each side",
    "arithmetic: half of 300 / 0.98 - 300",
    (300 / 0.98 - 300) / 2,
    0.26,
)
def short_of_print() -> float:
    warnings = told(project(1000, 300, PRINT, size_is="washed"))["warnings"]
    (short,) = (warning for warning in warnings if warning["code"] == "comes-out-smaller")
    (grow,) = re.findall(r"grow by .*?([\d.]+) mm\) at each side", short["message"])
    return float(grow)


def shaped(shape: str, more: str = "", length: float = 1800, width: float = 400) -> str:
    """A runner of a named shape, its measures those of the quilted piece."""
    return (
        f'units = "mm"\n[runner]\nshape = "{shape}"\nlength = {length:g}\nwidth = {width:g}\n'
        f'size_is = "quilted"\n{more}\n{straight(100)}'
    )


def area_mm2(text: str) -> float:
    return float(told(text)["runner"]["outline_area_mm2"])


def edge_mm(text: str) -> float:
    return float(told(text)["cutting"]["binding"]["perimeter_mm"])


def breadth_and_edge(text: str) -> tuple[float, ...]:
    """Area over the length of 1800, and the edge, in mm."""
    return area_mm2(text) / 1800, edge_mm(text)


@outside(
    "sizes",
    "oval of 1800 by 400: its area over its length, and its edge as the binding goes",
    "closed form: pi a b; scipy.integrate.quad of the arc length",
    (
        math.pi * 900 * 200 / 1800,
        4 * quad(lambda t: math.hypot(900 * math.sin(t), 200 * math.cos(t)), 0, math.pi / 2)[0],
    ),
    0.03,
)
def ellipse() -> tuple[float, ...]:
    return breadth_and_edge(shaped("oval"))


@outside(
    "sizes",
    "half-round ends, 1800 by 400: area over length, and edge as the binding goes",
    "closed form: rectangle and circle; two straights and pi d",
    ((1400 * 400 + math.pi * 200**2) / 1800, 2 * 1400 + math.pi * 400),
    0.03,
)
def half_round() -> tuple[float, ...]:
    return breadth_and_edge(shaped("rounded"))


@outside(
    "sizes",
    "area with right-angled points, 1800 by 400",
    "closed form: two triangles half as deep as the width",
    1400 * 400 + 2 * 0.5 * 400 * 200,
    1.0,
)
def pointed() -> float:
    return area_mm2(shaped("pointed"))


@outside(
    "sizes",
    "edge of a regular octagon 400 across, as the binding goes",
    "closed form: 8 sides of width / (1 + sqrt 2)",
    8 * 400 / (1 + math.sqrt(2)),
    0.01,
)
def octagon() -> float:
    return edge_mm(shaped("octagon", length=400))


@outside(
    "sizes",
    "corners cut off by 50 mm, 1800 by 400: area over length, and edge as the binding goes",
    "closed form: less 2 x 50 squared; Pythagoras: 8 x 50 less, 4 x 50 sqrt 2 more",
    ((1800 * 400 - 2 * 50.0**2) / 1800, 4400 - 400 + 200 * math.sqrt(2)),
    0.0005,
)
def cut_corners() -> tuple[float, ...]:
    return breadth_and_edge(shaped("clipped", "cut = 50"))


@outside(
    "sizes",
    "half-round scallops of 100 on 2100 by 500: edge, as the binding goes",
    "closed form: 2 x (20 + 4) half circles of 50",
    48 * math.pi * 50,
    1.0,
)
def scallops() -> float:
    return edge_mm(shaped("scalloped", "scallop = 100\nscallop_depth = 50", 2100, 500))


@outside(
    "sizes",
    "inside angles of a hexagonal runner as its mitres are told, added up",
    "Euclid: (n - 2) 180",
    720.0,
    0.05,
)
def angles() -> float:
    mitres = told(shaped("hexagon"))["cutting"]["binding"]["mitres"]
    return float(sum(each["angle_deg"] * each["corners"] for each in mitres))


@outside(
    "sizes",
    "traced outlines, a triangle of 300, 400 and 500 mm and 400 by 300 with a notch 150 deep: area"
    " told, and inside the edge as the guide draws it",
    "Euclid: half of the two sides that meet square; less half of the notch's width and depth;"
    " svgelements, GEOS",
    (60_000.0, 60_000.0, 90_000.0, 90_000.0),
    5.0,
)
def traced() -> tuple[float, ...]:
    areas = []
    for corners in (
        [[0, 0], [400, 0], [0, 300]],
        [[0, 0], [400, 0], [400, 300], [200, 150], [0, 300]],
    ):
        runner = f"[runner]\noutline = {corners}\nsize_is = 'flat'\n"
        text = f'units = "mm"\n{runner}[quilted]\ntaken_up = 0\n{straight(40)}'
        (edge,) = guide(text, "outline")
        areas += [area_mm2(text), float(shapely.Polygon(edge).area)]
    return tuple(areas)
