"""Distances to the wall of a room, in pixels, against the distances that shapely measures."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon, box

from quiltpath.geometry.free_curves.room_raster import raster_of

ROOM = Polygon(
    [(0, 0), (90, 0), (70, 30), (90, 60), (0, 60)],
    [box(20, 20, 30, 41).exterior.coords],
)


def test_pixels_tell_how_far_the_wall_is_and_on_which_side() -> None:
    raster = raster_of(ROOM, 1.5)
    centres = shapely.points(raster.centres())
    away = shapely.distance(centres, ROOM.boundary)
    signed = np.where(shapely.contains(ROOM, centres), away, -away)
    off = np.abs(raster.wall_mm.ravel() - signed) / 1.5
    assert off.max() <= 1 / 8 and off[away >= 1.5 / 2].max() <= 0.02


@pytest.mark.parametrize("far", [0.7, 4.0, 13.0, 200.0])
def test_beyond_the_distance_asked_for_nothing_is_measured(far: float) -> None:
    whole, near = raster_of(ROOM, 1.5), raster_of(ROOM, 1.5, far_mm=far)
    assert np.array_equal(near.wall_mm, np.clip(whole.wall_mm, -far, far))


def test_one_point_is_read_as_many_are() -> None:
    raster = raster_of(ROOM, 1.5)
    at = np.random.default_rng(3).uniform((-20, -20), (120, 90), (400, 2))
    one_by_one = [raster.wall_at(x, y) for x, y in at.tolist()]
    assert one_by_one == raster.read(raster.wall_mm, at).tolist()
