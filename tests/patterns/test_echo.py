"""Echo lines: true offsets, merging, filling."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from quiltpath.errors import InputError
from tests.patterns.runners import disc, drawn, plain, pointed, sashed

WITHIN_MM = 0.1
"""How true an offset must be (common practice)."""


def _stray(lines: np.ndarray, source: object, distance: float) -> float:
    """Farthest that any sampled point of the lines lies from the wanted distance."""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(lines, 1.0)))
    return float(np.abs(shapely.distance(points, source) - distance).max())


def test_rings_round_a_disc_are_circles() -> None:
    """Closed form: the ring at distance d from a circle of radius r has length 2 pi (r + d)."""
    runner = plain(800, 600, motifs=(disc(400, 300, 60),))
    lines = drawn(runner, "echo", spacing=20, rings=5)
    assert len(lines) == 5
    for number, ring in enumerate(lines.geometry, start=1):
        assert ring.is_closed
        assert ring.length == pytest.approx(2 * np.pi * (60 + 20 * number), rel=1e-3)
        assert _stray(ring, runner.motifs[0].shape, 20 * number) < WITHIN_MM


def test_rings_of_neighbours_run_together_where_they_meet() -> None:
    runner = plain(800, 400, motifs=(disc(300, 200, 40), disc(420, 200, 40, place="B1")))
    lines = drawn(runner, "echo", spacing=10, rings=3)
    whole = shapely.union_all([m.shape for m in runner.motifs])
    at_10, at_20, at_30 = (
        [g for g in lines.geometry if _stray(g, whole, d) < WITHIN_MM] for d in (10, 20, 30)
    )
    assert [len(at_10), len(at_30)] == [2, 1]
    assert len(at_20) in (1, 2)  # at 20 mm the two just touch


def test_rings_fill_the_region_to_its_last_corner() -> None:
    runner = plain(800, 600, motifs=(disc(400, 300, 60),))
    lines = drawn(runner, "echo", spacing=25)
    farthest = np.hypot(400, 300) - 60
    assert farthest - shapely.distance(lines.geometry, runner.motifs[0].shape).max() < 25 + 0.1


def test_an_outline_echo_of_a_rectangle_is_smaller_rectangles() -> None:
    lines = drawn(
        plain(1000, 300),
        "echo",
        around="outline",
        direction="inwards",
        spacing=40,
        corners="mitred",
    )
    sizes = shapely.bounds(lines.geometry)
    assert np.allclose(sizes[:, 0], [40, 80, 120])
    assert np.allclose(shapely.length(lines.geometry), [2 * (1300 - 4 * d) for d in (40, 80, 120)])


def test_about_leaves_the_innermost_gap_as_wide_as_the_others() -> None:
    lines = drawn(
        plain(1000, 300), "echo", around="outline", direction="inwards", spacing="about 25"
    )
    box = shapely.bounds(lines.geometry)
    low = np.sort(box[:, 1])
    gap = low[0]
    assert np.allclose(np.diff(low), gap, atol=0.02)
    assert 300 - 2 * low[-1] == pytest.approx(gap, abs=0.05)


def test_a_pointed_end_is_followed_at_an_even_distance() -> None:
    lines = drawn(pointed(), "echo", around="outline", direction="inwards", spacing=30)
    for number, ring in enumerate(lines.geometry, start=1):
        assert _stray(ring, pointed().outline.exterior, 30 * number) < WITHIN_MM


def test_mitred_rings_keep_sharp_corners_and_round_ones_do_not() -> None:
    square = sashed()
    keys = {"around": "blocks", "spacing": 10, "rings": 1}
    mitred = drawn(square, "echo", corners="mitred", **keys).geometry
    rounded = drawn(square, "echo", corners="round", **keys).geometry
    assert shapely.get_num_points(mitred).max() == 5
    assert mitred[0].length == pytest.approx(880)
    assert rounded[0].length == pytest.approx(800 + 2 * np.pi * 10, rel=1e-3)


def test_the_first_ring_may_lie_closer() -> None:
    runner = plain(800, 600, motifs=(disc(400, 300, 60),))
    lines = drawn(runner, "echo", spacing=20, first=6, rings=3)
    found = np.sort(shapely.distance(lines.geometry, runner.motifs[0].shape))
    assert np.allclose(found, [6, 26, 46], atol=WITHIN_MM)


def test_rings_off_the_runner_are_refused() -> None:
    with pytest.raises(InputError, match="inwards"):
        drawn(plain(), "echo", around="outline", spacing=20)


def test_a_motif_that_is_not_there_is_told_with_the_near_names() -> None:
    with pytest.raises(InputError, match="did you mean plate"):
        drawn(plain(motifs=(disc(300, 160, 40),)), "echo", around="plates", spacing=20)
