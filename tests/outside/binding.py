"""Binding in the report, by published rules and examples, which differ in what they allow."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from shapely.geometry import LineString

from tests.outside.check import outside
from tests.outside.job import IN, project, straight, told
from tests.outside.sizes import shaped

QUICK = "quicktipssewing.blogspot.com, how much fabric for binding, 2011"
LENGTH, WIDTH = 1800.0, 400.0
EDGE = 2 * (LENGTH + WIDTH)


def bound(length: float | str, width: float | str, more: str = "") -> Any:
    """What the report says of the binding of a quilted rectangle."""
    section = f"[binding]\n{more}\n" if more else ""
    text = project(length, width, section + straight(100), size_is="quilted")
    return told(text)["cutting"]["binding"]


def usual() -> Any:
    return bound(LENGTH, WIDTH)


@outside(
    "binding",
    "50 x 60 in by what is usual here: strips of 40 in",
    QUICK + ": (110 x 2 + 24) / 40 = 6.1, so 7",
    7,
)
def usual_strips() -> int:
    return int(bound("60 in", "50 in")["strips"])


@outside(
    "binding",
    "50 x 60 in, two feet allowed and nothing lost at joins, as the source reckons: strips, and"
    " inches of cloth at 2 1/2 in a strip, as they are laid out",
    QUICK + ": (110 x 2 + 24) / 40 = 6.1, so 7; 17 1/2",
    (7.0, 17.5),
    0.01,
)
def two_feet() -> tuple[float, ...]:
    asked = '[binding]\nwidth = "2 1/2 in"\nallowance = "24 in"\njoin_loss = "0 mm"\n'
    text = project("60 in", "50 in", asked + straight(100), size_is="quilted")
    cutting = told(text)["cutting"]
    layout = next(each for each in cutting["layouts"] if each["cloth"] == "binding")
    return float(cutting["binding"]["strips"]), float(layout["length_mm"]) / IN


@outside(
    "binding",
    "64 in square, two hand widths: inches of binding",
    "quiltingboard.com, post 8276918",
    272.0,
    0.001,
)
def hand_widths() -> float:
    return float(bound("64 in", "64 in", 'allowance = "16 in"')["total_mm"]) / IN


def bias_square(length_in: float, width_in: float, strip_in: float) -> float:
    """Inches of the cloth's square for a rectangle's bias binding, nothing allowed."""
    asked = f'cut = "bias"\nwidth = "{strip_in} in"\nallowance = "0.01 in"'
    sides = bound(f"{length_in} in", f"{width_in} in", asked)["bias_mm"]
    return max(float(side) for side in sides) / IN


@outside(
    "binding",
    "bias cloth for 200 in and 250 in of 2 in, 55 in of 2 1/2 in: inches of its longer side",
    "mydecozo.co.uk: squares of 20 and 23; getasquiltingstudio.com, 2018: 12; both leave out what"
    " joins take, for which up to 2 in more are right",
    (20.0, 23.0, 12.0),
    2.0,
)
def bias_squares() -> tuple[float, ...]:
    return bias_square(60, 40, 2), bias_square(75, 50, 2), bias_square(17.5, 10, 2.5)


@outside(
    "binding",
    "single fold, 1/2 in seam: inches of the strip, and turned under",
    "common practice: 4 seams; about 3/8 in, the bulk takes 1/8",
    (2.0, 0.375),
    0.001,
)
def single_fold() -> tuple[float, ...]:
    found = bound(LENGTH, WIDTH, 'fold = "single"')
    return float(found["strip_width_mm"]) / IN, float(found["turn_under_mm"]) / IN


@outside(
    "binding",
    "double fold, 1/4 in seam: strip in inches",
    "common practice: 2 1/4 to 2 1/2 in",
    2.25,
    0.001,
)
def double_fold() -> float:
    return float(usual()["strip_width_mm"]) / IN


@outside(
    "binding",
    "whether 10 to 24 in are cut beyond the edge, and inches in a mitre: less 8 in left open and a"
    " strip's width of overlap",
    "published rules leave 10 in (common practice), two hand widths, or two feet; 1/8 in goes into"
    " the fold of each (common practice)",
    (1.0, 0.125),
    0.001,
)
def allowance() -> tuple[float, ...]:
    found = usual()
    beyond = float(found["total_mm"] - EDGE)
    in_mitres = beyond - found["strip_width_mm"] - 8 * IN
    return float(10.0 <= beyond / IN <= 24.0), in_mitres / IN / 4


@outside(
    "binding",
    "mitres of a rectangle, and where sewing stops before each, in seams",
    "common practice: one at each corner; a quarter inch, which is the seam",
    (4.0, 1.0),
    0.001,
)
def mitres() -> tuple[float, ...]:
    found = usual()
    stop = float(found["mitres"][0]["stop_mm"] / found["seam_mm"])
    return float(sum(each["corners"] for each in found["mitres"])), stop


@outside(
    "binding",
    "strips in all less what their joins take, over the length that is needed: enough, not a"
    " strip too many",
    "arithmetic: a diagonal join takes a strip's width",
    1,
)
def strips_enough() -> int:
    found = usual()
    strips, width = found["strips_mm"], found["strip_width_mm"]
    joined = sum(strips) - (len(strips) - 1) * width
    return int(joined >= found["total_mm"] > joined - (40 * IN - width))


CORNERS = np.array([0.0, LENGTH, LENGTH + WIDTH, 2 * LENGTH + WIDTH])


@outside(
    "binding",
    "closing join: inches that lack of straight edge to either side of it",
    "common practice: 8 in are left open, 4 to either side; Euclid, along the edge to a corner",
    0.0,
    0.01,
)
def closing_join() -> float:
    far = np.abs(usual()["start_mm"] - CORNERS)
    return max(0.0, 4.0 - float(np.minimum(far, EDGE - far).min()) / IN)


@outside(
    "binding",
    "joins of the strips on 1800 and on 1830 by 400: inches that lack of 2 in between each and the"
    " nearest corner",
    "common practice: no join where a mitre is folded",
    0.0,
    0.01,
)
def joins_clear() -> float:
    lacking = []
    for length in (LENGTH, 1830.0):
        edge = 2 * (length + WIDTH)
        corners = np.array([0.0, length, length + WIDTH, 2 * length + WIDTH])
        far = np.abs(np.array(bound(length, WIDTH)["joins_mm"])[:, None] - corners)
        lacking.append(2.0 - float(np.minimum(far, edge - far).min()) / IN)
    return max(0.0, *lacking)


@outside(
    "binding",
    "joins, the closing one among them: the longest stretch without one, in strips",
    "arithmetic: no strip of 40 in reaches over more than its length less what its joins take",
    1.0,
    0.005,
)
def longest_stretch() -> float:
    found = usual()
    joins = np.sort([*found["joins_mm"], found["start_mm"]])
    stretch = np.diff([*joins, joins[0] + EDGE])
    # a diagonal join takes a strip's width; an eighth of an inch goes into the fold of each mitre
    strip = (40 * IN - found["strip_width_mm"]) * EDGE / (EDGE + 4 * IN / 8)
    return float(stretch.max() / strip)


@outside(
    "binding",
    "closing join: from the place told along the edge to the point told, in mm",
    "Euclid: the edge of 1800 by 400 walked from its lower left corner to the right",
    0.0,
    0.01,
)
def closing_point() -> float:
    found = usual()
    walk = LineString([(0, 0), (LENGTH, 0), (LENGTH, WIDTH), (0, WIDTH), (0, 0)])
    return float(math.dist(walk.interpolate(found["start_mm"]).coords[0], found["start_at_mm"]))


@outside(
    "binding",
    "oval of 1800 by 400: tightest radius of its edge, for which bias is asked",
    "closed form: b squared / a at its ends; common practice: curves need bias",
    200**2 / 900,
    1.5,
)
def bias_for_a_curve() -> float:
    found = told(shaped("oval"))["cutting"]["binding"]
    return float(found["edge_radius_mm"]) if found["needs_bias"] else math.inf
