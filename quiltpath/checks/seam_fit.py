"""The spacing, offset and angle at which a family of lines meets or halves all seams together.

Lines lie at offset + k x gap along their normal. A seam is met where it lies on a line and halved
where it lies in the middle between two, so the lattice that counts has half the gap as its pitch.
For a given gap the best offset is exact: the seams' places, folded onto a circle of half a gap,
lie on a shortest arc (the circle less its widest empty stretch), and the middle of that arc has
the least greatest distance to them. Gaps tried are the region's width over a whole number;
angles tried are the wish and the directions from crossing to crossing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks.seams import SAME_WAY, Seams
from quiltpath.distinct import distinct
from quiltpath.quilting.region import Patch
from quiltpath.quilting.straight import directions, extent

Floats = NDArray[np.float64]

GAP_SHARE = (0.75, 1.34)
"""a gap may leave the one wished for by a quarter less or a third more"""

GOOD_MM = 1.0
"""A seam this near a line or a middle looks met or halved."""

ANGLE_DEG = 7.5
MOST_ANGLES = 64
MOST_CROSSINGS = 120
"""Directions are taken between so many crossings, from the left: the grid repeats."""

TOUCHING_MM = 0.01


@dataclass(frozen=True)
class SeamFit:
    """Lines that fit the seams: ``number`` gaps of ``gap_mm`` over the first patch.

    ``offset_mm``  first line from the patch's low end, as ``anchor`` in the project file
    ``angles_deg`` one angle, or two for a grid
    ``worst_mm``   greatest distance of a seam from the nearest line or middle between two
    ``met``, ``halved``  how many seams or crossings lie nearer a line, or nearer a middle
    """

    number: int
    gap_mm: float
    offset_mm: float
    angles_deg: tuple[float, ...]
    worst_mm: float
    met: int
    halved: int

    @property
    def good(self) -> bool:
        """True where all seams look met or halved."""
        return self.worst_mm <= GOOD_MM


def best_offset(places: Floats, gaps: Floats) -> tuple[Floats, Floats]:
    """(g,) offsets in 0 .. gap / 2 and (g,) greatest misses for (f,) places and (g,) gaps."""
    half = gaps / 2
    folded = np.sort(places[None, :] % half[:, None], axis=1)
    onward = np.concatenate([folded[:, 1:], folded[:, :1] + half[:, None]], axis=1)
    empty = onward - folded
    widest = empty.argmax(axis=1)
    rows = np.arange(len(gaps))
    worst = (half - empty[rows, widest]) / 2
    return (onward[rows, widest] + worst) % half, worst


def seam_fit(
    patches: Sequence[Patch], seams: Seams, gap_mm: float, angles_deg: tuple[float, ...]
) -> SeamFit | None:
    """The best fit near a wished gap and angle, or None where no seam crosses the patches.

    The least greatest miss to a tenth of a millimetre wins, then the nearest to the wish.
    """
    found: list[tuple[float, float, int, SeamFit]] = []
    if not len(seams.lines):
        return None
    touching = _touching(patches, seams)
    for turn in _turns(seams, angles_deg):
        turned = _turned(angles_deg, turn)
        places = np.concatenate([_places(touching, seams, angle) for angle in turned])
        if len(places):
            fit = _fit(patches, places, gap_mm, turned)
            away = abs(math.log(fit.gap_mm / gap_mm)) + abs(math.radians(turn))
            found.append((round(fit.worst_mm, 1), away, len(found), fit))
    return min(found)[-1] if found else None


def _fit(
    patches: Sequence[Patch], places: Floats, gap_mm: float, angles: tuple[float, ...]
) -> SeamFit:
    """The best fit at these angles."""
    low, high = extent(patches[0].shape, directions(angles[0])[1])
    width = high - low
    first = max(1, math.ceil(width / (gap_mm * GAP_SHARE[1])))
    numbers = np.arange(first, max(first, math.floor(width / (gap_mm * GAP_SHARE[0]))) + 1)
    gaps = width / numbers
    offsets, worst = best_offset(places, gaps)
    away = np.abs(np.log(gaps / gap_mm))
    at = int(np.lexsort([away, np.round(worst, 1)])[0])
    gap, offset = float(gaps[at]), float(offsets[at])
    met = _met(places, gap, offset)
    if 2 * met < len(places):
        offset, met = offset + gap / 2, len(places) - met
    offset %= gap
    offset = 0.0 if min(offset, gap - offset) < TOUCHING_MM else offset
    return SeamFit(int(numbers[at]), gap, offset, angles, float(worst[at]), met, len(places) - met)


def _met(places: Floats, gap: float, offset: float) -> int:
    """How many places lie nearer a line than the middle between two."""
    share = ((places - offset) / gap) % 1.0
    return int(np.count_nonzero((share < 0.25) | (share >= 0.75)))


@dataclass(frozen=True)
class _Touching:
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


def _touching(patches: Sequence[Patch], seams: Seams) -> _Touching:
    shapes = np.empty(len(patches), dtype=object)
    shapes[:] = [patch.shape for patch in patches]
    corners, owner = shapely.get_coordinates(shapes, return_index=True)
    near = [
        shapely.STRtree(found).query(shapes, predicate="dwithin", distance=TOUCHING_MM).T
        for found in (seams.lines, shapely.points(seams.crossings))
    ]
    return _Touching(len(patches), corners, owner, near[0], near[1])


def _places(touching: _Touching, seams: Seams, angle_deg: float) -> Floats:
    """Distances along the normal, from each patch's low end, of the seams that a line can meet.

    Lines that run the way of some seams meet those; slanting ones meet the crossings.
    """
    normal = directions(angle_deg)[1]
    low = touching.lows(normal)
    parallel = np.flatnonzero(np.abs(seams.directions @ normal) < SAME_WAY)
    if len(parallel):
        patch, seam = touching.seams[np.isin(touching.seams[:, 1], parallel)].T
        points = shapely.get_coordinates(shapely.centroid(seams.lines))[seam]
    else:
        patch, crossing = touching.crossings.T
        points = seams.crossings[crossing]
    return distinct(np.round(points @ normal - low[patch], 6))


def _turns(seams: Seams, angles_deg: tuple[float, ...]) -> list[float]:
    """Degrees by which the first angle may turn: none, or towards lines through two crossings.

    Lines that run the way of a seam stay; so does a grid whose families are no mirror images.
    """
    mirrored = len(angles_deg) == 1 or abs((sum(angles_deg) + 1e-9) % 180) < 1e-6
    normal = directions(angles_deg[0])[1]
    fixed = not len(seams.crossings) or (np.abs(seams.directions @ normal) < SAME_WAY).any()
    if fixed or not mirrored:
        return [0.0]
    around = seams.crossings[:MOST_CROSSINGS]
    one, other = np.triu_indices(len(around), 1)
    ahead = around[other] - around[one]
    slope = np.degrees(np.arctan2(ahead[:, 1], ahead[:, 0]))
    turn = distinct(np.round((slope - angles_deg[0] + 90) % 180 - 90, 6))
    turn = turn[np.abs(turn) <= ANGLE_DEG]
    nearest = turn[np.argsort(np.abs(turn), kind="stable")][:MOST_ANGLES]
    return [0.0, *nearest.tolist()]


def _turned(angles_deg: tuple[float, ...], by: float) -> tuple[float, ...]:
    """The angles with the first turned one way and its mirror image the other."""
    return tuple(angle + (by if index == 0 else -by) for index, angle in enumerate(angles_deg))
