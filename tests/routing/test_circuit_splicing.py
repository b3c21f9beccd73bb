"""Circuits opened where an open trail passes: a run is saved for less than a jump."""

from __future__ import annotations

from collections.abc import Sequence

import networkx as nx
import numpy as np
import pytest

from quiltpath.routing import Policy
from quiltpath.routing.circuit_splicing import splice_circuits
from tests.routing.networks import network_of

LINES = [(0, 1), (2, 3), (4, 5)]
LOOP = [(2, 4, 5.0), (3, 5, 7.0)]
"""A line, and two lines that two ways make a loop."""


def opened(
    more: Sequence[tuple[int, int, float]],
    lines: Sequence[tuple[int, int]] = LINES,
    loop: Sequence[tuple[int, int, float]] = LOOP,
    along_margin: Sequence[int] = (),
    **costs: float,
) -> list[int]:
    """Which ways are sewn after all, where those of the loop were and ``more`` were not."""
    net = network_of(lines, [*loop, *more], along_margin)
    policy = Policy(**{"jump_cost": 50.0, **costs})
    return splice_circuits(net, np.arange(len(loop)), policy).tolist()


def test_a_line_goes_through_the_loop_and_ends_on_its_other_side() -> None:
    """From end 1 over the new way to corner 2, round to corner 4; the way from 4 to 2 is given
    up."""
    assert opened([(1, 2, 3.0)]) == [1, 2]
    assert opened([(1, 3, 3.0)]) == [0, 2]
    assert opened([(0, 5, 3.0)]) == [0, 2]


def test_the_loop_is_entered_where_the_new_way_less_the_old_one_is_least() -> None:
    """Either side of a tie: to 2 it is 3 less 5, to 3 it is the way's cost less 7."""
    assert opened([(1, 2, 3.0), (1, 3, 4.9)]) == [0, 3]
    assert opened([(1, 2, 3.0), (1, 3, 5.1)]) == [1, 2]


@pytest.mark.parametrize(("cost", "pays"), [(54.9, True), (55.0, False), (60.0, False)])
def test_a_loop_is_opened_for_less_than_a_jump_and_for_no_more(cost: float, pays: bool) -> None:
    """At 50 mm a jump: the new way less the 5 mm that are given up."""
    assert opened([(1, 2, cost)]) == ([1, 2] if pays else [0, 1])


def test_several_ways_lead_to_a_loop_by_the_cheapest_path() -> None:
    """Over nodes 6 and 7: 2 + 2 + 2 against 7 at once, and against 9 over node 8."""
    over = [(1, 6, 2.0), (7, 6, 2.0), (7, 2, 2.0), (1, 2, 7.0), (1, 8, 1.0), (8, 2, 8.0)]
    assert opened(over) == [1, 2, 3, 4]


def test_ways_that_cost_nothing_are_ways_all_the_same() -> None:
    assert opened([(0, 1, 0.0), (1, 6, 0.0), (6, 2, 0.0)]) == [1, 2, 3, 4]


@pytest.mark.parametrize(("cap", "pays"), [(30.0, True), (29.9, False)])
def test_no_stretch_is_sewn_again_that_is_longer_than_the_cap(cap: float, pays: bool) -> None:
    """Two retraced pieces of 10 and 20 mm in one go."""
    more = [(1, 6, 10.0), (6, 2, 20.0)]
    assert opened(more, retrace_cap_mm=cap) == ([1, 2, 3] if pays else [0, 1])
    assert opened(more, along_margin=[2, 3], retrace_cap_mm=0.0) == [1, 2, 3]


def test_what_is_left_over_goes_on_through_the_next_loop() -> None:
    """Through the first loop from 1 to 2, out at 4, and from there into the second at 6."""
    lines = [*LINES, (6, 7), (8, 9)]
    loops = [*LOOP, (6, 8, 5.0), (7, 9, 5.0)]
    assert opened([(1, 2, 3.0), (4, 6, 3.0)], lines, loops) == [1, 3, 4, 5]


def test_a_loop_behind_a_loop_is_reached_through_it_and_the_first_not_opened_twice() -> None:
    """From 0 into the first loop, out at 4, back over the way that was given up, and on to 6. The
    dear way from the line's other end would save no run any more."""
    lines = [*LINES, (6, 7), (8, 9)]
    loops = [*LOOP, (6, 8, 30.0), (7, 9, 30.0)]
    more = [(0, 2, 3.0), (2, 6, 3.0), (1, 3, 40.0)]
    assert opened(more, lines, loops) == [0, 1, 3, 4, 5]


def test_a_way_that_leads_to_a_loop_is_no_loop_itself() -> None:
    """Over node 6, where no line comes, into the loop and out at 4; from there a short way leads
    back to node 6. The ring at the highest node has nothing to do with it."""
    over = [(1, 6, 3.0), (6, 2, 3.0), (4, 6, 5.0)]
    assert opened(over, [*LINES, (7, 7)]) == [1, 2, 3]


def test_each_loop_is_opened_once() -> None:
    """Both ends of the line lie beside it; it is one trail afterwards, not two."""
    assert opened([(0, 2, 3.0), (1, 3, 3.0)]) == [1, 2]


def test_without_a_loose_end_or_a_way_there_the_loops_stay() -> None:
    assert opened([(0, 1, 3.0)]) == [0, 1]
    assert opened([(0, 2, 3.0)], lines=LINES[1:]) == [0, 1]
    assert opened([], lines=[], loop=[]) == []


def test_a_ring_without_ways_of_its_own_has_none_to_give_up() -> None:
    assert opened([(1, 2, 3.0)], lines=[(0, 1), (2, 2)], loop=[]) == []


def _cheapest(ways: list[tuple[int, int, float]], sewn: set[int], end: int) -> float:
    """Dijkstra by networkx over what is not sewn: to each corner of the loop, less its way."""
    graph = nx.Graph()
    graph.add_node(end)
    for way, (u, v, cost) in enumerate(ways):
        if way not in sewn and cost < graph.get_edge_data(u, v, {"weight": np.inf})["weight"]:
            graph.add_edge(u, v, weight=cost)
    far = nx.single_source_dijkstra_path_length(graph, end)
    return min(
        (far[node] - ways[way][2] for way in sewn for node in ways[way][:2] if node in far),
        default=np.inf,
    )


@pytest.mark.parametrize("seed", range(40))
def test_one_loop_is_opened_by_the_cheapest_path_of_the_first_end_that_can(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lines = [(0, 1), *((2 * k, 2 * k + 1) for k in range(1, 4))]
    loop = [(3, 4, float(rng.integers(1, 20))), (5, 6, 9.0), (7, 2, float(rng.integers(1, 20)))]
    more = [(int(u), int(v), float(rng.integers(1, 40))) for u, v in rng.integers(0, 14, (18, 2))]
    found = set(opened(more, lines, loop, jump_cost=22.0))
    ways, sewn = [*loop, *more], set(range(3))
    change = sum(ways[way][2] for way in found) - sum(ways[way][2] for way in sewn)
    wanted = [best for end in (0, 1) if (best := _cheapest(ways, sewn, end)) < 22.0]
    assert change == pytest.approx(wanted[0] if wanted else 0.0)
    net = nx.MultiGraph([*lines, *(ways[way][:2] for way in found)])
    odd = [node for node, degree in net.degree if degree % 2]
    assert len(odd) == 2
    assert nx.number_connected_components(net) == (1 if wanted else 2)
