"""Thread through the same hole again and again."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from quiltpath.checks import CheckLimits
from quiltpath.checks.needle_checks import _hopeful, passes_through, worn_holes
from tests.checks.sewing import sewn, stitches_of

LIMITS = CheckLimits()


def star(rays: int) -> list[np.ndarray]:
    """Rays of stitches that all end at the origin."""
    angles = np.arange(rays) * 2 * np.pi / rays
    return [np.outer([9.0, 6.0, 3.0, 0.0], [np.cos(a), np.sin(a)]) for a in angles]


def test_five_rays_into_one_hole_are_too_many() -> None:
    (finding,) = worn_holes(stitches_of(*star(5)), LIMITS)
    assert finding.code == "hole-worn" and "5 times" in finding.message
    assert finding.at_mm is not None and np.allclose(finding.at_mm, 0)
    assert "one place" in finding.message


def test_of_several_places_the_worst_is_told_and_all_are_counted() -> None:
    """Five, seven and six rays into holes 1 mm apart, which lie in squares of their own."""
    stars = [
        ray + np.array([at, 0.0]) for at, rays in ((0, 5), (1, 7), (2, 6)) for ray in star(rays)
    ]
    (finding,) = worn_holes(stitches_of(*stars), LIMITS)
    assert "passes 7 times through one hole, more than 4" in finding.message
    assert "this at about 3 places" in finding.message
    assert finding.at_mm == pytest.approx((1.0, 0.0))


def test_four_are_let_pass_and_the_number_can_be_set() -> None:
    assert worn_holes(stitches_of(*star(4)), LIMITS) == ()
    assert len(worn_holes(stitches_of(*star(4)), CheckLimits(hole_passes=3))) == 1


def test_needle_points_a_quarter_millimetre_apart_are_holes_of_their_own() -> None:
    near = [np.array([[x, 0.0], [x, 3.0]]) for x in np.arange(8) * 0.25]
    assert worn_holes(stitches_of(*near), LIMITS) == ()


def test_a_plain_seam_is_silent() -> None:
    assert worn_holes(stitches_of(sewn(500), sewn(500, 2.0)), LIMITS) == ()
    assert worn_holes(stitches_of(), LIMITS) == ()


@given(seed=st.integers(0, 10_000), more_than=st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_counts_agree_with_a_search_tree(seed: int, more_than: int) -> None:
    """scipy's k-d tree counts the neighbours of every point within the same distance."""
    rng = np.random.default_rng(seed)
    centres = rng.uniform(-3, 3, (rng.integers(1, 12), 2))
    holes = centres[rng.integers(0, len(centres), 80)] + rng.normal(0, 0.06, (80, 2))
    counts = np.array([len(near) for near in cKDTree(holes).query_ball_point(holes, 0.15)])
    found, passes = passes_through(holes, 0.15, more_than)
    expected = holes[counts > more_than]
    assert np.array_equal(found, expected)
    assert np.array_equal(passes, counts[counts > more_than])


def test_hardly_any_point_is_looked_at_closely_that_does_not_lie_thick() -> None:
    """A raster of 0.7 mm has one point to a square of 0.6 mm; six close together are more than
    five, wherever the borders between squares lie."""
    raster = 0.7 * np.stack(np.meshgrid(np.arange(60), np.arange(60)), axis=-1).reshape(-1, 2)
    assert np.count_nonzero(_hopeful(raster, 0.15, 4)) < len(raster) / 100
    for shift in 0.1 * np.stack(np.meshgrid(np.arange(7), np.arange(7)), axis=-1).reshape(-1, 2):
        close = shift + np.array([(x, y) for x in (0, 0.1, 0.2) for y in (0, 0.2)])
        assert _hopeful(np.vstack([raster + 50, close]), 0.15, 5)[len(raster) :].all()
