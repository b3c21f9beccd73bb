"""Runners for the tests of quilting, built by hand: no file, no grid arithmetic."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box

from quiltpath.geometry.runner_shapes import PlacedMotif, Region, RegionKind, Runner
from quiltpath.patterns import Lines, draw
from quiltpath.patterns.kinds import KINDS
from quiltpath.patterns.layer import Layer

LENGTH, WIDTH = 1830.0, 320.0

FIGURES = {word: kind for word, kind in KINDS.items() if kind.is_figure}
"""The repertoire: whatever the registry holds that fills a patch with figures."""


def plain(length: float = LENGTH, width: float = WIDTH, **more: object) -> Runner:
    """A rectangular runner with 3 in of wadding round it."""
    return Runner(box(0, 0, length, width), margin_mm=76.2, **more)


def disc(x: float, y: float, radius: float, name: str = "plate", place: str = "A1") -> PlacedMotif:
    """A round motif, its outline within 0.01 mm of the true circle."""
    shape = Point(x, y).buffer(radius, 128)
    return PlacedMotif(name, place, MultiPolygon([shape]), (LineString(shape.exterior.coords),))


def sashed() -> Runner:
    """Two 200 mm blocks with a 50 mm strip between them and 25 mm round the outside."""
    blocks = (
        Region("A1", RegionKind.BLOCK, box(25, 25, 225, 225)),
        Region("B1", RegionKind.BLOCK, box(275, 25, 475, 225)),
    )
    strips = (
        Region("sashing 1", RegionKind.SASHING, box(225, 0, 275, 250)),
        Region("sashing 2", RegionKind.OUTER_SASHING, box(25, 0, 225, 25)),
    )
    upright = [LineString([(x, 0), (x, 250)]) for x in (25, 225, 275, 475)]
    lengthwise = [LineString([(0, y), (500, y)]) for y in (25, 225)]
    return Runner(
        box(0, 0, 500, 250),
        regions=blocks + strips,
        printed=(*upright, *lengthwise),
        margin_mm=76.2,
    )


def pointed() -> Runner:
    """A runner with a right-angled point at each end."""
    shape = Polygon([(0, 150), (150, 0), (1350, 0), (1500, 150), (1350, 300), (150, 300)])
    return Runner(shape, margin_mm=76.2)


def layer(kind: str, **keys: object) -> Layer:
    """A layer as the project file would give it; bare numbers are mm."""
    return KINDS[kind].model.model_validate({"kind": kind, **keys}, context={"units": "mm"})


def drawn(runner: Runner, kind: str, **keys: object) -> Lines:
    """The lines of one layer, without overrun unless asked."""
    return draw(runner, [layer(kind, **{"overrun": 0, **keys})])


def levels(lines: Lines) -> np.ndarray:
    """Sorted heights of lengthwise lines."""
    return np.sort(shapely.get_coordinates(shapely.centroid(lines.geometry))[:, 1])


def stations(lines: Lines) -> np.ndarray:
    """Sorted places along the runner of crosswise lines."""
    return np.sort(shapely.get_coordinates(shapely.centroid(lines.geometry))[:, 0])
