"""The property that defines each pattern, against textbook formulas."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from scipy.special import ellipe
from shapely.geometry import LineString, Polygon, box

from quiltpath.geometry.curves import arc_between, round_corners
from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from quiltpath.patterns.medallions import involute
from tests.patterns.runners import drawn, plain

STRAY_MM = 0.1
"""How near the true curve the drawn one must be."""


def points_of(geometry: object) -> np.ndarray:
    """Vertices and the middles of all chords: a chord strays most in its middle."""
    coords = shapely.get_coordinates(geometry)
    return np.concatenate([coords, (coords[1:] + coords[:-1]) / 2])


def test_a_wave_is_a_sine_of_whole_waves() -> None:
    """Length of a sine of amplitude A: 4 sqrt(q^2 + A^2) E(m) a wave, q = wave / 2 pi,
    m = A^2 / (q^2 + A^2) (complete elliptic integral of the second kind)."""
    lines = drawn(plain(1200, 300), "waves", wave="about 140 mm", height=30, spacing=30)
    wave = 1200 / 9  # 1200 / 140 = 8.57
    row = lines.geometry[3]
    points = points_of(row)
    middle = (row.bounds[1] + row.bounds[3]) / 2
    true = middle + 15 * np.cos(2 * math.pi * (points[:, 0] - 600) / wave)
    assert np.abs(points[:, 1] - true).max() < STRAY_MM
    q = wave / (2 * math.pi)
    length = 9 * 4 * math.hypot(q, 15) * ellipe(15**2 / (q**2 + 15**2))
    assert row.length == pytest.approx(length, rel=1e-4)


def test_wave_rows_are_whole_and_evenly_apart() -> None:
    lines = drawn(plain(1200, 300), "waves", spacing="about 25 mm", height=30)
    low = np.sort(shapely.bounds(lines.geometry)[:, 1])
    gap = 270 / 11  # the room of 300 - 30 at about 25 mm
    assert np.allclose(np.diff(low), gap) and low[0] == pytest.approx(gap / 2, abs=STRAY_MM)


@pytest.mark.parametrize("sweep", [40, 120, 180])
def test_serpentine_rows_are_made_of_true_arcs(sweep: float) -> None:
    lines = drawn(plain(1000, 400), "serpentine", sweep=sweep, wave=100, spacing=40)
    radius = 25 / math.sin(math.radians(sweep) / 2)
    length = 20 * radius * math.radians(sweep)  # ten waves of two arcs
    assert np.allclose(shapely.length(lines.geometry), length, rtol=1e-3)


def test_a_switchback_is_as_long_as_its_lines_and_half_circles() -> None:
    (path,) = drawn(plain(1000, 320), "switchback", spacing="about 40 mm", inset=10).geometry
    gap, lines = 300 / 8, 9  # 300 mm at about 40 mm: 7.5, so 8 gaps
    straight = lines * (980 - gap) + gap
    assert path.length == pytest.approx(straight + 8 * math.pi * gap / 2, rel=1e-4)
    assert path.is_simple


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_meander_never_crosses_itself_and_keeps_its_spacing(seed: int) -> None:
    """A tube round a curve is as large as length x width exactly where it does not overlap."""
    (path,) = drawn(plain(600, 300), "meander", spacing=12.5, inset=0, seed=seed).geometry
    assert path.is_closed and path.is_simple
    tube = path.buffer(6.2, quad_segs=32)
    assert tube.area == pytest.approx(path.length * 12.4, rel=1e-3)


def test_a_meander_fills_within_its_spacing() -> None:
    """Farthest is a corner of the region: (sqrt 2 - 1/2) spacings from its rounded turn."""
    shape = box(0, 0, 600, 300)
    (path,) = drawn(plain(600, 300), "meander", spacing=12.5, inset=0).geometry
    unfilled = shape.difference(path.buffer(12.5 * (math.sqrt(2) - 0.5) + 0.05, quad_segs=64))
    assert unfilled.area < 1e-6


def test_a_meander_visits_every_quarter_of_every_square() -> None:
    """Closed form: 4 n edges of one spacing, each corner shorter by (1 - pi / 4) of it."""
    (path,) = drawn(plain(500, 300), "meander", spacing=25, inset=0).geometry
    edges = 4 * 10 * 6
    curved = (edges * 25 - path.length) / (25 * (1 - math.pi / 4))
    assert curved == pytest.approx(round(curved), abs=0.2)
    assert 4 <= round(curved) <= edges


def test_a_meander_goes_round_what_is_not_its_region() -> None:
    runner = plain(600, 300)
    hole = box(200, 100, 400, 200)
    ring = Region("ring", RegionKind.BORDER, runner.outline.difference(hole))
    lines = drawn(Runner(runner.outline, regions=(ring,)), "meander", region="ring", spacing=12.5)
    assert shapely.distance(lines.geometry, hole).min() >= 6.35 - 1e-6


def test_clamshells_are_half_circles() -> None:
    """Every row of n shells is n pi R long, whole or with a quarter circle at either end."""
    lines = drawn(plain(1200, 320), "clamshells", size=60, inset=0)
    assert len(lines) == 9  # 320 / 30 is 10.67, an odd number below
    assert np.allclose(shapely.length(lines.geometry), 20 * math.pi * 30, rtol=1e-3)
    tops = shapely.bounds(lines.geometry)[:, 3]
    assert np.allclose(np.diff(np.sort(tops)), 30)


def test_valleys_of_a_row_stand_on_the_tops_of_the_row_below() -> None:
    lines = drawn(plain(1200, 320), "clamshells", size=60).geometry
    below, above = (points_of(line) for line in lines[:2])
    tops = below[np.abs(below[:, 1] - below[:, 1].max()) < 1e-6]
    valleys = above[np.abs(above[:, 1] - above[:, 1].min()) < 1e-6]
    assert np.allclose(np.sort(tops[:, 0]), np.sort(valleys[:, 0]))


def test_the_arcs_of_a_fan_are_evenly_apart_and_end_at_the_fans_in_front() -> None:
    lines = drawn(plain(1200, 320), "fans", size=150, arcs=5, inset=0).geometry
    front = [g for g in lines if abs(g.bounds[1] - min(g.bounds[1] for g in lines)) < 1e-6]
    base = front[0].bounds[1]
    assert np.allclose(sorted(g.length for g in front)[:: len(front) // 5],
                       math.pi * 15 * np.arange(1, 6), rtol=1e-3)  # fmt: skip
    discs = shapely.union_all(
        [shapely.Point(x, base).buffer(75 - 0.05, 128) for x in range(75, 1200, 150)]
    )
    others = [g for g in lines if g not in front]
    assert max(shapely.length(shapely.intersection(others, discs))) < 1e-6
    second = [g for g in others if abs(g.bounds[3] - (base + 320 / 9 + 75)) < 1e-6]
    assert second and all(
        shapely.Point(g.coords[0]).distance(discs) < 0.1
        or g.coords[0][0] < 1
        or g.coords[0][0] > 1199
        for g in second
    )


def test_the_petals_of_an_orange_peel_have_their_textbook_area() -> None:
    """Two segments of a quarter circle on a chord a: a^2 / 2 x (pi / 2 - 1)."""
    lines = drawn(plain(1200, 320), "orange-peel", size=80, inset=0).geometry
    cells = shapely.get_parts(shapely.polygonize([shapely.node(shapely.union_all(lines))]))
    petal = 80**2 / 2 * (math.pi / 2 - 1)
    is_petal = np.isclose(shapely.area(cells), petal, rtol=2e-3)
    columns, rows = 14, 3  # (1200 - 33.1) / 80 and (320 - 33.1) / 80
    assert is_petal.sum() == columns * (rows + 1) + rows * (columns + 1)
    radius = 80 / math.sqrt(2)
    assert shapely.length(lines).sum() == pytest.approx(
        2 * is_petal.sum() * radius * math.pi / 2, rel=1e-3
    )


def test_overlapping_circles_pass_through_their_neighbours_middles() -> None:
    circles = drawn(plain(1200, 320), "overlapping-circles", size=80, inset=0).geometry
    middles = shapely.centroid(circles)
    apart = shapely.distance(middles[:, None], middles[None, :])
    assert apart[apart > 1e-9].min() == pytest.approx(40, abs=0.01)
    assert np.allclose(shapely.length(circles), 2 * math.pi * 40, rtol=1e-3)
    reach = shapely.hausdorff_distance(circles[0], middles[0])
    assert reach == pytest.approx(40, abs=STRAY_MM)


def test_interlocking_squares_overlap_by_a_third() -> None:
    squares = [
        Polygon(g) for g in drawn(plain(1200, 320), "interlocking-squares", size=60).geometry
    ]
    shared = [
        a.intersection(b).area for i, a in enumerate(squares) for b in squares[:i] if a.overlaps(b)
    ]
    assert shared and np.allclose(shared, 20**2)


def test_hexagons_are_regular_and_evenly_nested() -> None:
    rings = drawn(plain(1200, 320), "nested-hexagons", size=120, rings=4).geometry[:4]
    sides = [np.hypot(*np.diff(np.array(r.coords), axis=0).T) for r in rings]
    assert all(np.allclose(s, s[0]) for s in sides)
    gaps = [outer.distance(inner) for outer, inner in pairwise(rings)]
    assert np.allclose(gaps, gaps[0]) and gaps[0] == pytest.approx(120 / 2 / 4 * math.sqrt(3) / 2)


def test_basket_weave_lines_are_one_gap_apart_within_and_between_squares() -> None:
    (path,) = drawn(plain(1200, 320), "basket-weave", size=100, lines=5, inset=0).geometry
    squares, gap, side = 11 * 3, 20, 80
    assert path.length == pytest.approx(squares * (5 * side + 4 * gap) + (squares - 1) * gap)
    tube = path.buffer(9.9, cap_style="flat", join_style="mitre")
    assert tube.area == pytest.approx(path.length * 19.8, rel=1e-6)


def test_bamboo_joints_lie_halfway_between_those_of_the_next_bar() -> None:
    lines = drawn(plain(1200, 300), "bamboo", spacing=30, joint=240, ring=8).geometry
    bounds = shapely.bounds(lines)
    joints = bounds[bounds[:, 0] == bounds[:, 2]]
    lowest = np.sort(joints[joints[:, 1] < 1, 0])
    above = np.sort(joints[np.abs(joints[:, 1] - 30) < 1, 0])
    assert np.allclose(lowest, np.sort([120 + 240 * i + s for i in range(5) for s in (-4, 4)]))
    assert np.allclose(above, np.sort([240 + 240 * i + s for i in range(4) for s in (-4, 4)]))


def test_the_arms_of_a_spiral_are_one_gap_apart_everywhere() -> None:
    """Involutes of one circle of radius a, half a turn apart, lie pi a from each other."""
    (path,) = drawn(plain(400, 400), "spiral", spacing="about 16 mm", inset=0).geometry
    gap = 200 / 13  # a reach of 200 mm at about 16 mm: 12.5, so 13 gaps
    points = np.array(path.coords)
    half = len(points) // 2
    one, other = LineString(points[:half]), LineString(points[half:])
    turn = points[half + 60 : -400]  # away from the middle and from the outer end
    away = shapely.distance(shapely.points(turn), one)
    assert np.allclose(away, gap, atol=STRAY_MM)
    a = gap / math.pi
    end = math.sqrt((200 / a) ** 2 - 1)
    assert path.length == pytest.approx(2 * (a * end**2 / 2 + a), rel=1e-4)
    assert other.length == pytest.approx(one.length, rel=1e-9)


def test_an_involute_is_as_long_as_its_formula() -> None:
    """Arc length of the involute of a circle: a t^2 / 2."""
    line = LineString(involute(5.0, 20.0))
    assert line.length == pytest.approx(5.0 * 20.0**2 / 2, rel=3e-4)


def test_a_square_spiral_has_one_gap_between_all_its_lines() -> None:
    (path,) = drawn(plain(400, 400), "square-spiral", spacing=16, inset=8).geometry
    tube = path.buffer(7.9, cap_style="flat", join_style="mitre")
    assert tube.area == pytest.approx(path.length * 15.8, rel=1e-6)
    ends = np.array(path.coords)[[0, -1]]
    outside = box(8, 8, 392, 392).exterior
    assert shapely.distance(shapely.points(ends), outside).max() < 16


@pytest.mark.parametrize("shape", ["squares", "diamonds"])
def test_concentric_figures_keep_one_distance_to_the_middle(shape: str) -> None:
    rings = drawn(plain(400, 300), "concentric", shape=shape, spacing="about 20 mm").geometry
    gaps = [a.distance(b) for a, b in pairwise(rings)]
    assert np.allclose(gaps, gaps[0])
    low_x, low_y, high_x, high_y = rings[-1].bounds
    if shape == "squares":
        assert min(high_x - low_x, high_y - low_y) == pytest.approx(gaps[0])


def test_rays_are_at_even_angles_and_end_at_the_edge() -> None:
    lines = drawn(plain(400, 400), "radiating", rays=16, middle=30).geometry
    ends = np.concatenate([np.array(g.coords)[[0, -1]] for g in lines]) - 200
    angles = np.sort(np.degrees(np.arctan2(ends[:, 1], ends[:, 0])))
    assert np.allclose(np.diff(angles), 22.5)
    assert np.allclose(np.abs(ends).max(axis=1), 200)
    assert shapely.distance(shapely.union_all(lines), shapely.Point(200, 200)) == pytest.approx(
        30, abs=STRAY_MM
    )


def bordered() -> Runner:
    ring = box(0, 0, 900, 500).difference(box(60, 60, 840, 440))
    return Runner(box(0, 0, 900, 500), regions=(Region("border", RegionKind.BORDER, ring),))


@pytest.mark.parametrize("strands", [2, 3, 4])
def test_a_cable_turns_every_corner_of_a_border_alike(strands: int) -> None:
    lines = drawn(bordered(), "cable", region="border", strands=strands, repeat=60)
    whole = shapely.transform(shapely.union_all(lines.geometry), lambda p: p - [450, 250])
    corners = []
    for sx, sy in [(1, 1), (-1, 1), (1, -1), (-1, -1)]:
        turned = shapely.transform(whole, lambda p, sx=sx, sy=sy: p * [sx, sy] - [450, 250])
        corners.append(turned.intersection(box(-75, -75, 0, 0)))
    assert all(shapely.hausdorff_distance(corners[0], c) < 1.0 for c in corners)
    # The sides' waves differ a little in length, so the two arms of a corner do as well.
    mirrored = shapely.transform(corners[0], lambda p: p[:, ::-1])
    assert shapely.hausdorff_distance(corners[0], mirrored) < 2.5


def test_a_cable_on_a_strip_is_two_sines_that_meet_at_both_ends() -> None:
    strip = Region("strip", RegionKind.SASHING, box(0, 0, 412.7, 52.7))
    runner = Runner(box(0, 0, 412.7, 400), regions=(strip,))
    one, other = drawn(runner, "cable", region="strip", repeat=100).geometry
    points = points_of(one)
    true = 26.35 + 20 * np.sin(2 * math.pi * (points[:, 0] - 6.35) / 100)
    assert np.abs(points[:, 1] - true).max() < STRAY_MM
    assert np.allclose(one.coords[0], other.coords[0]) and np.allclose(
        one.coords[-1], other.coords[-1]
    )


def test_leaves_stand_by_turns_and_clear_of_the_band_s_edge() -> None:
    (vine,) = drawn(bordered(), "leaf-vine", region="border").geometry
    edges = box(0, 0, 900, 500).exterior.union(box(60, 60, 840, 440).exterior)
    assert vine.distance(edges) >= 6.35 - STRAY_MM
    leaves = shapely.get_parts(shapely.polygonize([shapely.node(vine)]))
    assert len(leaves) > 20


def test_an_arc_between_two_points_has_its_textbook_length() -> None:
    line = LineString(arc_between(np.array([0.0, 0.0]), np.array([100.0, 0.0]), 90.0))
    assert line.length == pytest.approx(100 / math.sqrt(2) * math.pi / 2, rel=1e-3)
    assert line.bounds[1] == pytest.approx(-50 * math.tan(math.pi / 8), abs=STRAY_MM)


def test_a_rounded_corner_touches_both_its_sides() -> None:
    line = LineString(round_corners(np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0]]), 20.0))
    assert line.length == pytest.approx(160 + 20 * math.pi / 2, rel=1e-4)
