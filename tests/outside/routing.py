"""Routing: textbook walks, and a matching and a tour found by other people's programs."""

from __future__ import annotations

import itertools
from unittest import mock

import networkx as nx
import numpy as np
import shapely
from shapely.geometry import LineString

from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import PieceKind, Policy, Runs, policy_named, region_order, route
from quiltpath.routing.euler_trail import euler_trails
from quiltpath.routing.local_search import shortest_tour
from quiltpath.routing.region_order import least_carrying
from quiltpath.routing.t_join import minimum_t_join
from tests.checks.drawings import parallel
from tests.outside.best_tour import least_travel
from tests.outside.check import outside
from tests.routing.drawings import FINISHED, MARGIN_MM
from tests.routing.test_region_order import BLOCKS, RUNNER, blocks_of, drawing
from tests.routing.test_sewing_order import random_ends
from tests.routing.test_t_join import cost_by_networkx, random_graph

EULER = "Euler 1741; Listing 1847 (memory): odd nodes / 2 trails, 1 where there are none"
SQUARE = [(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)]


def least_runs(edges: list[tuple[int, int]]) -> int:
    """Trails of a graph whose headings do not matter."""
    ends = np.array(edges)
    heading = np.zeros((len(ends), 2, 2))
    heading[..., 0] = 1.0
    return len(euler_trails(ends, heading))


def sewn(shapes: list[LineString], policy: Policy | None = None, retraced: bool = False) -> Runs:
    lines = layer_lines(shapes, name="lines", retraceable=retraced)
    return route(lines, policy or Policy(), FINISHED, MARGIN_MM)


@outside("routing", "bridges of Koenigsberg: walks that cross each once", EULER, 2)
def koenigsberg() -> int:
    return least_runs([(0, 1), (0, 1), (0, 2), (0, 2), (0, 3), (1, 3), (2, 3)])


@outside(
    "routing",
    "bridges of Koenigsberg: bridges crossed again for a round walk",
    "Guan 1962, Chinese postman: all four odd, two pairs (memory)",
    2,
)
def koenigsberg_round() -> int:
    bridges = np.array([(0, 1), (0, 1), (0, 2), (0, 2), (0, 3), (1, 3), (2, 3)])
    return len(minimum_t_join(bridges, np.ones(7), np.arange(4), np.full(4, np.inf)))


@outside(
    "routing",
    "house with a roof and two diagonals: strokes of the pen",
    "schoolbook one-stroke puzzle: two odd corners",
    1,
)
def house() -> int:
    return least_runs([(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3), (2, 4), (3, 4)])


@outside("routing", "complete graph of 4: trails", EULER, 2)
def four_all_joined() -> int:
    return least_runs(list(itertools.combinations(range(4), 2)))


@outside("routing", "complete graph of 5: trails", EULER, 1)
def five_all_joined() -> int:
    return least_runs(list(itertools.combinations(range(5), 2)))


@outside("routing", "cube's edges: trails", EULER, 4)
def cube() -> int:
    return least_runs(
        [tuple(edge) for edge in nx.convert_node_labels_to_integers(nx.hypercube_graph(3)).edges]
    )


@outside("routing", "Petersen's graph: trails", EULER, 5)
def petersen() -> int:
    return least_runs([tuple(edge) for edge in nx.petersen_graph().edges])


@outside("routing", "star of 7 rays: trails", EULER, 4)
def star() -> int:
    return least_runs([(0, ray) for ray in range(1, 8)])


@outside(
    "routing",
    "300 random graphs: trails more or fewer than the odd nodes ask for",
    "networkx, degrees and components",
    0,
)
def random_trails() -> int:
    differ = 0
    for seed in range(300):
        edges = random_graph(seed)[0]
        graph = nx.MultiGraph(edges.tolist())
        wanted = sum(
            max(1, sum(graph.degree(node) % 2 for node in piece) // 2)
            for piece in nx.connected_components(graph)
        )
        differ += abs(least_runs(edges.tolist()) - wanted)
    return differ


@outside(
    "routing",
    "60 random T-joins: cost above networkx's matching",
    "networkx min_weight_matching on the metric closure",
    0.0,
    0.05,
)
def t_joins() -> float:
    worse = 0.0
    for seed in range(1000, 1060):
        edges, weight, odd = random_graph(seed)
        found = weight[minimum_t_join(edges, weight, odd, np.full(len(odd), np.inf))].sum()
        worse = max(worse, abs(found - cost_by_networkx(edges, weight, odd)))
    return float(worse)


@outside(
    "routing",
    "ladder of three squares: streets walked twice",
    "Guan 1962, Chinese postman, by hand",
    2,
)
def ladder() -> int:
    nodes = np.arange(8).reshape(2, 4)
    along = np.concatenate([np.column_stack([row[:-1], row[1:]]) for row in nodes])
    edges = np.concatenate([along, nodes.T])
    odd = np.flatnonzero(np.bincount(edges.ravel()) % 2)
    return len(minimum_t_join(edges, np.ones(len(edges)), odd, np.full(len(odd), np.inf)))


@outside(
    "routing",
    "10 sets of 5 runs: travel above the best of all orders, in mm",
    "brute force over all orders and directions",
    0.0,
    1e-6,
)
def tours() -> float:
    chance, worse = np.random.default_rng(5), 0.0
    for _ in range(10):
        ends = chance.uniform(0, 300, (5, 2, 2))
        tour = shortest_tour(ends)
        points = ends.reshape(-1, 2)
        worse = max(worse, _travel(points, tour) - min(_travel(points, t) for t in _all_tours(5)))
    return float(worse)


HIGHS = "integer programming with HiGHS through scipy, proven"


@outside("routing", "20 runs: travel above the best order, in percent", HIGHS, 0.0, 3.0)
def twenty_runs() -> float:
    ends = random_ends(20, 20, 60.0)
    points = ends.reshape(-1, 2)
    return 100 * (_travel(points, shortest_tour(ends)) / least_travel(ends) - 1)


@outside("routing", "60 runs: travel above the best order, in percent", HIGHS, 0.0, 3.0)
def sixty_runs() -> float:
    ends = random_ends(2060, 60, 60.0)
    points = ends.reshape(-1, 2)
    return 100 * (_travel(points, shortest_tour(ends)) / least_travel(ends) - 1)


@outside(
    "routing",
    "walking foot: carried over the least that its rule allows",
    "networkx, shortest path through the orders that each set of parallels may have",
    1.0,
    0.02,
)
def carried_by_the_rule() -> float:
    asked: list[tuple[np.ndarray, list[list[np.ndarray]]]] = []

    def listening(ends: np.ndarray, sets: list[list[np.ndarray]], begin: np.ndarray) -> object:
        asked.append((ends, sets))
        return least_carrying(ends, sets, begin)

    with mock.patch.object(region_order, "least_carrying", listening):
        runs = route(drawing(), "walking-foot", RUNNER, MARGIN_MM, regions=BLOCKS)
    ends, sets = asked[0]
    points, ways = ends.reshape(-1, 2), nx.DiGraph()
    for place, orders in enumerate(sets):
        for number, order in enumerate(orders):
            for other, before in enumerate(sets[place - 1] if place else [order]):
                joint = points[before[-1] ^ 1] - points[order[0]] if place else np.zeros(2)
                weight = _travel(points, order.tolist()) + float(np.hypot(*joint))
                came = (place - 1, other) if place else "start"
                ways.add_edge(came, (place, number), weight=weight)
    for number in range(len(sets[-1])):
        ways.add_edge((len(sets) - 1, number), "end", weight=0.0)
    least = nx.shortest_path_length(ways, "start", "end", "weight")
    return float(runs.travel_mm / least)


@outside(
    "routing",
    "walking foot, block by block: changes of the block for six blocks",
    "counting: five changes for six",
    5,
)
def changes_of_block() -> int:
    runs = route(drawing(), "walking-foot", RUNNER, MARGIN_MM, regions=BLOCKS)
    block = blocks_of(runs)
    return int(np.count_nonzero(np.diff(block[block >= 0])))


def _all_tours(runs: int) -> list[list[int]]:
    turned = list(itertools.product((0, 1), repeat=runs))
    orders = itertools.permutations(range(runs))
    return [
        [2 * r + t for r, t in zip(order, turn, strict=True)] for order in orders for turn in turned
    ]


def _travel(points: np.ndarray, tour: list[int]) -> float:
    return sum(
        float(np.hypot(*(points[one ^ 1] - points[other])))
        for one, other in itertools.pairwise(tour)
    )


@outside("routing", "a square with both diagonals: fewest runs of the drawing", EULER, 2)
def crossed_square() -> int:
    return len(
        sewn(
            [LineString(SQUARE), LineString([(0, 0), (100, 100)]), LineString([(100, 0), (0, 100)])]
        )
    )


@outside(
    "routing",
    "length sewn of a square with a diagonal",
    "closed form: 400 + 100 sqrt 2",
    400 + 100 * 2**0.5,
    1e-6,
)
def length_kept() -> float:
    return sewn([LineString(SQUARE), LineString([(0, 0), (100, 100)])]).kind_length_mm(
        PieceKind.LINE
    )


@outside(
    "routing",
    "12 parallel lines on a frame, joined along the margin: runs",
    "common practice: there and back in one path",
    1,
)
def one_path() -> int:
    lines = [LineString([(-20, y), (420, y)]) for y in np.linspace(10, 190, 12)]
    return len(sewn(lines, policy_named("continuous")))


@outside(
    "routing",
    "12 parallel lines with no margin to use: runs",
    "common practice: a start for every line",
    12,
)
def run_a_line() -> int:
    return len(sewn([LineString([(20, y), (380, y)]) for y in np.linspace(10, 190, 12)]))


@outside(
    "routing",
    "lattice of crossing lines: length that is not sewn",
    "GEOS through shapely: length of the union",
    0.0,
    1e-6,
)
def nothing_lost() -> float:
    shapes = parallel(80.0, FINISHED) + parallel(80.0, FINISHED, 90.0)
    whole = shapely.union_all(shapes).length
    return float(abs(sewn(shapes).kind_length_mm(PieceKind.LINE) - whole))
