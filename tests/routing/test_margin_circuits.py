"""Ways along the margin: what a choice is said to cost it costs, and no choice is better."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from quiltpath.patterns import Lines
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import policy_named, route
from quiltpath.routing import rural_postman as joining
from quiltpath.routing.margin_circuits import (
    _arc_cost,
    _edges_of,
    _odd,
    _option_costs,
    _price,
    _ring,
    _used_arcs,
    reduce_circuits,
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
        return reduce_circuits(network, chosen, begin)

    monkeypatch.setattr(joining, "reduce_circuits", looked_at)
    runs = route(DRAWINGS[request.param], policy_named("continuous"), CLOTH, 50.0)
    assert len(runs) == 1
    return seen[0]


def choices(count: int) -> Any:
    for first, flip in itertools.product(range(count), (False, True)):
        for second in range(count):
            if second != first:
                yield first, second, flip


def test_a_choice_costs_what_its_edges_of_cost(asked: tuple[Any, Any, Any]) -> None:
    """Each pair of free ends, either way round; their ends alone stay odd."""
    network, chosen, _ = asked
    kept = chosen[network.optional.kind[chosen] != network.optional.kind[network.ring[0]]]
    ring = _ring(network, kept)
    for first, second, flip in choices(len(ring.node)):
        ways = _edges_of(network, ring, first, second, flip)
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
    kept = chosen[network.optional.kind[chosen] != network.optional.kind[network.ring[0]]]
    ring = _ring(network, kept)
    found = _price(network, reduce_circuits(network, chosen, begin), begin)
    assert found <= _price(network, chosen, begin) + 1e-6
    place = np.zeros((network.nodes, 2))
    place[network.optional_node] = network.optional.ends
    nearest = int(np.hypot(*(place[ring.node] - begin).T).argmin())
    left = np.flatnonzero(np.isin(ring.node, _odd(network, chosen))).tolist()
    every = [
        _price(network, np.concatenate([kept, _edges_of(network, ring, *choice)]), begin)
        for choice in choices(len(ring.node))
        if choice[0] in {nearest, *left}
    ]
    assert found == pytest.approx(min([*every, _price(network, chosen, begin)]))


def handed_on(lines: Lines, monkeypatch: pytest.MonkeyPatch, **more: Any) -> tuple[Any, Any, Any]:
    """What a frame's route hands on for these lines: the network, the ways, the corner."""
    seen: list[tuple[Any, Any, Any]] = []

    def looked_at(*given: Any) -> Any:
        seen.append(given)
        return reduce_circuits(*given)

    monkeypatch.setattr(joining, "reduce_circuits", looked_at)
    route(lines, policy_named("continuous"), CLOTH, 50.0, **more)
    return seen[0]


def ends_in_order(network: Any, ring: Any) -> list[tuple[float, float]]:
    place = np.zeros((network.nodes, 2))
    place[network.optional_node] = network.optional.ends
    return [tuple(spot) for spot in place[ring.node].round(6).tolist()]


def test_the_price_counts_edges_of_pieces_and_the_way_to_the_start(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Four rows 20 mm apart, half a millimetre's cost for each in the wadding. Three moves of 20 mm
    cost 30 whichever they are; joined there and back they leave one piece, in two pairs one piece
    more, which is priced at twice a middling piece of track, 20; and the start is 312 mm away, a
    tenth of which counts, at one end or at another 40 mm higher."""
    network, chosen, begin = handed_on(level(20, 40, 60, 80), monkeypatch)
    assert begin.tolist() == [0, 0]
    kept = chosen[:0]
    ring = _ring(network, kept)
    spots = ends_in_order(network, ring)
    assert ring.stub.tolist() == [-1] * 8

    def price(*moves: tuple[tuple[float, float], tuple[float, float]]) -> float:
        ways = []
        for one, two in moves:
            at, on = spots.index(one), spots.index(two)
            ways.append(ring.first[at] if (on - at) % 8 == 1 else ring.first[on])
        return _price(network, network.ring[ways], begin)

    left, right = [(-12.0, y) for y in (20.0, 40, 60, 80)], [(312.0, y) for y in (20.0, 40, 60, 80)]
    there_and_back = price((left[0], left[1]), (right[1], right[2]), (left[2], left[3]))
    assert there_and_back == pytest.approx(30 + 20 + 0.1 * np.hypot(312, 20))
    in_pairs = price((left[0], left[1]), (right[0], right[1]), (left[2], left[3]))
    assert in_pairs == pytest.approx(30 + 2 * 20 + 0.1 * np.hypot(312, 60))


def test_ends_stand_in_the_order_of_the_track_with_their_stubs(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Four rows, one of which ends 8 mm further out on the right: that end has a stub. Going round
    the track from end to end, each arc costs half its length."""
    rows = [LineString([(-12, y), (312 + 8 * (y == 60), y)]) for y in (20, 40, 60, 80)]
    network, chosen, _ = handed_on(layer_lines(rows, name="fill"), monkeypatch)
    ring = _ring(network, chosen[:0])
    spots = ends_in_order(network, ring)
    assert [stub >= 0 for stub in ring.stub] == [spot == (320.0, 60.0) for spot in spots]
    track = CLOTH.buffer(12, quad_segs=16).exterior
    along = [track.project(Point(spot)) for spot in spots]
    arcs = np.mod(np.roll(along, -1) - along, track.length)
    assert arcs.sum() == pytest.approx(track.length), "once round"
    assert _arc_cost(network, ring) == pytest.approx(arcs / 2)
    assert network.cost[ring.stub.max()] == pytest.approx(8 / 2)


def test_where_a_free_end_lies_on_the_cloth_the_edges_of_stay_as_they_are(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Four rows right across, and one that ends in the middle of the cloth and is free there."""
    rows = [LineString([(-12, y), (312, y)]) for y in (20, 40, 60, 80)]
    rows.append(LineString([(-12, 100), (150, 100)]))
    network, chosen, begin = handed_on(layer_lines(rows, name="fill"), monkeypatch)
    assert len(_odd(network, chosen)) == 2
    assert reduce_circuits(network, chosen, begin).tolist() == chosen.tolist()


def test_an_end_that_is_out_of_reach_is_left_free(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two of ten ends lie further out on the right than the machine comes: every choice that ties
    one of them costs a great deal more than the one that leaves both free, and all can be
    compared."""
    rows = [LineString([(-12, y), (312 + 8 * (y > 70), y)]) for y in (20, 40, 60, 80, 100)]
    lines = layer_lines(rows, name="fill")
    network, chosen, _ = handed_on(lines, monkeypatch, field=box(-40, -40, 316, 160))
    ring = _ring(network, chosen[:0])
    far = [number for number, spot in enumerate(ends_in_order(network, ring)) if spot[0] == 320]
    assert len(far) == 2
    for first, flip in itertools.product(range(10), (False, True)):
        cost = np.delete(_option_costs(network, ring, first, flip), [*far, first])
        assert np.isfinite(cost).all() and cost.min() > 1e5
    assert _option_costs(network, ring, far[0], False)[far[1]] < 1e3


def test_few_ends_in_the_margin_leave_no_choice(monkeypatch: pytest.MonkeyPatch) -> None:
    lone = handed_on(level(60), monkeypatch)
    assert reduce_circuits(*lone).tolist() == lone[1].tolist()


@pytest.mark.parametrize("rows", [(40, 80), (20, 40, 60)])
@pytest.mark.parametrize("start", ["lower-left", "lower-right", "upper-left", "upper-right"])
def test_rows_are_joined_so_that_sewing_starts_near_the_corner(
    start: str, rows: tuple[int, ...]
) -> None:
    """TrailCover on the left or on the right, the way is as long: the free ends decide."""
    runs = route(level(*rows), policy_named("continuous", {"start": start}), CLOTH, 50.0)
    assert len(runs) == 1
    x, y = runs.run(0)[0]
    assert (x < 150) == start.endswith("left")
    assert (y < 60) == start.startswith("lower")
