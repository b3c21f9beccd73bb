"""What a photo of a known panel comes to, and how far that is from the truth."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon

from quiltpath.photo.corners import find_corners
from quiltpath.photo.panel_photo import PanelPhoto, read_panel
from quiltpath.photo.projective import inverse, map_points
from quiltpath.photo.reading import photo_in_memory
from quiltpath.photo.straighten import view_of
from tests.photo.scene import Points, Scene


@lru_cache(maxsize=4)
def _measured(scene_id: int) -> PanelPhoto:
    scene = _SCENES[scene_id]
    return read_panel(photo_in_memory(scene.photo()), scene.panel.length, scene.panel.width)


_SCENES: dict[int, Scene] = {}


def measured(scene: Scene) -> PanelPhoto:
    """The scene's photo, read once for the tests that follow one another."""
    _SCENES[id(scene)] = scene
    return _measured(id(scene))


def corners_off_mm(scene: Scene) -> Points:
    """(4,) how far the corners are off, each in the coarsest mm there."""
    found = find_corners(photo_in_memory(scene.photo()), scene.panel.length, scene.panel.width)
    w, h = scene.panel.length, scene.panel.width
    truth = np.array([(0, 0), (w, 0), (w, h), (0, h)], dtype=float)
    view = view_of(found.at_px, w, h, found.lens)
    away = np.hypot(*(found.at_px - scene.seen(truth)).T)
    return np.asarray(away * view.mm_per_px(truth))


def inside_off_mm(scene: Scene, found: PanelPhoto) -> float:
    """The largest distance, all over the panel, of where a pixel is put from where it is."""
    x, y = np.meshgrid(np.linspace(0, scene.panel.length, 25), np.linspace(0, scene.panel.width, 9))
    truth = np.column_stack([x.ravel(), y.ravel()])
    put = map_points(inverse(found.view.to_flat), found.view.lens.straight(scene.seen(truth)))
    return float(np.hypot(*(put - truth).T).max())


def lines_off_mm(scene: Scene, found: PanelPhoto) -> float:
    """The largest distance of a printed line; infinite where their number is not right."""
    pairs = ((found.sashing.along, scene.panel.along), (found.sashing.across, scene.panel.across))
    off = 0.0
    for lines, truth in pairs:
        if len(lines) != len(truth):
            return float("inf")
        off = max(off, float(np.abs(np.array([line.at_mm for line in lines]) - truth).max()))
    return off


def motifs_off_mm(scene: Scene, found: PanelPhoto) -> dict[str, float]:
    """For each block whose motif was found, how far its outline is off in 95 of 100 points, in
    both directions."""
    index = {box[0]: i for i, box in enumerate(scene.panel.block_boxes())}
    blocks = {block.name: block for block in found.sashing.blocks}
    out = {}
    for motif in found.motifs:
        for place in motif.places:
            sign = -1 if place.turned else 1
            middle = np.add(blocks[place.block].middle_mm, place.aside_mm)
            shape = MultiPolygon([Polygon(sign * part.outline) for part in motif.pieces])
            out[place.block] = _apart(
                translate(shape, *middle), Polygon(scene.panel.shape_in(index[place.block]))
            )
    return out


def _apart(one: MultiPolygon, other: Polygon) -> float:
    sides = []
    for a, b in ((one, other), (other, one)):
        points = shapely.get_coordinates(shapely.segmentize(a.boundary, 1.0))
        sides.append(np.quantile(shapely.distance(b.boundary, shapely.points(points)), 0.95))
    return float(max(sides))
