"""Runs and their order out of the DXF: textbook walks, solvers that others wrote, the trade."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from functools import cache

import networkx as nx
import numpy as np
import shapely
from shapely.geometry import LineString

from tests.outside.best_tour import least_travel
from tests.outside.check import outside
from tests.outside.gap import AS_GIVEN, layer
from tests.outside.job import guide, project, sewn_mm, straight, threads, told

EULER = "Euler 1741; Listing 1847 (memory): odd nodes / 2 trails, 1 where there are none"
CONTINUOUS = '[sewing]\npolicy = "continuous"\n'
INSIDE = "[grid]\nalong = 1\nouter_sashing = 50\n"
FITTED = layer(
    "drawing", 'file = "drawing.svg"\narrangement = "fitted"\nregion = "blocks"\ninset = "0 mm"'
)
Point = tuple[float, float]


def pen(paths: list[str], width: float = 300, height: float = 200) -> str:
    """A drawing as a person would bring it."""
    size = f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
    drawn = "".join(f'<path fill="none" stroke="black" d="{path}"/>' for path in paths)
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{drawn}</svg>'


def runs(paths: list[str], width: float = 300, height: float = 200) -> int:
    """Starts of thread in the DXF for a drawing that is fitted into the one block."""
    text = project(width + 100, height + 100, AS_GIVEN + INSIDE + FITTED)
    return len(threads(text, pen(paths, width, height)))


def strokes(pairs: list[tuple[int, int]], places: list[Point]) -> list[str]:
    """A straight stroke for each edge of a graph."""
    return ["M{} {} L{} {}".format(*places[one], *places[other]) for one, other in pairs]


def on_a_circle(count: int, radius: float = 100.0) -> list[Point]:
    turn = [2 * math.pi * n / count for n in range(count)]
    return [
        (round(100 + radius * math.sin(t), 3), round(100 - radius * math.cos(t), 3)) for t in turn
    ]


@outside("order", "bridges of Koenigsberg: runs that sew each once", EULER, 2)
def koenigsberg() -> int:
    banks = ["M0 100 Q50 0 100 0", "M0 100 L100 0", "M0 100 Q50 200 100 200", "M0 100 L100 200"]
    return runs([*banks, "M0 100 L300 100", "M100 0 L300 100", "M100 200 L300 100"])


def house() -> tuple[float, ...]:
    places: list[Point] = [(0, 200), (200, 200), (200, 100), (0, 100), (100, 0)]
    edges = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3), (2, 4), (3, 4)]
    return one_stroke(strokes(edges, places))


def one_stroke(paths: list[str]) -> tuple[float, ...]:
    """Starts of thread, and how far the end of the first lies from where it began, in mm."""
    found = threads(project(300, 300, AS_GIVEN + INSIDE + FITTED), pen(paths, 200))
    begun, ended = np.array(found[0].coords)[[0, -1]]
    return len(found), float(np.hypot(*(ended - begun)))


def four_all_joined() -> int:
    places: list[Point] = [(0, 0), (300, 0), (300, 200), (0, 200)]
    return runs(strokes(list(itertools.combinations(range(4), 2)), places))


def five_all_joined() -> tuple[float, ...]:
    return one_stroke(strokes(list(itertools.combinations(range(5), 2)), on_a_circle(5)))


def cube() -> int:
    """Its edges, drawn as a square in a square."""
    outer = [(0, 0), (200, 0), (200, 200), (0, 200)]
    inner = [(50, 50), (150, 50), (150, 150), (50, 150)]
    edges = [(n, (n + 1) % 4) for n in range(4)]
    edges += [(4 + n, 4 + (n + 1) % 4) for n in range(4)] + [(n, n + 4) for n in range(4)]
    return runs(strokes(edges, [*outer, *inner]), 200)  # type: ignore[list-item]


def petersen() -> int:
    inner = [(100 + (x - 100) / 2, 100 + (y - 100) / 2) for x, y in on_a_circle(5)]
    edges = [tuple(sorted(edge)) for edge in nx.petersen_graph().edges]
    return runs(strokes(edges, [*on_a_circle(5), *inner]), 200)  # type: ignore[arg-type]


def star() -> int:
    return runs(strokes([(0, ray) for ray in range(1, 8)], [(100, 100), *on_a_circle(7)]), 200)


@outside(
    "order",
    "house with a roof and two diagonals, pentagon and its star: runs, and mm from start to end,"
    " four corners each joined to each, edges of a cube, Petersen's graph, star of 7 rays: runs",
    f"{EULER}, which ends where it began; the house: from one corner of its floor of 200 to the"
    " other",
    (1, 200.0, 1, 0.0, 2, 4, 5, 4),
    0.01,
)
def drawn_in_strokes() -> tuple[float, ...]:
    odd = four_all_joined(), cube(), petersen(), star()
    return *house(), *five_all_joined(), *odd


@outside(
    "order",
    "the star of 7 rays: length that is sewn, in radii",
    "counting: seven, none of them twice",
    7.0,
    0.05,
)
def star_length() -> float:
    paths = strokes([(0, ray) for ray in range(1, 8)], [(100, 100), *on_a_circle(7)])
    text = project(300, 300, AS_GIVEN + INSIDE + FITTED)
    found = threads(text, pen(paths, 200))
    # fitted by its own bounds: a heptagon is 1.95 radii wide and 1.90 high
    turn = 2 * np.pi * np.arange(7) / 7
    stretch = 200 / np.array([np.ptp(np.sin(turn)), np.ptp(np.cos(turn))])
    rays = np.hypot(*(stretch * np.column_stack([np.sin(turn), np.cos(turn)])).T)
    return 7 * sewn_mm(found) / float(rays.sum())


def carried(ends: np.ndarray) -> float:
    return float(np.hypot(*(ends[1:, 0] - ends[:-1, 1]).T).sum())


def short_lines(count: int) -> list[str]:
    """Strokes of 30 mm, far apart, and the corners of what they are drawn on."""
    places = np.random.default_rng(7 * count).uniform((0, 0), (1570, 300), (count - 2, 2)).round(1)
    drawn = [f"M{x} {y} h30" for x, y in places.tolist()]
    return ["M0 0 h30", *drawn, "M1570 300 h30"]


def above_least(count: int) -> float:
    """What is carried from stroke to stroke in the DXF's order, over the least, in percent."""
    apart = CONTINUOUS + "settings = { step = false }\n"
    text = project(1700, 400, AS_GIVEN + INSIDE + apart + FITTED)
    found = threads(text, pen(short_lines(count), 1600, 300))
    assert len(found) == count
    ends = np.array([np.array(line.coords)[[0, -1]] for line in found])
    return 100 * (carried(ends) / least_travel(ends) - 1)


HIGHS = "integer programming with HiGHS through scipy, proven; ezdxf"


@outside("order", "12 strokes far apart: carried above the best order, in percent", HIGHS, 0.0, 0.5)
def twelve_strokes() -> float:
    return above_least(12)


@outside("order", "30 strokes far apart: carried above the best order, in percent", HIGHS, 0.0, 3.0)
def thirty_strokes() -> float:
    return above_least(30)


@outside(
    "order",
    "lattice in the ditch in one run: sewn twice over the least that must be",
    "Guan 1962, Chinese postman; networkx min_weight_matching, two ends left free",
    1.0,
    0.001,
)
def sewn_twice() -> float:
    no_margin = '[sewing]\npolicy = "continuous"\nsettings = { margin = false }\n'
    grid = "[grid]\nalong = 4\nacross = 3\nouter_sashing = 40\nsashing = 0\n"
    text = project(600, 380, AS_GIVEN + no_margin + grid + layer("sashing", ""))
    whole = shapely.node(shapely.union_all(guide(text, "layer-1-sashing")))
    (run,) = threads(text)
    return (run.length - float(whole.length)) / least_retraced(list(shapely.get_parts(whole)))


def least_retraced(parts: list[LineString]) -> float:
    """The least length sewn again so that a single run covers all parts."""
    graph = nx.Graph()
    for part in parts:
        ends = [tuple(np.round(end, 2)) for end in (part.coords[0], part.coords[-1])]
        graph.add_edge(*ends, weight=part.length)
    odd = [node for node in graph if graph.degree(node) % 2]
    way = dict(nx.all_pairs_dijkstra_path_length(graph))
    pairs = nx.Graph()
    for one, other in itertools.combinations(odd, 2):
        pairs.add_edge(one, other, weight=way[one][other])
    # two that stay odd are paired for nothing by two that stand for the ends of the run
    for end in ("start", "end"):
        for node in odd:
            pairs.add_edge(end, node, weight=0.0)
    matched = nx.min_weight_matching(pairs)
    return float(sum(pairs.edges[pair]["weight"] for pair in matched))


FRAMED = project(
    600, 260, AS_GIVEN + CONTINUOUS + '[[quilting]]\nkind = "straight"\nspacing = 20\n'
)


@outside(
    "order",
    "parallel lines on a frame, joined along the margin: runs, and lines that lack in them",
    "common practice: there and back in one path",
    (1, 0),
)
def one_run() -> tuple[float, ...]:
    way = np.diff(np.array(threads(FRAMED)[0].simplify(0.5).coords), axis=0)
    across = np.abs(way[:, 0]) > 300
    return len(threads(FRAMED)), len(guide(FRAMED, "layer-1-straight")) - int(across.sum())


ON_FOOT = project(600, 260, AS_GIVEN + straight(20))


@outside(
    "order",
    "parallel lines with a walking foot: starts less lines, lines sewn against their half, mm from"
    " the middle to the first line, lines nearer it than the one before",
    "common practice: a start for every line, from the middle outwards, half by half, each half"
    " sewn the same way",
    (0, 0, 0.0, 0),
    0.01,
)
def on_foot() -> tuple[float, ...]:
    found = np.array([line.coords[0][1] for line in threads(ON_FOOT)])
    found -= (found.min() + found.max()) / 2
    ways = np.array([line.coords[-1][0] > line.coords[0][0] for line in threads(ON_FOOT)])
    halves = (ways[found > 0.01], ways[found < -0.01])
    against = sum(min(int(half.sum()), int((~half).sum())) for half in halves)
    off = (found[found > -0.01], -found[found < 0.01])
    inwards = sum(int((np.diff(half) < -0.01).sum()) for half in off)
    lines = len(guide(ON_FOOT, "layer-1-straight"))
    return len(ways) - lines, against, float(abs(found[0])), inwards


BLOCKS = "[grid]\nalong = 3\nacross = 2\nsashing = 20\nouter_sashing = 20\n"


@cache
def six_blocks() -> tuple[np.ndarray, np.ndarray]:
    """Ends of the DXF's lines in sewing order, and the block that each lies in."""
    text = project(620, 420, AS_GIVEN + BLOCKS + straight(45, 'region = "blocks"\nangle = 45\n'))
    found = threads(text)
    middles = np.array([line.interpolate(0.5, normalized=True).coords[0] for line in found])
    low = shapely.total_bounds(np.array(found, dtype=object))[:2]
    block = ((middles - low) // 200).astype(int) @ (1, 10)
    return np.array([np.array(line.coords)[[0, -1]] for line in found]), block


@outside(
    "order",
    "six blocks with a walking foot: changes from block to block",
    "counting: five, where each is finished before the next",
    5,
)
def changes_of_block() -> int:
    return int(np.count_nonzero(np.diff(six_blocks()[1])))


@outside(
    "order",
    "the same: carried, over the least of all ways to begin each block in its middle",
    "trying all: either half first, either way; common practice: from the middle outwards",
    1.0,
    0.001,
)
def carried_outwards() -> float:
    ends, block = six_blocks()
    blocks = np.split(ends, np.flatnonzero(np.diff(block)) + 1)
    ways = itertools.product(*([*both_ways(rows)] for rows in blocks))
    return carried(ends) / min(carried(np.concatenate(way)) for way in ways)


def both_ways(rows: np.ndarray) -> Iterator[np.ndarray]:
    """A block's lines from its middle outwards, there and back, by the half that comes first."""
    rows = np.sort(rows, axis=1)  # at 45 degrees: each from its lower left end
    off = (rows[:, 0] - rows[0, 0]) @ (1, -1)
    for first, flip in itertools.product((1, -1), (0, 1)):
        order = rows[np.lexsort((np.abs(off), first * off < -1))]
        order[flip::2] = order[flip::2, ::-1]
        yield order


@outside(
    "order",
    "the same: carried above the least with each block finished before the next, in percent",
    f"{HIGHS}; the middle first: a way back over half of each block",
    0.0,
    40.0,
)
def carried_by_block() -> float:
    ends, block = six_blocks()
    return 100 * (carried(ends) / least_travel(ends, group=block) - 1)


@outside(
    "order",
    "blocks filled and sewn in the ditch: lines of the ditch sewn after the first of a fill",
    "common practice: in the ditch first, it holds the layers",
    0,
)
def ditch_first() -> int:
    fill = straight(30, 'region = "blocks"\nangle = 45\n')
    text = project(620, 420, AS_GIVEN + BLOCKS + fill + layer("sashing", ""))
    slanted = [is_slanted(line) for line in threads(text)]
    return sum(not fill for fill in slanted[slanted.index(True) :])


def is_slanted(line: LineString) -> bool:
    """Whether it fills: a good part of it runs at 45 degrees."""
    across, up = np.abs(np.diff(np.array(line.coords), axis=0)).T
    slanted = np.abs(across - up) < 0.1 * (across + up)
    return bool(np.hypot(across, up)[slanted].sum() > 0.3 * line.length)


@outside(
    "order",
    "checkpoints: mm told as sewn before each less those of the DXF's lines before it",
    "ezdxf, GEOS: lengths added up",
    0.0,
    0.5,
)
def checkpoints() -> float:
    lengths = np.concatenate([[0.0], np.cumsum([line.length for line in threads(ON_FOOT)])])
    points = told(ON_FOOT)["sewing"]["checkpoints"]
    assert len(points) > 2
    return max(float(np.abs(lengths - point["sewn_before_mm"]).min()) for point in points)
