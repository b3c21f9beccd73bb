"""Turning round in the wadding: the shorter way, and nothing but neighbours that end there."""

from __future__ import annotations

import itertools

import networkx as nx
import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from quiltpath.routing import Policy
from quiltpath.routing.edges import Edges, concatenate_edges, edges_of_lines
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.margin import _margin_ring, join_along_margin, margin_edges

CLOTH = box(0, 0, 300, 120)
DEAR = Policy(margin=True, margin_cost=1.0, jump_cost=1e6)


def ends_about(seed: int) -> np.ndarray:
    """Six ends 12 mm outside the four edges, three farther out, and two on the cloth."""
    rng = np.random.default_rng(seed)
    along, across = rng.uniform(20, 280, 5), rng.uniform(20, 100, 4)
    return np.array(
        [
            (along[0], -12), (along[1], -12), (along[2], 132), (along[3], -20), (along[4], 140),
            (-12, across[0]), (-12, across[1]), (312, across[2]), (325, across[3]),
            (150, 60), (40, 30),
        ]
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(8))
def test_the_way_between_two_ends_is_the_shorter_way_round(seed: int) -> None:
    """Against networkx's shortest path over the pieces of track and the stubs."""
    points = ends_about(seed)
    found = margin_edges(points, CLOTH, 50.0)
    assert found is not None
    ways = concatenate_edges(list(found))
    track = _margin_ring(found, points, 10)
    spots = np.round(ways.ends, 6)
    graph = nx.MultiGraph()
    for ends, length in zip(spots.tolist(), ways.length_mm.tolist(), strict=True):
        graph.add_edge(*map(tuple, ends), weight=length)
    for here, there in itertools.permutations(range(9), 2):
        way = track.path(here, there, DEAR)
        assert way is not None
        halves = np.array(way) - 10
        path = ways.ends.reshape(-1, 2)[np.stack([halves, halves ^ 1])]
        assert np.allclose(path[1, :-1], path[0, 1:], atol=1e-6), "each begins where one ended"
        assert np.allclose(path[0, 0], points[here]) and np.allclose(path[1, -1], points[there])
        least = nx.shortest_path_length(
            graph,
            tuple(np.round(points[here], 6).tolist()),
            tuple(np.round(points[there], 6).tolist()),
            weight="weight",
        )
        length = ways.length_mm[halves // 2].sum()
        assert length == pytest.approx(least)
        assert track.path(here, there, Policy(margin_cost=2.0, jump_cost=2 * least - 0.01)) is None
        assert track.path(here, there, Policy(margin_cost=2.0, jump_cost=2 * least + 0.01)) == way
    for here, there in ((9, 0), (0, 9), (9, 10)):
        assert track.path(here, there, DEAR) is None, "an end on the cloth is tied to nothing"


def rows(*heights: float) -> list[object]:
    return [LineString([(-12, y), (312, y)]) for y in heights]


def edges(*shapes: object) -> Edges:
    return edges_of_lines(np.array([None, *shapes], dtype=object)[1:])


def turned(parts: Edges, closed: list[bool], halves: list[int]) -> list[tuple[list[int], bool]]:
    """Lines of each trail after joining, -1 in the margin, and whether it is closed."""
    trails = Trails(np.array(halves), np.arange(len(halves) + 1), np.array(closed))
    ways, found, _ = join_along_margin(
        parts, trails, np.zeros(len(trails), dtype=np.intp), DEAR, CLOTH, 50.0
    )
    line = ways.line[found.half // 2]
    return [
        (line[a:b].tolist(), bool(shut))
        for (a, b), shut in zip(itertools.pairwise(found.start), found.closed, strict=True)
    ]


def test_a_ring_between_two_rows_keeps_them_apart_and_stays_closed() -> None:
    """Rows 0, 1 and 2, and ring 3 that begins in the margin: sewn first, between them or last."""
    ring = LineString([(50, -12), (60, 20), (40, 20), (50, -12)])
    parts = edges(*rows(20, 50, 100), ring)
    lines = [lines for lines, _ in turned(parts, [False, False, False, True], [0, 3, 4, 6])]
    assert [[line for line in each if line >= 0] for each in lines] == [[0, 1, 2], [3]]
    for order, wanted in (
        ([6, 0, 3, 4], [([3], True), ([0, 1, 2], False)]),
        ([0, 6, 3, 4], [([0], False), ([3], True), ([1, 2], False)]),
        ([0, 3, 6, 4], [([0, 1], False), ([3], True), ([2], False)]),
        ([0, 3, 4, 6], [([0, 1, 2], False), ([3], True)]),
    ):
        found = turned(parts, [half == 6 for half in order], order)
        assert [([line for line in own if line >= 0], shut) for own, shut in found] == wanted


def test_a_row_that_ends_on_the_cloth_is_not_joined_there() -> None:
    """The middle row of three stops short at the right: the first can only end there."""
    short = LineString([(-12, 50), (200, 50)])
    parts = edges(rows(20)[0], short, rows(100)[0])
    found = turned(parts, [False] * 3, [0, 3, 4])
    assert [[line for line in own if line >= 0] for own, _ in found] == [[0], [1, 2]]


def test_ends_that_meet_in_the_margin_are_joined_without_a_way() -> None:
    parts = edges(
        LineString([(-12, 20), (100, 20), (312, 60)]), LineString([(312, 60), (-12, 100)])
    )
    assert turned(parts, [False, False], [0, 2]) == [([0, 1], False)]


def test_without_ends_in_the_margin_the_trails_are_as_they_were() -> None:
    parts = edges(LineString([(10, 20), (90, 20)]), LineString(Point(200, 60).buffer(9).exterior))
    assert turned(parts, [False, True], [1, 2]) == [([0], False), ([1], True)]
