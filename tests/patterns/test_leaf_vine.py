"""A vine along a strip: a leaf on each crest, to either side by turns, at its place and size."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from tests.patterns.runners import drawn

INSET = 6.35


def vine(length: float, height: float, upright: bool = False, **keys: object) -> np.ndarray:
    """Points along the strip and across it from its middle, inset and all taken off."""
    wide, high = length + 2 * INSET, height + 2 * INSET
    shape = box(0, 0, high, wide) if upright else box(0, 0, wide, high)
    strip = Region("strip", RegionKind.SASHING, shape)
    runner = Runner(box(-10, -10, 2000, 2000), regions=(strip,))
    (line,) = drawn(runner, "leaf-vine", region="strip", **keys).geometry
    points = np.array(line.coords)
    if upright:
        points = np.column_stack([points[:, 1], high - points[:, 0]])
    return points - (INSET, high / 2)


def tips(points: np.ndarray, half: float) -> list[tuple[float, int]]:
    found = points[np.abs(points[:, 1]) > half - 1e-6]
    return sorted({(round(float(x), 4), int(np.sign(y))) for x, y in found})


@pytest.mark.parametrize("upright", [False, True])
def test_leaves_of_two_fifths_of_a_wave_stand_on_the_crests_that_have_room(upright: bool) -> None:
    """400 mm in four waves: crests at 25, 75, 125 mm and so on, tips 40 mm further on at the edge
    of the band; the crest at 375 mm is too near the end."""
    points = vine(400, 40, upright, repeat=100)
    found = tips(points, 20)
    assert [side for _, side in found] == [1, -1, 1, -1, 1, -1, 1]
    # A crest is found to the next point of the stem, less than a millimetre on.
    assert [x for x, _ in found] == pytest.approx([65 + 50 * k for k in range(7)], abs=1.0)


def test_the_stem_is_a_sine_of_a_quarter_of_the_band() -> None:
    points = vine(400, 40, repeat=100)
    assert points[points[:, 0] < 25.5, 1].max() == pytest.approx(5, abs=0.05)
    assert np.allclose(points[[0, -1]], [(0, 0), (400, 0)])
    straight = points[(points[:, 0] < 24)]
    assert np.allclose(straight[:, 1], 5 * np.sin(2 * math.pi * straight[:, 0] / 100), atol=1e-6)


def test_about_a_repeat_gives_whole_waves() -> None:
    """430 mm at about 100 are four waves of 107.5."""
    found = tips(vine(430, 40, repeat="about 100 mm"), 20)
    assert [x for x, _ in found] == pytest.approx(
        [107.5 / 4 + 107.5 / 2 * k + 43 for k in range(7)], abs=1.0
    )


@pytest.mark.parametrize(("height", "share"), [(40.0, 0.115), (120.0, 0.22)])
def test_a_leaf_is_as_wide_as_its_band_allows(height: float, share: float) -> None:
    """Both sides are sine arches over the way from crest to tip, as high as 0.22 of it, or 0.23
    of half the band over its reach of 40 mm. Area: twice 2 / pi of height times way."""
    points = vine(400, height, repeat=100)
    _, first, count = np.unique(np.round(points, 6), axis=0, return_index=True, return_counts=True)
    begin = int(first[count > 1].min())
    end = int(np.flatnonzero(np.hypot(*(points - points[begin]).T) < 1e-6)[-1])
    leaf = points[begin : end + 1]
    tip = leaf[leaf[:, 1].argmax()]
    assert tip - leaf[0] == pytest.approx((40, 3 / 8 * height), abs=0.01)
    way = math.hypot(40, 3 / 8 * height)
    assert Polygon(leaf).area == pytest.approx(4 / math.pi * share * way**2, rel=0.01)
