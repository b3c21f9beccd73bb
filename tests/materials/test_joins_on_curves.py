"""Joins of a binding on an edge that curves: on straight edge, else on the flattest part."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from quiltpath.materials.binding_joins import (
    CUT_SHARES,
    SAME_DEG,
    BindingRound,
    bend_at,
    join_offsets,
    place_joins,
    ring_distance,
)
from quiltpath.materials.edge_bends import STRAIGHT_DEG
from quiltpath.materials.edge_corners import Edge, edge_of


def oval(length: float, width: float, quarter: int = 64) -> Polygon:
    return affinity.scale(Point(0, 0).buffer(1, quarter), length / 2, width / 2)


def rounded(length: float, width: float, radius: float) -> Polygon:
    inner = box(radius, radius, length - radius, width - radius)
    return inner.buffer(radius, quad_segs=24)


def laying_of(edge: Edge, clear: float = 50.8) -> BindingRound:
    return BindingRound(
        laid_mm=edge.length_mm + 57,
        edge_mm=edge.length_mm,
        join_mm=57,
        corners_mm=tuple(corner.along_mm for corner in edge.corners),
        clear_mm=clear,
        closing_mm=50.8,
        wished_start_mm=edge.longest_side_middle_mm(),
        bends=edge.bends,
        open_reach_mm=101.6,
        join_reach_mm=50.8,
    )


@pytest.mark.parametrize("radius", [30.0, 100.0, 400.0])
@pytest.mark.parametrize("quarter", [16, 90])
def test_a_circle_has_its_radius_everywhere(radius: float, quarter: int) -> None:
    edge = edge_of(Point(0, 0).buffer(radius, quarter))
    for at in np.linspace(0, edge.length_mm, 7):
        assert edge.bends.radius_mm(at, 25) == pytest.approx(radius, rel=0.01)
    assert edge.bends.tightest_mm == pytest.approx(radius, rel=0.01)


def test_the_tip_of_an_ellipse_is_its_tightest_and_its_flank_its_flattest() -> None:
    """b^2 / a at the tip, a^2 / b at the flank (radius of curvature of an ellipse)."""
    edge = edge_of(oval(1800, 400))
    assert edge.bends.tightest_mm == pytest.approx(200**2 / 900, rel=0.05)
    flank = edge.length_mm / 4
    assert edge.bends.radius_mm(flank, 60) == pytest.approx(900**2 / 200, rel=0.05)


def test_straight_sides_between_round_corners_are_straight_and_no_more() -> None:
    """1900 x 300 mm with corners of 50 mm: sides of 1800 and 200 mm, less half a chord each end."""
    edge = edge_of(rounded(1900, 300, 50))
    chord = 2 * 50 * math.sin(math.radians(90 / 24 / 2))
    lengths = sorted(np.diff(edge.bends.straight_stretches(), axis=1).ravel())
    assert lengths == pytest.approx([200 - chord] * 2 + [1800 - chord] * 2, abs=0.01)
    assert edge.bends.turn_deg(np.array([0.0]), edge.length_mm / 2)[0] == pytest.approx(360)


def test_a_rectangle_does_not_bend() -> None:
    bends = edge_of(box(0, 0, 900, 300)).bends
    assert not bends.any and math.isinf(bends.tightest_mm)
    sides = np.diff(bends.straight_stretches(), axis=1).ravel()
    assert sorted(sides) == [300, 300, 900, 900]


def test_on_round_corners_every_join_lies_on_straight_edge() -> None:
    """A metre and a half of straight edge is free on either side: no join needs a corner."""
    edge = edge_of(rounded(1900, 400, 50))
    found = place_joins([1016.0] * 5, laying_of(edge))
    x, y = edge.point_at(found.start_mm)
    assert y in (0, 400) and 50 + 101.6 <= x <= 1850 - 101.6
    for join in found.joins_mm:
        assert edge.bends.turn_deg(np.array([join]), 50.8)[0] < STRAIGHT_DEG


def test_on_an_oval_the_closing_join_lies_on_its_flank_and_never_on_its_tip() -> None:
    """The tip has a radius of 44 mm, the flank one of 4 m."""
    edge = edge_of(oval(1800, 400))
    found = place_joins([1016.0] * 5, laying_of(edge))
    assert edge.bends.radius_mm(found.start_mm, 101.6) > 3000
    assert all(edge.bends.radius_mm(at, 50.8) > 1000 for at in found.joins_mm)


def test_of_equally_flat_places_the_one_nearest_to_the_wish_is_taken() -> None:
    edge = edge_of(rounded(1900, 400, 50))
    found = place_joins([5000.0], laying_of(edge))
    assert found.start_mm == pytest.approx(edge.longest_side_middle_mm())


def half_round(length: float, width: float) -> Polygon:
    """A rectangle with one round end: two corners, two straight sides, half a circle."""
    return box(0, 0, length, width).union(Point(length, width / 2).buffer(width / 2, 24))


@pytest.mark.parametrize("shape", [oval(700, 260, 16), rounded(800, 300, 90), half_round(500, 240)])
@pytest.mark.parametrize("strips", [[700.0, 650.0, 600.0, 500.0], [2600.0], [900.0] * 3])
def test_no_start_order_or_cut_is_flatter(shape: Polygon, strips: list[float]) -> None:
    """Brute force in steps of half a millimetre over every order and cut: clearance first, then
    the closing join, then the others, each to the half degree that is not told apart."""
    edge = edge_of(shape)
    laying = laying_of(edge, clear=30.0)
    found = place_joins(strips, laying)
    starts = np.arange(0, edge.length_mm, 0.5)
    best = min(
        worth
        for order in set(itertools.permutations(strips))
        for share in CUT_SHARES
        for worth in _worths(starts, order, share, laying)
    )
    joins = np.array(found.joins_mm) - found.start_mm
    closing, other = bend_at(np.array([found.start_mm]), joins, laying)
    lacking = max(0.0, laying.clear_mm - found.least_mm)
    own = (round(lacking, 3), float(closing[0]), float(other[0]))
    assert own[0] <= best[0] + 0.5
    assert own[1] <= best[1] * SAME_DEG + SAME_DEG + 1e-6
    if own[1] // SAME_DEG == best[1]:
        assert own[2] <= best[2] * SAME_DEG + SAME_DEG + 1e-6


def _worths(
    starts: np.ndarray, order: tuple[float, ...], share: float, laying: BindingRound
) -> list[tuple[float, float, float]]:
    offsets, _, _ = join_offsets(order, share, laying)
    kept = np.full(len(starts), np.diff([0.0, *offsets, laying.edge_mm]).min())
    for number, offset in enumerate([0.0, *offsets]):
        for corner in laying.corners_mm:
            room = [ring_distance(s + offset, corner, laying.edge_mm) for s in starts]
            kept = np.minimum(kept, np.array(room) - laying.closing_mm * (number == 0))
    closing, joins = bend_at(starts, offsets, laying)
    lacking = np.round(np.maximum(laying.clear_mm - kept, 0), 3)
    rows = zip(lacking, closing // SAME_DEG, joins // SAME_DEG, strict=True)
    return [min((float(a), float(b), float(c)) for a, b, c in rows)]
