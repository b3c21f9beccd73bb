"""Sizes of runners for tables, and areas of their outlines in closed form."""

from __future__ import annotations

import math

import numpy as np
import shapely
from scipy.integrate import quad

from quiltpath.geometry.named_outlines import clipped, octagon, oval, pointed, rounded, scalloped
from quiltpath.project import parse
from quiltpath.project.runner_sections import RunnerSection
from quiltpath.result.computing import compute
from quiltpath.runner.skew import PanelMeasures, skew_of
from quiltpath.units import MM_PER_INCH as IN
from tests.outside.check import outside


def for_table(drop_in: float) -> RunnerSection:
    """The runner for a table of 60 by 42 in."""
    return parse(f'[table]\nlength = "60 in"\nwidth = "42 in"\ndrop = "{drop_in} in"\n').runner


@outside(
    "sizes",
    "60 in table, 6 in drop: runner in inches",
    "engineerfix.com, what size table runner do you need",
    72.0,
    1e-9,
)
def six_inches() -> float:
    return for_table(6).length / IN


@outside(
    "sizes",
    "60 in table, 10 in drop: runner in inches",
    "engineerfix.com, how far should a table runner hang",
    80.0,
    1e-9,
)
def ten_inches() -> float:
    return for_table(10).length / IN


@outside(
    "sizes",
    "width for a 42 in table, inches",
    "ehow.com: a quarter to a third; a third here",
    14.0,
    1e-9,
)
def third() -> float:
    return for_table(6).width / IN


@outside(
    "sizes",
    "cut for 1000 mm after 3 percent quilting and 5 percent washing",
    "arithmetic: 1000 / (0.97 x 0.95)",
    1000 / (0.97 * 0.95),
    1e-9,
)
def allowance() -> float:
    wish = "[runner]\nlength = 1000\nwidth = 300\nsize_is = 'washed'\n"
    project = parse(f"units = 'mm'\n{wish}[quilted]\ntaken_up = 0.03\nwash = 0.05\n")
    return compute(project).states.flat.length_mm


@outside(
    "sizes", "area of an oval of 1800 by 400", "closed form: pi a b", math.pi * 900 * 200, 30.0
)
def ellipse() -> float:
    return float(oval(1800, 400).area)


@outside(
    "sizes",
    "edge of an oval of 1800 by 400",
    "scipy.integrate.quad of the arc length",
    4 * quad(lambda t: math.hypot(900 * math.sin(t), 200 * math.cos(t)), 0, math.pi / 2)[0],
    0.1,
)
def ellipse_edge() -> float:
    return float(oval(1800, 400).length)


@outside(
    "sizes",
    "area with half-round ends, 1800 by 400",
    "closed form: rectangle and circle",
    1400 * 400 + math.pi * 200**2,
    30.0,
)
def half_round() -> float:
    return float(rounded(1800, 400).area)


@outside(
    "sizes",
    "edge with half-round ends, 1800 by 400",
    "closed form: two straights and pi d",
    2 * 1400 + math.pi * 400,
    0.1,
)
def half_round_edge() -> float:
    return float(rounded(1800, 400).length)


@outside(
    "sizes", "depth of a right-angled point on 400 mm", "closed form: half the width", 200.0, 1e-9
)
def point_depth() -> float:
    return float(np.unique(np.round(shapely.get_coordinates(pointed(1800, 400, 90))[:, 0], 9))[1])


@outside(
    "sizes",
    "side of a regular octagon 400 across",
    "closed form: width / (1 + sqrt 2)",
    400 / (1 + math.sqrt(2)),
    1e-9,
)
def octagon_side() -> float:
    corners = shapely.get_coordinates(octagon(400, 400))
    return float(np.hypot(*(corners[1] - corners[0])))


@outside(
    "sizes",
    "area with corners cut off by 50 mm, 1800 by 400",
    "closed form: less 2 x 50 squared",
    1800 * 400 - 2 * 50.0**2,
    1e-6,
)
def cut_corners() -> float:
    return float(clipped(1800, 400, 50).area)


@outside(
    "sizes",
    "half-round scallops of 100 on 2100 by 500, edge",
    "closed form: 2 x (20 + 4) half circles of 50",
    48 * math.pi * 50,
    1.0,
)
def scallops() -> float:
    return float(scalloped(2100, 500, 100, 50).length)


@outside(
    "sizes",
    "3-4-5 panel: out of square in degrees",
    "Pythagoras: diagonals of 500 on 300 by 400",
    0.0,
    1e-6,
)
def square_panel() -> float:
    return skew_of(
        PanelMeasures(lower=400, upper=400, left=300, right=300, rising=500, falling=500)
    ).out_of_square_deg
