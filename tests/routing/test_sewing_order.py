"""The order of the runs: from the centre outwards, by least travel, from the named corner."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiLineString, Point, box

from quiltpath.patterns import LineRole, Lines, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import POLICIES, BreakReason, PieceKind, Runs, policy_named, route
from quiltpath.routing.edges import edges_of_lines
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.local_search import shortest_tour
from quiltpath.routing.sewing_order import sewing_order
from quiltpath.routing.trail_table import Circuits, TrailTable, trail_table

RUNNER = box(0, 0, 1800, 360)
WALKING = POLICIES["walking-foot"]


def parallel(spacing: float, angle_deg: float = 0.0, overrun: float = 12.0) -> Lines:
    """Lines all over the runner, one through its centre."""
    turn = np.radians(angle_deg)
    unit, normal = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    cloth = RUNNER.buffer(overrun, join_style="mitre")
    shapes = []
    for k in range(-60, 61):
        middle = np.array([900.0, 180.0]) + normal * k * spacing
        part = LineString([middle - 2000 * unit, middle + 2000 * unit]).intersection(cloth)
        if part.length > 30:
            shapes.append(part)
    return layer_lines(shapes, name="fill")


def offsets(runs: Runs, angle_deg: float) -> np.ndarray:
    """Signed distance of each run's line from the centre line."""
    turn = np.radians(angle_deg)
    middle = runs.ends.mean(axis=1) - (900.0, 180.0)
    return middle @ np.array([-np.sin(turn), np.cos(turn)])


@pytest.mark.parametrize("angle", [0.0, 45.0, 60.0, 90.0])
@pytest.mark.parametrize("direction", ["one-way", "there-and-back"])
def test_distance_from_the_centre_never_falls_within_a_side(angle: float, direction: str) -> None:
    """Common practice: start on the centre line, sew one half outwards, then the other."""
    policy = policy_named("walking-foot", {"direction": direction})
    off = offsets(route(parallel(40.0, angle), policy, RUNNER, 50.0), angle)
    assert abs(off[0]) < 0.1, "the centre line comes first"
    changes = np.count_nonzero(np.diff(np.sign(np.round(off[1:], 3))))
    assert changes == 1, "one half, then the other"
    for side in (off[off > 0.1], off[off < -0.1]):
        assert (np.diff(np.abs(side)) > 0).all()


@pytest.mark.parametrize("angle", [0.0, 45.0, 90.0])
def test_one_way_means_one_direction_in_each_half(angle: float) -> None:
    runs = route(parallel(40.0, angle), WALKING, RUNNER, 50.0)
    off = offsets(runs, angle)
    turn = np.radians(angle)
    along = (runs.ends[:, 1] - runs.ends[:, 0]) @ np.array([np.cos(turn), np.sin(turn)])
    assert len(np.unique(np.sign(along[off > -0.1]))) == 1
    assert len(np.unique(np.sign(along[off < -0.1]))) == 1
    assert np.sign(along[off > 0.1])[0] != np.sign(along[off < -0.1])[0], "the piece is turned"


def test_there_and_back_alternates() -> None:
    policy = policy_named("walking-foot", {"direction": "there-and-back"})
    runs = route(parallel(40.0), policy, RUNNER, 50.0)
    east = runs.ends[:, 1, 0] > runs.ends[:, 0, 0]
    assert (np.diff(east[: len(east) // 2].astype(int)) != 0).all()


def test_hold_lines_come_first_then_outlines_then_fill() -> None:
    """Common practice."""
    fill = parallel(60.0, 45.0)
    hold = layer_lines(
        [LineString([(300 * k, -12), (300 * k, 372)]) for k in range(1, 6)],
        name="sashing",
        role=LineRole.HOLD,
        retraceable=True,
    )
    rings = [Point(150 + 300 * k, 180).buffer(60).exterior for k in range(6)]
    outline = layer_lines([LineString(r.coords) for r in rings], name="leaf", role=LineRole.OUTLINE)
    lines = join([fill, outline, hold])
    runs = route(lines, WALKING, RUNNER, 50.0)
    roles = lines.role[runs.piece_line]
    assert (np.diff(roles) >= 0).all()
    last_of_role = np.flatnonzero(np.diff(roles[runs.run_start[:-1]]))
    assert (runs.break_reason[last_of_role] == BreakReason.POLICY).all()


def test_motifs_are_sewn_outwards_along_the_runner() -> None:
    rings = [Point(150 + 300 * k, 180).buffer(60).exterior for k in range(6)]
    runs = route(
        layer_lines([LineString(r.coords) for r in rings], name="leaf"), WALKING, RUNNER, 0.0
    )
    middle = np.array([runs.run(i)[:, 0].mean() for i in range(len(runs))]) - 900
    right, left = middle[middle > 0], middle[middle < 0]
    assert (np.diff(np.abs(right)) > 0).all()
    assert (np.diff(np.abs(left)) > 0).all()
    assert np.count_nonzero(np.diff(np.sign(middle))) == 1


@pytest.mark.parametrize(
    ("start", "corner"),
    [
        ("lower-left", (0, 0)),
        ("lower-right", (1800, 0)),
        ("upper-left", (0, 360)),
        ("upper-right", (1800, 360)),
    ],
)
def test_a_frame_starts_at_the_named_corner_and_goes_there_and_back(
    start: str, corner: tuple[float, float]
) -> None:
    """13 lines 24 mm apart need 12 moves of 24 mm in the margin, and no more."""
    across = [LineString([(-12, 36 + 24 * k), (1812, 36 + 24 * k)]) for k in range(13)]
    policy = policy_named("continuous", {"start": start})
    runs = route(layer_lines(across, name="fill"), policy, RUNNER, 50.0)
    assert len(runs) == 1
    assert runs.kind_length_mm(PieceKind.MARGIN) == pytest.approx(12 * 24)
    assert np.hypot(*(runs.run(0)[0] - corner)) < 60


def travel_of(ends: np.ndarray, tour: list[int]) -> float:
    points, order = ends.reshape(-1, 2), np.array(tour)
    return float(np.hypot(*(points[order[1:]] - points[order[:-1] ^ 1]).T).sum())


def random_ends(seed: int, count: int, size: float) -> np.ndarray:
    rng = np.random.default_rng(seed)
    first = rng.uniform(0, 1000, (count, 1, 2))
    return np.concatenate([first, first + rng.uniform(-size, size, (count, 1, 2))], axis=1)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 5), st.sampled_from([0.0, 300.0]))
@example(526, 5, 300.0)
def test_few_runs_are_sewn_in_the_best_order_of_all(seed: int, count: int, size: float) -> None:
    """Against every order and every direction. Local search alone is caught by the example."""
    ends = random_ends(seed, count, size)
    tours = (
        [2 * run + back for run, back in zip(order, backs, strict=True)]
        for order in itertools.permutations(range(count))
        for backs in itertools.product((0, 1), repeat=count)
    )
    best = min(travel_of(ends, tour) for tour in tours)
    tour = shortest_tour(ends)
    assert sorted(end >> 1 for end in tour) == list(range(count))
    assert travel_of(ends, tour) == pytest.approx(best, abs=1e-6)


@pytest.mark.parametrize("side", [4, 7, 10, 14])
def test_dots_on_a_lattice_are_sewn_without_a_detour(side: int) -> None:
    """Closed form: n dots, each one spacing from the next, need n - 1 spacings of travel."""
    x, y = np.meshgrid(np.arange(side), np.arange(side))
    dots = 50.0 * np.stack([x, y], axis=-1).reshape(-1, 1, 2)
    ends = np.concatenate([dots, dots], axis=1)
    assert travel_of(ends, shortest_tour(ends)) == pytest.approx(50.0 * (side**2 - 1), rel=0.03)


@pytest.mark.parametrize("count", [20, 50, 100, 200])
def test_travel_between_dots_is_within_3_percent_of_a_near_exact_solver(count: int) -> None:
    """Against OR-Tools' routing solver with guided local search (Google, Apache 2.0)."""
    ends = random_ends(count, count, 0.0)
    gap = np.hypot(*np.moveaxis(ends[:, None, 0] - ends[None, :, 0], 2, 0))
    best = [2 * run for run in solved(np.round(1000 * gap).astype(int))]
    assert travel_of(ends, shortest_tour(ends)) <= 1.03 * travel_of(ends, best)


@pytest.mark.parametrize("count", [20, 50, 100, 200])
def test_travel_between_lines_is_within_3_percent_of_a_near_exact_solver(count: int) -> None:
    """Against the same solver, to which every line is two places that must follow each other."""
    ends = random_ends(count, count, 60.0)
    points = ends.reshape(-1, 2)
    gap = np.hypot(*np.moveaxis(points[:, None] - points[None, :], 2, 0))
    cost = np.round(1000 * gap).astype(int) + 10_000_000
    place = np.arange(len(points))
    cost[place, place ^ 1] = 0
    best = solved(cost)[::2]
    assert sorted(end >> 1 for end in best) == list(range(count))
    assert travel_of(ends, shortest_tour(ends)) <= 1.03 * travel_of(ends, best)


def solved(cost: np.ndarray, seconds: float = 0.8) -> list[int]:
    """An open tour over all places by OR-Tools: the depot is as far from each as from another."""
    solver = pytest.importorskip("ortools.constraint_solver.pywrapcp")
    from ortools.constraint_solver import routing_enums_pb2 as enums

    table = np.pad(cost, (0, 1), constant_values=int(cost.max())).tolist()
    index = solver.RoutingIndexManager(len(table), 1, len(cost))
    model = solver.RoutingModel(index)
    arc = model.RegisterTransitMatrix(table)
    model.SetArcCostEvaluatorOfAllVehicles(arc)
    search = solver.DefaultRoutingSearchParameters()
    search.first_solution_strategy = enums.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    search.local_search_metaheuristic = enums.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    search.time_limit.FromMilliseconds(int(1000 * seconds))
    answer = model.SolveWithParameters(search)
    at, visited = model.Start(0), []
    while not model.IsEnd(at):
        visited.append(index.IndexToNode(at))
        at = answer.Value(model.NextVar(at))
    return visited[1:]


def test_rings_are_entered_where_the_way_past_them_is_shortest() -> None:
    """Closed form: the way past six rings in a row runs straight from the near side of the first to
    the near side of the last; a ring is left where it was entered, so those between add nothing."""
    rings = [Point(150 + 300 * k, 180).buffer(60, quad_segs=32).exterior for k in range(6)]
    lines = layer_lines([LineString(r.coords) for r in rings], name="leaf")
    runs = route(lines, POLICIES["hoop"], RUNNER, 0.0)
    assert len(runs) == 6
    assert runs.travel_mm == pytest.approx(5 * 300 - 2 * 60, rel=0.01)
    assert (runs.break_reason[:-1] == BreakReason.SEPARATE).all()
    assert runs.break_reason[-1] == BreakReason.FINISHED


def test_there_and_back_in_the_margin_sews_outwards_without_cutting_the_thread() -> None:
    """9 lines 40 mm apart: from the centre 4 moves out, one to the other half, 3 moves more."""
    policy = policy_named(
        "walking-foot", {"direction": "there-and-back", "margin": True, "jump_cost": 500}
    )
    rows = [LineString([(-12, 180 + 40 * k), (1812, 180 + 40 * k)]) for k in range(-4, 5)]
    runs = route(layer_lines(rows, name="fill"), policy, RUNNER, 50.0)
    sewn = runs.piece_line[runs.piece_kind == PieceKind.LINE]
    assert sewn.tolist() == [4, 5, 6, 7, 8, 3, 2, 1, 0]
    assert len(runs) == runs.runs_lower_bound == 1
    assert runs.kind_length_mm(PieceKind.MARGIN) == pytest.approx(7 * 40 + 5 * 40)


def test_one_way_in_each_half_cuts_rather_than_run_back_along_the_margin() -> None:
    """9 lines: only where the piece is turned for the other half does the margin join two."""
    runs = route(parallel(40.0), policy_named("walking-foot", {"margin": True}), RUNNER, 50.0)
    assert len(runs) == 8
    assert runs.kind_length_mm(PieceKind.MARGIN) == pytest.approx(5 * 40)
    along = [np.sign(run[-1, 0] - run[0, 0]) for run in map(runs.run, range(len(runs)))]
    assert along[:4] == [1.0] * 4
    assert along[5:] == [-1.0] * 3


NO_CIRCUITS = Circuits(np.zeros(0, dtype=np.intp), np.zeros((0, 2)), np.zeros(1, dtype=np.intp))


def ordered(paths: list, order: str, begin: tuple[float, float], **keys: str) -> list[int]:
    """Entries of the sewing order for open lines, from where the needle is."""
    ends = np.array([[path[0], path[-1]] for path in paths], dtype=float)
    table = TrailTable(
        ends=ends,
        closed=np.zeros(len(paths), dtype=bool),
        middle=ends.mean(axis=1),
        length=np.hypot(*(ends[:, 1] - ends[:, 0]).T),
        pull=2 * np.prod(ends[:, 1] - ends[:, 0], axis=1),
        layer=np.zeros(len(paths), dtype=np.int32),
        role=np.zeros(len(paths), dtype=np.intp),
        region=np.full(len(paths), -1),
    )
    policy = policy_named("hoop", {"order": order, **keys})
    return sewing_order(table, NO_CIRCUITS, policy, RUNNER, np.array(begin)).tolist()


IN_A_ROW = [[(100, 50), (190, 50)], [(900, 60), (800, 60)], [(450, 55), (500, 55)]]


@pytest.mark.parametrize(
    ("begin", "order"),
    [((0, 0), [0, 4, 3]), ((1800, 0), [2, 5, 1]), ((560, 300), [2, 5, 1]), ((440, 300), [0, 4, 3])],
)
def test_the_tour_of_least_travel_begins_at_its_end_that_is_nearer(
    begin: tuple[float, float], order: list[int]
) -> None:
    """Three lines in a row, the second drawn from the right: sewn from the left or, all of them
    turned round, from the right."""
    assert ordered(IN_A_ROW, "least-travel", begin) == order


@pytest.mark.parametrize(
    ("begin", "order"),
    [((0, 0), [0, 4, 3]), ((1800, 0), [2, 5, 1]), ((520, 60), [5, 1, 3]), ((440, 60), [4, 3, 1])],
)
def test_the_nearest_end_is_sewn_next_from_wherever_the_needle_is(
    begin: tuple[float, float], order: list[int]
) -> None:
    """From the middle line's right end back over it and to the left; from its left end on to the
    right: 300 mm to the line there, 310 mm back to the other."""
    assert ordered(IN_A_ROW, "nearest", begin) == order


@pytest.mark.parametrize(
    ("keys", "order"),
    [
        ({"direction": "one-way"}, [2, 4, 1]),
        ({"direction": "any"}, [2, 5, 0]),
        ({"direction": "one-way", "start": "upper-right"}, [3, 1, 4]),
    ],
)
def test_from_the_centre_the_corner_says_which_half_comes_first(
    keys: dict[str, str], order: list[int]
) -> None:
    """Rows below, on and above the middle of a runner of 360 mm."""
    rows = [[(0, y), (1800, y)] for y in (80, 180, 280)]
    assert ordered(rows, "centre-outwards", (0, 0), **keys) == order


def test_rings_and_lines_are_sewn_in_turn_where_they_lie_in_turn() -> None:
    """Ring, line, ring, line along the runner, given in mixed order; each ring is begun where the
    line before it or after it ends."""
    shapes = [
        LineString([(650, 180), (750, 180)]),
        LineString([(500, 180), (550, 130), (600, 180), (550, 230), (500, 180)]),
        LineString([(350, 180), (450, 180)]),
        LineString([(200, 180), (250, 130), (300, 180), (250, 230), (200, 180)]),
    ]
    runs = route(layer_lines(shapes, name="row"), POLICIES["hoop"], RUNNER, 0.0)
    assert runs.piece_line[runs.run_start[:-1]].tolist() == [3, 2, 1, 0]
    # The first ring is begun at its right-hand tip; the other at either tip, left there again.
    assert runs.travel_mm == pytest.approx(50 + 50 + 150)


def test_from_the_centre_the_layers_are_sewn_one_after_the_other() -> None:
    """Rows of two layers by turns, and a ring in the first: all of the first, then the second."""
    first = [LineString([(-12, y), (1812, y)]) for y in (60, 140, 220, 300)]
    ring = LineString(Point(900, 180).buffer(20).exterior.coords)
    second = [LineString([(-12, y), (1812, y)]) for y in (100, 260, 340)]
    lines = join([layer_lines([*first, ring], name="one"), layer_lines(second, name="two")])
    runs = route(lines, WALKING, RUNNER, 50.0)
    layer = lines.layer[runs.piece_line[runs.run_start[:-1]]]
    assert layer.tolist() == [0] * 5 + [1] * 3
    assert runs.piece_line[runs.run_start[4]] == 4, "the ring after the rows"


def test_the_fill_is_begun_where_the_lines_that_hold_have_ended() -> None:
    """The hold line is sewn from the corner to the right; the fill then comes back from there."""
    hold = layer_lines([LineString([(100, 180), (900, 180)])], name="hold", role=LineRole.HOLD)
    fill = layer_lines([LineString(path) for path in IN_A_ROW], name="fill")
    policy = policy_named("hoop", {"roles": "one-by-one", "starts_first": False})
    runs = route(join([fill, hold]), policy, RUNNER, 0.0)
    assert runs.piece_line.tolist() == [3, 1, 2, 0]
    assert runs.ends[:, :, 0].tolist() == [[100, 900], [900, 800], [500, 450], [190, 100]]
    assert runs.break_reason.tolist() == [
        BreakReason.POLICY, BreakReason.ODD_END, BreakReason.ODD_END, BreakReason.FINISHED,
    ]  # fmt: skip


def test_what_the_order_knows_of_each_run() -> None:
    """Against shapely. Two runs: line 2 backwards, then line 0; and line 1 by way of the margin,
    which is no quilting line and has no layer, so that line 1 says which it is."""
    paths = [
        LineString([(0, 0), (10, 0), (100, 0)]),
        LineString([(50, 60), (50, 90), (50, 100)]),
        LineString([(0, 0), (0, 10), (30, 40)]),
        LineString([(50, 120), (50, 100)]),
    ]
    edges = edges_of_lines(np.array(paths, dtype=object))
    edges = replace(edges, line=np.array([0, 1, 2, -1], dtype=np.int32))
    lines = replace(layer_lines(paths[:3], name="fill"), layer=np.array([4, 5, 6], dtype=np.int32))
    trails = Trails(np.array([5, 0, 6, 3]), np.array([0, 2, 4]), np.zeros(2, dtype=bool))
    table = trail_table(edges, trails, lines)
    assert table.ends.tolist() == [[[30, 40], [100, 0]], [[50, 120], [50, 60]]]
    whole = [MultiLineString([paths[2], paths[0]]), MultiLineString([paths[3], paths[1]])]
    assert table.length == pytest.approx([path.length for path in whole])
    assert table.middle == pytest.approx(np.array([path.centroid.coords[0] for path in whole]))
    assert table.layer.tolist() == [6, 5]
    assert table.closed.tolist() == [False, False]


def test_leanings_alternate_so_that_the_pull_never_adds_up() -> None:
    """Common practice: one line of each leaning in turn. Six lines of one leaning and six of the
    other, all 100 sqrt 2 mm: the sum of length x sin 2t stays within one line's."""
    right = [[(40 * k, 0), (40 * k + 100, 100)] for k in range(6)]
    left = [[(40 * k + 100, 0), (40 * k, 100)] for k in range(6)]
    order = np.array(ordered([*right, *left], "alternate-leanings", (0, 0))) >> 1
    assert sorted(order.tolist()) == list(range(12))
    lean = np.where(order < 6, 1, -1)
    assert np.abs(np.cumsum(lean)).max() == 1
    travelled = np.array(ordered([*right, *left], "least-travel", (0, 0))) >> 1
    for half in (order < 6, order >= 6):
        same = np.isin(travelled, order[half])
        assert travelled[same].tolist() == order[half].tolist()


def test_the_pull_of_a_bent_line_is_that_of_its_stretches() -> None:
    """Closed form: 30 along, 40 up gives 2 x 30 x 40 / 50; along or across gives nothing."""
    shapes = [LineString([(0, 0), (30, 40), (30, 90)]), LineString([(0, 0), (-5, 5), (-9, 9)])]
    edges = edges_of_lines(np.array(shapes, dtype=object))
    trails = Trails(np.array([0, 3]), np.arange(3), np.zeros(2, dtype=bool))
    table = trail_table(edges, trails, layer_lines(shapes, name="fill"))
    assert table.pull == pytest.approx([48.0, -9 * 2**0.5])
