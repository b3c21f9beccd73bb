"""Squaring up: what is measured on each outline, by plane geometry."""

from __future__ import annotations

import math

import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from quiltpath.geometry.named_outlines import OUTLINES
from quiltpath.materials.edge_corners import edge_of
from quiltpath.materials.trimming import STATIONS, Trimming, trimming


def drawn(name: str) -> Trimming:
    return trimming(edge_of(OUTLINES[name].draw(length=1800.0, width=400.0)))


def test_a_rectangle_is_checked_by_its_diagonals() -> None:
    """3, 4, 5: 1200 by 900 mm has diagonals of 1500 mm (Pythagoras)."""
    found = trimming(edge_of(box(10, 20, 1210, 920)))
    assert found.diagonals_mm == pytest.approx(1500)
    assert not found.is_curved and found.mirrored_along and found.mirrored_across


def test_a_leaning_outline_of_four_corners_has_no_equal_diagonals_to_tell() -> None:
    found = trimming(edge_of(Polygon([(0, 0), (900, 0), (950, 300), (50, 300)])))
    assert found.diagonals_mm is None
    assert not found.mirrored_along and not found.mirrored_across


def test_points_lie_on_the_centre_line_and_shoulders_to_both_sides() -> None:
    """Points of 90 degrees: the shoulders come half the width in, half the width off the line."""
    places = {(round(c.along_mm), round(c.off_mm)) for c in drawn("pointed").corners}
    assert places == {
        (0, 0), (1800, 0), (200, 200), (200, -200), (1600, 200), (1600, -200),
    }  # fmt: skip


def test_round_ends_are_two_half_circles_about_points_of_the_centre_line() -> None:
    (arc,) = drawn("rounded").arcs
    assert arc.count == 2 and arc.radius_mm == pytest.approx(200, abs=0.1)
    assert arc.turn_deg == pytest.approx(180, abs=2)
    assert arc.centre_mm == pytest.approx((200, 0), abs=0.1)


def test_round_corners_are_four_quarters() -> None:
    shape = box(50, 50, 1850, 350).buffer(50, quad_segs=24)
    (arc,) = trimming(edge_of(shape)).arcs
    assert (arc.count, round(arc.radius_mm), round(arc.turn_deg, -1)) == (4, 50, 90)


def test_an_oval_is_told_by_the_offsets_of_its_ellipse() -> None:
    """y = b sqrt(1 - ((x - a) / a)^2) for the left half; the right half lies alike."""
    found = drawn("oval")
    assert found.arcs == () and len(found.offsets) == STATIONS + 1
    assert found.offsets[-1].along_mm == pytest.approx(900)
    for offset in found.offsets:
        half = 200 * math.sqrt(max(0.0, 1 - ((offset.along_mm - 900) / 900) ** 2))
        assert offset.above_mm == pytest.approx(half, abs=0.6)
        assert offset.below_mm == pytest.approx(offset.above_mm, abs=1e-6)


def test_what_is_not_mirrored_is_told_over_its_whole_length() -> None:
    """An egg: the left half of one ellipse and the right half of a longer one."""
    left, right = (affinity.scale(Point(0, 0).buffer(1, 64), a, 200) for a in (300, 900))
    egg = left.intersection(box(-400, -300, 0, 300)).union(
        right.intersection(box(0, -300, 950, 300))
    )
    found = trimming(edge_of(egg))
    assert not found.mirrored_along and found.mirrored_across
    assert found.offsets[-1].along_mm == pytest.approx(1200, abs=1)


def test_inner_corners_are_known_and_many_scallops_ask_for_a_template() -> None:
    notched = trimming(edge_of(Polygon([(0, 0), (400, 0), (400, 300), (200, 150), (0, 300)])))
    (inner,) = notched.inner_corners
    assert (inner.along_mm, inner.off_mm) == (200, 0) and not notched.wants_template
    assert drawn("scalloped").wants_template and not drawn("octagon").wants_template
