"""Meanders round a tree, cables and plaits along a strip, one line bouncing: checked by walking."""

from __future__ import annotations

import math

import networkx as nx
import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon, box

from quiltpath.geometry.curves import arc_between, chain_paths
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.bands_along_strips import cable, leaf_vine
from quiltpath.patterns.kinds import KINDS
from quiltpath.patterns.medallions import involute
from quiltpath.patterns.one_line import bounces, nearest_one_line, one_line_remark
from tests.patterns.runners import layer, plain

STRAY_MM = 0.02


def wandering(shape: Polygon, **keys: object) -> list[LineString]:
    model = layer("meander", **{"inset": 0, **keys})
    return list(KINDS["meander"].strokes(plain(), model, [Patch("A1", shape)]).geometry)


def quarters(line: LineString, gap: tuple[float, float], corner: tuple[float, float]) -> nx.Graph:
    """The walk as a graph: quarter squares of the finer grid, joined where the line goes over."""
    walked = nx.Graph()
    for distance in np.arange(0.5, line.length, 1.0):
        x, y = line.interpolate(distance).coords[0]
        walked.add_node(
            (math.floor((x - corner[0]) / gap[0]), math.floor((y - corner[1]) / gap[1]))
        )
    return walked


@pytest.mark.parametrize("seed", [0, 1, 7])
@pytest.mark.parametrize(
    ("size", "spacing", "gap", "left"),
    [
        ((200, 120), 20, (20, 20), (0, 0)),
        ((210, 130), 20, (20, 20), (5, 5)),
        ((200, 120), "about 18 mm", (100 / 6, 20), (0, 0)),  # six squares along, three across
        ((43, 300), "about 20 mm", (21.5, 300 / 16), (0, 0)),
    ],
)
def test_a_meander_comes_by_every_quarter_of_every_square_once(
    size: tuple[float, float],
    spacing: object,
    gap: tuple[float, float],
    left: tuple[float, float],
    seed: int,
) -> None:
    """A closed line of as many steps as quarters, each corner rounded by half the smaller gap."""
    (line,) = wandering(box(30, 40, 30 + size[0], 40 + size[1]), spacing=spacing, seed=seed)
    low = (30 + left[0], 40 + left[1])
    columns, rows = round((size[0] - 2 * left[0]) / gap[0]), round((size[1] - 2 * left[1]) / gap[1])
    assert set(quarters(line, gap, low)) == {(c, r) for c in range(columns) for r in range(rows)}
    assert line.is_ring and Polygon(line).exterior.is_ccw
    reach = shapely.bounds(line)
    assert reach == pytest.approx(
        (
            low[0] + gap[0] / 2,
            low[1] + gap[1] / 2,
            low[0] + (columns - 0.5) * gap[0],
            low[1] + (rows - 0.5) * gap[1],
        )
    )
    # Pick's theorem, the quarters' middles its points, all of them on the line; a corner outwards
    # loses what one inwards gains, and there are four more of them.
    rounding = min(gap) ** 2 / 4 * (1 - math.pi / 4)
    area = gap[0] * gap[1] * (columns * rows / 2 - 1) - 4 * rounding
    assert Polygon(line).area == pytest.approx(area, abs=1.0)


def test_another_seed_is_another_wandering_and_the_same_one_the_same() -> None:
    square = box(0, 0, 200, 200)
    one, again, other = (wandering(square, spacing=20, seed=seed)[0] for seed in (3, 3, 4))
    assert one.equals_exact(again)
    assert not one.equals(other)


def test_a_single_square_is_walked_round_from_the_middle_of_its_lower_side() -> None:
    """Two spacings wide: a ring of one spacing with corners of half of it, a circle."""
    (line,) = wandering(box(10, 10, 50, 50), spacing=20)
    assert line.coords[0] == line.coords[-1] == (30, 20)
    assert np.hypot(*(np.array(line.coords) - 30).T) == pytest.approx(
        np.full(len(line.coords), 10.0)
    )


@pytest.mark.parametrize(("over", "squares"), [(0.0, 11), (0.5, 10)])
def test_a_square_that_stands_out_by_half_a_millimetre_is_left_out(
    over: float, squares: int
) -> None:
    """Twelve squares of 40 mm less one at a corner, and one more where the notch is wider."""
    region = box(0, 0, 160, 120).difference(box(120 - over, 80, 170, 130))
    (line,) = wandering(region, spacing=20)
    area = (4 * squares / 2 - 1) * 20**2 - 4 * 10**2 * (1 - math.pi / 4)
    assert Polygon(line).area == pytest.approx(area, abs=1.0)
    assert shapely.distance(region.exterior, line) == pytest.approx(10, abs=0.02)


def test_parts_of_a_region_that_do_not_hang_together_have_a_line_each() -> None:
    """An hourglass whose waist is narrower than a square: lowest, leftmost part first."""
    shape = Polygon([(0, 0), (80, 0), (80, 70), (45, 80), (80, 90), (80, 160), (0, 160), (0, 90),
                     (35, 80), (0, 70)])  # fmt: skip
    lines = wandering(shape, spacing=20)
    assert len(lines) == 2
    assert lines[0].bounds[3] < 70 and lines[1].bounds[1] > 90
    assert wandering(box(0, 0, 30, 30), spacing=20, inset=20) == []


@pytest.mark.parametrize("strands", [2, 3, 4])
@pytest.mark.parametrize(("repeat", "halves"), [(100, 6), ("about 90 mm", 7), (500, 1)])
def test_strands_on_a_strip_are_sines_evenly_out_of_step(
    strands: int, repeat: object, halves: int
) -> None:
    """300 mm of whole half waves between the insets, 20 mm to either side of the middle; a line
    across each end ties the strands together where they do not meet there."""
    strip = Patch("strip", box(100, 50, 412, 102))
    lines = cable(layer("cable", repeat=repeat, strands=strands, inset=6), strip)
    assert len(lines) == (2 if strands == 2 else strands + 2)
    for number, line in enumerate(lines[:strands]):
        x, y = line.T
        assert x[0] == pytest.approx(106) and x[-1] == pytest.approx(406)
        phase = (x - 106) / 300 * halves * math.pi + 2 * math.pi * number / strands
        assert np.allclose(y, 76 + 20 * np.sin(phase))
        assert np.diff(x).max() < 0.6 + 1e-6
    heights = {2: [], 3: [-10 * math.sqrt(3), 0, 10 * math.sqrt(3)], 4: [-20, 0, 20]}[strands]
    for cap, x in zip(lines[strands:], (106, 406), strict=False):
        assert np.allclose(cap, [(x, 76 + height) for height in heights])


def border(strands: int, repeat: float) -> list[np.ndarray]:
    shape = box(0, 0, 500, 300).difference(box(60, 60, 440, 240))
    return cable(layer("cable", repeat=repeat, strands=strands, inset=5), Patch("border", shape))


@pytest.mark.parametrize("strands", [2, 3, 4])
def test_strands_round_a_border_swing_as_wide_as_the_band_and_no_wider(strands: int) -> None:
    """25 mm to either side of a middle line 30 mm inside the edge, whose corners are rounded by
    40 mm; at the middle of the lower right corner the strands mirror themselves."""
    lines = border(strands, 60)
    assert len(lines) == strands
    middle = box(30, 30, 470, 270).buffer(-40).buffer(40, quad_segs=200).exterior
    for line in lines:
        away = shapely.distance(middle, shapely.points(line))
        assert away.max() == pytest.approx(25, abs=0.1)
    corner = np.array([470 - 40 + 40 * math.sqrt(0.5), 30 + 40 - 40 * math.sqrt(0.5)])
    out = np.array([1, -1]) / math.sqrt(2)
    starts = sorted(float((line[0] - corner) @ out) for line in lines)
    wanted = {
        2: [0, 0],
        3: [-25, 12.5, 12.5],
        4: [-25, 0, 0, 25],
    }[strands]
    assert starts == pytest.approx(wanted, abs=1e-6)
    for line in lines:
        assert float((line[0] - corner) @ [1, 1]) == pytest.approx(0, abs=1e-6)


def test_a_band_too_narrow_or_too_short_holds_neither_cable_nor_vine() -> None:
    for shape in (box(0, 0, 300, 12), box(0, 0, 21, 20)):
        assert cable(layer("cable", inset=6), Patch("strip", shape)) == []
        assert leaf_vine(layer("leaf-vine", inset=6), Patch("strip", shape)) == []


@pytest.mark.parametrize(("columns", "rows"), [(1, 1), (3, 2), (5, 4), (4, 2)])
@pytest.mark.parametrize("start", [0.5, 1.5])
def test_a_line_bounces_like_a_ball_set_off_on_the_lower_edge(
    columns: int, rows: int, start: float
) -> None:
    """Walked half a cell at a time; a pivot at every edge."""
    if start > columns:
        return
    x, y, dx, dy = start, 0.0, 0.5, 0.5
    pivots = [(x, y)]
    while True:
        x, y = x + dx, y + dy
        if x in (0, columns) or y in (0, rows):
            pivots.append((x, y))
            dx = -dx if x in (0, columns) else dx
            dy = -dy if y in (0, rows) else dy
        if len(pivots) > 1 and (x, y) == (start, 0) and dx > 0:
            break
    found = bounces(columns, rows, start)
    assert found.tolist() == [list(pivot) for pivot in pivots]


@pytest.mark.parametrize("seed", range(12))
def test_cells_of_one_line_come_nearest_among_all(seed: int) -> None:
    """Against every coprime pair up to 90 by 90, for any rectangle, gap and slope."""
    rng = np.random.default_rng(seed)
    length, width = rng.uniform(80, 1500), rng.uniform(80, 500)
    gap, angle = rng.uniform(15, 60), rng.uniform(15, 75)
    columns, rows = (n.ravel() for n in np.meshgrid(np.arange(1, 91), np.arange(1, 91)))
    one = np.gcd(columns, rows) == 1
    along, across = length / columns[one], width / rows[one]
    slope = np.arctan2(across, along)
    miss = (across * np.cos(slope) / gap - 1) ** 2 + (slope - math.radians(angle)) ** 2
    found = nearest_one_line(length, width, gap, angle)
    best = int(miss.argmin())
    if columns[one][best] < 80 and rows[one][best] < 80:
        assert (found.columns, found.rows) == (columns[one][best], rows[one][best])


def remark(pieces: int, *sizes: tuple[float, float], **keys: object) -> str:
    shapes = [
        Patch(f"A{k}", box(0, 0, length, width)) for k, (length, width) in enumerate(sizes, start=1)
    ]
    found = one_line_remark(layer("one-line-crosshatch", inset=0, **keys), shapes, pieces)
    return "" if found is None else f"{found.code}: {found.message}; {found.remedy}"


def test_what_one_line_saves_is_told_in_numbers() -> None:
    """320 x 200 mm in 8 x 5 cells of 40 mm at 45 degrees: 2 (8 + 5) lines, gap 40 / sqrt 2."""
    assert remark(1, (320, 200), spacing=28.3) == (
        "one-line: one-line-crosshatch: 1 start in place of 26 lines; 5 x 8 cells,"
        " gap 1 1/8 in (28.3 mm), 45.0 degrees; baste firmly, as it is not sewn from the centre"
        " outwards"
    )
    assert remark(2, (320, 200), (320, 200), spacing=28.3, name="net").startswith(
        "one-line: net: 2 starts in place of 52 lines; 5 x 8 cells (in A1), gap"
    )
    assert remark(3, (320, 200), (320, 200), spacing=28.3, name="net") == (
        "one-line-cut: net: 2 closed lines are cut into 3 pieces;"
        " give it regions that are rectangles, with room all round their motifs"
    )
    assert remark(1, (320, 200), (1, 1), spacing=28.3).startswith(
        "one-line: one-line-crosshatch: 1"
    )
    assert remark(0, (1, 1)) == ""


@pytest.mark.parametrize("radius", [2.0, 30.0, 400.0])
@pytest.mark.parametrize("sweep", [45.0, -120.0, 180.0])
def test_an_arc_between_two_points_has_no_more_chords_than_it_needs(
    radius: float, sweep: float
) -> None:
    """A chord over an angle t strays by r (1 - cos(t / 2)): one chord fewer would be too few."""
    chord = 2 * radius * abs(math.sin(math.radians(sweep) / 2))
    points = arc_between(np.array([0.0, 0.0]), np.array([chord, 0.0]), sweep)
    number = len(points) - 1

    def stray(chords: int) -> float:
        return radius * (1 - math.cos(math.radians(abs(sweep)) / chords / 2))

    assert stray(number) <= STRAY_MM * (1 + 1e-9)
    assert number == 2 or stray(number - 1) > STRAY_MM


def test_points_that_stand_twice_are_left_out_and_near_ones_kept() -> None:
    parts = [np.array([(0.0, 0), (5, 0)]), np.array([(5.0, 0), (5, 0.001)]), np.array([(5, 9.0)])]
    assert chain_paths(parts).tolist() == [[0, 0], [5, 0], [5, 0.001], [5, 9]]


@pytest.mark.parametrize("base", [1.0, 8.0])
def test_chords_of_an_involute_stray_little_and_are_not_many(base: float) -> None:
    """After a turn of t it bends by 1 / (a t): a chord over dt strays by a t dt^2 / 8."""
    points = involute(base, 30.0)
    turn = np.sqrt(np.maximum((points**2).sum(axis=1) / base**2 - 1, 0))
    assert turn[0] == 0 and turn[-1] == pytest.approx(30.0)
    steps, later = np.diff(turn), turn[1:]
    stray = base * later * steps**2 / 8
    assert stray[3:].max() < 1.35 * STRAY_MM
    assert stray[5:-1].min() > 0.9 * STRAY_MM
    assert involute(base, 0.0).tolist() == [[base, 0.0]]
