"""A join never lands in a mitre where that can be helped: the finder against brute force."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.materials.joins import (
    AMPLE,
    CUT_SHARES,
    BindingJoins,
    Laying,
    join_offsets,
    orders,
    place_joins,
    ring_distance,
)


def runner_laying(length: float = 2200, width: float = 320, clear: float = 50.8) -> Laying:
    """Round a rectangle from its lower left corner, with a panel join in the centre."""
    edge = 2 * (length + width)
    return Laying(
        laid_mm=edge + 57 + 12,
        edge_mm=edge,
        join_mm=57,
        corners_mm=(0, length, length + width, 2 * length + width),
        panel_joins_mm=(length / 2, length + width + length / 2),
        clear_mm=clear,
        closing_mm=50,
        wished_start_mm=length / 2,
    )


def brute_force(strips: list[float], laying: Laying, step: float = 1.0) -> float:
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
    laying = Laying(960 + 57, 960, 57, tuple(float(at) for at in range(0, 960, 60)), (), 50.0)
    found = place_joins([1500.0], laying)
    assert not found.keeps_clear(50.0)
    assert found.clearance_mm == pytest.approx(30)


def test_without_obstacles_the_binding_starts_where_it_is_wished() -> None:
    laying = Laying(1257, 1200, 57, wished_start_mm=400, clear_mm=50)
    assert place_joins([800.0, 800.0], laying).start_mm == pytest.approx(400)


def test_of_all_ample_starts_the_nearest_to_the_wish_is_taken() -> None:
    """Brute force: no start of the same order with the ample clearance is nearer."""
    laying, strips = runner_laying(), [1020.0] * 6
    found = place_joins(strips, laying)
    target = AMPLE * laying.clear_mm
    nearest = min(
        ring_distance(start, laying.wished_start_mm, laying.edge_mm)
        for share in CUT_SHARES
        for start in np.arange(0, laying.edge_mm, 1.0)
        if clearance_at(float(start), strips, share, laying) >= target
    )
    assert ring_distance(found.start_mm, laying.wished_start_mm, laying.edge_mm) <= nearest + 1e-6


def clearance_at(start: float, strips: list[float], share: float, laying: Laying) -> float:
    offsets, _, _ = join_offsets(strips, share, laying)
    gaps = [
        ring_distance(start + offset, corner, laying.edge_mm) - (laying.closing_mm * (n == 0))
        for n, offset in enumerate([0.0, *offsets])
        for corner in laying.corners_mm
    ]
    gaps += [
        ring_distance(start + offset, panel, laying.edge_mm)
        for offset in [0.0, *offsets]
        for panel in laying.panel_joins_mm
    ]
    return min(*gaps, float(np.diff([0.0, *offsets, laying.edge_mm]).min()))


@given(st.lists(st.sampled_from([1.0, 2.0, 3.0]), min_size=1, max_size=6))
def test_every_order_that_differs_comes_once(strips: list[float]) -> None:
    """Against the standard library's permutations."""
    found = list(orders(strips))
    assert len(found) == len(set(found))
    assert set(found) == set(itertools.permutations(strips))


def laid_segments(found: BindingJoins, laying: Laying) -> list[float]:
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
    laying = Laying(edge + join + 12, edge, join, (0, length), (), 50.8)
    count = int(np.ceil((laying.laid_mm + 200 - join) / (strip - join)))
    found = place_joins([strip] * count, laying)
    segments = laid_segments(found, laying)
    assert min(segments) > 0 and sum(segments) == pytest.approx(edge)
    cut_off = found.cut_first_mm + found.cut_last_mm
    assert count * strip == pytest.approx(edge + 12 + count * join + cut_off)
    middle = [s / edge * (edge + 12) for s in segments[1:-1]]
    assert middle == pytest.approx([strip - join] * max(0, count - 2))
