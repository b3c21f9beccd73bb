"""Motifs as the page moves them: where each lies, and how far it may go."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.runner_shapes import PlacedMotif, Runner
from quiltpath.project import Project
from quiltpath.runner.motifs import places_of

Part = dict[str, Any]

Room = tuple[float, float]

KEPT_MM = 25.4 / 32
"""Half a sixteenth of an inch: what writing the other measure down may move it by."""


def motifs_of(project: Project, runner: Runner) -> list[Part]:
    """Every motif, in the runner's order: ``place`` is its block, or the number of its point.

    ``at`` is its middle, ``offset`` how far that lies from the middle of its block, in mm. Of a
    measured print all is told as if it were even. Places are those on the flat top that is shown.
    """
    even = runner.even or runner
    placed = iter(even.motifs)
    found: list[Part] = []
    for entry, motif in enumerate(project.motif):
        places = places_of(motif, even.blocks, shift=even.shift_mm)
        in_blocks = len(places) - len(motif.at)
        for number, (name, (x, y)) in enumerate(places):
            at = [round(x, 2), round(y, 2)]
            part = {"entry": entry, "name": motif.name, "size": _size_mm(next(placed)), "at": at}
            where = {"place": name, "offset": list(motif.offset)}
            found.append(
                {**part, **(where if number < in_blocks else {"place": number - in_blocks})}
            )
    return found


def _size_mm(motif: PlacedMotif) -> float:
    low_x, low_y, high_x, high_y = motif.shape.bounds
    return round(max(high_x - low_x, high_y - low_y), 2)


def rooms_of(project: Project, runner: Runner) -> list[Part]:
    """For each of :func:`motifs_of` the lowest and highest place of its middle, in mm."""
    even = runner.even or runner
    found = []
    for motif, (x_room, y_room) in zip(motifs_of(project, runner), rooms(even), strict=True):
        x, y = motif["at"]
        found.append({"x": [x + by for by in x_room], "y": [y + by for by in y_room]})
    return found


def rooms(runner: Runner) -> list[tuple[Room, Room]]:
    """How far each motif of ``runner`` may move along x and along y, back and forth, in mm.

    Two shapes that move towards each other without turning meet first where a corner of one meets
    a side of the other, so the least way from corners to sides is exact for any outline.
    """
    edge = _corners(runner.outline)
    found = []
    for motif in runner.motifs:
        hull = motif.shape.convex_hull.buffer(KEPT_MM, join_style="mitre")
        corners = _corners(hull)
        found.append((_along(corners, edge), _along(corners[:, ::-1], edge[:, ::-1])))
    return found


def _corners(shape: Polygon) -> Floats:
    return shapely.get_coordinates(shape.exterior)


def _along(inner: Floats, outer: Floats) -> Room:
    """How far ``inner``, a closed ring, may go back and forth along the first axis."""
    back, forth = -1.0, 1.0
    return back * _way(inner, outer, back), forth * _way(inner, outer, forth)


def _way(inner: Floats, outer: Floats, sign: float) -> float:
    return min(_least(inner, outer, sign), _least(outer, inner, -sign))


def _least(points: Floats, ring: Floats, sign: float) -> float:
    """The least way along the first axis from any of ``points`` to a side of ``ring``, if any."""
    x, y = points[:, :1], points[:, 1:]
    (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
    spans = (np.minimum(y0, y1) <= y) & (y <= np.maximum(y0, y1)) & (y0 != y1)
    share = (y - y0) / np.where(y0 == y1, 1.0, y1 - y0)
    ways = sign * (x0 + share * (x1 - x0) - x)
    ahead = spans & (ways >= 0)
    return float(ways[ahead].min()) if ahead.any() else math.inf
