"""Lines cut away where they would come too near a motif."""

from __future__ import annotations

import numpy as np
import shapely

from quiltpath.quilting.echo import arc_pieces
from quiltpath.quilting.strokes import Geometries, Strokes, objects, pieces
from quiltpath.runner.runner import Runner


def kept_clear(drawn: Strokes, runner: Runner, clearance_mm: float) -> Strokes:
    """The strokes without what lies within ``clearance_mm`` of any motif.

    A tree finds which lines meet which motifs, so that each line is cut by its own motifs alone;
    all cuts are one vectorised difference.
    """
    zones = _zones(runner, clearance_mm)
    line, zone = shapely.STRtree(zones).query(drawn.geometry, predicate="intersects")
    if not len(line):
        return drawn
    order = np.lexsort((zone, line))
    line, zone = line[order], zone[order]
    affected, place = np.unique(line, return_inverse=True)
    barred = shapely.multipolygons(zones[zone], indices=place)
    cut = drawn.geometry.copy()
    cut[affected] = shapely.difference(drawn.geometry[affected], barred)
    return pieces(drawn, cut)


def _zones(runner: Runner, clearance_mm: float) -> Geometries:
    """Disjoint polygons that lines stay out of."""
    shapes = objects([motif.shape for motif in runner.motifs])
    if clearance_mm > 0:
        shapes = shapely.buffer(shapes, clearance_mm, quad_segs=arc_pieces(clearance_mm))
    parts = shapely.get_parts(shapely.union_all(shapes))
    return parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]
