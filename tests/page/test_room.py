"""How far a motif may go: closed forms for plain shapes, and trying it out for any."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely
from shapely.affinity import translate
from shapely.geometry import LineString, MultiPolygon, Polygon, box

from quiltpath.geometry.runner_shapes import PlacedMotif, Runner
from quiltpath.page.motif_rooms import KEPT_MM, rooms
from quiltpath.project import load
from quiltpath.runner import build

SAMPLES = Path(__file__).parents[2] / "samples"


def placed(shape: Polygon) -> PlacedMotif:
    return PlacedMotif("tile", "point 1", MultiPolygon([shape]), (LineString(shape.exterior),))


def test_in_a_rectangle_it_goes_to_the_edges() -> None:
    runner = Runner(box(0, 0, 600, 300), motifs=(placed(box(100, 50, 160, 80)),))
    (((left, right), (down, up)),) = rooms(runner)
    assert (left, right) == pytest.approx((-100 + KEPT_MM, 440 - KEPT_MM))
    assert (down, up) == pytest.approx((-50 + KEPT_MM, 220 - KEPT_MM))


def test_towards_a_point_it_goes_as_far_as_its_corners() -> None:
    """A tip of 90 degrees: at height h from the middle the edge lies h before the tip."""
    tip = Polygon([(0, 0), (400, 0), (500, 100), (400, 200), (0, 200)])
    runner = Runner(tip, motifs=(placed(box(100, 80, 140, 120)),))
    (((_, right), _),) = rooms(runner)
    assert right == pytest.approx(500 - 20 - 140 - 2 * KEPT_MM)


def test_a_tooth_of_the_edge_stops_it_between_its_own_corners() -> None:
    notched = box(0, 0, 600, 300).difference(Polygon([(300, 150), (601, 140), (601, 160)]))
    runner = Runner(notched, motifs=(placed(box(100, 100, 140, 200)),))
    (((_, right), _),) = rooms(runner)
    assert right == pytest.approx(300 - 140 - KEPT_MM)


@pytest.mark.parametrize("sample", ["allotment-ends", "galley", "harvest-supper"])
def test_moved_to_its_ends_it_lies_inside_and_a_little_further_it_does_not(sample: str) -> None:
    runner = build(load(SAMPLES / sample / "runner.toml"))
    further = 3 * KEPT_MM + 1
    for motif, room in zip(runner.motifs, rooms(runner), strict=True):
        hull = motif.shape.convex_hull
        for axis, ends in enumerate(room):
            for end in ends:
                step = [0.0, 0.0]
                step[axis] = end
                assert shapely.covers(runner.outline, translate(hull, *step))
                step[axis] = end + (further if end > 0 else -further)
                assert not shapely.covers(runner.outline, translate(hull, *step))
