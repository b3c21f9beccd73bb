"""Pebbles: stones read back from the line by a library, none on another, one line round all."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely.geometry import LineString, Polygon, box

from quiltpath.errors import InputError
from quiltpath.geometry.free_curves.stones import pebbles
from quiltpath.patterns import draw
from quiltpath.project import parse
from quiltpath.runner import build
from tests.patterns.readers import BLOCK, REGIONS, gaps_of, radii


def stones_of(line: NDArray[np.float64]) -> list[Polygon]:
    """The round faces of a drawing, found by noding it (GEOS polygonize)."""
    faces = shapely.polygonize([shapely.node(LineString(line))]).geoms
    return [face for face in faces if _roundness(face) > 0.97]


def _roundness(face: Polygon) -> float:
    """4 pi area / length squared: 1 for a circle (the isoperimetric quotient)."""
    return float(4 * np.pi * face.area / face.length**2)


@cache
def heap_in(name: str) -> tuple[NDArray[np.float64], list[Polygon]]:
    (line,) = pebbles(REGIONS[name], 8.0, 18.0, edge_mm=1.0)
    return line, stones_of(line)


@pytest.mark.parametrize("name", REGIONS)
def test_one_line_round_stones_of_the_sizes_asked(name: str) -> None:
    region = REGIONS[name]
    line, stones = heap_in(name)
    assert np.allclose(line[0], line[-1])
    assert region.buffer(-0.99).covers(LineString(line))
    across = np.sqrt([4 * stone.area / np.pi for stone in stones])
    assert across.min() >= 7.8 and across.max() <= 18.05
    # every stone is gone round once: the line is as long as all rims together
    assert LineString(line).length == pytest.approx(np.pi * across.sum(), rel=0.01)


@pytest.mark.parametrize("name", REGIONS)
def test_stones_lie_close_and_none_on_another(name: str) -> None:
    """Random heaps of unequal discs cover some three quarters (common knowledge of packings; no
    packing of equal discs covers more than pi / sqrt 12 = 0.907)."""
    region = REGIONS[name]
    line, stones = heap_in(name)
    middles = np.array([stone.centroid.coords[0] for stone in stones])
    radius = np.sqrt([stone.area / np.pi for stone in stones])
    pairs = cKDTree(middles).query_pairs(18.1, output_type="ndarray")
    far = np.hypot(*(middles[pairs[:, 0]] - middles[pairs[:, 1]]).T)
    assert (far - radius[pairs].sum(axis=1)).min() >= -0.06
    assert 0.62 <= sum(stone.area for stone in stones) / region.area <= 0.907
    assert gaps_of(region, [line]).empty[0] <= 18.5


def test_the_line_never_turns_sharply() -> None:
    (line,) = pebbles(box(0, 0, 150, 120), 10.0, 20.0)
    assert radii(line, 2.5).min() >= 4.0
    way = np.diff(line, axis=0)
    heading = np.arctan2(way[:, 1], way[:, 0])
    assert np.abs(np.angle(np.exp(1j * np.diff(heading)))).max() <= np.radians(16)


def test_narrow_and_small_places() -> None:
    (line,) = pebbles(box(0, 0, 300, 12), 9.0, 12.0)
    assert line[:, 0].min() < 12 and line[:, 0].max() > 288
    assert pebbles(box(0, 0, 7, 7), 8.0, 12.0) == []
    assert pebbles(Polygon(), 8.0, 12.0) == []
    assert (
        len(pebbles(shapely.union_all([box(0, 0, 90, 60), box(100, 0, 160, 60)]), 9.0, 20.0)) == 2
    )


def test_the_same_stones_for_the_same_seed() -> None:
    first, again = (pebbles(box(0, 0, 60, 60), 8.0, 18.0, seed=4)[0] for _ in range(2))
    assert np.array_equal(first, again)
    assert not np.array_equal(first[:40], pebbles(box(0, 0, 60, 60), 8.0, 18.0, seed=5)[0][:40])


def test_sizes_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(ValueError, match="least_mm"):
        pebbles(BLOCK, 20.0, 10.0)


def test_free_curves_together_are_no_more_than_one_may_be() -> None:
    """Each alone is drawn; both would take twice as long as anybody waits, and are told at once."""
    text = """units = "mm"
    [runner]
    length = 2400
    width = 500
    size_is = "flat"
    """
    pebbles = '[[quilting]]\nkind = "pebbles"\nsize = 21\n'
    stipple = '[[quilting]]\nkind = "stipple"\nspacing = 17\nname = "between"\n'
    project = parse(text + pebbles + stipple)
    runner = build(project)
    with pytest.raises(InputError, match=r"quilting\[2\].*spacing: is too close together with"):
        draw(runner, project.quilting)
    wider = parse(text + pebbles.replace("21", "60") + stipple.replace("17", "40"))
    assert len(draw(build(wider), wider.quilting)) >= 2
