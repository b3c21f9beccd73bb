"""Closed figures of the repertoire: each ring goes all the way round, by its area and its turn."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from quiltpath.patterns.rows import row_heights
from tests.patterns.runners import drawn, plain


@pytest.mark.parametrize("shape", ["squares", "diamonds"])
@pytest.mark.parametrize(("length", "width"), [(400.0, 400.0), (500.0, 400.0)])
def test_concentric_rings_are_alike_and_go_all_the_way_round(
    shape: str, length: float, width: float
) -> None:
    """A ring's area is length x width of its bounds, or half of it (closed form)."""
    lines = drawn(plain(length, width), "concentric", shape=shape, spacing=30, inset=0)
    assert len(lines) >= 3
    for ring in lines.geometry:
        assert ring.is_ring
        low_x, low_y, high_x, high_y = ring.bounds
        share = 0.5 if shape == "diamonds" else 1.0
        area = share * (high_x - low_x) * (high_y - low_y)
        assert Polygon(ring).area == pytest.approx(area, rel=1e-9)
        assert area > 0
        middle = shapely.get_coordinates(ring.centroid)[0]
        assert middle == pytest.approx(np.array([length / 2, width / 2]), abs=1e-6)


@pytest.mark.parametrize(
    ("spacing", "sides"),
    [
        (20, [200, 160, 120, 80, 40]),
        (30, [200, 140, 80, 20]),
        ("about 21 mm", [200 - 2 * k * 100 / 4.5 for k in range(5)]),
        ("about 90 mm", [200, 200 - 200 / 1.5]),
        (150, [200]),
    ],
)
@pytest.mark.parametrize("shape", ["squares", "diamonds"])
def test_rings_are_one_gap_apart_from_the_edge_to_the_middle(
    spacing: object, sides: list[float], shape: str
) -> None:
    """On 200 mm: as they come, or so that the innermost is one gap across. A diamond on its tips
    is as wide as its side, and its sides lie sqrt 2 nearer to the middle."""
    inwards = 1.0 if shape == "squares" else np.sqrt(0.5)
    if shape == "diamonds":
        spacing = (
            spacing * inwards
            if isinstance(spacing, int)
            else f"about {float(spacing.split()[1]) * inwards} mm"
        )
    lines = drawn(plain(202, 202), "concentric", shape=shape, spacing=spacing, inset=1)
    widths = sorted((line.bounds[2] - line.bounds[0] for line in lines.geometry), reverse=True)
    assert widths == pytest.approx(sides)


@pytest.mark.parametrize(
    ("spacing", "even", "width", "rows"),
    [
        (30, True, 200, [36, 68, 100, 132, 164]),
        (32, False, 200, [20, 52, 84, 116, 148, 180]),
        (30, False, 200, [25, 55, 85, 115, 145, 175]),
        (30, False, 199, [24.5 + 30 * k for k in range(6)]),
        (30, False, 180, [30 + 30 * k for k in range(5)]),
        (30, True, 55, [27.5]),
        (30, False, 55, [27.5]),
        (400, True, 300, [150]),
    ],
)
def test_rows_of_waves_are_whole_and_centred(
    spacing: float, even: bool, width: float, rows: list[float]
) -> None:
    """Rows 40 mm high: their middles keep 20 mm off the edge, or are half a gap further in."""
    assert row_heights(spacing, even, width, 40.0) == pytest.approx(rows)


@pytest.mark.parametrize("rings", [1, 3, 4])
def test_smaller_hexagons_lie_inside_each_at_even_distances(rings: int) -> None:
    """100 mm from point to point, and 1/n, 2/n and so on of it; a hexagon of that size has an area
    of 3 sqrt 3 / 8 times its square."""
    lines = drawn(plain(402, 302), "nested-hexagons", size=100, rings=rings, inset=1)
    widths = [line.bounds[2] - line.bounds[0] for line in lines.geometry]
    each = [100 * (k + 1) / rings for k in range(rings)]
    assert np.unique(np.round(widths, 6)).tolist() == pytest.approx(each)
    for line, width in zip(lines.geometry, widths, strict=True):
        assert Polygon(line).area == pytest.approx(3 * np.sqrt(3) / 8 * width**2)
    outer = [line for line, width in zip(lines.geometry, widths, strict=True) if width > 99]
    assert len(lines) == rings * len(outer)
    for one, other in itertools.pairwise(outer):
        assert Polygon(one).intersection(Polygon(other)).area < 1e-6
