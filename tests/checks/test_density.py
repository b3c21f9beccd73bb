"""Dense quilting beside sparse puffs and ripples: more than 2 to 1 is named (common practice)."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Point, Polygon, box

from quiltpath.checks.density import density_map, region_densities, stitching, uneven_density
from quiltpath.checks.limits import CheckLimits
from quiltpath.quilting.lines import Lines, layer_lines
from quiltpath.runner.runner import PlacedMotif
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
    density = density_map(stitching(lines, 5.0), RUNNER, 120.0).density
    middle = density[density.shape[0] // 2, density.shape[1] // 2]
    assert middle == pytest.approx(families / spacing, rel=0.08)


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
    sewn = stitching(lines_of([(400, 0), (400, 320)]), 10.0)
    assert region_densities(blocks, sewn) == pytest.approx([160 / 128_000] * 2)


@given(seed=st.integers(0, 1000), piece=st.floats(0.5, 50))
@settings(max_examples=30, deadline=None)
def test_cutting_into_pieces_keeps_the_length(seed: int, piece: float) -> None:
    paths = np.random.default_rng(seed).uniform(0, 300, (4, 6, 2))
    lines = lines_of(*paths)
    sewn = stitching(lines, piece)
    total = sum(np.hypot(*np.diff(path, axis=0).T).sum() for path in paths)
    assert sewn.length.sum() == pytest.approx(total)
    assert sewn.length.max() <= piece + 1e-9


def test_a_pointed_end_is_judged_by_the_cloth_that_is_there() -> None:
    pointed = Polygon([(0, 160), (160, 0), (640, 0), (800, 160), (640, 320), (160, 320)])
    lines = drawn(parallel(20, pointed), parallel(20, pointed, 90))
    assert uneven_density(runner_of(pointed), lines, LIMITS) == ()


def test_no_lines_no_remark() -> None:
    assert uneven_density(runner_of(), lines_of(), LIMITS) == ()
