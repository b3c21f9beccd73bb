"""The widest unquilted place as the report tells it: closed forms, brute force, packets."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial import cKDTree

from tests.outside.check import outside
from tests.outside.job import guide, project, straight, told

AS_GIVEN = "[quilted]\ntaken_up = 0\n"


def layer(kind: str, more: str) -> str:
    return f'[[quilting]]\nkind = "{kind}"\noverrun = "0 mm"\n{more}\n'


def widest(quilting: str, length: float = 800, width: float = 320) -> float:
    """The report's widest place on a runner that nothing draws up."""
    return float(told(project(length, width, AS_GIVEN + quilting))["gap"]["widest_mm"])


@outside(
    "gap",
    "lines 40 mm apart lengthwise, 1 in at 30 degrees, bias grid of 40, hanging diamonds of 50",
    "closed form: the spacing; the side of a square; the height of a rhombus",
    (40.0, 25.4, 40.0, 50.0),
    0.05,
)
def spacings() -> tuple[float, ...]:
    return (
        widest(straight(40), 1800, 400),
        widest(layer("straight", 'spacing = "1 in"\nangle = 30')),
        widest(layer("grid", "spacing = 40\nangles = [45, 135]")),
        widest(layer("grid", "spacing = 50\nangles = [30, -30]")),
    )


@outside("gap", "grid of 30 by 50 mm", "closed form: the shorter side of a rectangle", 30.0, 0.05)
def oblong_grid() -> float:
    return widest(layer("grid", "spacing = 30\nspacing_2 = 50"))


@outside("gap", "lines 10 mm and 60 mm apart by turns", "closed form: the wider", 60.0, 0.05)
def by_turns() -> float:
    return widest(layer("straight", "spacings = [10, 60]"))


def unquilted(corners: list[tuple[float, float]]) -> float:
    """The widest place of a traced outline with no line on it."""
    listed = [[round(x, 4), round(y, 4)] for x, y in corners]
    text = f'units = "mm"\n[runner]\noutline = {listed}\nsize_is = "flat"\n{AS_GIVEN}'
    return float(told(text)["gap"]["widest_mm"])


@outside(
    "gap",
    "unquilted: 3-4-5 triangle of 300 and 400, triangle and hexagon with sides of 300 and 200,"
    " runner of 2200 by 320",
    "Euclid: inscribed circle, 2 area / perimeter = 100; side / sqrt 3; side x sqrt 3; its width",
    (200.0, 300 / math.sqrt(3), 200 * math.sqrt(3), 320.0),
    0.05,
)
def bare() -> tuple[float, ...]:
    turn = np.radians(np.arange(0, 360, 60))
    return (
        unquilted([(0, 0), (400, 0), (0, 300)]),
        unquilted([(0, 0), (300, 0), (150, 150 * math.sqrt(3))]),
        unquilted([(200 + 200 * math.cos(t), 200 + 200 * math.sin(t)) for t in turn]),
        widest("", 2200, 320),
    )


def disc(radius: float, x: float, y: float) -> str:
    """A motif traced in 720 corners, its circle sewn round."""
    turn = np.radians(np.arange(0, 360, 0.5))
    corners = [
        [round(radius + radius * math.cos(t), 5), round(radius + radius * math.sin(t), 5)]
        for t in turn
    ]
    return (
        f'[[motif]]\nname = "disc"\noutline = {corners}\nat = [{x:g}, {y:g}]\n'
        '[[quilting]]\nkind = "motif"\noverrun = "0 mm"\n'
    )


@outside(
    "gap",
    "circle of radius 100 sewn in a square of 240 mm: the five widest places",
    "closed form: 2 r, then the corners, 2 (120 sqrt 2 - 100) / (1 + sqrt 2)",
    (200.0, *[2 * (120 * math.sqrt(2) - 100) / (1 + math.sqrt(2))] * 4),
    0.2,
)
def corners_beyond_a_circle() -> tuple[float, ...]:
    text = project(240, 240, AS_GIVEN + disc(100, 120, 120))
    return tuple(place["diameter_mm"] for place in told(text)["gap"]["places"][:5])


@outside(
    "gap",
    "the same circle at (160, 120) of 300 by 240: where the widest place is",
    "closed form: the centre of the circle",
    (160.0, 120.0),
    0.5,
)
def middle_of_the_circle() -> tuple[float, ...]:
    text = project(300, 240, AS_GIVEN + disc(100, 160, 120))
    return tuple(told(text)["gap"]["places"][0]["at_mm"])


SCATTERED = {
    "a stipple": layer("stipple", "spacing = 40"),
    "twisted rays": layer("field-lines", 'spacing = 40\nalong = "twist"'),
    "fans": layer("fans", "size = 120\narcs = 2"),
}


@outside(
    "gap",
    "stipple, twisted rays, fans: difference from brute force over the guide's lines",
    "scipy.spatial.cKDTree, a raster of 1 mm, of 0.05 mm round its widest places; svgelements",
    (0.0, 0.0, 0.0),
    0.25,
)
def brute_force() -> tuple[float, ...]:
    found = []
    for quilting in SCATTERED.values():
        text = project(300, 200, AS_GIVEN + quilting)
        (edge,), kind = guide(text, "outline"), quilting.split('"')[1]
        lines = guide(text, f"layer-1-{kind}")
        sewn = np.concatenate([np.array(line.segmentize(0.1).coords) for line in lines])
        found.append(told(text)["gap"]["widest_mm"] - raster_mm(sewn - edge.bounds[:2], 300, 200))
    return tuple(found)


def raster_mm(sewn: np.ndarray, length: float, width: float) -> float:
    """Twice the way from the emptiest place to the nearest point of a line or of the edge."""
    tree = cKDTree(sewn)

    def room(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        edge = np.minimum.reduce([x, length - x, y, width - y])
        return np.minimum(tree.query(np.column_stack([x, y]))[0], edge)

    x, y = (side.ravel() for side in np.mgrid[0 : length + 1, 0 : width + 1])
    coarse, near = room(x, y), np.mgrid[-1:1.001:0.05, -1:1.001:0.05].reshape(2, -1)
    best = np.argsort(coarse)[-40:]
    return 2 * max(float(room(x[n] + near[0], y[n] + near[1]).max()) for n in best)


def allowed(wadding: str, *spacings_in: float) -> str:
    """Whether lines that far apart are within what the wadding allows, in words."""
    said = []
    for inches in spacings_in:
        text = project(1200, 700, f"[wadding]\n{wadding}\n{AS_GIVEN}{straight(inches * 25.4)}")
        said.append("yes" if told(text)["gap"]["within_limit"] else "no")
    return ", ".join(said)


@outside(
    "gap",
    "polyester: lines 2.9 in and 3.1 in apart are within its limit",
    "melodycrust.blogspot.com, 2020: up to 3 in",
    "yes, no",
)
def polyester() -> str:
    return allowed('kind = "polyester"', 2.9, 3.1)


@outside(
    "gap",
    "wool: lines 2.9 in and 3.1 in apart are within its limit",
    "melodycrust.blogspot.com, 2020: up to 3 in",
    "yes, no",
)
def wool() -> str:
    return allowed('kind = "wool"', 2.9, 3.1)


@outside(
    "gap",
    "cotton with scrim: lines 7.9 in and 8.1 in apart are within its limit",
    "common practice: 8 to 10 in, the careful end",
    "yes, no",
)
def scrim() -> str:
    return allowed('kind = "cotton with scrim"', 7.9, 8.1)


@outside(
    "gap",
    "wool of a packet that says 4 in: lines 3.9 in and 4.1 in apart are within its limit",
    "common practice: the packet counts",
    "yes, no",
)
def packet() -> str:
    return allowed('kind = "wool"\nlimit = "4 in"', 3.9, 4.1)
