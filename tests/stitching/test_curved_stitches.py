"""On curves: even by arc length, holes on the curve, and no false corners."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from quiltpath.stitching import place
from tests.stitching.sewing import QUILTING, circle, holes, lengths, runs_of


@pytest.mark.parametrize("radius", [3.1, 6.0, 10.0, 25.0, 80.0, 300.0])
def test_a_circle_is_sewn_evenly_all_round(radius: float) -> None:
    """Closed form: holes on the circle, chords 2 r sin(pi / n), as many as round it best."""
    stitches = place(runs_of(circle(radius)), QUILTING)
    sewn, number = holes(stitches), stitches.stitch_count
    assert np.abs(np.hypot(*sewn.T) - radius).max() < 0.1
    assert np.allclose(lengths(stitches), 2 * radius * np.sin(np.pi / number), rtol=1e-3)
    assert lengths(stitches).min() >= 3.0
    assert lengths(stitches).max() <= 3.5
    assert np.allclose(sewn[0], sewn[-1])
    assert len(np.unique(stitches.stretch[stitches.is_stitch])) == 1


def test_the_thread_itself_stays_within_a_tenth_of_a_wide_circle() -> None:
    """Sagitta of a chord c on a radius r: c squared over 8 r; 0.1 mm at r = 15.3 for 3.5 mm."""
    sewn = holes(place(runs_of(circle(16.0)), QUILTING))
    middles = (sewn[1:] + sewn[:-1]) / 2
    assert np.hypot(*middles.T).min() > 16.0 - 0.1


@pytest.mark.parametrize("pieces", [30, 90, 400, 5000])
def test_the_fineness_of_the_drawing_does_not_change_the_stitches(pieces: int) -> None:
    stitches = place(runs_of(circle(20.0, pieces)), QUILTING)
    assert stitches.stitch_count == round(2 * np.pi * 20 / 3.2)
    assert lengths(stitches).min() >= 3.0


def test_holes_follow_the_line_by_arc_length() -> None:
    """Against shapely's own measure of position along a line."""
    x = np.linspace(0, 200, 900)
    wave = np.column_stack([x, 15 * np.sin(x / 18)])
    line = LineString(wave)
    stitches = place(runs_of(wave), QUILTING)
    sewn = holes(stitches)
    along = shapely.line_locate_point(line, shapely.points(sewn))
    assert np.allclose(np.diff(along), line.length / stitches.stitch_count, atol=1e-6)
    assert shapely.distance(line, shapely.points(sewn)).max() < 1e-9


def test_a_spiral_wound_tighter_than_a_stitch_allows_stays_within_bounds_where_it_can() -> None:
    """Radius 2.2 to 12 mm: equal arcs would make chords of 2.9 mm inside; equal chords do not."""
    angle = np.linspace(0, 6 * np.pi, 3000)
    radius = 2.2 + 9.8 * angle / angle[-1]
    spiral = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    stitches = place(runs_of(spiral), QUILTING)
    assert lengths(stitches).min() >= 3.0
    assert lengths(stitches).max() <= 3.5
    assert len(stitches.forced_short) == 0
    line = LineString(spiral)
    assert shapely.distance(line, shapely.points(holes(stitches))).max() < 1e-9
    assert np.allclose(holes(stitches)[[0, -1]], spiral[[0, -1]])


def test_a_curve_too_tight_for_the_lower_bound_is_listed() -> None:
    """Round a circle of 1 mm radius no three stitches reach 3 mm: its diameter is 2 mm."""
    stitches = place(runs_of(circle(1.0, 200)), QUILTING)
    assert lengths(stitches).max() <= 2.0 + 1e-9
    assert stitches.forced_short[:, 0] == pytest.approx([2 * np.pi], rel=1e-3)


def test_rings_of_an_echo_keep_their_corners_and_round_their_ends() -> None:
    """An echo drawn by shapely round a square: four round corners, straight sides, no corner."""
    ring = Polygon([(0, 0), (80, 0), (80, 80), (0, 80)]).buffer(12.0, quad_segs=16).exterior
    stitches = place(runs_of(ring.coords), QUILTING)
    assert len(np.unique(stitches.stretch[stitches.is_stitch])) == 1
    assert lengths(stitches).min() >= 3.0
    mitred = Polygon([(0, 0), (80, 0), (80, 80), (0, 80)]).buffer(12.0, join_style="mitre").exterior
    sewn = holes(place(runs_of(mitred.coords), QUILTING))
    for corner in mitred.coords:
        assert np.hypot(*(sewn - corner).T).min() < 1e-9


@st.composite
def wandering_curves(draw: st.DrawFn) -> np.ndarray:
    """Smooth curves of changing bend, never tighter than a radius of 2.5 mm."""
    bends = np.array(draw(st.lists(st.floats(-0.4, 0.4), min_size=3, max_size=9)))
    step = 0.05
    bend = np.interp(np.arange(0, len(bends) * 12 - 12, step) / 12, np.arange(len(bends)), bends)
    heading = np.cumsum(bend * step)
    moves = step * np.column_stack([np.cos(heading), np.sin(heading)])
    return np.concatenate([np.zeros((1, 2)), np.cumsum(moves, axis=0)])


@settings(max_examples=60)
@given(st.lists(wandering_curves(), min_size=1, max_size=3))
def test_smooth_curves_from_18_mm_up_are_sewn_within_bounds(drawn: list[np.ndarray]) -> None:
    stitches = place(runs_of(*drawn), QUILTING)
    assert lengths(stitches).max() <= 3.5 + 1e-9
    assert lengths(stitches).min() >= 3.0 - 1e-6
    for run, line in enumerate(drawn):
        on_line = shapely.distance(LineString(line), shapely.points(holes(stitches, run)))
        assert on_line.max() < 1e-9
