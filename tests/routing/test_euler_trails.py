"""Trails over drawings as graphs: Euler's number of them, and straight on at every junction."""

from __future__ import annotations

import itertools

import networkx as nx
import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon, box

from quiltpath.routing.edges import Edges, edges_of_lines
from quiltpath.routing.euler_trail import Trails, euler_trails, straight_transitions
from quiltpath.routing.junctions import node_in_margin, node_retraceable
from quiltpath.routing.nodes import connected_components, nearest_pairs, nodes_of, renumber
from quiltpath.routing.trail_reordering import circuits_of, reorder_trails, start_circuits_at

SEEDS = pytest.mark.parametrize("seed", range(12))


def graph(seed: int, nodes: int = 9, edges: int = 14) -> tuple[np.ndarray, np.ndarray]:
    """Nodes at both ends and headings of straight edges between random places."""
    rng = np.random.default_rng(seed)
    place = rng.uniform(0, 100, (nodes, 2))
    pairs = np.array(list(itertools.combinations(range(nodes), 2)))
    node = pairs[rng.permutation(len(pairs))[:edges]]
    ahead = place[node[:, 1]] - place[node[:, 0]]
    unit = ahead / np.hypot(*ahead.T)[:, None]
    return node, np.stack([unit, -unit], axis=1)


def walked(found: Trails) -> list[list[int]]:
    return [found.half[a:b].tolist() for a, b in itertools.pairwise(found.start)]


@SEEDS
def test_trails_are_as_few_as_euler_says_and_sew_each_strand_once(seed: int) -> None:
    """Counted with networkx: half the odd nodes of each piece, or one closed trail."""
    node, headings = graph(seed, edges=6 + 2 * seed)
    found = euler_trails(node, headings)
    drawing = nx.MultiGraph(node.tolist())
    pieces = [drawing.subgraph(piece) for piece in nx.connected_components(drawing)]
    odd = [sum(degree % 2 for _, degree in piece.degree) for piece in pieces]
    assert len(found) == sum(max(1, number // 2) for number in odd)
    assert np.count_nonzero(found.closed) == odd.count(0)
    assert sorted((found.half // 2).tolist()) == list(range(len(node)))
    ends = node.reshape(-1)
    for trail, closed in zip(walked(found), found.closed, strict=True):
        for one, two in itertools.pairwise(trail):
            assert ends[one ^ 1] == ends[two], "each edge begins where the last one ended"
        assert (ends[trail[0]] == ends[trail[-1] ^ 1]) or not closed


@SEEDS
def test_the_straightest_ends_at_a_node_are_joined_first(seed: int) -> None:
    """Against a list of all pairs at each node, straightest first."""
    node, headings = graph(seed)
    at, heading = node.reshape(-1), headings.reshape(-1, 2)
    transition = straight_transitions(at, heading)
    for spot in np.unique(at):
        ends = np.flatnonzero(at == spot).tolist()
        left = set(ends)
        pairs = itertools.combinations(ends, 2)
        for a, b in sorted(pairs, key=lambda pair: heading[pair[0]] @ heading[pair[1]]):
            if {a, b} <= left:
                assert transition[a] == b and transition[b] == a
                left -= {a, b}
        assert all(transition[end] == -1 for end in left) and len(left) == len(ends) % 2


@pytest.mark.parametrize(("columns", "rows"), [(2, 2), (3, 4), (5, 2)])
def test_a_grid_is_sewn_line_by_line(columns: int, rows: int) -> None:
    """Lines that overhang at both ends: each crossing is gone straight over."""
    whole = [LineString([(10 * x, 0), (10 * x, 10 * rows + 10)]) for x in range(1, columns + 1)]
    whole += [LineString([(0, 10 * y), (10 * columns + 10, 10 * y)]) for y in range(1, rows + 1)]
    parts = edges_of_lines(np.array(shapely.get_parts(shapely.node(shapely.union_all(whole)))))
    found = euler_trails(nodes_of(parts.ends.reshape(-1, 2)).reshape(-1, 2), parts.headings)
    lengths = sorted(sum(parts.length_mm[half // 2] for half in trail) for trail in walked(found))
    assert lengths == sorted(line.length for line in whole)


def test_a_ring_is_taken_in_by_the_line_that_meets_it_where_the_turn_is_least() -> None:
    """A square standing on a line: sewn on the way, as one trail of five edges."""
    square = [(10, 0), (14, 5), (10, 10), (6, 5), (10, 0)]
    lines = [LineString(pair) for pair in itertools.pairwise(square)]
    lines += [LineString([(0, 0), (10, 0)]), LineString([(10, 0), (20, 0)])]
    parts = edges_of_lines(np.array([None, *lines], dtype=object)[1:])
    found = euler_trails(nodes_of(parts.ends.reshape(-1, 2)).reshape(-1, 2), parts.headings)
    assert len(found) == 1 and not found.closed[0]
    order = [half // 2 for half in found.half.tolist()]
    assert order in ([4, 0, 1, 2, 3, 5], [5, 3, 2, 1, 0, 4], [4, 3, 2, 1, 0, 5], [5, 0, 1, 2, 3, 4])
    # Into the square from the left, the side that rises to the right turns less.
    assert order in ([4, 0, 1, 2, 3, 5], [5, 3, 2, 1, 0, 4])


@SEEDS
def test_pieces_hang_together_as_networkx_finds_them(seed: int) -> None:
    rng = np.random.default_rng(seed)
    pairs = rng.integers(0, 40, (rng.integers(1, 45), 2))
    label = connected_components(40, pairs)
    drawing = nx.Graph()
    drawing.add_nodes_from(range(40))
    drawing.add_edges_from(pairs.tolist())
    for piece in nx.connected_components(drawing):
        assert {int(label[member]) for member in piece} == {min(piece)}
    assert renumber(label).tolist() == np.unique(label, return_inverse=True)[1].tolist()


@SEEDS
def test_points_are_one_node_where_they_are_nearest_within_the_tolerance(seed: int) -> None:
    """Against every pair of places; equal points are one place to begin with."""
    rng = np.random.default_rng(seed)
    places = rng.integers(0, 12, (14, 2)) + rng.uniform(-0.3, 0.3, (14, 2))
    points = places[rng.integers(0, 14, 30)]
    assert len(np.unique(nodes_of(points))) == len(np.unique(points, axis=0))
    unique = np.unique(points, axis=0)
    away = np.hypot(*np.moveaxis(unique[:, None] - unique[None], -1, 0))
    np.fill_diagonal(away, np.inf)
    nearest = [(k, int(row.argmin())) for k, row in enumerate(away) if row.min() <= 0.8]
    assert nearest_pairs(unique, 0.8).tolist() == [list(pair) for pair in nearest]
    met = nx.Graph(nearest)
    met.add_nodes_from(range(len(unique)))
    node = nodes_of(points, 0.8)
    assert len(np.unique(node)) == nx.number_connected_components(met)
    place_of = [int(np.flatnonzero((unique == point).all(axis=1))[0]) for point in points]
    for a, b in itertools.combinations(range(30), 2):
        assert (node[a] == node[b]) == nx.has_path(met, place_of[a], place_of[b])


def test_points_a_millionth_apart_are_one_node() -> None:
    points = np.array([(5.0, 5.0), (5.0000001, 5.0), (5.00001, 5.0)])
    assert nodes_of(points).tolist() == [0, 0, 1]


def rings() -> tuple[Edges, Trails]:
    """Two triangles of three edges each, the second in two bent edges, and an open line."""
    lines = [
        LineString([(0, 0), (9, 0)]), LineString([(9, 0), (0, 9)]), LineString([(0, 9), (0, 0)]),
        LineString([(20, 0), (29, 0), (29, 9)]), LineString([(29, 9), (20, 9), (20, 0)]),
        LineString([(40, 0), (50, 0)]),
    ]  # fmt: skip
    parts = edges_of_lines(np.array([None, *lines], dtype=object)[1:])
    return parts, euler_trails(nodes_of(parts.ends.reshape(-1, 2)).reshape(-1, 2), parts.headings)


def path(parts: Edges, trail: list[int]) -> list[tuple[float, float]]:
    """The corners that a trail comes past."""
    points: list[tuple[float, float]] = []
    for half in trail:
        own = parts.coordinates[parts.start[half // 2] : parts.start[half // 2 + 1]]
        points += [tuple(point) for point in (own[::-1] if half % 2 else own).tolist()]
    return [a for a, b in itertools.pairwise([*points, None]) if a != b]


def test_closed_trails_begin_where_they_are_asked_to() -> None:
    """At any of their vertices, also one inside a edge; the way round stays the same."""
    parts, found = rings()
    loops, _ = circuits_of(parts, found)
    assert len(loops.run) == 2
    before = [path(parts, trail) for trail in walked(found)]
    for first, second in itertools.product(
        [(0, 0), (9, 0), (0, 9)], [(20, 0), (29, 0), (29, 9), (20, 9)]
    ):
        entry = np.array([first, second], dtype=float)
        if (first[0] < 15) != (loops.of(0)[:, 0].max() < 15):
            entry = entry[::-1]
        renewed, turned = start_circuits_at(parts, found, loops, entry)
        after = [path(renewed, trail) for trail in walked(turned)]
        for loop, run in enumerate(loops.run.tolist()):
            assert after[run][0] == after[run][-1] == tuple(entry[loop])
            ring, old = after[run][:-1], before[run][:-1]
            at = old.index(ring[0])
            assert ring == old[at:] + old[:at]
        (line,) = set(range(3)) - set(loops.run.tolist())
        assert after[line] == before[line]


def test_trails_are_put_in_order_and_turned_round() -> None:
    parts, found = rings()
    ways = [path(parts, trail) for trail in walked(found)]
    ordered = reorder_trails(found, np.array([2 * 2, 2 * 0 + 1, 2 * 1]))
    assert [path(parts, trail) for trail in walked(ordered)] == [ways[2], ways[0][::-1], ways[1]]
    assert ordered.closed.tolist() == found.closed[[2, 0, 1]].tolist()


def test_tracks_get_a_junction_where_lines_end_on_them_or_tracks_cross() -> None:
    """Track 0 is level; 1 crosses it and may be sewn again too; 2 crosses it and may not; 3 ends
    on it; 4 ends a tenth beside it; 5 begins at its own end."""
    lines = [
        [(0, 0), (100, 0)], [(20, -9), (20, 9)], [(40, -9), (40, 9)],
        [(60, 0), (60, 9)], [(80, 0.1), (80, 9)], [(100, 0), (100, 9)],
    ]  # fmt: skip
    parts = edges_of_lines(np.array([None, *map(LineString, lines)], dtype=object)[1:])
    again = np.array([True, True, False, False, False, False])
    noded = node_retraceable(parts, again, 0.2)
    lengths = [noded.length_mm[noded.line == line].tolist() for line in range(6)]
    assert lengths[0] == pytest.approx([20, 40, 20, 20], abs=0.01)
    assert lengths[1] == pytest.approx([9, 9])
    assert [len(each) for each in lengths[2:]] == [1, 1, 1, 1]
    assert node_retraceable(parts, np.zeros(6, dtype=bool), 0.2) is parts


CLOTH = box(0, 0, 200, 100)


@pytest.mark.parametrize(
    ("ring", "cut_at"),
    [
        ([(90, 60), (100, 108), (110, 60), (90, 60)], (100, 108)),
        ([(90, 60), (95, 104), (105, 107), (110, 60), (90, 60)], (105, 107)),
        ([(90, 60), (100, 99), (110, 60), (90, 60)], None),
        ([(90, 60), (100, 100), (110, 60), (90, 60)], None),
    ],
)
def test_a_ring_that_overhangs_is_cut_farthest_out_in_the_margin(
    ring: list, cut_at: tuple[float, float] | None
) -> None:
    parts = edges_of_lines(np.array([Polygon(ring).exterior]))
    noded = node_in_margin(parts, CLOTH, 20.0)
    assert len(noded) == (1 if cut_at is None else 2)
    if cut_at is not None:
        assert tuple(noded.ends[0, 1]) == tuple(noded.ends[1, 0]) == cut_at


def test_a_line_that_ends_in_the_margin_needs_no_cut() -> None:
    parts = edges_of_lines(np.array([LineString([(90, 60), (95, 104), (100, 108)])]))
    assert len(node_in_margin(parts, CLOTH, 20.0)) == 1


def test_a_line_right_across_the_margin_is_cut_half_way() -> None:
    """From the cloth to beyond 20 mm of wadding: at 10 mm, where no vertex lies in the margin."""
    parts = edges_of_lines(np.array([LineString([(90, 60), (90, 140)])]))
    noded = node_in_margin(parts, CLOTH, 20.0)
    assert noded.length_mm.tolist() == pytest.approx([50, 30])
    assert len(node_in_margin(parts, CLOTH, 0.0)) == 1


def star(*angles_deg: float, loop: tuple[float, float] | None = None) -> tuple[Trails, Edges]:
    """Trails over lines from one point outwards, and a loop that leaves and comes back there."""

    def spot(angle: float, far: float) -> tuple[float, float]:
        return far * np.cos(np.radians(angle)), far * np.sin(np.radians(angle))

    lines = [LineString([(0, 0), spot(angle, 50)]) for angle in angles_deg]
    if loop is not None:
        outs = [spot(angle, 20) for angle in loop]
        lines.append(LineString([(0, 0), outs[0], outs[1], (0, 0)]))
    parts = edges_of_lines(np.array([*lines, None], dtype=object)[:-1])
    return euler_trails(nodes_of(parts.ends.reshape(-1, 2)).reshape(-1, 2), parts.headings), parts


def by_strand(found: Trails) -> set[frozenset[int]]:
    return {frozenset(half // 2 for half in trail) for trail in walked(found)}


def test_a_loop_is_taken_in_by_the_trail_through_its_node_that_it_bends_least() -> None:
    """A level line through a point, a loop that leaves at 30 degrees and comes back at 150, and a
    loose end at 32. Into the level line it is taken with two bends of 30 degrees; at the loose
    end with one, of 62."""
    found, _ = star(180, 0, 32, loop=(30, 150))
    assert by_strand(found) == {frozenset({0, 1, 3}), frozenset({2})}
    order = next(trail for trail in walked(found) if len(trail) == 3)
    # Outwards along the level line's left half is half-edge 0: it is sewn inwards, as 1.
    assert order in ([1, 6, 2], [3, 7, 0])


def test_a_loop_hangs_on_a_loose_end_that_points_the_other_way() -> None:
    """Nothing goes through: a line from the left and the loop at its end, entered by either side
    that turns less."""
    found, _ = star(180, loop=(10, 80))
    assert walked(found) in ([[1, 2]], [[3, 0]])


def test_two_loops_at_one_point_are_one_closed_trail() -> None:
    found, parts = star(loop=(30, 150))
    assert found.closed.tolist() == [True] and len(parts) == 1
    two = [[(0, 0), (20, 30), (-20, 30), (0, 0)], [(0, 0), (20, -30), (-20, -30), (0, 0)]]
    parts = edges_of_lines(np.array([LineString(path) for path in two], dtype=object))
    found = euler_trails(nodes_of(parts.ends.reshape(-1, 2)).reshape(-1, 2), parts.headings)
    assert found.closed.tolist() == [True] and by_strand(found) == {frozenset({0, 1})}
    # Each goes straight on into itself where they cross, and still one is taken in by the other.
    level = [(0, 0), (20, 0), (20, 40), (-20, 40), (-20, 0), (0, 0)]
    upright = [(y, x) for x, y in level]
    parts = edges_of_lines(np.array([LineString(level), LineString(upright)], dtype=object))
    found = euler_trails(nodes_of(parts.ends.reshape(-1, 2)).reshape(-1, 2), parts.headings)
    assert found.closed.tolist() == [True] and by_strand(found) == {frozenset({0, 1})}


def test_loops_in_a_chain_are_all_taken_in_by_the_line_at_its_end() -> None:
    """Four diamonds tip to tip and a line from the first: one trail."""
    chain = [[(10 * k, 0), (10 * k + 5, 4), (10 * k + 10, 0)] for k in range(4)]
    chain += [[(x, -y) for x, y in half] for half in chain]
    lines = [LineString(half) for half in chain] + [LineString([(-30, 0), (0, 0)])]
    parts = edges_of_lines(np.array(lines, dtype=object))
    found = euler_trails(nodes_of(parts.ends.reshape(-1, 2)).reshape(-1, 2), parts.headings)
    assert len(found) == 1 and not found.closed[0] and len(found.half) == 9


@pytest.mark.parametrize(
    ("path", "margin", "at"),
    [
        ([(90, 60), (100, 120), (110, 60), (90, 60)], 20.0, [(100, 120)]),
        ([(99.9, 60), (100, 120.1), (100.1, 60), (99.9, 60)], 20.0, [(100, 110)]),
        ([(90, 60), (100, 100.4), (110, 60), (90, 60)], 0.5, [(100, 100.4)]),
        ([(90, 60), (100, 130), (112, 105), (110, 60), (90, 60)], 20.0, [(112, 105)]),
        ([(90, 60), (97, 107), (103, 107), (110, 60), (90, 60)], 20.0, [(97, 107)]),
        ([(90, 60), (95, 108), (100, 104)], 20.0, [(95, 108)]),
        ([(100, 104), (95, 108), (90, 60)], 20.0, [(95, 108)]),
        ([(90, 107), (97, 60), (103, 60), (110, 107)], 20.0, []),
        ([(90, 60), (110, 60), (110, 90), (90, 60)], 20.0, []),
        ([(100, 140), (120, 150), (130, 135), (100, 140)], 20.0, []),
    ],
)
def test_what_passes_through_the_margin_is_cut_there_once(
    path: list, margin: float, at: list
) -> None:
    """At a vertex in the margin, to its very edge; half way across where it has none; at the first
    of two as far out; where it goes farther out than it ends; not where it ends farthest out, stays
    on the cloth or lies beyond the wadding. A row on the cloth is drawn before it."""
    row = [(10, 50), (30, 52), (50, 50)]
    parts = edges_of_lines(np.array([LineString(row), LineString(path)]))
    noded = node_in_margin(parts, CLOTH, margin)
    assert noded.line.tolist() == [0, 1] + [1] * len(at)
    if at:
        assert noded.ends[1, 1] == pytest.approx(at[0], abs=0.1)
        assert noded.ends[2, 0].tolist() == noded.ends[1, 1].tolist()
    assert node_in_margin(parts.take(np.zeros(0, dtype=np.intp)), CLOTH, margin).line.tolist() == []


@pytest.mark.parametrize(("off", "parts"), [(0.19, 1), (0.21, 2)])
def test_no_sliver_is_cut_off_a_track_for_a_line_near_its_end(off: float, parts: int) -> None:
    for x in (off, 100 - off):
        lines = [LineString([(0, 0), (100, 0)]), LineString([(x, 0), (x, 50)])]
        again = np.array([True, False])
        noded = node_retraceable(edges_of_lines(np.array(lines)), again, 0.2)
        assert np.count_nonzero(noded.line == 0) == parts
        assert np.count_nonzero(noded.line == 1) == 1


def test_tracks_that_share_an_end_may_cross_again_if_one_is_bent() -> None:
    """A level track, and one that leaves its end, comes back and crosses it at 40."""
    bent = [(0, 0), (20, 20), (60, -20), (80, -9)]
    parts = edges_of_lines(np.array([LineString([(0, 0), (100, 0)]), LineString(bent)]))
    noded = node_retraceable(parts, np.ones(2, dtype=bool), 0.2)
    assert noded.length_mm[noded.line == 0].tolist() == pytest.approx([40, 60])
    assert np.count_nonzero(noded.line == 1) == 2
    wheel = [LineString([(0, 0), (50, y)]) for y in (-20, 0, 20)]
    again = np.ones(3, dtype=bool)
    assert len(node_retraceable(edges_of_lines(np.array(wheel)), again, 0.2)) == 3
