"""A join never lands in a mitre where that can be helped: the finder against brute force."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.materials.binding_joins import (
    AMPLE,
    CUT_SHARES,
    BindingJoins,
    BindingRound,
    Ring,
    join_offsets,
    orders,
    place_joins,
    ring_distance,
)


def runner_laying(length: float = 2200, width: float = 320, clear: float = 50.8) -> BindingRound:
    """Round a rectangle from its lower left corner, with a panel join in the centre."""
    edge = 2 * (length + width)
    return BindingRound(
        laid_mm=edge + 57 + 12,
        edge_mm=edge,
        join_mm=57,
        corners_mm=(0, length, length + width, 2 * length + width),
        panel_joins_mm=(length / 2, length + width + length / 2),
        clear_mm=clear,
        closing_mm=50,
        wished_start_mm=length / 2,
    )


def brute_force(strips: list[float], laying: BindingRound, step: float = 1.0) -> float:
    """Most clearance over every order, cut and start on a raster, by plain distances."""
    best = -np.inf
    for order, share in itertools.product(set(itertools.permutations(strips)), CUT_SHARES):
        offsets, _, _ = join_offsets(order, share, laying)
        apart = np.diff([0.0, *offsets, laying.edge_mm]).min()
        start = np.arange(0, laying.edge_mm, step)
        least = np.full(len(start), np.inf)
        for number, offset in enumerate([0.0, *offsets]):
            for obstacle in (*laying.corners_mm, *laying.panel_joins_mm):
                extra = laying.closing_mm * (number == 0 and obstacle in laying.corners_mm)
                gap = np.abs(start + offset - obstacle) % laying.edge_mm
                least = np.minimum(least, np.minimum(gap, laying.edge_mm - gap) - extra)
        best = max(best, min(float(least.max()), apart))
    return best


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from([1016.0, 1100.0, 700.0, 1500.0]), min_size=1, max_size=5),
    st.floats(250, 900),
    st.floats(150, 450),
)
def test_no_start_order_or_cut_is_clearer(strips: list[float], length: float, width: float) -> None:
    """Brute force over a raster of 1 mm comes within its step of the finder and never beyond."""
    edge = 2 * (length + width)
    while sum(strips) - 57 * (len(strips) - 1) < edge + 69:
        strips = [*strips, 1016.0]
    if len(strips) > 5:
        return
    laying = runner_laying(length, width, clear=0.0)
    found, brute = place_joins(strips, laying), brute_force(strips, laying)
    assert brute <= found.least_mm + 1e-6
    assert brute >= found.least_mm - 1.0


def test_the_worked_runner_keeps_joins_three_inches_from_corners() -> None:
    """People who quilt: 2200 x 320 mm, 6 strips: joins at least 75 mm from corners."""
    found = place_joins([1020.0] * 6, runner_laying(clear=75.0))
    assert found.keeps_clear(75.0)
    corners = runner_laying().corners_mm
    for join in (*found.joins_mm, found.start_mm):
        assert min(ring_distance(join, corner, 5040) for corner in corners) >= 75


def test_the_open_stretch_before_the_closing_join_is_straight() -> None:
    """Common practice: 8 in stay open, so the closing join is 4 in from a corner at least."""
    found = place_joins([1020.0] * 6, runner_laying())
    corners = runner_laying().corners_mm
    assert min(ring_distance(found.start_mm, c, 5040) for c in corners) >= 50.8 + 50 - 1e-6


def test_where_nothing_keeps_clear_the_best_there_is_is_given_and_said() -> None:
    """Corners every 60 mm leave no place 50 mm from all of them; half way is 30."""
    laying = BindingRound(960 + 57, 960, 57, tuple(float(at) for at in range(0, 960, 60)), (), 50.0)
    found = place_joins([1500.0], laying)
    assert not found.keeps_clear(50.0)
    assert found.clearance_mm == pytest.approx(30)


def test_without_obstacles_the_binding_starts_where_it_is_wished() -> None:
    laying = BindingRound(1257, 1200, 57, wished_start_mm=400, clear_mm=50)
    assert place_joins([800.0, 800.0], laying).start_mm == pytest.approx(400)


@given(st.lists(st.sampled_from([1.0, 2.0, 3.0]), min_size=1, max_size=6))
def test_every_order_that_differs_comes_once(strips: list[float]) -> None:
    """Against the standard library's permutations."""
    found = list(orders(strips))
    assert len(found) == len(set(found))
    assert set(found) == set(itertools.permutations(strips))


def laid_segments(found: BindingJoins, laying: BindingRound) -> list[float]:
    """Length of strip between joins, walked round the edge from the start."""
    along = [(at - found.start_mm) % laying.edge_mm for at in found.joins_mm]
    return list(np.diff([0.0, *along, laying.edge_mm]))


@settings(deadline=None)
@given(
    st.floats(700, 2500), st.floats(200, 500), st.floats(700, 1500), st.floats(40, 70),
)  # fmt: skip
def test_the_strips_cover_the_edge_exactly_with_all_allowances(
    length: float, width: float, strip: float, join: float
) -> None:
    """Strip cut = strip on the edge + what joins take + what is cut off, for the whole binding.

    Mitres take 12 mm here; each of the joins, the closing one included, takes one strip width.
    """
    edge = 2 * (length + width)
    laying = BindingRound(edge + join + 12, edge, join, (0, length), (), 50.8)
    count = int(np.ceil((laying.laid_mm + 200 - join) / (strip - join)))
    found = place_joins([strip] * count, laying)
    segments = laid_segments(found, laying)
    assert min(segments) > 0 and sum(segments) == pytest.approx(edge)
    cut_off = found.cut_first_mm + found.cut_last_mm
    assert count * strip == pytest.approx(edge + 12 + count * join + cut_off)
    middle = [s / edge * (edge + 12) for s in segments[1:-1]]
    assert middle == pytest.approx([strip - join] * max(0, count - 2))


def random_laying(seed: int) -> tuple[list[float], BindingRound]:
    """A small ring with corners and panel joins anywhere on it, and strips to go round it."""
    rng = np.random.default_rng(seed)
    edge = float(rng.integers(300, 700))
    corners, panels = (np.round(rng.uniform(0, edge, n), 1) for n in rng.integers(0, 4, 2))
    strips = [float(s) for s in rng.integers(150, 400, int(rng.integers(1, 4)))]
    while sum(strips) - 20 * len(strips) < edge:
        strips.append(float(rng.integers(150, 400)))
    laying = BindingRound(
        laid_mm=edge + 20 + float(rng.integers(0, 9)),
        edge_mm=edge,
        join_mm=20,
        corners_mm=tuple(sorted(corners)),
        panel_joins_mm=tuple(sorted(panels)),
        clear_mm=float(rng.choice([0, 5, 12, 40])),
        closing_mm=float(rng.choice([0, 0.7, 15, 40])),
        wished_start_mm=float(rng.uniform(0, edge)),
    )
    return strips, laying


def least_at(starts: Ring, order: Sequence[float], share: float, laying: BindingRound) -> Ring:
    """What joins keep from corners, panel joins and each other, by plain distances on the ring."""
    offsets, _, _ = join_offsets(order, share, laying)
    least = np.full(len(starts), np.diff([0.0, *offsets, laying.edge_mm]).min())
    for number, offset in enumerate([0.0, *offsets]):
        for corner in laying.corners_mm:
            gap = np.abs((starts + offset - corner) % laying.edge_mm)
            room = np.minimum(gap, laying.edge_mm - gap) - laying.closing_mm * (number == 0)
            least = np.minimum(least, room)
        for panel in laying.panel_joins_mm:
            gap = np.abs((starts + offset - panel) % laying.edge_mm)
            least = np.minimum(least, np.minimum(gap, laying.edge_mm - gap))
    return least


@pytest.mark.parametrize("seed", range(40))
def test_wherever_corners_and_panel_joins_lie_no_start_is_better(seed: int) -> None:
    """Brute force in steps of half a millimetre over every order and cut. As much is kept clear as
    any keeps, but no more than is ample; of all such starts it is the nearest to the wish."""
    strips, laying = random_laying(seed)
    found = place_joins(strips, laying)
    starts = np.arange(0, laying.edge_mm, 0.5)
    ways = [
        least_at(starts, order, share, laying)
        for order in set(itertools.permutations(strips))
        for share in CUT_SHARES
    ]
    most = max(float(way.max()) for way in ways)
    target = min(most, AMPLE * laying.clear_mm) if laying.clear_mm else most
    assert found.least_mm >= target - 1e-6
    assert found.cut_first_mm >= 0 and found.cut_last_mm >= 0
    surplus = sum(strips) - laying.join_mm * (len(strips) - 1) - laying.laid_mm
    assert found.cut_first_mm + found.cut_last_mm == pytest.approx(max(surplus, 0))
    here = (found.start_mm + np.array([0.0])) % laying.edge_mm
    kept = [least_at(here, found.strips_mm, share, laying)[0] for share in CUT_SHARES]
    assert min(abs(found.least_mm - each) for each in kept) < 1e-6
    far = ring_distance(found.start_mm, laying.wished_start_mm, laying.edge_mm)
    gap = np.abs(starts - laying.wished_start_mm)
    gap = np.minimum(gap, laying.edge_mm - gap)
    assert all((far <= gap[way >= target + 1e-6] + 1e-6).all() for way in ways)


def test_joins_lie_where_the_strips_end() -> None:
    """1000, 800 and 700 mm with joins of 50 mm are 2400 mm in all, for 2050 mm of edge and its
    closing join: 300 mm over. The middles of the joins come after 950 and 750 mm more."""
    laying = BindingRound(laid_mm=2100, edge_mm=2050, join_mm=50)
    for share, first in ((0.0, 0.0), (0.25, 75.0), (1.0, 300.0)):
        offsets, cut_first, cut_last = join_offsets((1000, 800, 700), share, laying)
        assert offsets == pytest.approx([950 - first, 1700 - first])
        assert (cut_first, cut_last) == pytest.approx((first, 300 - first))


def test_the_folds_of_mitres_are_spread_over_the_edge() -> None:
    """205 mm of folds on 2050 mm of edge: what is 1100 mm along the strip is 1000 on the edge."""
    laying = BindingRound(laid_mm=2050 + 205 + 50, edge_mm=2050, join_mm=50)
    offsets, _, _ = join_offsets((1150, 1205), 0.0, laying)
    assert offsets == pytest.approx([1000])


def test_so_much_of_the_first_strip_is_left_as_two_joins_take() -> None:
    """Of 120 mm, 20 can go where a join takes 50; of 80 mm nothing; the rest comes off the last."""
    laying = BindingRound(laid_mm=1000, edge_mm=950, join_mm=50)
    for first, off in ((120, 20), (100, 0), (80, 0)):
        _, cut_first, cut_last = join_offsets((first, 1500), 1.0, laying)
        assert (cut_first, cut_first + cut_last) == pytest.approx((off, first + 1500 - 50 - 1000))


def test_the_surplus_comes_off_one_end_or_the_other_or_both() -> None:
    """Parts of it, from none to all; a strip cannot be cut longer than it is."""
    assert {0.0, 1.0} <= set(CUT_SHARES) and 0 <= min(CUT_SHARES) <= max(CUT_SHARES) <= 1


def test_strips_that_do_not_reach_are_cut_nowhere() -> None:
    laying = BindingRound(laid_mm=1000, edge_mm=950, join_mm=50)
    _, cut_first, cut_last = join_offsets((500, 400), 0.5, laying)
    assert (cut_first, cut_last) == (0, 0)
    assert place_joins([500.0, 400.0], laying).apart_mm == pytest.approx(450)


def test_a_strip_that_would_lie_beyond_the_end_is_told_by_a_distance_below_nothing() -> None:
    """400, 400 and 400 mm on an edge of 300: the second join would come 400 mm after its end."""
    found = place_joins([400.0, 400.0, 400.0], BindingRound(laid_mm=350, edge_mm=300, join_mm=50))
    assert found.apart_mm < 0 and found.least_mm == found.apart_mm and not found.keeps_clear(0)


def test_what_is_kept_is_the_smaller_of_clearance_and_distance() -> None:
    for clearance, apart in ((30.0, 50.0), (50.0, 30.0)):
        joins = BindingJoins(0.0, (500.0,), (), 0.0, 0.0, clearance, apart)
        assert joins.least_mm == 30 and joins.keeps_clear(30.0) and not joins.keeps_clear(30.1)


def test_distance_round_a_ring_is_the_shorter_way() -> None:
    assert ring_distance(10, 990, 1000) == ring_distance(990, 10, 1000) == 20
    assert ring_distance(100, 600, 1000) == 500 and ring_distance(100, 1600, 1000) == 500


def test_orders_begin_with_the_one_that_was_given() -> None:
    assert next(iter(orders([3.0, 1.0, 2.0]))) == (3.0, 1.0, 2.0)
    assert list(orders([5.0] * 300)) == [(5.0,) * 300]
