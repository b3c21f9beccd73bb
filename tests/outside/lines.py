"""Quilting lines as the DXF holds them: lengths, counts and distances in closed form."""

from __future__ import annotations

import math

import numpy as np
import shapely
from scipy.integrate import quad
from shapely.geometry import LineString, Polygon

from tests.outside.check import outside
from tests.outside.gap import AS_GIVEN, disc, layer
from tests.outside.job import guide, project, sewn_mm, straight, threads

TILE = """[[motif]]
name = "tile"
outline = [[0, 0], [60, 0], [60, 60], [0, 60]]
at = [900, 200]
[[quilting]]
kind = "motif"
overrun = "0 mm"
"""


def lines(quilting: str, length: float, width: float) -> tuple[LineString, ...]:
    """What is sewn on a runner of that size, a line a start of thread."""
    return threads(project(length, width, AS_GIVEN + quilting))


def total(quilting: str, length: float, width: float) -> float:
    return sewn_mm(lines(quilting, length, width))


def levels(quilting: str, length: float, width: float) -> np.ndarray:
    """Heights of level lines from the lowest, and the steps from one to the next."""
    heights = sorted(line.coords[0][1] for line in lines(quilting, length, width))
    return np.diff(heights)


@outside(
    "lines",
    "clearance of 10 mm asked: from a motif of 60 by 60 to the nearest line",
    "Euclid: distance from the square that is sewn round; ezdxf",
    10.0,
    0.06,
)
def clearance() -> float:
    found = lines(TILE + straight(40, 'clearance = "10 mm"\n'), 1800, 400)
    (square,) = (line for line in found if line.is_closed)
    assert abs(Polygon(square).area - 60**2) < 1.0
    return min(line.distance(square) for line in found if line is not square)


@outside(
    "lines",
    "overrun of 20 mm asked: a line of 600 mm is sewn that long",
    "arithmetic: 600 + 2 x 20; ezdxf",
    640.0,
    0.05,
)
def overrun() -> float:
    asked = straight(40).replace('"0 mm"', '"20 mm"')
    return max(line.length for line in lines(asked, 600, 200))


@outside(
    "lines",
    "lines 40 mm apart on 1830 by 320, a grid of 50 halfway off the edge of 600 by 300: length,"
    " lines at 45 degrees, 50 mm apart: metres on each square metre",
    "arithmetic: 7 lines of 1830, 6 of 600 and 12 of 300; Cavalieri: 1 / spacing",
    (7 * 1830.0, 6 * 600.0 + 12 * 300.0, 1000 / 50),
    0.2,
)
def counted() -> tuple[float, ...]:
    halfway = layer("grid", 'spacing = 50\nanchor = "halfway"')
    slanted_mm = total(layer("straight", "spacing = 50\nangle = 45"), 3000, 1500)
    counted_mm = total(straight(40), 1830, 320), total(halfway, 600, 300)
    return (*counted_mm, slanted_mm / 1000 / (3.0 * 1.5))


@outside(
    "lines",
    "about 40 mm on 310 mm, divided evenly: the least and the greatest distance",
    "arithmetic: 310 / 8",
    (38.75, 38.75),
    0.01,
)
def even() -> tuple[float, ...]:
    steps = levels(straight("about 40 mm"), 600, 310)
    return float(steps.min()), float(steps.max())


@outside(
    "lines",
    "lines in pairs of 10 mm, 50 mm from pair to pair: distances in order",
    "arithmetic",
    (10.0, 50.0, 10.0, 50.0, 10.0),
    0.01,
)
def pairs() -> tuple[float, ...]:
    asked = '[[quilting]]\npattern = "lines-in-pairs"\nspacings = ["10 mm", "50 mm"]\n'
    steps = [float(step) for step in levels(asked + 'overrun = "0 mm"\n', 600, 190)]
    first = steps.index(min(steps))
    return tuple(steps[first : first + 5])


@outside(
    "lines",
    "gentle wave 2000 long, 200 from crest to crest, 20 high: length of each, and from its lowest"
    " point to its highest",
    "scipy.integrate.quad of the sine's arc length; arithmetic: the height that is asked for",
    (quad(lambda x: math.hypot(1, 0.1 * math.pi * math.cos(math.pi * x / 100)), 0, 200)[0], 20.0),
    0.1,
)
def wave() -> tuple[float, ...]:
    found = lines(layer("waves", "spacing = 100\nwave = 200\nheight = 20"), 2000, 300)
    low, high = found[0].bounds[1::2]
    return max(line.length for line in found) / 10, float(high - low)


@outside(
    "lines",
    "serpentine of half circles along 2000 mm: way over length",
    "closed form: pi / 2",
    math.pi / 2,
    0.001,
)
def serpentine() -> float:
    asked = layer("serpentine", "spacing = 100\nwave = 200\nsweep = 180")
    return max(line.length for line in lines(asked, 2000, 300)) / 2000


@outside(
    "lines",
    "zigzag at 60 degrees along 1200 mm: way over length",
    "closed form: 1 / cos 60",
    2.0,
    0.005,
)
def zigzag() -> float:
    asked = layer("chevron", "spacing = 60\nangle = 60\nleg = 50")
    return max(line.length for line in lines(asked, 1200, 400)) / 1200


@outside(
    "lines",
    "clamshells of 100 on 1000 by 250: length",
    "closed form: 5 rows of 10 half circles",
    50 * math.pi * 50,
    5.0,
)
def clamshells() -> float:
    return total(layer("clamshells", 'size = 100\ninset = "0 mm"'), 1000, 250)


@outside(
    "lines",
    "overlapping circles of 120: length of each, as the guide draws them",
    "closed form: pi d",
    120 * math.pi,
    0.3,
)
def circles() -> float:
    found = guide(
        project(1200, 400, AS_GIVEN + layer("overlapping-circles", "size = 120")),
        "layer-1-overlapping-circles",
    )
    rings = tuple(line for line in found if line.is_ring)
    return sewn_mm(rings) / len(rings)


@outside(
    "lines",
    "orange peel of 100: length of a petal's side, as the guide draws it",
    "closed form: quarter circle on a chord of 100",
    100 * math.pi / (2 * math.sqrt(2)),
    0.2,
)
def petal() -> float:
    text = project(600, 400, AS_GIVEN + layer("orange-peel", 'size = 100\ninset = "0 mm"'))
    noded = shapely.node(shapely.union_all(guide(text, "layer-1-orange-peel")))
    return float(np.median(shapely.length(shapely.get_parts(noded))))


@outside(
    "lines",
    "circle of radius 100 that is a motif, sewn round: length and area",
    "closed form: 2 pi r, pi r squared",
    (200 * math.pi, math.pi * 1e4),
    10.0,
)
def disc_sewn() -> tuple[float, ...]:
    (ring,) = lines(disc(100, 300, 200), 600, 400)
    return ring.length, Polygon(ring).area


@outside(
    "lines",
    "first ring 15 mm round a disc of radius 60: its length",
    "Steiner: 2 pi (r + d)",
    150 * math.pi,
    0.5,
)
def ring() -> float:
    echo = layer("echo", "spacing = 15\nrings = 1\naround = 'motifs'")
    found = lines(disc(60, 300, 200) + echo, 600, 400)
    return max(line.length for line in found)


@outside(
    "lines",
    "rings 20 mm apart inside an edge of 600 by 300: length of the first two",
    "arithmetic: 2 (560 + 260), 2 (520 + 220)",
    (1640.0, 1480.0),
    0.3,
)
def inwards() -> tuple[float, ...]:
    asked = layer("echo", "spacing = 20\naround = 'outline'\ndirection = 'inwards'")
    text = project(600, 300, AS_GIVEN + asked)
    found = sorted((line.length for line in guide(text, "layer-1-echo")), reverse=True)
    return found[0], found[1]


@outside(
    "lines",
    "concentric squares 20 mm apart: area of each over the one inside it, roots, in mm",
    "closed form: sides differ by twice the spacing",
    (40.0, 40.0),
    0.1,
)
def concentric() -> tuple[float, ...]:
    text = project(300, 300, AS_GIVEN + layer("concentric", "spacing = 20"))
    rings = [line for line in guide(text, "layer-1-concentric") if line.is_ring]
    sides = np.diff(np.sort([math.sqrt(Polygon(ring).area) for ring in rings]))
    return float(sides.min()), float(sides.max())


@outside(
    "lines",
    "round spiral 20 mm apart: crossings of a ray from its middle, least and greatest step",
    "closed form: one spacing a crossing, there and back between them; GEOS",
    (20.0, 20.0),
    0.6,
)
def spiral() -> tuple[float, ...]:
    text = project(600, 600, AS_GIVEN + layer("spiral", "spacing = 20"))
    drawing = shapely.union_all(guide(text, "layer-1-spiral"))
    (edge,) = guide(text, "outline")
    x, y = Polygon(edge).centroid.coords[0]
    ray = LineString([(x + 60, y), (x + 240, y)])
    met = np.sort([point.x for point in shapely.get_parts(drawing.intersection(ray))])
    return float(np.diff(met).min()), float(np.diff(met).max())


@outside(
    "lines",
    "honeycomb of 120 mm: angles at which the outer sides lie, degrees from the length",
    "closed form: 0 or 30, then every 60",
    0.0,
    0.2,
)
def honeycomb() -> float:
    text = project(600, 400, AS_GIVEN + layer("nested-hexagons", "size = 120\nrings = 1"))
    steps = [
        np.diff(np.array(line.coords), axis=0) for line in guide(text, "layer-1-nested-hexagons")
    ]
    way = np.concatenate(steps)
    way = way[np.hypot(*way.T) > 20]
    turned = np.degrees(np.arctan2(way[:, 1], way[:, 0])) % 60
    first = float(np.median(turned))
    return float(np.abs((turned - first + 30) % 60 - 30).max())


@outside(
    "lines",
    "lattice with lines laid on it once more: what is sewn over what is drawn",
    "GEOS: length of the union of the guide's lines, each sewn once; ezdxf",
    1.0,
    0.0005,
)
def nothing_lost() -> float:
    text = project(800, 400, AS_GIVEN + layer("grid", "spacing = 80") + straight(80))
    drawn = (*guide(text, "layer-1-grid"), *guide(text, "layer-2-straight"))
    drawn_mm = shapely.union_all(drawn).length
    return sewn_mm(threads(text)) / float(drawn_mm)


@outside(
    "lines",
    "lines of the runner mirrored across its length: what they miss themselves by",
    "symmetry: evenly from the middle; Hausdorff distance by GEOS",
    0.0,
    0.01,
)
def mirrored() -> float:
    found = shapely.union_all(lines(layer("grid", "spacing = 70\nangles = [60, -60]"), 900, 300))
    low, high = found.bounds[1::2]
    other = shapely.transform(found, lambda xy: xy * (1, -1) + (0, low + high))
    return float(shapely.hausdorff_distance(found, other))


LEAN_DEG = 2.0


def leaning_panel() -> str:
    """A parallelogram of 1800 by 400 whose ends lean to the right, as a tape would measure it."""
    sides, product = 1800**2 + 400**2, 2 * 1800 * 400 * math.sin(math.radians(LEAN_DEG))
    rising, falling = math.sqrt(sides + product), math.sqrt(sides - product)
    measured = (
        "[grid]\nalong = 9\nacross = 2\n[print]\nlengths = [1800, 1800, 1800]\n"
        f"widths = [400, 400, 400]\ndiagonals = [{rising:.4f}, {falling:.4f}]\n"
    )
    return project(1800, 400, AS_GIVEN + measured + straight(100, "angle = 90\n"))


@outside(
    "lines",
    "panel that leans by 2 degrees over its diagonals: degrees that lines with the print lean",
    "law of the parallelogram: difference of the squares of its diagonals, 4 a b sin; ezdxf",
    LEAN_DEG,
    0.05,
)
def lean_sewn() -> float:
    ends = [np.array(line.coords)[[0, -1]] for line in threads(leaning_panel())]
    way = np.array([two[two[:, 1].argsort()] for two in ends])
    step = way[:, 1] - way[:, 0]
    return float(np.degrees(np.median(np.arctan2(step[:, 0], step[:, 1]))))


@outside(
    "lines",
    "two blocks along with sashing of 50 and 30 round them: places of the lines in the ditch",
    "arithmetic: 30, 30 + 245, 50 on, 245 on; ezdxf",
    (30.0, 275.0, 325.0, 570.0),
    0.05,
)
def in_the_ditch() -> tuple[float, ...]:
    grid = "[grid]\nalong = 2\nsashing = 50\nouter_sashing = 30\n"
    text = project(600, 300, AS_GIVEN + grid + layer("sashing", ""))
    noded = shapely.get_parts(shapely.node(shapely.union_all(guide(text, "layer-1-sashing"))))
    (edge,) = guide(text, "outline")
    upright = [part for part in noded if part.bounds[2] - part.bounds[0] < 0.01]
    return tuple(np.unique(np.round([part.bounds[0] - edge.bounds[0] for part in upright], 2)))
