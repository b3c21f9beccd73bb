"""On a frame hold lines come first and region follows region, in one path where that can be."""

from dataclasses import replace
from itertools import pairwise

import networkx as nx
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon, box

from quiltpath.patterns import LineRole, Lines, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import PieceKind, Runs, policy_named, route
from tests.routing.drawings import FINISHED, tangles
from tests.routing.test_region_order import BLOCKS, RUNNER, crosshatch

MARGIN_MM = 50.0


def quilt(blocks: list[Polygon], whole: Polygon = RUNNER) -> Lines:
    """Hold lines along the sides of every block, over the edge; crosshatch in the blocks."""
    low_x, low_y, high_x, high_y = whole.bounds
    x = sorted({block.bounds[k] for block in blocks for k in (0, 2)})
    y = sorted({block.bounds[k] for block in blocks for k in (1, 3)})
    hold = [LineString([(at, low_y - 12), (at, high_y + 12)]) for at in x]
    hold += [LineString([(low_x - 12, at), (high_x + 12, at)]) for at in y]
    fill = [line for block in blocks for line in crosshatch(block)]
    return join(
        [
            layer_lines(fill, name="fill"),
            layer_lines(hold, name="sashing", role=LineRole.HOLD, retraceable=True),
        ]
    )


def visited(runs: Runs, lines: Lines, blocks: list[Polygon]) -> list[int]:
    """The blocks in which fill is sewn, one entry a visit."""
    order: list[int] = []
    for piece in np.flatnonzero(runs.piece_kind == PieceKind.LINE):
        if lines.role[runs.piece_line[piece]] == LineRole.FILL:
            first, last = runs.piece_start[piece : piece + 2]
            shape = LineString(runs.coordinates[first:last])
            (block,) = (k for k, each in enumerate(blocks) if each.buffer(0.5).covers(shape))
            if order[-1:] != [block]:
                order.append(block)
    return order


@pytest.fixture(scope="module")
def lines() -> Lines:
    return quilt(BLOCKS)


@pytest.fixture(scope="module")
def framed(lines: Lines) -> Runs:
    return route(lines, "continuous", RUNNER, MARGIN_MM, regions=BLOCKS)


def test_a_frame_sews_hold_lines_first_and_each_block_once(lines: Lines, framed: Runs) -> None:
    """Common practice: hold lines, then block by block from one end of the runner to the other."""
    assert len(framed) == framed.runs_lower_bound == 1
    role = lines.role[framed.piece_line[framed.piece_kind == PieceKind.LINE]]
    assert (np.diff(role) >= 0).all()
    order = visited(framed, lines, BLOCKS)
    assert order in ([0, 1, 2, 3, 4, 5], [5, 4, 3, 2, 1, 0])


def test_a_frame_begins_and_ends_off_the_edge(framed: Runs) -> None:
    assert not framed.secured.any()


def test_mixed_regions_are_visited_as_the_thread_comes_by(lines: Lines, framed: Runs) -> None:
    """The same lines with nothing kept apart: less thread, and no fewer visits."""
    mixed = policy_named("continuous", {"roles": "mixed", "regions": "mixed"})
    runs = route(lines, mixed, RUNNER, MARGIN_MM, regions=BLOCKS)
    assert len(runs) == 1
    assert runs.piece_length_mm.sum() <= framed.piece_length_mm.sum()
    assert len(visited(runs, lines, BLOCKS)) >= 6


def test_nothing_is_lost_and_fill_is_sewn_once(lines: Lines, framed: Runs) -> None:
    """Against GEOS's union of the drawing."""
    whole = shapely.union_all(lines.geometry).length
    assert framed.kind_length_mm(PieceKind.LINE) == pytest.approx(whole)
    again = framed.piece_line[framed.piece_kind == PieceKind.RETRACE]
    assert (lines.role[again] == LineRole.HOLD).all()


def test_blocks_in_columns_are_sewn_column_by_column() -> None:
    """Three by two blocks: the two of a column after each other, up and down by turns."""
    whole = box(0, 0, 900, 720)
    blocks = [
        box(300 * k + 20, 360 * row + 30, 300 * k + 280, 360 * row + 330)
        for k in range(3)
        for row in range(2)
    ]
    lines = quilt(blocks, whole)
    runs = route(lines, "continuous", whole, MARGIN_MM, regions=blocks)
    assert len(runs) == 1
    order = visited(runs, lines, blocks)
    assert order in ([0, 1, 3, 2, 4, 5], [5, 4, 2, 3, 1, 0])


def test_regions_are_not_kept_apart_where_that_costs_a_start() -> None:
    """Lines from the edge to a seam that nothing runs along, and on over the next block: apart
    they would be pairs of lines with a start each, together they are one path."""
    blocks = [box(0, 0, 600, 180), box(0, 180, 600, 360)]
    lower = [LineString([(x, -12), (x, 180)]) for x in range(40, 600, 40)]
    upper = [LineString([(x, 180), (x, 372)]) for x in range(40, 600, 40)]
    lines = join([layer_lines(lower, name="lower"), layer_lines(upper, name="upper")])
    runs = route(lines, "continuous", box(0, 0, 600, 360), MARGIN_MM, regions=blocks)
    assert len(runs) == runs.runs_lower_bound == 1
    strict = policy_named("continuous", {"starts_first": False})
    apart = route(lines, strict, box(0, 0, 600, 360), MARGIN_MM, regions=blocks)
    assert len(apart) > 1
    assert "each block or strip is finished before the next" in {
        cost.rule for cost in apart.rule_costs
    }


def test_the_way_from_block_to_block_is_the_shortest_over_hold_lines() -> None:
    """Against networkx's shortest paths: two zigzags with an end each at a sashing line."""
    whole = box(0, 0, 600, 300)
    hold = [LineString([(-12, 60), (612, 60)]), LineString([(-12, 240), (612, 240)])]
    hold += [LineString([(x, -12), (x, 312)]) for x in (290, 310)]
    left = LineString([(100, 60), (120, 150), (140, 120), (200, 240)])
    right = LineString([(400, 60), (420, 150), (440, 120), (500, 240)])
    lines = join(
        [
            layer_lines(hold, name="sashing", role=LineRole.HOLD, retraceable=True),
            layer_lines([left, right], name="zigzag", source=["A1", "B1"]),
        ]
    )
    blocks = [box(0, 60, 290, 240), box(310, 60, 600, 240)]
    policy = policy_named("continuous", {"margin": False})
    runs = route(lines, policy, whole, 0.0, regions=blocks)
    line = runs.piece_line
    places = [np.flatnonzero(line == k) for k in (4, 5)]
    first, second = sorted(places, key=lambda place: place[0])
    between = slice(first[-1] + 1, second[0])
    assert (runs.piece_kind[between] == PieceKind.RETRACE).all()
    start = runs.coordinates[runs.piece_start[first[-1] + 1] - 1]
    goal = runs.coordinates[runs.piece_start[second[0]]]
    network = nx.Graph()
    noded = shapely.node(shapely.union_all(hold))
    spots = shapely.MultiPoint([start, goal])
    for part in shapely.get_parts(noded):
        ends = shapely.get_coordinates(part)
        along = [np.array(point.coords[0]) for point in spots.geoms if part.distance(point) < 1e-6]
        stops = sorted([*ends, *along], key=lambda at: float(np.hypot(*(at - ends[0]))))
        for one, two in pairwise(stops):
            network.add_edge(
                tuple(np.round(one, 3)), tuple(np.round(two, 3)), weight=np.hypot(*(two - one))
            )
    shortest = nx.shortest_path_length(
        network, tuple(np.round(start, 3)), tuple(np.round(goal, 3)), "weight"
    )
    assert runs.piece_length_mm[between].sum() == pytest.approx(shortest, abs=0.01)


def test_the_sewing_order_is_the_same_every_time(lines: Lines, framed: Runs) -> None:
    again = route(lines, "continuous", RUNNER, MARGIN_MM, regions=BLOCKS)
    assert np.array_equal(again.coordinates, framed.coordinates)


HALVES = [box(0, 0, 200, 200), box(200, 0, 400, 200)]


@settings(max_examples=15, deadline=None)
@given(tangles(), st.lists(st.sampled_from(LineRole), min_size=16, max_size=16))
def test_stages_cost_no_start_and_lose_nothing(lines: Lines, roles: list[LineRole]) -> None:
    """Any drawing over two regions, against GEOS's union and the same lines with none apart."""
    lines = replace(lines, role=np.array(roles[: len(lines)], dtype=np.int8))
    policy = replace(policy_named("continuous"), tolerance_mm=1e-6)
    mixed = replace(policy, roles="mixed", regions="mixed")
    staged = route(lines, policy, FINISHED, MARGIN_MM, regions=HALVES)
    assert staged.runs_lower_bound <= len(staged)
    assert len(staged) <= len(route(lines, mixed, FINISHED, MARGIN_MM, regions=HALVES))
    whole = shapely.union_all(lines.geometry).length
    assert staged.kind_length_mm(PieceKind.LINE) == pytest.approx(whole, rel=1e-6)
    for run in range(len(staged)):
        pieces = range(staged.run_start[run], staged.run_start[run + 1])
        for one, two in pairwise(pieces):
            left = staged.coordinates[staged.piece_start[two] - 1]
            assert np.array_equal(left, staged.coordinates[staged.piece_start[two]]), (one, two)


def test_a_ring_is_begun_where_thread_comes_to_it_and_left_there() -> None:
    """Rings that touch one sashing line: the thread comes along it and goes on along it."""
    hold = layer_lines(
        [LineString([(-12, 100), (412, 100)])], name="sashing", role=LineRole.HOLD, retraceable=True
    )
    rings = [
        LineString([(x, 100), (x + 30, 130), (x, 160), (x - 30, 130), (x, 100)]) for x in (80, 320)
    ]
    lines = join([hold, layer_lines(rings, name="ring", source=["A1", "B1"])])
    runs = route(lines, "continuous", FINISHED, MARGIN_MM, regions=HALVES)
    assert len(runs) == 1
    sewn = runs.piece_line[runs.piece_kind == PieceKind.LINE].tolist()
    order = [line for line, before in zip(sewn, [-1, *sewn], strict=False) if line != before]
    assert order in ([0, 1, 2], [0, 2, 1])
    assert not runs.secured.any()
