"""Lines inside a motif's holes, and the curve at its clearance."""

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, box

from quiltpath.geometry.runner_shapes import PlacedMotif, Runner
from quiltpath.patterns.finishing import clearance_curves, drop_crumbs, keep_clear
from quiltpath.patterns.strokes import strokes

CLOTH = box(0, 0, 400, 400)


def runner(hole_mm: float) -> Runner:
    """A ring of 100 mm in the middle of the cloth, open inside."""
    middle = Point(200, 200)
    ring = middle.buffer(100, quad_segs=64) - middle.buffer(hole_mm, quad_segs=64)
    motif = PlacedMotif("ring", "the middle", MultiPolygon([ring]), ())
    return Runner(CLOTH, motifs=(motif,), margin_mm=50)


def rows(spacing: float) -> list[LineString]:
    return [LineString([(0, y), (400, y)]) for y in np.arange(200 - 5 * spacing, 400, spacing)]


@pytest.mark.parametrize(
    ("hole", "clearance", "filled"), [(31, 0, True), (29, 0, False), (36, 5, True), (34, 5, False)]
)
def test_a_hole_is_filled_where_two_rows_find_room(
    hole: float, clearance: float, filled: bool
) -> None:
    """Rows 30 mm apart need a hole of 60 mm after the clearance."""
    cloth = runner(hole)
    cut = keep_clear(strokes(rows(30), CLOTH, "rows"), cloth, clearance)
    kept = drop_crumbs(cut, cloth, clearance, 30)
    in_hole = Point(200, 200).buffer(hole)
    assert shapely.covers(in_hole, cut.geometry).any()
    assert shapely.covers(in_hole, kept.geometry).any() == filled
    outside = ~shapely.covers(in_hole, cut.geometry)
    assert len(kept) == (len(cut) if filled else np.count_nonzero(outside))


def test_lines_that_keep_clear_end_on_the_curve() -> None:
    cloth = runner(50)
    cut = keep_clear(strokes(rows(30), CLOTH, "rows"), cloth, 8)
    curves = clearance_curves(cloth, 8, CLOTH)
    ends = shapely.get_coordinates(shapely.boundary(cut.geometry))
    inner = ends[(ends[:, 0] > 0) & (ends[:, 0] < 400)]
    away = shapely.distance(shapely.points(inner), shapely.union_all(curves))
    assert len(inner) > 10
    assert away.max() < 1e-6
    # 8 mm from the ring: a circle of 108 mm and one of 42 mm (closed form).
    assert shapely.length(curves).sum() == pytest.approx(2 * np.pi * 150, rel=1e-3)


def test_a_curve_ends_at_the_edge_of_its_region() -> None:
    cloth = runner(50)
    half = box(0, 0, 200, 400)
    assert shapely.length(clearance_curves(cloth, 8, half)).sum() == pytest.approx(
        np.pi * 150, rel=1e-3
    )
