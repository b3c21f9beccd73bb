"""The way round in the wadding: where it lies, what ties lines to it, and who turns round on it."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon, box

from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import POLICIES, PieceKind, Policy, route
from quiltpath.routing.centre_outwards import centre_outwards
from quiltpath.routing.edges import Edges, edges_of_lines
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.margin import join_along_margin, margin_edges
from quiltpath.routing.optional_edges import Network, build_network, nearest_terminal
from quiltpath.routing.shortest_paths import multi_source_shortest_paths

CLOTH = box(0, 0, 300, 120)


def test_the_track_lies_at_the_depth_at_which_most_lines_end() -> None:
    """Three ends 12 mm out, one 20 mm and one 4 mm: the track is the outline grown by 12."""
    points = np.array([(50, -12.0), (200, -12), (312, 60), (100, 140), (-4, 30)])
    found = margin_edges(points, CLOTH, 50.0)
    assert found is not None
    ring, stubs = found
    track = CLOTH.buffer(12, quad_segs=16).exterior
    assert ring.length_mm.sum() == pytest.approx(track.length)
    assert shapely.distance(track, shapely.points(ring.coordinates)).max() < 1e-6
    assert len(ring) == 5, "cut at each foot"
    ends = ring.ends
    assert np.allclose(ends[1:, 0], ends[:-1, 1]) and np.allclose(ends[0, 0], ends[-1, 1])
    assert sorted(stubs.length_mm.tolist()) == pytest.approx([8, 8])
    assert {tuple(end) for end in stubs.ends[:, 0].tolist()} == {(100.0, 140.0), (-4.0, 30.0)}
    assert set(ring.kind.tolist()) == set(stubs.kind.tolist()) == {PieceKind.MARGIN}
    assert set(ring.line.tolist()) == {-1}


@pytest.mark.parametrize(
    ("points", "margin", "some"),
    [
        ([(50, -12), (60, -12)], 50.0, True),
        ([(50, -12)], 50.0, False),
        ([(50, -12), (50, -12)], 50.0, False),
        ([(50, -12), (60, 40)], 50.0, False),
        ([(50, -12), (60, 0)], 50.0, True),
        ([(50, -12), (60, 6.3)], 50.0, True),
        ([(50, -12), (60, 7)], 50.0, False),
        ([(50, 2), (60, 2)], 50.0, True),
        ([(50, -12), (60, -50)], 50.0, True),
        ([(50, -12), (60, -51)], 50.0, False),
        ([(50, -2), (60, -2)], 2.9, False),
        ([(50, -2), (60, -2)], 3.0, True),
    ],
)
def test_two_ends_in_the_margin_are_needed_and_wadding_to_sew_on(
    points: list[tuple[float, float]], margin: float, some: bool
) -> None:
    """Ends on the finished edge count, and those that the binding covers, a quarter inch from it;
    those on the cloth and beyond the wadding do not."""
    assert (margin_edges(np.array(points, float), CLOTH, margin) is not None) == some


@pytest.mark.parametrize(("inside", "runs"), [(0.0, 1), (6.3, 1), (7.0, 4)])
def test_lines_that_end_where_the_binding_will_lie_are_sewn_there_and_back(
    inside: float, runs: int
) -> None:
    """Four rows that end a quarter inch inside the edge: a frame turns round in the wadding; where
    they end farther in, the turns would show."""
    rows = [LineString([(inside, y), (300 - inside, y)]) for y in (15.0, 45.0, 75.0, 105.0)]
    found = route(layer_lines(rows, name="rows"), POLICIES["continuous"], CLOTH, 50.0)
    assert len(found) == found.runs_lower_bound == runs
    inner = CLOTH.buffer(-inside - 0.01)
    moved = np.flatnonzero(found.piece_kind == PieceKind.MARGIN)
    assert len(moved) >= 3 * (runs == 1)
    for piece in moved:
        first, last = found.piece_start[piece : piece + 2]
        assert not LineString(found.coordinates[first:last]).intersects(inner)


def test_an_end_deep_in_a_notch_takes_no_part() -> None:
    """A slot with a pocket beside it: from the pocket the straight way out leads over the cloth,
    while from the slot itself it does not."""
    notched = Polygon(CLOTH.difference(box(140, 60, 160, 130)).difference(box(150, 60, 230, 80)))
    points = np.array([(50, -12.0), (200, -12), (215, 70)])
    found = margin_edges(points, notched, 50.0)
    assert found is not None
    assert len(found[0]) == 2
    found = margin_edges(np.array([(50, -12.0), (200, -12), (150, 100)]), notched, 50.0)
    assert found is not None and len(found[0]) == 3


ROWS = edges_of_lines(
    np.array([LineString([(-12, y), (312, y)]) for y in (20.0, 50.0, 100.0)], dtype=object)
)


def trails_of(*halves: int) -> Trails:
    count = len(halves)
    return Trails(np.array(halves), np.arange(count + 1), np.zeros(count, dtype=bool))


def solve_rural_postman(policy: Policy, *halves: int) -> tuple[list[float], int]:
    """Length of each trail after joining, and how many trails."""
    edges, found, _ = join_along_margin(
        ROWS, trails_of(*halves), np.zeros(3, dtype=np.intp), policy, CLOTH, 50.0
    )
    length = edges.length_mm[found.half // 2]
    ends = edges.ends.reshape(-1, 2)
    for first, last in zip(found.start[:-1], found.start[1:], strict=True):
        own = found.half[first:last]
        assert np.allclose(ends[own[:-1] ^ 1], ends[own[1:]]), "no gap in a trail"
    return np.add.reduceat(length, found.start[:-1]).round(6).tolist(), len(found)


def test_the_quilter_turns_round_in_the_wadding_and_comes_back() -> None:
    """There, back and there: 30 and 50 mm of margin join three rows of 324 mm."""
    assert solve_rural_postman(Policy(margin=True, margin_cost=1.0, jump_cost=200.0), 0, 3, 4) == (
        [3 * 324 + 30 + 50],
        1,
    )
    assert solve_rural_postman(Policy(margin=True, margin_cost=1.0, jump_cost=200.0), 1, 2, 5) == (
        [3 * 324 + 30 + 50],
        1,
    )


def test_a_way_that_costs_more_than_a_jump_is_not_taken() -> None:
    """At 45 mm a jump, 30 mm of margin are worth it and 50 are not; at double cost neither is."""
    assert solve_rural_postman(Policy(margin=True, margin_cost=1.0, jump_cost=45.0), 0, 3, 4) == (
        [2 * 324 + 30, 324],
        2,
    )
    assert (
        solve_rural_postman(Policy(margin=True, margin_cost=2.0, jump_cost=45.0), 0, 3, 4)[1] == 3
    )
    assert (
        solve_rural_postman(Policy(margin=True, margin_cost=1.0, jump_cost=30.0), 0, 3, 4)[1] == 3
    )


def test_rows_sewn_one_way_are_joined_by_the_shorter_way_round() -> None:
    """From the right end back to the left one: under the first row or over the last, whichever is
    shorter, with quarter circles of 12 mm at the corners."""
    (length,), number = solve_rural_postman(
        Policy(margin=True, margin_cost=0.1, jump_cost=200.0), 0, 2
    )
    assert number == 1
    below = 300 + 20 + 50 + 12 * np.pi
    assert length == pytest.approx(2 * 324 + below, abs=0.1)


@pytest.mark.parametrize("seed", range(10))
def test_the_nearest_piece_and_the_way_there_are_dijkstra_s(seed: int) -> None:
    """Against networkx: distances from all pieces together, and the length of each link."""
    rng = np.random.default_rng(seed)
    ends = rng.integers(0, 20, (34, 2))
    cost = rng.uniform(1, 9, 34)
    piece = np.full(20, -1)
    piece[rng.permutation(20)[:5]] = np.arange(5)
    paths = multi_source_shortest_paths(ends, cost, piece)
    graph = nx.Graph()
    graph.add_nodes_from(range(20))
    for (u, v), weight in zip(ends.tolist(), cost.tolist(), strict=True):
        if weight < graph.get_edge_data(u, v, {"weight": np.inf})["weight"]:
            graph.add_edge(u, v, weight=weight)
    sources = {int(node) for node in np.flatnonzero(piece >= 0)}
    far = nx.multi_source_dijkstra_path_length(graph, sources)
    assert paths.distance == pytest.approx([far.get(node, np.inf) for node in range(20)])
    for length, way, one, two in paths.links(np.inf):
        path = paths.path(way)
        assert cost[path].sum() == pytest.approx(length)
        least = nx.dijkstra_path_length(
            graph, int(np.flatnonzero(piece == one)[0]), int(np.flatnonzero(piece == two)[0])
        )
        assert length >= least - 1e-9
        assert length in [found[0] for found in paths.links(length + 1e-9)]
        assert length not in [found[0] for found in paths.links(length)]


def sewn(paths: list[list[tuple[float, float]]], one_way: bool, layer: list[int]) -> list[int]:
    lines = [LineString(path) for path in paths]
    ends = np.array([[path[0], path[-1]] for path in paths], dtype=float)
    return centre_outwards(
        ends,
        np.array([line.is_ring for line in lines]),
        np.array([np.mean(path, axis=0) for path in paths]),
        np.array([line.length for line in lines]),
        np.array(layer, dtype=np.int32),
        np.array([150.0, 60.0]),
        np.array([150.0, 60.0]),
        one_way,
    ).tolist()


LEVEL = [[(0.0, y), (300.0, y)] for y in (20.0, 100.0, 60.0, 40.0, 80.0)]


def test_level_rows_from_the_centre_by_hand() -> None:
    """Rows at 20, 100, 60, 40 and 80: 60 first, then up to 80 and 100, then down to 40 and 20.
    The upper half is sewn to the right, the lower one to the left, or by turns."""
    assert sewn(LEVEL, True, [0] * 5) == [2 * 2, 2 * 4, 2 * 1, 2 * 3 + 1, 2 * 0 + 1]
    assert sewn(LEVEL, False, [0] * 5) == [2 * 2, 2 * 4 + 1, 2 * 1, 2 * 3 + 1, 2 * 0]
    backwards = [path[::-1] for path in LEVEL]
    assert sewn(backwards, True, [0] * 5) == [2 * 2 + 1, 2 * 4 + 1, 2 * 1 + 1, 2 * 3, 2 * 0]


def test_an_earlier_layer_is_sewn_before_a_later_one_and_families_apart() -> None:
    """Layers 1 and 0 by turns; in one layer level rows before upright ones, rings last."""
    assert sewn(LEVEL, True, [1, 0, 1, 0, 1]) == [2 * 1, 2 * 3 + 1, 2 * 2, 2 * 4, 2 * 0 + 1]
    upright = [(100.0, 0.0), (100.0, 120.0)]
    ring = [(200.0, 60.0), (220.0, 60.0), (210.0, 80.0), (200.0, 60.0)]
    order = [entry >> 1 for entry in sewn([ring, upright, LEVEL[2]], True, [0, 0, 0])]
    assert order == [2, 1, 0]


def test_parts_of_one_row_are_sewn_in_the_row_s_direction() -> None:
    parts = [[(160.0, 60.0), (300.0, 60.0)], [(0.0, 60.2), (140.0, 60.2)]]
    lower = [[(0.0, 20.0), (140.0, 20.0)], [(160.0, 20.0), (300.0, 20.0)]]
    assert sewn([*parts, *lower], True, [0] * 4) == [2 * 1, 2 * 0, 2 * 3 + 1, 2 * 2 + 1]


def test_a_crooked_line_wanders_and_a_nearly_straight_one_has_a_direction() -> None:
    """A line whose ends are less than 0.6 of its length apart goes with the rings, outwards."""
    bent = [(140.0, 60.0), (140.0, 100.0), (160.0, 100.0), (160.0, 62.0)]
    gentle = [(0.0, 20.0), (150.0, 60.0), (300.0, 20.0)]
    order = [entry >> 1 for entry in sewn([bent, gentle, LEVEL[2]], True, [0] * 3)]
    assert order == [2, 1, 0]


def test_lines_that_end_farther_out_are_tied_to_the_track() -> None:
    """Two rows end 12 mm out at the right and the third 20 mm: 8 mm of stub and its way round."""
    rows = [[(-12, 20), (312, 20)], [(-12, 50), (312, 50)], [(-20, 100), (320, 100)]]
    edges = edges_of_lines(np.array([LineString(row) for row in rows], dtype=object))
    policy = Policy(margin=True, margin_cost=1.0, jump_cost=200.0)
    one = np.zeros(3, dtype=np.intp)
    ways, found, _ = join_along_margin(edges, trails_of(0, 3, 4), one, policy, CLOTH, 50.0)
    assert len(found) == 1
    length = ways.length_mm[found.half // 2].sum()
    assert length == pytest.approx(324 + 30 + 324 + 50 + 8 + 340)
    ends = ways.ends.reshape(-1, 2)
    assert np.allclose(ends[found.half[:-1] ^ 1], ends[found.half[1:]])
    dearer = Policy(margin=True, margin_cost=1.0, jump_cost=57.0)
    assert len(join_along_margin(edges, trails_of(0, 3, 4), one, dearer, CLOTH, 50.0)[1]) == 2


@pytest.mark.parametrize(
    ("out", "margin", "depth"),
    [
        ([0, 0, 0], 50.0, 25.0),  # lines that stop at the edge: half way out
        ([2.9, 2.9, 2.9], 50.0, 25.0),
        ([3.0, 3.0, 3.0], 50.0, 3.0),
        ([3.1, 3.1, 3.1], 50.0, 3.1),
        ([3.1, 3.1, 40, 40, 40], 50.0, 40.0),
        ([30.3, 30.3, 30.3], 30.0, 30.0),  # never beyond the wadding
    ],
)
def test_the_track_is_sewn_where_there_is_wadding_to_sew_on(
    out: list[float], margin: float, depth: float
) -> None:
    """At the middle one of the ends' depths; less than a stitch out, half way out instead."""
    points = np.array([(50.0 * (k + 1), -depth) for k, depth in enumerate(out)])
    found = margin_edges(points, CLOTH, margin)
    assert found is not None
    low_x, low_y, high_x, high_y = shapely.total_bounds(found[0].shapes())
    assert [low_x, low_y, high_x, high_y] == pytest.approx(
        [-depth, -depth, 300 + depth, 120 + depth]
    )


def test_the_track_is_cut_at_the_feet_from_the_first_one_on() -> None:
    """Feet at 50, 120 and 250 mm along the lower edge and one in the middle of the left edge; two
    ends a thousandth of a millimetre apart share a foot."""
    points = np.array([(50.0, -12), (120, -12), (250, -12), (250.0005, -12), (-12, 60)])
    found = margin_edges(points, CLOTH, 50.0)
    assert found is not None
    ring = found[0]
    assert len(ring) == 4
    quarter = CLOTH.buffer(12, quad_segs=16).exterior.length - 2 * 300 - 2 * 120
    lengths = {
        frozenset(map(tuple, pair.round(3).tolist())): length
        for pair, length in zip(ring.ends, ring.length_mm, strict=True)
    }
    assert lengths[frozenset({(50.0, -12.0), (120.0, -12.0)})] == pytest.approx(70)
    assert lengths[frozenset({(120.0, -12.0), (250.0, -12.0)})] == pytest.approx(130, abs=1e-3)
    assert lengths[frozenset({(-12.0, 60.0), (50.0, -12.0)})] == pytest.approx(110 + quarter / 4)
    assert lengths[frozenset({(-12.0, 60.0), (250.0, -12.0)})] == pytest.approx(
        50 + 120 + 300 + 60 + 3 * quarter / 4, abs=1e-3
    )


def test_an_end_a_hair_off_the_track_needs_no_stub() -> None:
    """The track goes through it; from a hundredth of a millimetre on there is a stub."""
    level = [(50.0, -12.0), (100.0, -12.0), (200.0, -12.0)]
    for off, stubs in ((0.0005, 0), (0.01, 1)):
        points = np.array([*level, (150.0, -12.0 - off)])
        found = margin_edges(points, CLOTH, 50.0)
        assert found is not None
        assert len(found[1]) == stubs
        assert ((found[0].ends == points[3]).all(axis=2).any()) == (stubs == 0)


@pytest.mark.parametrize(("lip_mm", "takes_part"), [(1.9, True), (2.1, False)])
def test_a_stub_may_graze_the_edge_but_not_cross_the_cloth(lip_mm: float, takes_part: bool) -> None:
    """From a pocket beside a slot straight up to the track: over a lip of cloth that is nowhere
    more than a millimetre from an edge, but over no wider one."""
    slot, pocket = box(140, 60, 160, 130), box(159, 80, 180, 120 - lip_mm)
    notched = Polygon(CLOTH.difference(slot).difference(pocket))
    found = margin_edges(np.array([(50, -12.0), (250, -12), (170, 100)]), notched, 50.0)
    assert found is not None
    assert (len(found[0]) == 3) == takes_part


def network_of(
    lines: list[tuple[int, int]], ways: list[tuple[int, int, float]], nodes: int
) -> Network:
    """A network given by its nodes; where they lie is of no matter."""

    def straight(count: int) -> Edges:
        return edges_of_lines(
            np.array([LineString([(0, k), (9, k)]) for k in range(count)] or [None])
        )

    return Network(
        edges=straight(len(lines)),
        node=np.array(lines).reshape(-1, 2),
        optional=straight(len(ways)),
        optional_node=np.array([way[:2] for way in ways], dtype=np.intp).reshape(-1, 2),
        cost=np.array([way[2] for way in ways]),
        nodes=nodes,
        ring=np.zeros(0, dtype=np.intp),
        stubs=np.zeros(0, dtype=np.intp),
    )


SIX_ENDS = [(0, 1), (2, 3), (4, 5)]


@pytest.mark.parametrize(
    ("ways", "within", "left"),
    [
        ([], 100.0, {0, 1, 2, 3, 4, 5}),
        ([(0, 2, 5.0), (2, 4, 5.0), (1, 3, 50.0)], 100.0, {0, 5}),  # 0, 2 and 4 are three
        ([(0, 2, 5.0), (2, 4, 5.0), (1, 3, 50.0)], 50.0, {0, 5}),
        ([(0, 2, 5.0), (2, 4, 5.0), (1, 3, 50.0)], 49.9, {0, 1, 3, 5}),
        ([(0, 2, 5.0), (2, 4, 5.0), (3, 5, np.inf)], 100.0, {0, 1, 3, 5}),  # out of reach
        ([(0, 2, 5.0), (4, 1, 5.0), (3, 5, 1.0)], 100.0, set()),
        ([(0, 6, 30.0), (6, 2, 30.0)], 59.0, {0, 1, 2, 3, 4, 5}),  # over a node of no line
        ([(0, 6, 30.0), (6, 2, 30.0)], 60.0, {1, 3, 4, 5}),
        ([(0, 2, 50.0), (2, 4, 50.0)], 50.0, {0, 1, 3, 5}),
    ],
)
def test_ends_that_no_way_can_make_even(
    ways: list[tuple[int, int, float]], within: float, left: set[int]
) -> None:
    """By hand: alone within the cost, or the odd one of those that hang together."""
    assert set(network_of(SIX_ENDS, ways, 7).unmatched(within).tolist()) == left


def test_lines_hang_together_by_ways_that_can_be_sewn() -> None:
    net = network_of(SIX_ENDS, [(1, 2, 4.0), (3, 4, np.inf)], 6)
    assert net.odd.tolist() == [0, 1, 2, 3, 4, 5]
    assert net.usable.tolist() == [True, False]
    assert net.super_components().tolist() == [0, 0, 0, 0, 4, 4]
    assert network_of([(0, 1), (1, 2)], [], 3).odd.tolist() == [0, 2]


def test_the_way_to_the_nearest_other_end() -> None:
    net = network_of(SIX_ENDS, [(0, 2, 5.0), (2, 4, 7.0), (1, 3, 50.0), (0, 1, 9.0)], 6)
    assert nearest_terminal(net, net.odd).tolist() == [5, 9, 5, 50, 7, np.inf]


@pytest.mark.parametrize(
    ("policy", "again", "round_it"),
    [
        (Policy(), 0, False),
        (Policy(retrace=True, retrace_cost=3.0), 2, False),
        (Policy(retrace=True, retrace_cap_mm=324.0), 2, False),
        (Policy(retrace=True, retrace_cap_mm=323.0), 0, False),
        (Policy(margin=True, margin_cost=2.0), 0, True),
        (Policy(margin=True, retrace=True, retrace_cost=3.0, margin_cost=2.0), 2, True),
    ],
)
def test_the_ways_that_a_policy_allows(policy: Policy, again: int, round_it: bool) -> None:
    """Three rows of 324 mm, two of which may be sewn again; round them the track, cut at the six
    ends."""
    may_repeat = np.array([True, False, True])
    none = ROWS.take(np.zeros(0, dtype=np.intp))
    net = build_network(ROWS, may_repeat, policy, CLOTH, 50.0, none)
    assert net.optional.line[net.optional.kind == PieceKind.RETRACE].tolist() == [0, 2][:again]
    assert net.cost[:again] == pytest.approx(np.full(again, policy.retrace_cost * 324))
    assert net.ring.tolist() == list(range(again, again + 6 * round_it))
    assert net.stubs.tolist() == []
    assert len(net.optional) == len(net.cost) == again + 6 * round_it
    assert net.nodes == 6
    track = CLOTH.buffer(12, quad_segs=16).exterior.length
    assert net.cost[net.ring].sum() == pytest.approx(2.0 * track * round_it)
    # What was sewn before is a way as well.
    before = build_network(
        ROWS.take(may_repeat), np.zeros(2, bool), policy, CLOTH, 50.0, ROWS.take(np.array([1]))
    )
    assert before.optional.line[before.optional.kind == PieceKind.RETRACE].tolist() == [1] * (
        again > 0
    )


def test_pieces_of_the_track_that_leave_the_reach_cannot_be_sewn() -> None:
    """The machine comes no further than 310 mm along: the right-hand ends lie beyond."""
    policy = Policy(margin=True, margin_cost=2.0)
    none = ROWS.take(np.zeros(0, dtype=np.intp))
    net = build_network(ROWS, np.zeros(3, bool), policy, CLOTH, 50.0, none, box(-50, -50, 310, 170))
    within = [bool((ends[:, 0] < 0).all()) for ends in net.optional.ends]
    assert np.isfinite(net.cost).tolist() == within
    assert sorted(net.cost[within]) == pytest.approx([2 * 30, 2 * 50])


def test_ends_behind_one_another_share_a_foot_and_the_whole_track_is_one_piece() -> None:
    """Straight out from a corner of the cloth, where the track has a vertex, two ends half a
    thousandth apart and one 8 mm further out: once round from there and back, no vertex twice."""
    found = margin_edges(np.array([(0.0, -11.9995), (0, -12), (0, -20)]), CLOTH, 50.0)
    assert found is not None
    ring, stubs = found
    assert len(ring) == 1
    assert ring.ends[0] == pytest.approx(np.array([(0, -12), (0, -12)]), abs=1e-3)
    track = CLOTH.buffer(12, quad_segs=16).exterior
    assert ring.length_mm[0] == pytest.approx(track.length, abs=1e-2)
    assert (np.hypot(*np.diff(ring.coordinates, axis=0).T) > 0).all()
    assert stubs.length_mm.max() == pytest.approx(8, abs=1e-3)
