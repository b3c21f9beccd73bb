"""Ways along the margin: what a choice is said to cost it costs, and no choice is better."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
from shapely.geometry import LineString, box

from quiltpath.quilting.lines import Lines, layer_lines
from quiltpath.routing import joining, policy_named, route
from quiltpath.routing.there_and_back import (
    _odd,
    _option_costs,
    _price,
    _ring,
    _used_arcs,
    _ways,
    fewer_loops,
)

CLOTH = box(0, 0, 300, 120)


def level(*heights: float) -> Lines:
    return layer_lines([LineString([(-12, y), (312, y)]) for y in heights], name="fill")


DRAWINGS = {
    "even rows": level(20, 40, 60, 80, 100),
    "uneven rows": level(10, 15, 60, 66, 110),
    "rows and columns": layer_lines(
        [LineString([(-12, y), (312, y)]) for y in (30, 90)]
        + [LineString([(x, -12), (x, 132)]) for x in (50, 170, 260)],
        name="fill",
    ),
    "slanting": layer_lines(
        [LineString([(x, -12), (x + 144, 132)]) for x in (10, 50, 75, 140)], name="fill"
    ),
}


@pytest.fixture(params=DRAWINGS)
def asked(request: Any, monkeypatch: pytest.MonkeyPatch) -> tuple[Any, Any, Any]:
    """The network, the T-join's ways and the corner, as a frame's route hands them on."""
    seen: list[tuple[Any, Any, Any]] = []

    def looked_at(network: Any, chosen: Any, begin: Any) -> Any:
        seen.append((network, chosen, begin))
        return fewer_loops(network, chosen, begin)

    monkeypatch.setattr(joining, "fewer_loops", looked_at)
    runs = route(DRAWINGS[request.param], policy_named("continuous"), CLOTH, 50.0)
    assert len(runs) == 1
    return seen[0]


def choices(count: int) -> Any:
    for first, flip in itertools.product(range(count), (False, True)):
        for second in range(count):
            if second != first:
                yield first, second, flip


def test_a_choice_costs_what_its_ways_cost(asked: tuple[Any, Any, Any]) -> None:
    """Each pair of free ends, either way round; their ends alone stay odd."""
    network, chosen, _ = asked
    kept = chosen[network.ways.kind[chosen] != network.ways.kind[network.ring[0]]]
    ring = _ring(network, kept)
    for first, second, flip in choices(len(ring.node)):
        ways = _ways(network, ring, first, second, flip)
        cost = _option_costs(network, ring, first, flip)[second]
        assert network.cost[ways].sum() == pytest.approx(cost)
        odd = _odd(network, np.concatenate([kept, ways]))
        assert set(odd.tolist()) <= {int(ring.node[first]), int(ring.node[second])}
        assert np.unique(ways).tolist() == np.sort(ways).tolist(), "no piece twice"


def test_turns_change_over_at_the_free_ends() -> None:
    """Six ends: arcs by turns, 1 0 1 0 1 0, but the other way round between ends 1 and 4."""
    assert _used_arcs(6, 1, 4, True).tolist() == [False, False, True, False, False, True]
    assert _used_arcs(6, 4, 1, False).tolist() == [True, True, False, True, True, False]


def test_no_choice_along_the_margin_is_better(asked: tuple[Any, Any, Any]) -> None:
    """Of all pairs with the end nearest the corner, or one that the T-join left, free."""
    network, chosen, begin = asked
    kept = chosen[network.ways.kind[chosen] != network.ways.kind[network.ring[0]]]
    ring = _ring(network, kept)
    found = _price(network, fewer_loops(network, chosen, begin), begin)
    assert found <= _price(network, chosen, begin) + 1e-6
    place = np.zeros((network.nodes, 2))
    place[network.way_node] = network.ways.ends
    nearest = int(np.hypot(*(place[ring.node] - begin).T).argmin())
    left = np.flatnonzero(np.isin(ring.node, _odd(network, chosen))).tolist()
    every = [
        _price(network, np.concatenate([kept, _ways(network, ring, *choice)]), begin)
        for choice in choices(len(ring.node))
        if choice[0] in {nearest, *left}
    ]
    assert found == pytest.approx(min([*every, _price(network, chosen, begin)]))
