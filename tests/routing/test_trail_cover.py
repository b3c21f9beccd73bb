"""Joining by hand: what counts as one piece, the fewest runs there can be, gaps that are closed."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, box

from quiltpath.patterns import LineRole, Lines, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import PieceKind, Policy, Runs, policy_named, route
from quiltpath.routing.edges import Edges, edges_of_lines
from quiltpath.routing.nodes import even_components, odd_nodes
from quiltpath.routing.rural_postman import TrailCover, _components, solve_rural_postman

CLOTH = box(0, 0, 500, 400)
MARGIN_MM = 30.0


def edges(*shapes: object) -> Edges:
    return edges_of_lines(np.array([None, *map(LineString, shapes)], dtype=object)[1:])


def sewn(policy: Policy, *shapes: object, again: bool = False, before: int = 0) -> TrailCover:
    """The shapes joined, the first ``before`` of them sewn already; all may be ``again``."""
    parts = edges(*shapes)
    now = np.arange(len(parts)) >= before
    return solve_rural_postman(
        parts.take(now),
        np.full(len(parts), again),
        policy,
        CLOTH,
        MARGIN_MM,
        parts.take(~now),
        None,
    )


def test_nodes_are_odd_where_an_odd_number_of_ends_meets() -> None:
    """A tee, a ring of two, a loop on its own node, and a node where nothing ends."""
    pairs = np.array([(0, 1), (1, 2), (1, 3), (4, 5), (5, 4), (7, 7)])
    assert odd_nodes(8, pairs).tolist() == [0, 1, 2, 3]
    label, closed = even_components(8, pairs)
    assert label.tolist() == [0, 0, 0, 0, 4, 4, 6, 7]
    assert np.flatnonzero(closed).tolist() == [4, 7]


@pytest.mark.parametrize(("sides", "closed"), [(2, True), (3, False), (4, True), (5, False)])
def test_a_piece_of_several_ways_between_two_places_is_closed_if_they_are_even(
    sides: int, closed: bool
) -> None:
    """So many arcs from one place to another, and beside them an open line and a ring."""
    arcs = [[(0, 0), (50, 10 * k), (100, 0)] for k in range(sides)]
    piece, shut = _components(
        edges([(0, 90), (50, 90)], *arcs, [(0, 99), (9, 99), (4, 95), (0, 99)])
    )
    assert shut.tolist() == [False, *[closed] * sides, True]
    assert len(set(piece[1 : sides + 1])) == 1
    assert len(set(piece)) == 3


def block(cap: float, apart: float = 50.0) -> Runs:
    """A block's printed edge, sewn first, and five uprights from edge to edge of it."""
    edge = [(100, 100), (400, 100), (400, 300), (100, 300), (100, 100)]
    uprights = [[(120 + apart * k, 100), (120 + apart * k, 300)] for k in range(5)]
    lines = join(
        [
            layer_lines([LineString(edge)], name="edge", role=LineRole.HOLD, retraceable=True),
            layer_lines([LineString(line) for line in uprights], name="fill"),
        ]
    )
    return route(lines, policy_named("walking-foot", {"retrace_cap": cap}), CLOTH, MARGIN_MM)


@pytest.mark.parametrize(("cap", "runs"), [(50.1, 2), (49.9, 6)])
def test_a_step_along_the_sashing_is_as_long_as_the_cap_allows(cap: float, runs: int) -> None:
    """Five uprights 50 mm apart: one run, or one each; and the run for the edge."""
    found = block(cap)
    assert len(found) == runs
    assert [cost.rule for cost in found.rule_costs] == ["holding lines come first, outlines next"]
    assert found.runs_lower_bound == runs - 1


def test_a_second_pass_costs_twice_its_length_and_a_jump_200() -> None:
    """Walking foot: steps of up to 100 mm are worth it by cost, whatever the cap."""
    assert len(block(1000.0, 65.0)) == 2
    wide = join(
        [
            layer_lines([LineString([(0, 50), (500, 50)])], name="seam", retraceable=True,
                        role=LineRole.HOLD),
            layer_lines([LineString([(x, 50), (x, 200)]) for x in (50, 149, 251)], name="fill"),
        ]
    )  # fmt: skip
    runs = route(wide, policy_named("walking-foot", {"retrace_cap": 1000.0}), CLOTH, MARGIN_MM)
    assert len(runs) == runs.runs_lower_bound == 3
    assert runs.kind_length_mm(PieceKind.RETRACE) == pytest.approx(99)


def seam_with_rings(apart: float) -> Lines:
    """A seam that is sewn first, and two rings of fill that begin on it."""
    seam = [LineString([(20, 100), (480, 100)])]
    rings = [
        LineString([(x, 100), (x + 6, 130), (x - 6, 130), (x, 100)]) for x in (200, 200 + apart)
    ]
    return join(
        [
            layer_lines(seam, name="seam", role=LineRole.HOLD, retraceable=True),
            layer_lines(rings, name="fill"),
        ]
    )


@pytest.mark.parametrize(("apart", "runs"), [(5, 2), (49, 2), (51, 3)])
def test_rings_on_a_seam_are_tied_there_and_back_for_less_than_a_jump(
    apart: float, runs: int
) -> None:
    """Sewn again twice at 2 a millimetre: 4 times 49 is less than 200, and 4 times 51 is more."""
    found = route(seam_with_rings(apart), policy_named("walking-foot"), CLOTH, MARGIN_MM)
    assert len(found) == runs
    again = 2 * apart if runs == 2 else 0
    assert found.kind_length_mm(PieceKind.RETRACE) == pytest.approx(again)


def test_a_seam_that_touches_nothing_now_sewn_is_no_way() -> None:
    """Two seams sewn before, one of them under the two lines of fill; the other plays no part."""
    policy = policy_named("walking-foot")
    seams = [[(0, 100), (300, 100)], [(0, 300), (300, 300)]]
    fill = [[(50, 100), (50, 200)], [(90, 100), (90, 200)]]
    found = sewn(policy, *seams, *fill, again=True, before=2)
    assert len(found.trails) == found.lower_bound == 1
    assert sorted(found.edges.line.tolist()) == [0, 2, 3]
    assert found.edges.length_mm[found.edges.line == 0].tolist() == pytest.approx([40])
    apart = sewn(Policy(), *seams, *fill, again=True, before=2)
    assert sorted(apart.edges.line.tolist()) == [2, 3]
    assert len(apart.trails) == apart.lower_bound == 2


@pytest.mark.parametrize(("gap", "told"), [(0.15, 1), (0.25, 0)])
def test_a_gap_between_a_ring_and_a_line_is_told_with_its_place(gap: float, told: int) -> None:
    """A square ring whose corner misses a level line: its width, where, and whose it is."""
    ring = [(100, 100 + gap), (120, 120), (100, 140), (80, 120), (100, 100 + gap)]
    found = sewn(Policy(), [(20, 100), (200, 100)], ring)
    assert len(found.trails) == found.lower_bound == 2 - told
    assert len(found.gaps) == told
    if told:
        width, x, y, line = found.gaps[0]
        assert (width, x, line) == pytest.approx((gap, 100, 1))
        assert y == pytest.approx(100 + gap)


def test_rings_that_touch_and_lines_apart_are_counted_by_hand() -> None:
    """A chain of three rings: one run; on a line: none of its own; two lines more: two runs."""

    def ring(x: float) -> np.ndarray:
        return shapely.get_coordinates(Point(x, 200).buffer(20).exterior)

    chain = [ring(100), ring(130), ring(160)]
    assert sewn(Policy(), *chain).lower_bound == 1
    assert sewn(Policy(), *chain, ring(300)).lower_bound == 2
    assert sewn(Policy(), *chain, [(20, 200), (200, 200)]).lower_bound == 1
    two = sewn(Policy(), *chain, [(20, 200), (200, 200)], [(20, 10), (60, 10)], ring(300))
    assert two.lower_bound == len(two.trails) == 3


@pytest.mark.parametrize("name", ["continuous", "hoop"])
def test_a_ring_over_the_edge_is_tied_to_the_rows_along_the_margin(name: str) -> None:
    """Two rows to beyond the edge, and a ring on the cloth that overhangs it between them."""
    rows = [[(-10, y), (510, y)] for y in (100, 300)]
    ring = [(480, 180), (512, 200), (480, 220), (480, 180)]
    found = sewn(policy_named(name), *rows, ring)
    assert len(found.trails) == found.lower_bound == 1
    without = sewn(policy_named(name, {"margin": False}), *rows, ring)
    assert len(without.trails) == without.lower_bound == 3


def test_strands_that_meet_within_the_tolerance_meet_exactly() -> None:
    """Trails go on where they ended, to the last digit, over a contact that was off by a tenth."""
    ring = [(100, 100.1), (120, 120), (100, 140), (80, 120), (100, 100.1)]
    found = sewn(Policy(), [(20, 100), (200, 100)], ring)
    ends = found.edges.ends.reshape(-1, 2)
    for one, two in itertools.pairwise(found.trails.half.tolist()):
        assert (ends[one ^ 1] == ends[two]).all()
    assert (found.edges.length_mm > 0).all()
