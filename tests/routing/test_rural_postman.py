"""Which ways are worth sewing: no other choice costs less, counted over all of them."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import networkx as nx
import numpy as np
import pytest

from quiltpath.routing import Policy
from quiltpath.routing import rural_postman as postman
from quiltpath.routing.optional_edges import Network
from quiltpath.routing.rural_postman import choose_optional_edges
from tests.routing.networks import network_of

Edges = Sequence[tuple[int, int]]
Ways = Sequence[tuple[int, int, float]]


def spent(net: Network, lines: Edges, ways: Ways, taken: Sequence[int], jump: float) -> float:
    """Cost of the ways taken and of the ends left over, half a jump each; of each piece that hangs
    together by lines and ways, all of which start and end for nothing, two ends are free."""
    met = nx.Graph([*lines, *(way[:2] for way in ways if np.isfinite(way[2]))])
    sewn = nx.MultiGraph([*lines, *(ways[way][:2] for way in taken)])
    total = sum(ways[way][2] for way in taken)
    for piece in nx.connected_components(met):
        left = sum(sewn.degree(node) % 2 for node in piece if node in sewn)
        total += max(0, left - 2) * jump / 2
    return total


def drawing(seed: int) -> tuple[list[tuple[int, int]], list[tuple[int, int, float]]]:
    """Five lines and nine ways between fourteen nodes, one of which cannot be sewn."""
    rng = np.random.default_rng(seed)
    lines = [(2 * k, 2 * k + 1) for k in range(4)] + [(0, int(rng.integers(2, 8)))]
    ends = [tuple(rng.choice(14, 2, replace=False).tolist()) for _ in range(9)]
    ways = [(u, v, float(rng.integers(1, 30))) for u, v in ends]
    ways[-1] = (*ends[-1], np.inf)
    return lines, ways


@pytest.mark.parametrize("jump", [0.0, 12.0, 25.0, 1e5])
@pytest.mark.parametrize("seed", range(12))
def test_no_other_choice_of_ways_costs_less(seed: int, jump: float) -> None:
    lines, ways = drawing(seed)
    net = network_of(lines, ways, nodes=14)
    free = np.unique(net.super_components()[net.odd])
    taken = choose_optional_edges(net, Policy(jump_cost=jump), free).tolist()
    assert 8 not in taken, "what leads out of reach is not sewn"
    least = min(
        spent(net, lines, ways, some, jump)
        for count in range(9)
        for some in itertools.combinations(range(8), count)
    )
    assert spent(net, lines, ways, taken, jump) == pytest.approx(least, abs=0.01)


def test_a_piece_that_starts_and_ends_for_nothing_keeps_its_dearest_gap_open() -> None:
    """Three lines in a row with ways of 10 and 20 mm from end to end and 50 round the back; without
    free ends all is closed."""
    lines, ways = [(0, 1), (2, 3), (4, 5)], [(1, 2, 10.0), (3, 4, 20.0), (5, 0, 50.0)]
    net, policy = network_of(lines, ways), Policy(jump_cost=1000.0)
    assert choose_optional_edges(net, policy, np.array([0])).tolist() == [0, 1]
    assert choose_optional_edges(net, policy, np.array([], dtype=np.intp)).tolist() == [0, 1, 2]
    two = network_of([*lines, (6, 7)], [*ways, (6, 7, 5.0)])
    assert choose_optional_edges(two, policy, np.array([0])).tolist() == [0, 1, 3]
    assert choose_optional_edges(two, policy, np.array([6])).tolist() == [0, 1, 2]
    assert choose_optional_edges(two, policy, np.array([0, 6])).tolist() == [0, 1]


@pytest.mark.parametrize(("gaps", "kept"), [((10, 20, 50), [0, 1]), ((10, 50, 20), [0, 2])])
def test_with_very_many_ends_the_dearest_path_is_left_out_afterwards(
    gaps: tuple[float, float, float], kept: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As above, where the free ends take no part in the matching; the dearest path may be of
    several ways, here 2 x 30 over a node without lines."""
    lines = [(0, 1), (2, 3), (4, 5)]
    ways = [(1, 2, gaps[0]), (3, 4, gaps[1]), (5, 0, gaps[2])]
    policy = Policy(jump_cost=1000.0)
    for most, free in itertools.product((5, 6), ([], [0])):
        monkeypatch.setattr(postman, "MOST_EXACT", most)
        found = choose_optional_edges(
            network_of(lines, ways), policy, np.array(free, dtype=np.intp)
        )
        assert found.tolist() == (kept if free else [0, 1, 2])
    monkeypatch.setattr(postman, "MOST_EXACT", 0)
    far = [*ways[:2], (5, 6, 30.0), (6, 0, 30.0)]
    assert choose_optional_edges(network_of(lines, far), policy, np.array([0])).tolist() == [0, 1]


def test_each_piece_leaves_out_its_own_dearest_path_and_one_with_loose_ends_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Three pieces of two lines each, 2 mm and 3 mm apart at their ends; where one gap is dearer
    than a jump the piece has its free ends there. What costs nothing is kept."""
    monkeypatch.setattr(postman, "MOST_EXACT", 0)
    lines = [(2 * k, 2 * k + 1) for k in range(6)]
    gaps = [(0, 2, 2.0), (1, 3, 3.0), (4, 6, 2.0), (5, 7, 30.0), (8, 10, 4.0), (9, 11, 0.0)]
    net = network_of(lines, gaps)
    pieces = np.array([0, 4, 8])
    assert choose_optional_edges(net, Policy(jump_cost=20.0), pieces).tolist() == [0, 2, 5]
    assert choose_optional_edges(net, Policy(jump_cost=20.0), pieces[1:]).tolist() == [0, 1, 2, 5]
    nothing = network_of(lines[:2], [(0, 2, 0.0), (1, 3, 0.0)])
    assert choose_optional_edges(nothing, Policy(jump_cost=20.0), np.array([0])).tolist() == [0, 1]
    little = network_of(lines[:2], [(0, 2, 0.3), (1, 3, 0.6)])
    assert choose_optional_edges(little, Policy(jump_cost=20.0), np.array([0])).tolist() == [0]


def test_where_no_end_is_loose_or_no_way_open_nothing_is_added() -> None:
    ring = network_of([(0, 1), (1, 0)], [(0, 1, 3.0)])
    assert choose_optional_edges(ring, Policy(), np.array([0])).tolist() == []
    for ways in ([], [(0, 1, np.inf)]):
        line = network_of([(0, 1)], ways)
        assert choose_optional_edges(line, Policy(), np.array([0])).tolist() == []


def test_the_cap_on_sewing_again_holds_for_what_is_chosen() -> None:
    """Two lines 60 mm apart at both ends: tied once, unless that is too long to sew again."""
    net = network_of([(0, 1), (2, 3)], [(1, 2, 60.0), (3, 0, 70.0)])
    for cap, taken in ((60.0, [0]), (59.0, [])):
        policy = Policy(jump_cost=1000.0, retrace_cap_mm=cap)
        assert choose_optional_edges(net, policy, np.array([0])).tolist() == taken
