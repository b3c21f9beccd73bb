"""A small runner with lines, runs and stitches, put together by hand for the drawing tests."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, box

from quiltpath.geometry.runner_shapes import PlacedMotif, Region, RegionKind, Runner, Seam
from quiltpath.patterns import Lines, draw
from quiltpath.patterns.kinds import KINDS
from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import Runs
from quiltpath.stitching import Stitches, place

LENGTH, WIDTH = 400.0, 200.0


def galley_runner() -> Runner:
    """400 x 200 mm: two blocks, a strip between them, one round motif with a hole, a join."""
    blocks = (
        Region("A1", RegionKind.BLOCK, box(25, 25, 175, 175)),
        Region("B1", RegionKind.BLOCK, box(225, 25, 375, 175)),
    )
    upright = [LineString([(x, 0), (x, WIDTH)]) for x in (25, 175, 225, 375)]
    ring = Point(100, 100).buffer(40, 64).difference(Point(100, 100).buffer(15, 32))
    circles = (LineString(ring.exterior.coords), LineString(ring.interiors[0].coords))
    return Runner(
        box(0, 0, LENGTH, WIDTH),
        regions=blocks,
        printed=tuple(upright),
        motifs=(PlacedMotif("lifebelt", "A1", MultiPolygon([ring]), circles),),
        seams=(Seam("panel join", LineString([(200, 0), (200, WIDTH)]), is_panel_join=True),),
        margin_mm=75.0,
    )


def layer(kind: str, **keys: object) -> object:
    """A layer as the project file would give it; bare numbers are mm."""
    return KINDS[kind].model.model_validate({"kind": kind, **keys}, context={"units": "mm"})


def quilting(runner: Runner) -> Lines:
    """Lengthwise lines, the sashing, the motif and two echoes."""
    return draw(
        runner,
        [
            layer("sashing", name="along the sashing"),
            layer("motif", name="lifebelt"),
            layer("echo", name="ripples", spacing=10, rings=2),
            layer("straight", name="lengthwise", spacing=25, clearance=12),
        ],
    )


def a_run_a_line(lines: Lines, runner: Runner) -> Runs:
    """Every line as a run of its own, in the order drawn."""
    points, index = shapely.get_coordinates(lines.geometry, return_index=True)
    start = np.concatenate([[0], np.cumsum(np.bincount(index))]).astype(np.intp)
    count = len(lines)
    ends = np.stack([points[start[:-1]], points[start[1:] - 1]], axis=1)
    return Runs(
        points,
        start,
        np.zeros(count, np.int8),
        np.arange(count, dtype=np.int32),
        np.arange(count + 1, dtype=np.intp),
        np.zeros(count, np.int8),
        shapely.contains(runner.outline, shapely.points(ends)),
        count,
        turns=0,
    )


def stitched(runs: Runs) -> Stitches:
    """3.2 mm stitches within 3.0 to 3.5 mm."""
    return place(runs, StitchSection())
