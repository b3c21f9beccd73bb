"""Where seams and their crossings lie along the normal of lines, for many slopes at once.

Places count from the low end of each patch, where its lines begin. Patches of one shape with
crossings at the same spots are alike and count once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.seam_misses import SAME_WAY, Seams
from quiltpath.geometry.arrays import Floats, distinct, members
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.straight import directions

TOUCHING_MM = 0.01
LEVEL = 1e-15
"""sine of a slope that is none"""


def crossings(touched: SeamContacts, seams: Seams, most: int) -> Crossings:
    """The crossings on the patches, one at least; a spread of ``most`` where there are more."""
    patch, crossing = touched.crossings.T
    hulls: dict[bytes, int] = {}
    kept: list[Floats] = []
    shape_of = np.zeros(touched.patches, dtype=np.intp)
    low = np.zeros((touched.patches, 2))
    corners_of = members(touched.owner, touched.patches)
    for number in distinct(patch).tolist():
        corners = touched.corners[corners_of[number]]
        low[number] = corners.min(axis=0)
        hull = corners - low[number]
        key = np.round(hull, 3).tobytes()
        if key not in hulls:
            hulls[key] = len(kept)
            kept.append(hull)
        shape_of[number] = hulls[key]
    spots = np.column_stack([shape_of[patch], seams.crossings[crossing] - low[patch]])
    _, first = np.unique(np.round(spots, 3), axis=0, return_index=True)
    spread = distinct(np.linspace(0, len(first) - 1, most).astype(np.intp))
    chosen = spots[first[spread]]
    return Crossings(chosen[:, 1:], chosen[:, 0].astype(np.intp), tuple(kept))


@dataclass(frozen=True)
class SeamContacts:
    """Which seams and crossings lie on which patches, found once for all angles.

    ``corners``, ``owner``   (n, 2) corners of all patches and the patch of each
    ``seams``, ``crossings`` (k, 2) and (j, 2) index of the patch, index of the seam or crossing
    """

    patches: int
    corners: Floats
    owner: NDArray[np.intp]
    seams: NDArray[np.intp]
    crossings: NDArray[np.intp]

    def lows(self, normal: Floats) -> Floats:
        """(p,) low end of each patch along a normal."""
        low = np.full(self.patches, np.inf)
        np.minimum.at(low, self.owner, self.corners @ normal)
        return low


def seam_contacts(patches: Sequence[Patch], seams: Seams) -> SeamContacts:
    """The seams and crossings on each patch; of a patch only its hull matters."""
    shapes = np.empty(len(patches), dtype=object)
    shapes[:] = [patch.shape for patch in patches]
    corners, owner = shapely.get_coordinates(shapely.convex_hull(shapes), return_index=True)
    near = [
        shapely.STRtree(found).query(shapes, predicate="dwithin", distance=TOUCHING_MM).T
        for found in (seams.lines, shapely.points(seams.crossings))
    ]
    return SeamContacts(len(patches), corners, owner, near[0], near[1])


def places(touched: SeamContacts, seams: Seams, angle_deg: float) -> Floats:
    """Distances along the normal, from each patch's low end, of the seams that a line can meet.

    Lines that run the way of some seams meet those; slanting ones meet the crossings.
    """
    normal = directions(angle_deg)[1]
    low = touched.lows(normal)
    parallel = np.flatnonzero(np.abs(seams.directions @ normal) < SAME_WAY)
    if len(parallel):
        patch, seam = touched.seams[np.isin(touched.seams[:, 1], parallel)].T
        points = shapely.get_coordinates(shapely.centroid(seams.lines))[seam]
    else:
        patch, crossing = touched.crossings.T
        points = seams.crossings[crossing]
    return distinct(np.round(points @ normal - low[patch], 6))


@dataclass(frozen=True)
class Crossings:
    """The crossings that slanting lines can meet, each spot of each shape of patch once.

    ``points``  (q, 2) mm, from the lower left corner of their patch's box
    ``shape``   (q,) which hull each lies on
    ``hulls``   corners of each hull, from the same corner of its box
    """

    points: Floats
    shape: NDArray[np.intp]
    hulls: tuple[Floats, ...]

    @property
    def reach_mm(self) -> float:
        """No place is further than this from its patch's low end."""
        return max(float(np.hypot(*np.ptp(hull, axis=0))) for hull in self.hulls)

    def along(self, angles_deg: Floats) -> Floats:
        """(a, q) places along the normal of each slope."""
        normals = _normals(angles_deg)
        lows = np.stack([(normals @ hull.T).min(axis=1) for hull in self.hulls], axis=1)
        found: Floats = normals @ self.points.T - lows[:, self.shape]
        return found


def _normals(angles_deg: Floats) -> Floats:
    """(a, 2) unit vectors square to lines of each slope, as ``straight.directions`` has them."""
    turn = np.radians(angles_deg % 180.0)
    normals = np.stack([np.sin(turn), -np.cos(turn)], axis=1)
    normals[np.abs(normals[:, 0]) < LEVEL] *= -1
    return normals


def widths(hull: Floats, angles_deg: Floats) -> Floats:
    """(a,) extent of a hull along the normal of each slope."""
    width: Floats = np.ptp(_normals(angles_deg) @ hull.T, axis=1)
    return width
