"""Dense quilting beside sparse puffs and ripples: more than 2 to 1 is named (common practice)."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Point, Polygon, box

from quiltpath.checks import CheckLimits
from quiltpath.checks.density import (
    density_map,
    region_densities,
    split_into_pieces,
    uneven_density,
)
from quiltpath.geometry.runner_shapes import PlacedMotif, Region, RegionKind
from quiltpath.patterns import Lines
from quiltpath.patterns.lines import layer_lines
from tests.checks.drawings import parallel
from tests.checks.sewing import RUNNER, block, lines_of, runner_of

LIMITS = CheckLimits()
LEFT, RIGHT = box(0, 0, 400, 320), box(400, 0, 800, 320)


def drawn(*families: list[object]) -> Lines:
    whole = np.array([line for family in families for line in family], dtype=object)
    return layer_lines(shapely.get_parts(whole), name="fill")


def codes(lines: Lines, **parts: object) -> list[str]:
    return [finding.code for finding in uneven_density(runner_of(**parts), lines, LIMITS)]


@given(spacing=st.floats(6, 110), angle=st.floats(0, 180), crossed=st.booleans())
@settings(max_examples=40, deadline=None)
def test_even_lines_at_any_spacing_and_angle_are_silent(
    spacing: float, angle: float, crossed: bool
) -> None:
    """A uniform grid has a ratio of 1 (quilters' figure); windows must not find it uneven."""
    families = [parallel(spacing, RUNNER, angle, first=spacing / 2)]
    if crossed:
        families.append(parallel(spacing, RUNNER, angle + 90, first=spacing / 2))
    assert codes(drawn(*families)) == []


@pytest.mark.parametrize(("spacing", "families"), [(20, 1), (20, 2), (12.7, 2)])
def test_the_map_shows_the_closed_form(spacing: float, families: int) -> None:
    """Parallel lines at s: 1 / s mm for each mm²; a square grid: 2 / s. Far from the edge."""
    lines = drawn(*[parallel(spacing, RUNNER, 90 * family) for family in range(families)])
    density = density_map(split_into_pieces(lines.geometry, 5.0), RUNNER, 120.0).density
    middle = density[density.shape[0] // 2, density.shape[1] // 2]
    assert middle == pytest.approx(families / spacing, rel=0.08)


WIDE = box(-130, 47, 670, 377)
"""Off the corner of the sheet, and 16.5 cells of 20 mm deep, so that cells are 20 by 20 5/8 mm."""
NOTCHED = box(0, 0, 800, 320).difference(box(0, 0, 260, 130))


@pytest.mark.parametrize("outline", [RUNNER, NOTCHED, WIDE])
def test_the_map_is_what_a_count_cell_by_cell_gives(outline: Polygon) -> None:
    """A box of half a window laid over the cells twice, which makes a tent of 1, 2, 3, 2, 1.

    The window is 120 mm, a cell about 20 mm; the corner of the notch lies off the cells' edges.
    """
    rng = np.random.default_rng(4)
    low_x, low_y, high_x, high_y = outline.bounds
    sewn = split_into_pieces(
        lines_of(*rng.uniform((low_x, low_y), (high_x, high_y), (30, 4, 2))).geometry,
        5.0,
    )
    map_of = density_map(sewn, outline, 120.0)
    assert map_of.density.shape == (16, 40)
    tall = (high_y - low_y) / 16
    assert map_of.at_mm(3, 7) == pytest.approx((low_x + 150.0, low_y + 3.5 * tall))
    length, area = np.zeros((16, 40)), np.zeros((16, 40))
    for (x, y), piece in zip(sewn.middle, sewn.length, strict=True):
        row, column = int((y - low_y) // tall), int((x - low_x) // 20)
        length[row, column] += piece * outline.intersects(Point(x, y))
    for row, column in np.ndindex(16, 40):
        corner = np.array([low_x + 20 * column, low_y + tall * row])
        quarters = [corner + np.array([a, b * tall]) for a in (5, 15) for b in (0.25, 0.75)]
        inside = sum(outline.contains(Point(at)) for at in quarters)
        area[row, column] = 20 * tall * inside / 4
    on_cloth = tented(area)
    known = on_cloth > 0.6 * 20 * tall * 81
    assert (np.isnan(map_of.density) == ~known).all()
    assert map_of.density[known] == pytest.approx(tented(length)[known] / on_cloth[known])


@pytest.mark.parametrize("width", [8.0, 25.0, 41.0])
def test_a_strip_narrower_than_a_window_has_a_row_of_cells_at_least(width: float) -> None:
    """Cells of about 20 mm. A line every 40 mm across it: 1 / 40, however narrow it is; but a
    window with less than 0.6 of itself on the cloth says nothing, so that three rows are needed."""
    strip = box(0, 0, 800, width)
    found = density_map(
        split_into_pieces(drawn(parallel(40, strip, 90, first=20)).geometry, 5.0), strip, 120.0
    )
    assert found.density.shape == (max(1, round(width / 20)), 40)
    assert np.isnan(found.density).all()
    assert found.cell == pytest.approx((20, width / found.density.shape[0]))


def test_what_runs_out_into_the_margin_is_not_counted() -> None:
    """Lines of 40 mm that begin 20 mm beside the cloth count with the half that lies on it."""
    inside = [[(0, y), (20, y)] for y in range(5, 320, 10)]
    beyond = [[(-20, y), (20, y)] for y in range(5, 320, 10)]
    maps = [
        density_map(split_into_pieces(lines_of(*paths).geometry, 4.0), RUNNER, 120.0)
        for paths in (inside, beyond)
    ]
    assert maps[1].density == pytest.approx(maps[0].density, nan_ok=True)


def tented(values: np.ndarray) -> np.ndarray:
    """Each cell with its neighbours on all sides, and that once more; nothing lies off the map."""
    for _ in range(2):
        padded = np.pad(values, 1)
        values = sum(
            padded[down : down + len(values), across : across + len(values[0])]
            for down, across in np.ndindex(3, 3)
        )
    return values


HALVES = {
    "left": (box(0, 0, 400, 600), box(400, 0, 800, 600)),
    "right": (box(400, 0, 800, 600), box(0, 0, 400, 600)),
    "lower": (box(0, 0, 800, 300), box(0, 300, 800, 600)),
    "upper": (box(0, 300, 800, 600), box(0, 0, 800, 300)),
}


@pytest.mark.parametrize("side", HALVES)
def test_the_place_named_lies_in_the_sparse_half_near_the_border(side: str) -> None:
    """Two windows of 107 mm (8 times the mean spacing of 13.3 mm) lie edge to edge there."""
    sparse, dense = HALVES[side]
    wide = box(0, 0, 800, 600)
    lines = drawn(parallel(40, sparse, first=20), parallel(8, dense, first=4))
    (finding,) = uneven_density(runner_of(wide), lines, LIMITS)
    assert finding.at_mm is not None
    at = Point(finding.at_mm)
    assert sparse.contains(at)
    assert 10 < at.distance(dense) < 100
    assert "quilting" in finding.message and "next to it" in finding.message


def test_the_figures_of_the_message_are_those_of_the_lines() -> None:
    """Blocks with lines 12 mm and 48 mm apart: four times as sparse, by arithmetic; 1.5 times
    12 mm is offered, twice that for crossed lines."""
    blocks = (block("A1", 0, 240), block("B1", 560, 800))
    lines = drawn(
        parallel(48, blocks[0].shape, 90, first=24), parallel(12, blocks[1].shape, 90, first=6)
    )
    (finding,) = [
        finding
        for finding in uneven_density(runner_of(regions=blocks), lines, LIMITS)
        if finding.code == "regions-uneven"
    ]
    assert finding.message == (
        "quilting 4.0 times as sparse, lines 1 7/8 in (48 mm) apart on average, in A1"
        " against lines 1/2 in (12 mm) apart on average in B1"
    )
    assert "lines at 3/4 in (18 mm) or closer there (crossed lines at 1 3/8 in (36 mm))" in (
        finding.remedy
    )


@pytest.mark.parametrize(("times", "told"), [(1.9, 0), (2.1, 1)])
@pytest.mark.parametrize("width", [99.0, 100.0, 101.0])
def test_regions_are_compared_from_two_to_one_and_from_a_window_in_width(
    times: float, told: int, width: float
) -> None:
    """Both are the figures of the limits: 2 to 1, and regions 100 mm across or more."""
    blocks = (block("A1", 0, width), block("B1", 800 - width, 800))
    lines = lines_of(
        *[[(10 + k, 0), (10 + k, 320)] for k in range(10)],
        *[[(790 - k / 2, 0), (790 - k / 2, 320)] for k in range(round(10 * times))],
    )
    found = [finding.code for finding in uneven_density(runner_of(regions=blocks), lines, LIMITS)]
    assert found.count("regions-uneven") == told * (width >= 100)


@pytest.mark.parametrize(
    "narrow", [box(300, 0, 399, 320), box(300, 150, 500, 249), box(300, 150, 399, 249)]
)
def test_a_region_narrower_than_a_window_is_compared_with_none(narrow: Polygon) -> None:
    """Its bare cloth is a strip beside quilting, not a part left out."""
    wide = (block("A1", 0, 250), block("B1", 550, 800))
    lines = drawn(*[parallel(20, region.shape, 90, first=10) for region in wide])
    bare = Region("C1", RegionKind.BLOCK, narrow)
    assert "regions-uneven" not in codes(lines, regions=(*wide, bare))
    broad = Region("C1", RegionKind.BLOCK, box(300, 150, 400, 250))
    assert "regions-uneven" in codes(lines, regions=(*wide, broad))


@pytest.mark.parametrize(
    ("sparse", "words"),
    [
        (0, "next to no quilting in A1"),
        (4, "next to no quilting in A1"),
        (6, "quilting 16.7 times"),
    ],
)
def test_less_than_a_twentieth_is_told_as_next_to_no_quilting(sparse: int, words: str) -> None:
    """So many lines against a hundred in a block of the same size."""
    blocks = (block("A1", 0, 120), block("B1", 680, 800))
    lines = lines_of(
        *[[(10 + k, 0), (10 + k, 320)] for k in range(sparse)],
        *[[(690 + k, 0), (690 + k, 320)] for k in range(100)],
    )
    told = uneven_density(runner_of(regions=blocks), lines, LIMITS)
    (message,) = (one.message for one in told if one.code == "regions-uneven")
    assert message.startswith(words)


def test_cloth_left_bare_is_told_as_next_to_no_quilting() -> None:
    (finding,) = uneven_density(runner_of(), drawn(parallel(10, RIGHT)), LIMITS)
    assert finding.message.startswith("next to no quilting here beside")


@given(sparse=st.floats(40, 60), ratio=st.floats(3, 8))
@settings(max_examples=20, deadline=None)
def test_a_dense_half_beside_a_sparse_one_is_found_at_the_border(
    sparse: float, ratio: float
) -> None:
    lines = drawn(parallel(sparse, LEFT), parallel(sparse / ratio, RIGHT))
    (finding,) = uneven_density(runner_of(), lines, LIMITS)
    assert finding.code == "density-uneven" and not finding.fails
    assert finding.at_mm is not None and 200 < finding.at_mm[0] < 400, "in the sparse half"
    assert "closer there" in finding.remedy


def test_the_spacing_offered_evens_it_out() -> None:
    """Dense at 10 mm: the sparse half may have 20 mm, 2 to 1; what is offered is well within."""
    lines = drawn(parallel(60, LEFT), parallel(10, RIGHT))
    (finding,) = uneven_density(runner_of(), lines, LIMITS)
    offered = float(finding.remedy.split("(")[1].split(" mm")[0])
    assert 12 < offered < 18
    evened = drawn(parallel(offered, LEFT), parallel(10, RIGHT))
    assert uneven_density(runner_of(), evened, LIMITS) == ()


def test_a_bare_border_round_dense_quilting_is_flagged() -> None:
    """Quilters' example: a bare border is flagged."""
    quilted = box(70, 70, 730, 250)
    (finding,) = uneven_density(runner_of(), drawn(parallel(12, quilted)), LIMITS)
    assert finding.at_mm is not None and not quilted.contains(Point(finding.at_mm))


def test_a_motif_kept_clear_may_be_meant_to_puff() -> None:
    circle = Point(400, 160).buffer(75)
    motif = PlacedMotif("leaf", "B1", MultiPolygon([circle]), (circle.exterior,))
    clear = [line.difference(circle) for line in parallel(10, RUNNER)]
    (finding,) = uneven_density(runner_of(motifs=(motif,)), drawn(clear), LIMITS)
    assert "leaf" in finding.remedy and "meant to puff" in finding.remedy


def test_a_ratio_below_two_is_let_pass() -> None:
    lines = drawn(parallel(24, LEFT), parallel(15, RIGHT))
    assert uneven_density(runner_of(), lines, LIMITS) == ()


def test_block_against_block_is_compared_even_where_they_do_not_touch() -> None:
    blocks = (block("A1", 0, 200), block("B1", 200, 600), block("C1", 600, 800))
    lines = drawn(
        parallel(40, blocks[0].shape), parallel(24, blocks[1].shape), parallel(15, blocks[2].shape)
    )
    (finding,) = [
        finding
        for finding in uneven_density(runner_of(regions=blocks), lines, LIMITS)
        if finding.code == "regions-uneven"
    ]
    assert "in A1" in finding.message and "in C1" in finding.message
    assert finding.at_mm is not None and finding.at_mm[0] < 200


def test_alike_blocks_are_silent() -> None:
    blocks = (block("A1", 0, 400), block("B1", 400, 800))
    lines = drawn(parallel(25, LEFT), parallel(25, RIGHT, 45))
    assert codes(lines, regions=blocks) == []


def test_a_line_on_a_shared_border_counts_half_to_each() -> None:
    blocks = [block("A1", 0, 400), block("B1", 400, 800)]
    sewn = split_into_pieces(lines_of([(400, 0), (400, 320)]).geometry, 10.0)
    assert region_densities(blocks, sewn) == pytest.approx([160 / 128_000] * 2)


@given(seed=st.integers(0, 1000), piece=st.floats(0.5, 50))
@settings(max_examples=30, deadline=None)
def test_cutting_into_pieces_keeps_the_length(seed: int, piece: float) -> None:
    paths = np.random.default_rng(seed).uniform(0, 300, (4, 6, 2))
    lines = lines_of(*paths)
    sewn = split_into_pieces(lines.geometry, piece)
    total = sum(np.hypot(*np.diff(path, axis=0).T).sum() for path in paths)
    assert sewn.length.sum() == pytest.approx(total)
    assert sewn.length.max() <= piece + 1e-9


def test_a_pointed_end_is_judged_by_the_cloth_that_is_there() -> None:
    pointed = Polygon([(0, 160), (160, 0), (640, 0), (800, 160), (640, 320), (160, 320)])
    lines = drawn(parallel(20, pointed), parallel(20, pointed, 90))
    assert uneven_density(runner_of(pointed), lines, LIMITS) == ()


def test_no_lines_no_remark() -> None:
    assert uneven_density(runner_of(), lines_of(), LIMITS) == ()
