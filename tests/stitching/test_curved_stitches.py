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
    assert lengths(stitches) == pytest.approx([2, 2], abs=1e-3), "there and back across it"
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


def arc(radius: float, degrees: float, pieces: int = 2000) -> np.ndarray:
    turn = np.radians(np.linspace(0, degrees, pieces + 1))
    return radius * np.column_stack([np.sin(turn), 1 - np.cos(turn)])


def spiral(inner: float, outer: float, turns: float) -> np.ndarray:
    angle = np.linspace(0, 2 * np.pi * turns, 3000)
    radius = inner + (outer - inner) * angle / angle[-1]
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


def stepped_off(line: np.ndarray, number: int) -> float:
    """The opening of a pair of compasses that steps off the line in so many equal steps.

    By halving the interval; the line's vertices stand close enough to be taken for all of it.
    """
    low, high = 0.0, 20.0
    for _ in range(50):
        opening, at = (low + high) / 2, 0
        for _ in range(number):
            beyond = np.hypot(*(line[at:] - line[at]).T) >= opening
            at = at + int(beyond.argmax()) if beyond.any() else len(line)
            if at == len(line):
                break
        low, high = (low, opening) if at == len(line) else (opening, high)
    return low


@pytest.mark.parametrize(("inner", "outer", "turns"), [(2.2, 12, 3), (2.1, 6, 2)])
def test_a_spiral_is_stepped_off_as_with_compasses(
    inner: float, outer: float, turns: float
) -> None:
    """All stitches alike, and no number of them would come much nearer the set length."""
    line = spiral(inner, outer, turns)
    sizes = lengths(place(runs_of(line), QUILTING))
    assert sizes == pytest.approx(np.full(len(sizes), stepped_off(line, len(sizes))), abs=0.05)
    assert np.ptp(sizes) < 1e-3
    fewer = stepped_off(line, len(sizes) - 1)
    assert abs(sizes[0] - 3.2) < abs(fewer - 3.2) + 0.1
    assert fewer > 3.2


@pytest.mark.parametrize(
    ("line", "sizes", "listed"),
    [
        # Half round a circle of 1 mm: 3.14 mm of line, one stitch straight across.
        (arc(1.0, 180), [2.0], 1),
        # 6.2 mm round 220 degrees: two stitches of 2 r sin 55 = 2.65 mm would be too short, one of
        # 2 r sin 110 = 3.04 mm is within the bounds.
        (arc(1.615, 220), [3.035], 0),
        # Half round a circle of 1.97 mm: one stitch across would be 3.94 mm, too long, so that
        # two of 2 r sin 45 = 2.79 mm are sewn.
        (arc(1.97, 180), [2.786, 2.786], 1),
    ],
)
def test_stitches_across_a_hairpin(line: np.ndarray, sizes: list[float], listed: int) -> None:
    """Chords by hand; those that cannot be as long as they should are listed."""
    stitches = place(runs_of(line), QUILTING)
    assert lengths(stitches) == pytest.approx(sizes, abs=1e-3)
    assert len(stitches.forced_short) == listed


def test_where_no_number_fits_the_shorter_stitches_are_still_evened_out() -> None:
    """3.1 mm straight on, then half round a circle of 1 mm: divided by length the second stitch
    would be just across it, 2 mm. One for both would be 3.69 mm, too long. From the point x on the
    straight that is as far from both ends, x + 3.1 = sqrt(x^2 + 4), so x = -0.905, both are 2.195.
    """
    line = np.concatenate([[(-3.1, 0.0)], arc(1.0, 180)])
    stitches = place(runs_of(line), QUILTING)
    assert lengths(stitches) == pytest.approx([2.195, 2.195], abs=1e-3)
    assert len(stitches.forced_short) == 1
