"""Binding by published rules and worked examples, which differ in what they allow."""

from __future__ import annotations

from quiltpath.geometry.named_outlines import hexagon, rectangle
from quiltpath.materials.binding import (
    square_for_bias,
    strip_length_needed,
    strips_needed,
)
from quiltpath.materials.edge_corners import edge_of
from quiltpath.project.materials_sections import BindingSection
from quiltpath.units import MM_PER_INCH as IN
from tests.outside.check import outside

CASTILLEJA = "castillejacotton.blogspot.com, 2013"
QUICK = "quicktipssewing.blogspot.com, how much fabric for binding, 2011"


@outside(
    "binding",
    "50 x 60 in, 40 in cloth, 2 in lost in a strip: strips",
    CASTILLEJA + ": 220 / 38 = 5.79, so 6",
    6,
)
def joins_off_the_cloth() -> int:
    setting = BindingSection(width=2 * IN, allowance=2 * IN)
    total = strip_length_needed(220 * IN, 4, setting).total_mm
    return strips_needed(total, 40 * IN, setting.join_mm)


@outside(
    "binding",
    "50 x 60 in, two feet of allowance, 40 in strips",
    QUICK + ": (110 x 2 + 24) / 40 = 6.1, so 7",
    7,
)
def two_feet() -> int:
    setting = BindingSection(width=2.5 * IN, allowance=24 * IN, join_loss=0.0)
    return strips_needed(strip_length_needed(220 * IN, 4, setting).total_mm, 40 * IN, 0.0)


@outside(
    "binding", "50 x 60 in, the same rule: inches of cloth at 2 1/2 in a strip", QUICK, 17.5, 1e-9
)
def two_feet_of_cloth() -> float:
    setting = BindingSection(width=2.5 * IN, allowance=24 * IN, join_loss=0.0)
    total = strip_length_needed(220 * IN, 4, setting).total_mm
    return strips_needed(total, 40 * IN, 0.0) * setting.width_mm / IN


@outside(
    "binding",
    "64 in square, two hand widths: inches",
    "quiltingboard.com, post 8276918",
    272.0,
    1e-9,
)
def hand_widths() -> float:
    return strip_length_needed(4 * 64 * IN, 4, BindingSection(allowance=16 * IN)).total_mm / IN


@outside(
    "binding",
    "square for 200 in of 2 in bias: inches",
    "mydecozo.co.uk: a 20 in square gives 200 in",
    20.0,
    1e-9,
)
def whole_bias_square() -> float:
    return square_for_bias(200 * IN, 2 * IN) / IN


@outside(
    "binding",
    "square for 250 in of 2 in bias: inches",
    "mydecozo.co.uk: root of 500 = 22.36, so 23",
    23.0,
    1e-9,
)
def bias_square() -> float:
    return square_for_bias(250 * IN, 2 * IN) / IN


@outside(
    "binding",
    "square for 55 in of 2 1/2 in bias: inches",
    "getasquiltingstudio.com, 2018: 11.73, so 12",
    12.0,
    1e-9,
)
def small_bias_square() -> float:
    return square_for_bias(55 * IN, 2.5 * IN) / IN


@outside(
    "binding", "single fold, 1/2 in seam: strip in inches", "common practice: 4 seams", 2.0, 1e-9
)
def single_fold() -> float:
    return BindingSection(fold="single", seam=IN / 2).width_mm / IN


@outside(
    "binding",
    "single fold, 1/2 in seam: inches turned under",
    "common practice: about 3/8 in, the bulk takes 1/8",
    0.375,
    1e-9,
)
def turned_under() -> float:
    return BindingSection(fold="single", seam=IN / 2).turn_under_mm / IN


@outside(
    "binding",
    "double fold, 1/4 in seam: strip in inches",
    "common practice: 2 1/4 to 2 1/2 in",
    2.25,
    1e-9,
)
def double_fold() -> float:
    return BindingSection().width_mm / IN


@outside("binding", "left loose at the start, inches", "common practice: 4 in", 4.0, 1e-9)
def loose() -> float:
    return BindingSection().loose_start / IN


@outside(
    "binding",
    "left open between end and start, inches",
    "common practice: 4 in from each, 8 in open",
    8.0,
    1e-9,
)
def left_open() -> float:
    return BindingSection().open / IN


@outside(
    "binding",
    "the end overlaps the start by, in strip widths",
    "common practice: exactly one",
    1.0,
    1e-12,
)
def overlap() -> float:
    setting = BindingSection()
    return strip_length_needed(4000.0, 4, setting).overlap_mm / setting.width_mm


@outside("binding", "mitres of a rectangle", "common practice: one at each corner", 4)
def mitres() -> int:
    return len(edge_of(rectangle(1830, 360)).corners)


@outside(
    "binding", "inside angles of a hexagonal runner, added up", "Euclid: (n - 2) 180", 720.0, 1e-6
)
def angles() -> float:
    return sum(corner.angle_deg for corner in edge_of(hexagon(1830, 360)).corners)
