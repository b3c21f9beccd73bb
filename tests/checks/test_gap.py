"""The widest unquilted place: against brute force, closed forms and the trade's own examples."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.checks import Gaps, widest_gaps
from quiltpath.checks.largest_empty_circle import leaves_wider_than
from tests.checks.drawings import parallel, random_drawing, raster_gap

RUNNER = box(0, 0, 800, 320)


def clearance(gap_at: tuple[float, float], lines: list[LineString], outline: Polygon) -> float:
    shapes = np.array([*lines, outline.boundary], dtype=object)
    return float(shapely.distance(Point(gap_at), shapes).min())


def overlaps(gaps: Gaps) -> list[float]:
    """How far each pair of circles reaches into each other, in mm."""
    places = gaps.widest
    return [
        (one.diameter_mm + other.diameter_mm) / 2 - math.dist(one.centre, other.centre)
        for i, one in enumerate(places)
        for other in places[:i]
    ]


@pytest.mark.parametrize("seed", range(50))
def test_the_widest_gap_agrees_with_brute_force_on_a_raster(seed: int) -> None:
    """Fifty random drawings, within the promised 0.5 mm of an independent search."""
    lines, outline = random_drawing(seed)
    gap = widest_gaps(lines, outline, count=1).widest[0]
    brute = raster_gap(lines, outline)
    assert gap.diameter_mm == pytest.approx(brute, abs=0.5)
    assert gap.at_most_mm >= brute - 0.01, "the proved bound must lie above what can be found"


@pytest.mark.parametrize("seed", range(50))
def test_every_place_is_truly_empty_and_its_proof_is_within_half_a_millimetre(seed: int) -> None:
    lines, outline = random_drawing(seed)
    gaps = widest_gaps(lines, outline)
    for gap in gaps.widest:
        assert outline.contains(Point(gap.centre))
        assert clearance(gap.centre, lines, outline) >= gap.diameter_mm / 2 - 1e-6
        assert gap.at_most_mm - gap.diameter_mm <= 0.5
    assert max(overlaps(gaps), default=0.0) < 1e-6


@pytest.mark.parametrize("spacing", [25.4, 40.0, 6.35, 38.1])
@pytest.mark.parametrize("angle", [0, 90, 45, 30, 61.7])
def test_parallel_lines_leave_a_circle_as_wide_as_their_spacing(
    spacing: float, angle: float
) -> None:
    lines = parallel(spacing, RUNNER, angle)
    assert widest_gaps(lines, RUNNER).widest_mm == pytest.approx(spacing, abs=0.05)


def test_the_quilters_example_of_a_deleted_line() -> None:
    """40 mm parallel lines leave a circle of 40; one deleted leaves 80, at that line's place."""
    lines = parallel(40, RUNNER)
    assert widest_gaps(lines, RUNNER).widest_mm == pytest.approx(40, abs=0.05)
    gap = widest_gaps([line for line in lines if line.coords[0][1] != 160], RUNNER).widest[0]
    assert gap.diameter_mm == pytest.approx(80, abs=0.05)
    assert gap.centre[1] == pytest.approx(160, abs=0.05)


@pytest.mark.parametrize("angle", [0, 45])
def test_a_square_grid_leaves_a_circle_as_wide_as_a_square(angle: float) -> None:
    grid = parallel(40, RUNNER, angle) + parallel(40, RUNNER, angle + 90)
    assert widest_gaps(grid, RUNNER).widest_mm == pytest.approx(40, abs=0.05)


def test_a_grid_with_a_line_deleted_still_leaves_only_the_old_circle() -> None:
    """The crossing lines hold it: cells of 40 by 80 mm take a circle of 40 (quilters' example)."""
    grid = parallel(40, RUNNER, 90) + parallel(40, RUNNER)
    fewer = [line for line in grid if {line.coords[0][1], line.coords[1][1]} != {160.0}]
    assert len(fewer) == len(grid) - 1
    assert widest_gaps(fewer, RUNNER).widest_mm == pytest.approx(40, abs=0.05)


@given(
    inner=st.floats(3, 40),
    between=st.floats(5, 60),
    margin=st.floats(1, 30),
)
@settings(max_examples=40, deadline=None)
def test_a_ring_round_a_ring_leaves_the_wider_of_the_band_the_middle_and_the_corner(
    inner: float, between: float, margin: float
) -> None:
    """Closed form: band R - r; middle 2 r; a square's corner beyond a ring, see below."""
    outer = inner + between
    half = outer + margin
    square = box(-half, -half, half, half)
    rings = [Point(0, 0).buffer(radius, quad_segs=256).exterior for radius in (inner, outer)]
    # A circle of radius c in the corner touches two sides and the ring:
    # sqrt(2) (half - c) = outer + c.
    corner = (math.sqrt(2) * half - outer) / (1 + math.sqrt(2))
    expected = max(between, 2 * inner, 2 * corner, margin)
    assert widest_gaps(rings, square).widest_mm == pytest.approx(expected, abs=0.5)


def test_an_unquilted_rectangle_takes_a_circle_as_wide_as_its_shorter_side() -> None:
    assert widest_gaps([], box(0, 0, 2200, 320)).widest_mm == pytest.approx(320, abs=0.05)


def test_an_unquilted_triangle_takes_its_inscribed_circle() -> None:
    """Twice the area over half the perimeter: 3-4-5 has an inscribed radius of 1."""
    triangle = Polygon([(0, 0), (400, 0), (0, 300)])
    assert widest_gaps([], triangle).widest_mm == pytest.approx(200, abs=0.05)


def test_pointed_ends_and_an_oval_count_only_what_lies_inside() -> None:
    pointed = Polygon([(0, 160), (200, 0), (2000, 0), (2200, 160), (2000, 320), (200, 320)])
    oval = shapely.affinity.scale(Point(0, 0).buffer(1, quad_segs=128), 1100, 160)
    assert widest_gaps([], pointed).widest_mm == pytest.approx(320, abs=0.5)
    assert widest_gaps([], oval).widest_mm == pytest.approx(320, abs=0.5)


def test_a_gap_at_the_edge_counts() -> None:
    """Lines stop 70 mm short of one end: the circle there is 70 wide, against 30 elsewhere."""
    lines = [LineString([(0, y), (730, y)]) for y in range(0, 321, 30)]
    lines += [LineString([(730, 0), (730, 320)])]
    gap = widest_gaps(lines, RUNNER).widest[0]
    assert gap.diameter_mm == pytest.approx(70, abs=0.05)
    assert gap.centre[0] == pytest.approx(765, abs=0.1)


def test_the_five_widest_places_are_five_different_motifs() -> None:
    """Seven rounds kept clear, of known sizes: the five largest come out in order."""
    sizes = [60, 90, 75, 120, 40, 105, 50]
    rounds = [Point(70 + 110 * i, 160).buffer(d / 2, quad_segs=64) for i, d in enumerate(sizes)]
    clear = shapely.union_all(rounds)
    lines = [
        part
        for line in parallel(12.7, RUNNER)
        for part in shapely.get_parts(line.difference(clear))
        if part.length > 0
    ]
    lines += [LineString(shape.exterior.coords) for shape in rounds]
    gaps = widest_gaps(lines, RUNNER)
    assert [gap.diameter_mm for gap in gaps.widest] == pytest.approx([120, 105, 90, 75, 60], abs=1)
    assert [gap.centre[0] for gap in gaps.widest] == pytest.approx([400, 620, 180, 290, 70], abs=1)


def test_places_in_one_long_bare_strip_do_not_overlap() -> None:
    lines = parallel(20, RUNNER)
    bare = [line for line in lines if not 130 < line.coords[0][1] < 190]
    gaps = widest_gaps(bare, RUNNER)
    assert [gap.diameter_mm for gap in gaps.widest] == pytest.approx([80] * 5, abs=0.5)
    assert max(overlaps(gaps)) < 1e-6


@given(angle=st.floats(0, 360), shift=st.floats(-500, 500), seed=st.integers(0, 49))
@settings(max_examples=25, deadline=None)
def test_turning_and_moving_the_cloth_changes_no_gap(angle: float, shift: float, seed: int) -> None:
    lines, outline = random_drawing(seed)

    def moved(shape: LineString | Polygon) -> LineString | Polygon:
        return translate(rotate(shape, angle, origin=(0, 0)), shift, -shift)

    still = widest_gaps(lines, outline, count=1).widest_mm
    turned = widest_gaps([moved(line) for line in lines], moved(outline), count=1).widest_mm
    assert turned == pytest.approx(still, abs=0.5)


@given(seed=st.integers(0, 49), data=st.data())
@settings(max_examples=25, deadline=None)
def test_one_more_line_never_widens_the_gap(seed: int, data: st.DataObject) -> None:
    lines, outline = random_drawing(seed)
    wide, high = outline.bounds[2:]
    ends = data.draw(st.tuples(*[st.floats(0, 1)] * 4))
    line = LineString([(ends[0] * wide, ends[1] * high), (ends[2] * wide, ends[3] * high)])
    before = widest_gaps(lines, outline, count=1).widest[0]
    assert widest_gaps([*lines, line], outline, count=1).widest_mm <= before.at_most_mm


@given(scale=st.floats(0.2, 4))
@settings(max_examples=15, deadline=None)
def test_a_tighter_tolerance_is_kept_as_well(scale: float) -> None:
    triangle = Polygon([(0, 0), (400 * scale, 0), (0, 300 * scale)])
    gap = widest_gaps([], triangle, tolerance_mm=0.02).widest[0]
    assert gap.diameter_mm == pytest.approx(200 * scale, abs=0.02)
    assert gap.at_most_mm - gap.diameter_mm <= 0.02


def test_the_same_drawing_gives_the_same_places() -> None:
    lines, outline = random_drawing(11)
    assert widest_gaps(lines, outline) == widest_gaps(lines, outline)


@pytest.fixture
def cells_made(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many cells each division of cells makes from now on."""
    from quiltpath.checks import largest_empty_circle as gap

    made: list[int] = []

    def counted(*given: Any) -> Any:
        cells, probes = divided(*given)
        made.append(len(cells))
        return cells, probes

    divided = gap.divide_cells
    monkeypatch.setattr(gap, "divide_cells", counted)
    return made


def test_even_lines_cost_cells_in_proportion_to_lines_not_to_area(
    cells_made: list[int],
) -> None:
    """Each row between two lines is proved by one cell: the plateau does not explode."""
    quilt = box(0, 0, 2794, 2794)
    widest_gaps(parallel(6.35, quilt), quilt)
    assert sum(cells_made) <= 3 * 440


def test_a_sheet_of_tiny_squares_is_answered_without_looking_at_each(
    cells_made: list[int],
) -> None:
    """600 x 500 lines: that many cells would take ten seconds, and every gap is as wide."""
    sheet = box(0, 0, 360, 300)
    level = [LineString([(0, y), (360, y)]) for y in np.arange(0.6, 300, 0.6)]
    upright = [LineString([(x, 0), (x, 300)]) for x in np.arange(0.6, 360, 0.6)]
    widest = widest_gaps([*level, *upright], sheet).widest_mm
    assert widest == pytest.approx(0.6, abs=0.05)
    assert sum(cells_made) < 20_000


def test_an_outline_without_area_is_refused() -> None:
    with pytest.raises(ValueError, match="no area"):
        widest_gaps([], Polygon())


@pytest.mark.parametrize(("limit", "left"), [(39.9, True), (40.0, False), (41.0, False)])
def test_a_wider_circle_than_allowed_is_left_to_a_tenth_of_a_millimetre(
    limit: float, left: bool
) -> None:
    """Lines 40 mm apart."""
    assert leaves_wider_than(limit, parallel(40, RUNNER), RUNNER) == left


def test_places_are_counted_as_asked_and_no_more_than_there_are() -> None:
    """Three squares of 50 mm beside a sheet of lines 0.4 mm apart, which hold nothing."""
    fine = [LineString([(150, y), (160, y)]) for y in np.arange(0, 50, 0.4)]
    walls = [LineString([(x, 0), (x, 50)]) for x in (50, 100, 150)]
    sheet = box(0, 0, 160, 50)
    for count in (0, 1, 2):
        assert len(widest_gaps([*fine, *walls], sheet, count).widest) == count
    three = widest_gaps([*fine, *walls], sheet, 3).widest
    assert [gap.diameter_mm for gap in three] == pytest.approx([50] * 3, abs=0.05)
    assert sorted(gap.centre[0] for gap in three) == pytest.approx([25, 75, 125], abs=0.1)


def test_no_gap_at_all_is_nought_wide() -> None:
    fine = [LineString([(0, y), (9, y)]) for y in np.arange(0, 9, 0.2)]
    found = widest_gaps(fine, box(0, 0, 9, 9))
    assert found.widest == () and found.widest_mm == 0.0
