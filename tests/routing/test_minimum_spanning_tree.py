"""Closed trails that touch nothing are taken in by a way sewn there and back."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import networkx as nx
import numpy as np
import pytest

from quiltpath.routing import Policy
from quiltpath.routing.minimum_spanning_tree import connect_by_spanning_tree
from tests.routing.networks import network_of


def linked(
    ways: Sequence[tuple[int, int, float]],
    piece: Sequence[int],
    closed: Sequence[bool],
    limit: float,
    cap: float = 1000.0,
    along_margin: Sequence[int] = (),
) -> list[int]:
    net = network_of([], ways, along_margin, nodes=len(piece))
    return connect_by_spanning_tree(
        net, np.array(piece), np.array(closed, dtype=bool), Policy(retrace_cap_mm=cap), limit
    ).tolist()


@pytest.mark.parametrize(("limit", "ways"), [(20.2, [0, 1]), (20.0, []), (5.0, [])])
def test_there_and_back_costs_less_than_the_limit(limit: float, ways: list[int]) -> None:
    """Two rings, 6 and 4 mm of way between them over a node where no trail comes."""
    assert linked([(0, 1, 6.0), (1, 2, 4.0)], [0, -1, 1], [True, True], limit) == ways


@pytest.mark.parametrize(
    ("closed", "ways"),
    [
        ([True, True, True], [0, 1]),
        ([False, True, True], [0, 1]),
        ([False, True, False], [0]),
        ([True, False, True], [0, 1]),
        ([True, False, False], [0]),
        ([False, False, True], [1]),
        ([False, False, False], []),
    ],
)
def test_a_closed_trail_is_taken_in_and_two_open_ones_are_never_joined(
    closed: list[bool], ways: list[int]
) -> None:
    """Three trails in a row, the second nearer the first: once a ring hangs on an open trail it
    is open as well."""
    assert linked([(0, 1, 3.0), (1, 2, 4.0)], [0, 1, 2], closed, 100.0) == ways


@pytest.mark.parametrize(("cap", "ways"), [(10.0, [0, 1]), (9.9, [])])
def test_no_way_is_sewn_again_for_longer_than_the_cap(cap: float, ways: list[int]) -> None:
    over = [(0, 1, 6.0), (1, 2, 4.0)]
    assert linked(over, [0, -1, 1], [True, True], 100.0, cap) == ways
    assert linked(over, [0, -1, 1], [True, True], 100.0, 6.0, along_margin=[1]) == [0, 1]
    assert linked(over, [0, -1, 1], [True, True], 100.0, 6.0, along_margin=[0]) == [0, 1]


def test_where_the_nearest_way_is_too_long_a_dearer_one_of_wadding_may_serve() -> None:
    """Two pieces side by side: 20 mm sewn again with a cap of 15, or 30 mm along the margin."""
    ways = [(0, 1, 20.0), (0, 1, 30.0)]
    assert linked(ways, [0, 1], [True, True], 100.0, 15.0, along_margin=[1]) == [1]


def test_no_ways_link_nothing() -> None:
    assert linked([], [0, 1], [True, True], 100.0) == []


@pytest.mark.parametrize("seed", range(20))
def test_rings_are_linked_as_cheaply_as_a_spanning_tree_between_them(seed: int) -> None:
    """Against networkx's tree over all pairs of pieces and their distances; parts of the way that
    two links share are counted once, so it may be less."""
    rng = np.random.default_rng(seed)
    ends = rng.integers(0, 25, (45, 2)).tolist()
    ways = [(u, v, float(cost)) for (u, v), cost in zip(ends, rng.integers(1, 30, 45), strict=True)]
    piece = np.full(25, -1)
    at = rng.permutation(25)[:6]
    piece[at] = np.arange(6)
    graph = nx.Graph()
    graph.add_nodes_from(range(25))
    for u, v, cost in ways:
        if cost < graph.get_edge_data(u, v, {"weight": np.inf})["weight"]:
            graph.add_edge(u, v, weight=cost)
    between = nx.Graph()
    between.add_nodes_from(range(6))
    for one, two in itertools.combinations(range(6), 2):
        if nx.has_path(graph, at[one], at[two]):
            far = nx.dijkstra_path_length(graph, at[one], at[two])
            between.add_edge(one, two, weight=far)
    tree = nx.minimum_spanning_tree(between)
    taken = linked(ways, piece.tolist(), [True] * 6, 1e6)
    assert taken == sorted(set(taken))
    assert sum(ways[way][2] for way in taken) <= tree.size(weight="weight")
    met = nx.Graph([ways[way][:2] for way in taken])
    met.add_nodes_from(range(25))
    for one, two in itertools.combinations(range(6), 2):
        assert nx.has_path(met, at[one], at[two]) == nx.has_path(tree, one, two)
