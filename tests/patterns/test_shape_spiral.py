"""One path that fills any shape in turns, certified by readers that know nothing of it."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.geometry.free_curves.level_spiral import shape_spiral
from tests.patterns.readers import BLOCK, REGIONS, egg, gaps_of, least_strand_gap, star

GAP = 9.0
TWO_EGGS = BLOCK.difference(shapely.union_all([egg(80, 100, 60, 80), egg(170, 210, 70, 90)]))
SHAPES = {**REGIONS, "two eggs": TWO_EGGS, "star": star(0, 0, 150, 60, 5)}


@pytest.mark.parametrize("name", SHAPES)
def test_one_closed_path_that_never_crosses_itself(name: str) -> None:
    region = SHAPES[name]
    (path,) = shape_spiral(region, GAP)
    ring = LineString(path)
    assert ring.is_closed and ring.is_simple
    assert region.contains(ring)
    assert ring.distance(region.boundary) >= GAP / 2 - 0.05
    assert least_strand_gap(path, 1.8 * GAP) >= 0.28 * GAP
    gaps = gaps_of(region, [path])
    assert gaps.empty[0] <= 2.8 * GAP
    assert np.mean(gaps.empty > 1.8 * GAP) <= 0.05
    assert 0.75 <= region.area / ring.length / GAP <= 1.15


@pytest.mark.parametrize("name", ["plain block", "L", "oval", "strip"])
def test_without_motifs_no_room_is_wider_than_two_gaps_and_a_bit(name: str) -> None:
    (path,) = shape_spiral(SHAPES[name], GAP)
    assert gaps_of(SHAPES[name], [path]).empty[0] <= 2.2 * GAP


def test_length_in_a_disc_is_that_of_its_rings() -> None:
    """Concentric rings a gap g apart in a disc of radius R sum to about pi R^2 / g."""
    disc = Point(0, 0).buffer(90, 64)
    (path,) = shape_spiral(disc, 9.0)
    assert LineString(path).length == pytest.approx(np.pi * 90**2 / 9.0, rel=0.08)


def test_turns_lie_on_level_lines_of_the_distance_to_the_edge() -> None:
    """Away from the seam a turn keeps its distance from the edge: half a gap, one and a half ..."""
    (path,) = shape_spiral(box(0, 0, 180, 180), 10.0)
    points = shapely.get_coordinates(shapely.segmentize(LineString(path), 1.0))
    depth = np.minimum(
        np.minimum(points[:, 0], 180 - points[:, 0]), np.minimum(points[:, 1], 180 - points[:, 1])
    )
    gap = 85 / 8.5  # the deepest point, 85 inside the first turn, lies half a gap past the ninth
    off = np.abs((depth - 5.0) / gap - np.round((depth - 5.0) / gap))
    assert np.mean(off < 0.02) >= 0.8


def test_parts_and_narrow_places() -> None:
    dumbbell = shapely.union_all([box(0, 0, 60, 60), box(60, 28, 200, 32), box(200, 0, 300, 60)])
    assert len(shape_spiral(dumbbell, GAP)) == 2
    assert shape_spiral(box(0, 0, 5, 5), GAP) == []
    assert shape_spiral(Polygon(), GAP) == []
    with pytest.raises(ValueError, match="above 0"):
        shape_spiral(BLOCK, 0.0)


@settings(max_examples=25)
@example(126.0, 98.0, 20.0, 5, 0.75)  # level lines come within a hair of each other
@example(114.0, 90.0, 20.0, 6, 0.890625)  # the way from loop to loop leads through the motif
@example(111.0, 91.0, 20.0, 6, 0.890625)
@example(131.5227, 61.9156, 12.67616, 7, 0.59675)
@given(
    st.floats(60, 250),
    st.floats(60, 250),
    st.floats(5, 20),
    st.integers(3, 9),
    st.floats(0.1, 0.9),
)
def test_any_block_with_a_star_in_it(
    width: float, height: float, gap: float, points: int, where: float
) -> None:
    size = min(width, height) / 4
    motif = star(size + where * (width - 2 * size), height / 2, 0.8 * size, size / 2, points)
    region = box(0, 0, width, height).difference(motif)
    for path in shape_spiral(region, gap):
        ring = LineString(path)
        assert ring.is_closed and ring.is_simple
        assert region.contains(ring)
