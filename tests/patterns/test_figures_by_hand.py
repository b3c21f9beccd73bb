"""Figures of the repertoire on small rectangles, their places worked out on squared paper."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point

from quiltpath.patterns.bundles import basket_weave
from quiltpath.patterns.circles import orange_peel, overlapping_circles
from quiltpath.patterns.frame import Frame
from quiltpath.patterns.medallions import concentric, radiating, square_spiral
from quiltpath.patterns.rows import serpentine, switchbacks, waves
from quiltpath.patterns.shells import clamshells, fans
from quiltpath.patterns.squares import interlocking_squares, nested_hexagons
from tests.patterns.runners import layer

R3 = math.sqrt(3)


def has(points: np.ndarray, *wanted: tuple[float, float]) -> bool:
    """Each of the places is a point of the line."""
    return all(np.hypot(*(points - place).T).min() < 1e-6 for place in wanted)


def middles(lines: list[np.ndarray]) -> list[tuple[float, float]]:
    """Middle of the bounds of each figure, sorted."""
    found = [(points.min(axis=0) + points.max(axis=0)) / 2 for points in lines]
    return sorted((round(float(x), 6), round(float(y), 6)) for x, y in found)


def test_waves_of_200_mm_have_a_crest_on_the_middle_and_at_every_wave_from_it() -> None:
    """Rows 20 mm high and 40 apart on 100 mm: three whole ones, the middle one at 50."""
    lines = waves(layer("waves", wave=200, height=20, spacing=40), Frame(600, 100))
    assert len(lines) == 3
    for line, base in zip(lines, (10, 50, 90), strict=True):
        x, y = line.T
        assert (x[0], x[-1]) == (0, 600)
        assert np.allclose(y, base + 10 * np.cos(math.pi * (x - 300) / 100))


def test_a_wave_has_points_as_often_as_its_sharpest_bend_needs() -> None:
    """A chord c strays by c^2 / 8 of the bend, at a crest (height / 2) (2 pi / wave)^2."""
    (line,) = waves(layer("waves", wave=100, height=50, spacing=300), Frame(1000, 60))
    step = np.diff(line[:, 0])
    assert np.allclose(step, step[0])
    stray = step[0] ** 2 / 8 * 25 * (2 * math.pi / 100) ** 2
    assert 0.0195 < stray <= 0.02


@pytest.mark.parametrize(("length", "number"), [(600.0, 3), (400.0, 2)])
@pytest.mark.parametrize("sweep", [60.0, 120.0, 180.0])
def test_serpentines_turn_on_the_middle_and_at_every_half_wave(
    length: float, number: int, sweep: float
) -> None:
    """Arcs on chords of 100 mm rise by 50 tan(sweep / 4); the middle one lies on the middle, an
    uppermost where the waves are odd in number."""
    rise = 50 * math.tan(math.radians(sweep) / 4)
    (line,) = serpentine(
        layer("serpentine", wave=200, sweep=sweep, spacing=300), Frame(length, 120)
    )
    side = 1 if number % 2 else -1
    steps = np.arange(0, length + 1, 100)
    turns = [(x, 60 + side * rise * (-1) ** ((x - length / 2) // 100)) for x in steps]
    path = LineString(line)
    assert max(path.distance(Point(turn)) for turn in turns) < 0.03
    assert max(path.distance(Point(x + 50, 60)) for x in steps[:-1]) < 1e-6
    assert (path.bounds[0], path.bounds[2]) == (0, length)
    assert path.bounds[3] - path.bounds[1] == pytest.approx(2 * rise, abs=0.05)


@pytest.mark.parametrize(("spacing", "rows"), [(40, 2), (43, 1), ("about 40 mm", 1)])
def test_rows_of_serpentines_keep_clear_of_the_edge_by_their_own_height(
    spacing: object, rows: int
) -> None:
    """100 mm less a height of 100 tan 30 = 57.7 leave 42.3 mm: one step of 40, none of 43."""
    found = serpentine(layer("serpentine", wave=200, sweep=120, spacing=spacing), Frame(600, 100))
    assert len(found) == rows
    whole = np.concatenate(found)
    assert whole[:, 1].min() == pytest.approx(100 - whole[:, 1].max(), abs=0.03)


def test_a_switchback_turns_by_half_circles_at_either_end_by_turns() -> None:
    """Four gaps of 25 mm on 200 x 100: it ends at the far corner, and with three at the near."""
    (line,) = switchbacks(layer("switchback", spacing=25), Frame(200, 100))
    assert line[0].tolist() == [0, 0] and line[-1].tolist() == [200, 100]
    assert has(line, (187.5, 0), (187.5, 25), (12.5, 25), (12.5, 50), (187.5, 50), (187.5, 75))
    assert has(line, (12.5, 75), (12.5, 100))
    for x, y, side in ((187.5, 12.5, 1), (12.5, 37.5, -1), (187.5, 62.5, 1), (12.5, 87.5, -1)):
        turn = line[(np.hypot(*(line - (x, y)).T) < 12.6) & ((line[:, 0] - x) * side > 1e-6)]
        assert len(turn) > 8
        assert np.hypot(*(turn - (x, y)).T) == pytest.approx(np.full(len(turn), 12.5))
    assert np.abs(np.diff(line, axis=0)[:, 1]).max() < 3, "no straight across"
    (three,) = switchbacks(layer("switchback", spacing=30), Frame(200, 100))
    assert three[0].tolist() == [0, 5] and three[-1].tolist() == [0, 95]


def test_a_switchback_needs_more_length_than_its_gap() -> None:
    assert switchbacks(layer("switchback", spacing=25), Frame(25, 100)) == []
    assert len(switchbacks(layer("switchback", spacing=25), Frame(25.1, 100))) == 1


def test_a_switchback_draws_nothing_in_a_strip_too_narrow_for_its_gap() -> None:
    """It would stand out on either side; "about" a gap makes it as narrow as the strip."""
    assert switchbacks(layer("switchback", spacing=25), Frame(200, 24.9)) == []
    assert len(switchbacks(layer("switchback", spacing=25), Frame(200, 25))) == 1
    (line,) = switchbacks(layer("switchback", spacing="about 25 mm"), Frame(200, 12))
    assert (line[:, 1].min(), line[:, 1].max()) == (0, 12)


def test_clamshells_of_100_mm_on_300_by_160() -> None:
    """Rows of half circles of 50 mm begin 5 mm up, 50 above each other, set off by half a shell;
    the second begins and ends on the edge, at the tops of its quarter circles."""
    rows = clamshells(layer("clamshells", size=100), Frame(300, 160))
    assert len(rows) == 3
    for number, line in enumerate(rows):
        base = 5 + 50 * number
        centres = [0, 100, 200, 300] if number == 1 else [50, 150, 250]
        away = np.hypot(line[:, :1] - centres, line[:, 1:] - base)
        assert np.abs(away - 50).min(axis=1).max() < 1e-6
        assert line[:, 1].min() == pytest.approx(base)
        tops = [(x, base + 50) for x in centres]
        assert has(line, *tops)
        begin = (0, base + 50) if number == 1 else (0, base)
        end = (300, base + 50) if number == 1 else (300, base)
        assert np.allclose(line[[0, -1]], [begin, end])
        assert (np.diff(line[:, 0]) > -1e-9).all()


def test_fans_of_200_mm_on_400_by_100() -> None:
    """Two half circles in front, at 100 and 300; behind them, half a radius up, a whole fan
    between halves at the ends. Arcs of 50 and 100 mm, each down to the fan in front."""
    lines = fans(layer("fans", size=200, arcs=2), Frame(400, 100))
    assert len(lines) == 2 * 2 + 3 * 2
    front, behind = lines[:4], lines[4:]
    for line, (x, radius) in zip(front, itertools.product((100, 300), (50, 100)), strict=True):
        assert np.allclose(line[[0, -1]], [(x - radius, 0), (x + radius, 0)])
        assert np.hypot(*(line - (x, 0)).T) == pytest.approx(np.full(len(line), radius))
        assert has(line, (x, radius)) or LineString(line).distance(Point(x, radius)) < 0.03
    fronts = {0: (None, 100), 200: (100, 300), 400: (300, None)}
    for line, (x, radius) in zip(behind, itertools.product((0, 200, 400), (50, 100)), strict=True):
        assert np.hypot(*(line - (x, 50)).T) == pytest.approx(np.full(len(line), radius))
        for end, other, way in zip(line[[0, -1]], fronts[x], (-1, 1), strict=True):
            if other is None:
                assert np.allclose(end, (x, 50 + radius))
            else:
                assert math.dist(end, (other, 0)) == pytest.approx(100)
                assert (end[0] - x) * way > 0


@pytest.mark.parametrize(
    ("width", "rows"), [(10, 1), (74, 1), (76, 2), (124, 2), (126, 3), (200, 4)]
)
def test_rows_of_fans_lie_about_half_a_radius_apart(width: float, rows: int) -> None:
    """Radius 100: as many rows as twice the width holds, to the nearest; each as high as another.
    Three fans in a row on 600 mm, and half a fan more at each end of every second."""
    lines = fans(layer("fans", size=200, arcs=2), Frame(600, width))
    assert len(lines) == 2 * sum(3 + row % 2 for row in range(rows))
    heights = sorted({round(float(line[:, 1].max()), 1) for line in lines[1::2]})
    assert heights == pytest.approx([100 + width / rows * row for row in range(rows)])


def test_a_fan_s_smallest_arcs_end_where_they_come_nearest_to_the_one_in_front() -> None:
    """Rows 62 mm apart, radius 100: the fan in front is centred 117.66 mm off, so that an arc of
    12.5 mm stays 5.2 mm away from it. It ends on the line between both centres."""
    lines = fans(layer("fans", size=200, arcs=8), Frame(400, 124))
    smallest = lines[2 * 8 + 8]  # behind two fans in front and half a fan at the end
    centre = np.array([200.0, 62.0])
    assert np.hypot(*(smallest - centre).T) == pytest.approx(np.full(len(smallest), 12.5))
    way = np.array([100.0, -62.0]) / math.hypot(100, 62)
    assert np.allclose(smallest[-1], centre + 12.5 * way)
    assert np.allclose(smallest[0], centre + 12.5 * way * (-1, 1))


def test_orange_peel_of_100_mm_is_waves_through_the_corners_of_squares() -> None:
    """Petals of two quarter circles are 41.42 mm wide (tan 22.5 degrees), half of it outside the
    grid on every side: 3 x 2 squares fill 341.42 by 241.42."""
    wide = 100 * (math.sqrt(2) - 1)
    lines = orange_peel(layer("orange-peel", size=100), Frame(300 + wide, 200 + wide))
    assert len(lines) == 2 * (3 + 4)
    x, y = wide / 2 + 100 * np.arange(4), wide / 2 + 100 * np.arange(3)
    strips = [[(a, b) for a in x] for b in y] + [[(a, b) for b in y] for a in x]
    for number, nodes in enumerate(strips):
        for side, line in zip((-1, 1), lines[2 * number : 2 * number + 2], strict=True):
            assert has(line, *nodes) and np.allclose(line[[0, -1]], [nodes[0], nodes[-1]])
            for step, (a, b) in enumerate(itertools.pairwise(np.array(nodes))):
                left = np.array([a[1] - b[1], b[0] - a[0]]) / 100
                crest = (a + b) / 2 + left * side * (-1) ** step * wide / 2
                assert LineString(line).distance(Point(crest)) < 0.03
    assert shapely.total_bounds([LineString(line) for line in lines]) == pytest.approx(
        (0, 0, 300 + wide, 200 + wide), abs=0.03
    )


def test_overlapping_circles_of_100_mm_on_300_by_200() -> None:
    """Middles 50 mm apart along and 43.3 up, every second row set off by 25 and one fewer."""
    lines = overlapping_circles(layer("overlapping-circles", size=100), Frame(300, 200))
    below = (200 - 100 - 2 * 25 * R3) / 2
    wanted = [(50.0 + 50 * k, below + 50 + row * 25 * R3) for row in (0, 2) for k in range(5)]
    wanted += [(75.0 + 50 * k, below + 50 + 25 * R3) for k in range(4)]
    found = [tuple((np.array(LineString(line).centroid.coords)[0]).round(6)) for line in lines]
    assert np.allclose(sorted(found), sorted(wanted), atol=1e-5)
    for line in lines:
        middle = line[:-1].mean(axis=0)
        assert np.hypot(*(line - middle).T) == pytest.approx(np.full(len(line), 50.0))


def test_interlocking_squares_of_60_mm_stand_on_every_second_place() -> None:
    """Places 40 mm apart on 300 x 140: seven by three."""
    lines = interlocking_squares(layer("interlocking-squares", size=60), Frame(300, 140))
    wanted = [(30 + 40 * c, 30 + 40 * r) for r in range(3) for c in range(7) if (r + c) % 2 == 0]
    assert len(lines) == len(wanted) == 11
    assert middles(lines) == sorted(wanted)
    for line in lines:
        assert LineString(line).is_ring and LineString(line).length == pytest.approx(240)


def test_interlocking_squares_in_a_narrow_strip_are_three_rows_and_smaller() -> None:
    """70 mm hold three rows of 30 mm squares, 20 apart: that is what "about 60" comes to."""
    lines = interlocking_squares(layer("interlocking-squares", size="about 60 mm"), Frame(610, 70))
    sides = {round(float(np.ptp(line[:, 1])), 6) for line in lines}
    (side,) = sides
    assert side <= 30 and len({round(float(line[:, 1].min()), 4) for line in lines}) == 3
    assert np.concatenate(lines)[:, 1].max() - np.concatenate(lines)[:, 1].min() == pytest.approx(
        7 / 3 * side
    )


def test_hexagons_of_100_mm_fit_together_in_columns() -> None:
    """Columns 75 mm apart, hexagons 86.6 high: three columns of 3, 2 and 3 on 250 x 260."""
    lines = nested_hexagons(layer("nested-hexagons", size=100, rings=2), Frame(250, 260))
    below = (260 - 3 * 50 * R3) / 2
    high = 25 * R3
    wanted = [(50 + 75 * c, below + high * (r + 1)) for c in range(3) for r in range(c % 2, 5, 2)]
    assert len(lines) == 2 * len(wanted) == 16
    assert np.allclose(middles(lines)[::2], sorted(wanted), atol=1e-5)
    for line in lines[:2]:
        assert np.allclose(np.diff(line[:, 0]) ** 2 + np.diff(line[:, 1]) ** 2, 50**2) or (
            np.allclose(np.diff(line[:, 0]) ** 2 + np.diff(line[:, 1]) ** 2, 25**2)
        )
    assert np.allclose(lines[0][0], (100, below + high)), "a point along the length"


def test_the_last_ring_may_be_as_small_as_a_stitch() -> None:
    """200 mm in steps of 33.2: rings of 200, 133.6, 67.2 and 0.8 mm; in steps of 25 none of 0."""
    for spacing, sides in ((33.2, [200, 133.6, 67.2, 0.8]), (25, [200, 150, 100, 50])):
        rings = concentric(layer("concentric", spacing=spacing), Frame(200, 200))
        assert [np.ptp(ring[:, 0]) for ring in rings] == pytest.approx(sides)


def test_diamonds_in_an_oblong_keep_their_slope_and_their_distance() -> None:
    """Half of 400 x 300: the sides lie 200 x 150 / 250 = 120 mm from the middle, and 48 mm apart
    the innermost is 48 mm from side to side: rings at 1, 3/5 and 1/5."""
    rings = concentric(
        layer("concentric", shape="diamonds", spacing="about 50 mm"), Frame(400, 300)
    )
    for ring, share in zip(rings, (1.0, 0.6, 0.2), strict=True):
        a, b = 200 * share, 150 * share
        wanted = [(200 + a, 150), (200, 150 + b), (200 - a, 150), (200, 150 - b), (200 + a, 150)]
        assert np.allclose(ring, wanted)


def test_a_basket_of_three_lines_by_hand() -> None:
    """Squares of 90 mm in lines 30 apart: upright, level, upright; the next row goes back."""
    (line,) = basket_weave(layer("basket-weave", size=90, lines=3), Frame(270, 180))
    wanted = [
        (15, 15), (15, 75), (45, 75), (45, 15), (75, 15), (75, 75),
        (105, 75), (165, 75), (165, 45), (105, 45), (105, 15), (165, 15),
        (195, 15), (195, 75), (225, 75), (225, 15), (255, 15), (255, 75),
        (255, 105), (195, 105), (195, 135), (255, 135), (255, 165), (195, 165),
        (165, 165), (165, 105), (135, 105), (135, 165), (105, 165), (105, 105),
        (75, 105), (15, 105), (15, 135), (75, 135), (75, 165), (15, 165),
    ]  # fmt: skip
    assert np.allclose(line, wanted)


def test_a_basket_has_an_odd_number_of_columns_and_is_centred() -> None:
    """Four squares of 90 would go into 370 mm; three do, 50 mm in from either end."""
    (line,) = basket_weave(layer("basket-weave", size=90, lines=3), Frame(370, 100))
    assert line[:, 0].min() == 65 and line[:, 0].max() == 305
    assert line[:, 1].min() == 20 and line[:, 1].max() == 80


def test_rays_of_an_oblong_cell_end_on_its_sides() -> None:
    """Eight rays over 280 x 200: four at 22.5 degrees end on the short sides, four on the long."""
    lines = radiating(layer("radiating", rays=8, middle=20), Frame(280, 200))
    assert len(lines) == 4
    ends = np.concatenate([line[[0, -1]] for line in lines])
    up = 140 * math.tan(math.radians(22.5))
    aside = 100 * math.tan(math.radians(22.5))
    wanted = [(280, 100 + up), (140 + aside, 200), (140 - aside, 200), (0, 100 + up)]
    wanted += [(0, 100 - up), (140 - aside, 0), (140 + aside, 0), (280, 100 - up)]
    assert np.allclose(ends, wanted)
    for number, line in enumerate(lines):
        turn = line[1:-1] - (140, 100)
        assert np.hypot(*turn.T) == pytest.approx(np.full(len(turn), 20))
        angles = np.degrees(np.arctan2(turn[:, 1], turn[:, 0])) % 360
        assert angles[[0, -1]] == pytest.approx([90 * number + 22.5, 90 * number + 67.5])


@pytest.mark.parametrize(
    ("length", "width", "spacing", "heights", "core"),
    [
        (200.0, 200.0, 50, [50, 100], 50),
        (290.0, 200.0, 60, [60], 145),
        (290.0, 200.0, 45, [45, 90], 100),
        (100.0, 400.0, 40, [40], 50),  # three turns of 40 would need a core below half a gap
        (100.0, 400.0, 20, [20, 40, 60], 10),
        (100.0, 400.0, "about 23 mm", [200 / 9, 400 / 9], 250 / 9),
        (100.0, 400.0, 30, [30, 60], 20),
        (100.0, 400.0, 200, [], 0),
        (85.0, 60.0, 31, [], 0),
        (85.0, 60.0, 30, [30], 42.5),
        (85.0, 60.0, "about 31 mm", [30], 42.5),
    ],
)
def test_a_square_spiral_turns_as_often_as_both_its_sides_allow(
    length: float, width: float, spacing: object, heights: list[float], core: float
) -> None:
    """Turns at whole gaps above and below the middle line, whose half is the core; a gap further
    aside each time. The core is half a gap long at least."""
    lines = square_spiral(layer("square-spiral", spacing=spacing), Frame(length, width))
    if not heights:
        assert lines == []
        return
    (line,) = lines
    away = line - (length / 2, width / 2)
    assert np.allclose(away, -away[::-1]), "its own half turn"
    assert np.unique(np.round(np.abs(away[:, 1]), 6)) == pytest.approx([0, *heights])
    gap = heights[0]
    wide = np.unique(np.round(np.abs(away[:, 0]), 6))
    assert wide == pytest.approx(core + gap * np.arange(len(wide)))
    assert wide[-1] == pytest.approx(length / 2)
    assert core >= gap / 2 - 1e-9
