"""The meander, certified by readers that know nothing of how it was made."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon, box

from quiltpath.geometry.free_curves.stippling import closer_towards, stipple
from tests.patterns.readers import (
    BLOCK,
    REGIONS,
    egg,
    gaps_of,
    least_strand_gap,
    radii,
    star,
)

GAP = 13.0


@cache
def drawn(name: str, seed: int = 1) -> NDArray[np.float64]:
    (line,) = stipple(REGIONS[name], GAP, seed=seed)
    return line


@pytest.mark.parametrize("name", REGIONS)
@pytest.mark.parametrize("seed", [1, 2])
def test_one_smooth_closed_line_that_keeps_its_distance(name: str, seed: int) -> None:
    region = REGIONS[name]
    line = drawn(name, seed)
    ring = shapely.LineString(line)
    assert ring.is_closed and ring.is_simple
    assert region.contains(ring)
    assert ring.distance(region.boundary) >= GAP / 2
    assert least_strand_gap(line, 1.8 * GAP) >= 0.55 * GAP
    gaps = gaps_of(region, [line])
    assert gaps.empty[0] <= 1.9 * GAP
    assert gaps.farthest <= 1.6 * GAP
    # mean gap = area / length (Crofton-like bookkeeping, common practice for thread)
    assert GAP <= region.area / ring.length <= 1.3 * GAP


@pytest.mark.parametrize("name", REGIONS)
def test_bends_are_wide_enough_to_steer(name: str) -> None:
    line = drawn(name)
    found = radii(line, 0.1 * GAP)
    assert found.min() >= 0.22 * GAP
    assert np.percentile(found, 2) >= 0.28 * GAP


def test_chords_stray_little_from_the_curve_they_stand_for() -> None:
    line = drawn("plain block")
    step = np.hypot(*np.diff(line, axis=0).T)
    # a chord c of an arc that turns by t strays c tan(t / 4) / 2 (a circle's sagitta)
    chord = (step[1:] + step[:-1]) / 2
    assert (chord * np.tan(_turns(line) / 4) / 2).max() <= 0.05


def _turns(line: np.ndarray) -> np.ndarray:
    way = np.diff(line, axis=0)
    heading = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    return np.abs(np.diff(heading))


def test_a_closed_line_without_crossing_turns_once() -> None:
    """Hopf's Umlaufsatz: the turning number of a simple closed curve is 1 or -1."""
    line = drawn("block with a star")
    way = np.diff(np.vstack([line, line[1:2]]), axis=0)
    heading = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    assert abs(heading[-1] - heading[0]) == pytest.approx(2 * np.pi, abs=1e-6)


def test_it_looks_drawn_by_hand_and_not_by_a_grid() -> None:
    """Headings of a grid fall in few directions; here all have their share."""
    line = drawn("plain block")
    way = np.diff(line, axis=0)
    share, _ = np.histogram(
        np.mod(np.arctan2(way[:, 1], way[:, 0]), np.pi), 12, (0, np.pi), weights=np.hypot(*way.T)
    )
    share = share / share.sum()
    assert share.min() >= 0.035 and share.max() <= 0.17


def test_the_same_seed_gives_the_same_line_and_another_another() -> None:
    small = box(0, 0, 120, 100)
    first, again = stipple(small, GAP, seed=5), stipple(small, GAP, seed=5)
    assert np.array_equal(first[0], again[0])
    assert not np.array_equal(first[0][:50], stipple(small, GAP, seed=6)[0][:50])


def test_one_line_round_twenty_six_motifs() -> None:
    places = [(30 + 48 * i + j % 2 * 20, 30 + 50 * j) for i in range(5) for j in range(6)]
    motifs = shapely.union_all([egg(x, y, 24, 28) for x, y in places if x < 240])
    region = BLOCK.difference(motifs)
    assert len(region.interiors) >= 26
    lines = stipple(region, 8.0)
    assert len(lines) == 1
    ring = shapely.LineString(lines[0])
    assert ring.is_simple and region.contains(ring)
    assert ring.distance(region.boundary) >= 4.0
    assert gaps_of(region, lines).empty[0] <= 2.1 * 8.0


def test_distances_from_edge_and_motif_are_kept_apart() -> None:
    region = REGIONS["block with an egg"]
    (line,) = stipple(region, 10.0, edge_mm=3.0, motif_mm=9.0)
    ring = shapely.LineString(line)
    assert 3.0 <= ring.distance(region.exterior) <= 5.5
    assert 9.0 <= ring.distance(region.interiors[0]) <= 12.0


def test_density_follows_a_field() -> None:
    motif = egg(127, 145)
    region = BLOCK.difference(motif)
    (line,) = stipple(region, 13.0, spacing_at=closer_towards(motif, 6.0, 20.0, 80.0))
    assert shapely.LineString(line).is_simple
    near = motif.buffer(25).difference(motif)
    far = region.difference(motif.buffer(75))
    mean = [part.area / shapely.LineString(line).intersection(part).length for part in (near, far)]
    assert 6.0 <= mean[0] <= 14.0
    assert 17.0 <= mean[1] <= 26.0


def test_opened_by_one_spacing_nearest_to_a_point() -> None:
    closed = drawn("plain block")
    (line,) = stipple(BLOCK, GAP, open_at_mm=(0.0, 0.0))
    assert shapely.LineString(line).is_simple
    lost = shapely.LineString(closed).length - shapely.LineString(line).length
    assert lost == pytest.approx(GAP, abs=0.1)
    middle = shapely.Point((line[0] + line[-1]) / 2)
    assert (
        middle.distance(shapely.Point(0, 0))
        <= shapely.LineString(closed).distance(shapely.Point(0, 0)) + GAP
    )


def test_narrow_parts_stay_empty_and_the_rest_is_filled() -> None:
    dumbbell = shapely.union_all([box(0, 0, 60, 60), box(60, 25, 200, 40), box(200, 0, 300, 60)])
    lines = stipple(dumbbell, GAP)
    assert len(lines) == 2
    neck = box(75, 0, 185, 60)
    assert not any(shapely.LineString(line).intersects(neck) for line in lines)
    assert stipple(box(0, 0, 5, 5), GAP) == []
    assert stipple(box(0, 0, 12, 100), GAP) == []
    assert stipple(Polygon(), GAP) == []


def test_a_line_for_each_part_of_a_region() -> None:
    parts = MultiPolygon([box(0, 0, 80, 80), box(100, 0, 180, 80)])
    lines = stipple(parts, GAP)
    assert len(lines) == 2
    for line, part in zip(lines, parts.geoms, strict=True):
        assert part.contains(shapely.LineString(line))


def test_no_spacing_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        stipple(BLOCK, 0.0)


@settings(max_examples=8)
@given(
    st.floats(60, 160),
    st.floats(60, 160),
    st.floats(7, 20),
    st.integers(3, 9),
    st.integers(0, 10_000),
)
def test_any_block_with_a_star_in_it(
    width: float, height: float, gap: float, points: int, seed: int
) -> None:
    size = min(width, height) / 4
    region = box(0, 0, width, height).difference(
        star(width / 2, height / 2, size, size / 2, points)
    )
    for line in stipple(region, gap, seed=seed):
        ring = shapely.LineString(line)
        assert ring.is_closed and ring.is_simple
        assert region.contains(ring)
        assert ring.distance(region.boundary) >= 0.48 * gap
        assert least_strand_gap(line, 1.8 * gap) >= 0.4 * gap
