"""Thread through the same hole again and again."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from quiltpath.checks.holes import passes_through, worn_holes
from quiltpath.checks.limits import CheckLimits
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
