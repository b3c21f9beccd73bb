"""What is counted before unloading."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString

from quiltpath.checks.void_checklist import (
    checklist,
    counted_in_part,
    crossings,
    places_of,
)
from quiltpath.quilting import draw
from quiltpath.quilting.lines import layer_lines
from quiltpath.routing import policy_named, route
from quiltpath.runner.runner import Runner
from quiltpath.stitching import StitchSetting, place
from tests.quilting.runners import disc, layer, plain, sashed

SETTING = StitchSetting(3.2, 3.0, 3.5, 30.0, "tiny", 6, 1.0)


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
    assert len(crossings(lines.geometry)) == 9 * 17


@pytest.mark.parametrize("angles", [(45, -45), (20, 75)])
def test_crossings_are_those_of_every_pair_of_segments(angles: tuple[int, int]) -> None:
    lines = draw(plain(300, 200, motifs=(disc(150, 100, 40),)), [layer("grid", angles=angles)])
    assert len(crossings(lines.geometry)) == pairs_that_cross(lines.geometry)


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
    assert len(crossings(lines.geometry)) == 2 * rows * columns - rows - columns


def test_each_block_is_counted_by_itself() -> None:
    runner = sashed()
    lines = draw(runner, [layer("grid", region="blocks", spacing=40, overrun=0)])
    a, b = checklist(runner, lines)
    assert (a.place, b.place) == ("A1", "B1")
    in_a = [x for x, source in zip(lines.geometry, lines.source, strict=True) if source == "A1"]
    assert a.lines == b.lines == len(in_a)
    assert a.crossings == b.crossings == pairs_that_cross(in_a)


def test_a_line_left_out_changes_the_count() -> None:
    """That is what the list is for."""
    runner = plain(400, 300)
    lines = draw(runner, [layer("grid", spacing=40)])
    (whole,) = checklist(runner, lines)
    without = lines.take(np.arange(len(lines)) != 3)
    (missing,) = checklist(runner, without)
    assert missing.lines == whole.lines - 1
    assert whole.crossings is not None and missing.crossings is not None
    assert missing.crossings < whole.crossings


def test_sections_of_a_runner_without_blocks_hold_all_crossings() -> None:
    runner = plain(1810, 300)
    lines = draw(runner, [layer("grid", angles=(45, -45), spacing=37)])
    inside = crossings(lines.geometry)
    inside = inside[shapely.contains(runner.outline, shapely.points(inside))]
    places = checklist(runner, lines)
    assert len(places) == 5
    assert sum(place.crossings or 0 for place in places) == len(inside)


def test_what_one_part_sews_is_counted_from_its_stitches() -> None:
    runner = plain(300, 200)
    lines = draw(runner, [layer("grid", spacing=40, overrun=0)])
    runs = route(lines, policy_named("hoop", {"margin": False}), runner.outline, 76.2)
    told = counted_in_part("hooping-1", place(runs, SETTING))
    assert (told.lines, told.crossings) == (len(lines), pairs_that_cross(lines.geometry))


@pytest.mark.parametrize(
    ("low", "length", "sections"), [(0, 1200, 3), (-450, 1200, 3), (50, 100, 1)]
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
    """Lines that reach 2.9 mm and 3.1 mm into the second of two sections of 400 mm."""
    outline = shapely.box(0, 0, 800, 100)
    lines = layer_lines(
        [LineString([(200, 10), (402.9, 10)]), LineString([(200, 20), (403.1, 20)])], name="fill"
    )
    assert [place.lines for place in checklist(Runner(outline), lines)] == [2, 1]
