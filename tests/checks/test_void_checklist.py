"""What is counted before unloading."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString

from quiltpath.checks.lines_to_count import (
    count_in_part,
    count_lines_and_crossings,
    find_crossings,
    places_of,
)
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import draw
from quiltpath.patterns.lines import layer_lines
from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import policy_named, route
from quiltpath.stitching import PointKind, Stitches, place
from tests.patterns.runners import disc, layer, plain, sashed

SETTING = StitchSection()


def pairs_that_cross(lines) -> int:
    """Brute force: every two segments, by the signs of four areas."""
    segments = []
    for line in lines:
        points = shapely.get_coordinates(line)
        segments += list(itertools.pairwise(points))
    found = set()
    for (a, b), (c, d) in itertools.combinations(segments, 2):
        u, v, w = b - a, d - c, c - a
        across = u[0] * v[1] - u[1] * v[0]
        if abs(across) < 1e-9:
            continue
        t, s = (w[0] * v[1] - w[1] * v[0]) / across, (w[0] * u[1] - w[1] * u[0]) / across
        if 1e-9 < t < 1 - 1e-9 and 1e-9 < s < 1 - 1e-9:
            found.add(tuple(np.round(a + t * u, 3)))
    return len(found)


def test_an_even_grid_has_lines_times_lines_crossings() -> None:
    """From the centre every 50 mm: 9 lines in 450 mm and 17 in 900 mm, 153 crossings."""
    lines = draw(plain(900, 450), [layer("grid", spacing=50, overrun=0)])
    assert len(lines) == 9 + 17
    assert len(find_crossings(lines.geometry)) == 9 * 17


@pytest.mark.parametrize("angles", [(45, -45), (20, 75)])
def test_crossings_are_those_of_every_pair_of_segments(angles: tuple[int, int]) -> None:
    lines = draw(plain(300, 200, motifs=(disc(150, 100, 40),)), [layer("grid", angles=angles)])
    assert len(find_crossings(lines.geometry)) == pairs_that_cross(lines.geometry)


@pytest.mark.parametrize("size", [(900, 400), (600, 350)])
def test_a_crosshatch_in_one_line_crosses_itself_2nm_minus_n_minus_m_times(size) -> None:
    """n x m cells: 2nm diagonals of cells end in 4nm ways; 2 at each of the 2(n + m) pivots, 4 at
    each crossing of the 2nm - n - m inside (counting)."""
    lines = draw(plain(*size), [layer("one-line-crosshatch", inset=0, spacing=40)])
    (line,) = lines.geometry
    pivots = len(shapely.get_coordinates(line)) - 1
    edge = shapely.get_coordinates(line)[:-1]
    columns = int(np.count_nonzero(edge[:, 1] < 1e-6))
    rows = pivots // 2 - columns
    assert math.gcd(rows, columns) == 1
    assert len(find_crossings(lines.geometry)) == 2 * rows * columns - rows - columns


def test_each_block_is_counted_by_itself() -> None:
    runner = sashed()
    lines = draw(runner, [layer("grid", region="blocks", spacing=40, overrun=0)])
    a, b = count_lines_and_crossings(runner, lines)
    assert (a.place, b.place) == ("A1", "B1")
    in_a = [x for x, source in zip(lines.geometry, lines.source, strict=True) if source == "A1"]
    assert a.lines == b.lines == len(in_a)
    assert a.crossings == b.crossings == pairs_that_cross(in_a)


def test_a_line_left_out_changes_the_count() -> None:
    """That is what the list is for."""
    runner = plain(400, 300)
    lines = draw(runner, [layer("grid", spacing=40)])
    (whole,) = count_lines_and_crossings(runner, lines)
    without = lines.take(np.arange(len(lines)) != 3)
    (missing,) = count_lines_and_crossings(runner, without)
    assert missing.lines == whole.lines - 1
    assert whole.crossings is not None and missing.crossings is not None
    assert missing.crossings < whole.crossings


def test_sections_of_a_runner_without_blocks_hold_all_crossings() -> None:
    runner = plain(1810, 300)
    lines = draw(runner, [layer("grid", angles=(45, -45), spacing=37)])
    inside = find_crossings(lines.geometry)
    inside = inside[shapely.contains(runner.outline, shapely.points(inside))]
    places = count_lines_and_crossings(runner, lines)
    assert len(places) == 5
    assert sum(place.crossings or 0 for place in places) == len(inside)


def test_what_one_part_sews_is_counted_from_its_stitches() -> None:
    runner = plain(300, 200)
    lines = draw(runner, [layer("grid", spacing=40, overrun=0)])
    runs = route(lines, policy_named("hoop", {"margin": False}), runner.outline, 76.2)
    told = count_in_part("hooping-1", place(runs, SETTING))
    assert (told.lines, told.crossings) == (len(lines), pairs_that_cross(lines.geometry))


@pytest.mark.parametrize(
    ("low", "length", "sections"),
    [(0, 1200, 3), (-450, 1200, 3), (50, 100, 1), (0, 999, 2), (0, 1001, 3)],
)
def test_a_runner_without_blocks_is_counted_in_sections_of_about_400_mm(
    low: float, length: float, sections: int
) -> None:
    outline = shapely.box(low, 20, low + length, 320)
    named = places_of(Runner(outline))
    assert [name for name, _ in named] == [
        f"section {number} from the left" for number in range(1, sections + 1)
    ]
    step = length / sections
    for number, (_, shape) in enumerate(named):
        assert shape.bounds == pytest.approx(
            (low + number * step, 20, low + (number + 1) * step, 320)
        )


def test_a_line_counts_in_a_place_from_a_stitch_s_length_on() -> None:
    """Lines that reach 2.9 mm, 3 mm and 3.1 mm into the second of two sections of 400 mm."""
    outline = shapely.box(0, 0, 800, 100)
    lines = layer_lines(
        [LineString([(200, y), (x, y)]) for x, y in ((402.9, 10), (403.0, 15), (403.1, 20))],
        name="fill",
    )
    assert [place.lines for place in count_lines_and_crossings(Runner(outline), lines)] == [3, 2]


def test_a_line_that_leaves_and_comes_back_is_one_line_of_all_it_sews_there() -> None:
    """Two hooks of 2 mm into the second section make 4 mm, which is more than a stitch."""
    outline = shapely.box(0, 0, 800, 100)
    hooks = [(390, 10), (401, 10), (401, 20), (390, 20)]
    twice = [*hooks, (390, 30), (401, 30), (401, 31), (390, 31)]
    lines = layer_lines([LineString(twice)], name="fill")
    assert [place.lines for place in count_lines_and_crossings(Runner(outline), lines)] == [1, 1]


def test_crossings_a_little_apart_are_two_and_ends_that_touch_are_none() -> None:
    """Two uprights 0.6 mm apart cross the level line; a third one ends on it."""
    level = LineString([(0, 0), (50, 0)])
    uprights = [LineString([(x, -9), (x, 9)]) for x in (20.0, 20.6)]
    touching = LineString([(40, 0), (40, 9)])
    found = find_crossings(np.array([level, *uprights, touching]))
    assert found.tolist() == [[20.0, 0.0], [20.6, 0.0]]


def test_without_lines_nothing_is_counted() -> None:
    (told,) = count_lines_and_crossings(
        Runner(shapely.box(0, 0, 300, 100)), layer_lines([], name="fill")
    )
    assert (told.lines, told.crossings) == (0, 0)


@pytest.mark.parametrize(("vertices", "counted"), [(60_000, 1), (60_001, None)])
def test_crossings_of_a_drawing_that_nobody_would_count_are_not(
    vertices: int, counted: int | None
) -> None:
    """A line drawn with very many vertices, and one of two across it."""
    fine = np.column_stack([np.linspace(0, 300, vertices - 2), np.full(vertices - 2, 50.0)])
    lines = layer_lines([LineString(fine), LineString([(150.0011, 9), (150.0011, 90)])], name="x")
    (told,) = count_lines_and_crossings(Runner(shapely.box(0, 0, 300, 100)), lines)
    assert (told.lines, told.crossings) == (2, counted)


def part_of(*runs: tuple[int, PointKind, list[tuple[float, float]]]) -> Stitches:
    """Runs with the line, the kind and the points of each; the needle goes down at the first."""
    points = [at for _, _, path in runs for at in path]
    sizes = [len(path) for _, _, path in runs]
    run = np.repeat(np.arange(len(runs)), sizes).astype(np.int32)
    line = np.repeat([line for line, _, _ in runs], sizes).astype(np.int32)
    kind = np.repeat([kind for _, kind, _ in runs], sizes).astype(np.int8)
    first = np.diff(run, prepend=-1) != 0
    sews = (kind == PointKind.STITCH) & ~first
    return Stitches(np.array(points), kind, run, line, np.where(sews, run, -1), np.zeros((0, 3)))


def test_a_part_s_lines_are_those_it_sews_be_it_only_to_secure_them() -> None:
    """Line 4 twice, line 7 with tiny stitches alone; the margin and ways without thread are none,
    and where the needle travels nothing is crossed."""
    level = [(0.0, 0.0), (30.0, 0.0), (60.0, 0.0)]
    part = part_of(
        (4, PointKind.STITCH, level),
        (7, PointKind.SECURING, [(70.0, 0.0), (70.5, 0.0)]),
        (-1, PointKind.STITCH, [(100.0, -9.0), (100.0, 9.0)]),
        (8, PointKind.TRAVEL, [(45.0, -9.0), (45.0, 9.0)]),
        (4, PointKind.STITCH, [(10.0, -9.0), (10.0, 9.0)]),
        (9, PointKind.STITCH, [(20.0, 0.0)]),
    )
    told = count_in_part("hooping-2", part)
    assert (told.place, told.lines, told.crossings) == ("hooping-2", 2, 1)


def test_a_part_s_ways_from_run_to_run_cross_nothing() -> None:
    """Two level runs, and an upright one between; the ways over to it lie across nothing sewn."""
    part = part_of(
        (0, PointKind.STITCH, [(0.0, 0.0), (30.0, 0.0), (60.0, 0.0)]),
        (1, PointKind.STITCH, [(10.0, -9.0), (50.0, -9.0)]),
        (2, PointKind.STITCH, [(10.0, 9.0), (50.0, 9.0)]),
    )
    assert count_in_part("bed 1", part).crossings == 0


def test_a_wave_of_half_a_millimetre_crosses_the_line_that_it_runs_along() -> None:
    """Ten half waves lie by turns above and below: nine times across."""
    wave = [(3.0 * k, 0.5 * (-1) ** k) for k in range(10)]
    part = part_of(
        (0, PointKind.STITCH, wave),
        (1, PointKind.STITCH, [(-5.0, 0.0), (40.0, 0.0)]),
    )
    assert count_in_part("bed 1", part).crossings == 9
