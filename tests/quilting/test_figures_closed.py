"""Closed figures of the repertoire: each ring goes all the way round, by its area and its turn."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from tests.quilting.runners import drawn, plain


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
