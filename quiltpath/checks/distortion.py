"""How a piece will lie whose quilting is denser in one place than in another.

Dense quilting draws the cloth up more than sparse does. Each place would shrink by a share of its
own, the cloth round it does not let it: what comes of that is plane stress (``plane_stress.py``).
The shares have the mean that the runner's states tell, and as in any free sheet so has the size
that comes out; even quilting only makes the piece smaller.

Cloth counts as equally stiff in all places and ways, and as drawn up alike both ways.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import Polygon

from quiltpath.checks.plane_stress import Displacement, PlaneStress
from quiltpath.checks.spread_density import DensityCells, density_cells
from quiltpath.geometry.arrays import Floats, Geometries, Points
from quiltpath.units import MM_PER_INCH

STATIONS = 33
"""Places along each side at which the piece is measured: ends, middle and those between."""

INSET = 1e-6
"""Share of a side that the outermost stations keep from the ends, to lie on the cloth."""

OUTLINE_STEP_MM = 25.0

TOLD_MM = MM_PER_INCH / 8
"""Less nobody finds with a ruler on quilted cloth."""
SEEN_MM = MM_PER_INCH / 4
"""So much is seen: a binding sewn 1/4 in from the edge comes off the top (common practice: a piece
is square that is true to 1/4 in)."""


@dataclass(frozen=True)
class EdgeBow:
    """One side of the piece, and how far it strays from the straight line between its ends.

    ``bow_mm`` is the greatest distance, outwards positive, beyond that of an even draw-up.
    """

    name: str
    bow_mm: float


@dataclass(frozen=True)
class Sizes:
    """What the piece measures across one way, at places along the other.

    ``at_mm``    (k,) places on the flat top, from the left end or the lower edge
    ``more_mm``  (k,) how much more it measures there than if it were drawn up evenly
    ``low``, ``high``  the two edges it is measured between
    """

    at_mm: Floats
    more_mm: Floats
    low: EdgeBow
    high: EdgeBow

    @property
    def spread_mm(self) -> float:
        """The largest size less the smallest, beyond what the outline itself asks for."""
        return float(np.ptp(self.more_mm))

    @property
    def curve_mm(self) -> float:
        """How far both edges curve the same way, positive towards the higher one."""
        return (self.high.bow_mm - self.low.bow_mm) / 2

    @property
    def worst_mm(self) -> float:
        """The largest of spread and bows."""
        return max(self.spread_mm, abs(self.low.bow_mm), abs(self.high.bow_mm))


@dataclass(frozen=True)
class RestingPlace:
    """Where points of the flat top come to lie, the piece moved as a whole onto its even outline.

    ``shift`` and ``turn`` (mm, radians) move it so, ``taken_up`` is the share of the even draw-up.
    """

    moved: Displacement
    shift: Floats
    turn: float
    taken_up: float

    def at(self, points: Points) -> Points:
        """(n, 2) places of points after quilting, mm."""
        return points + self.moved.at(points) + self.shift + self.turn * _across(points)

    def even(self, points: Points) -> Points:
        """(n, 2) places of points if the piece were drawn up evenly."""
        return (1 - self.taken_up) * points

    def off(self, points: Points) -> Points:
        """(n, 2) how far each lies from where an even draw-up would have it."""
        return self.at(points) - self.even(points)


@dataclass(frozen=True)
class Distortion:
    """The quilted piece before it is squared up, in mm.

    ``widths``      across, at places along
    ``lengths``     along, at places across
    ``placed``      where every point of the flat top comes to lie
    ``ring_mm``     (n, 2) the outline on the flat top, close enough to be bent
    ``share``       (least, most) share by which quilting draws up single places
    ``sparse_mm``   (x, y) on the flat top of the place with the sparsest quilting
    """

    widths: Sizes
    lengths: Sizes
    placed: RestingPlace
    ring_mm: Points
    share: tuple[float, float]
    sparse_mm: tuple[float, float]

    @property
    def worst_mm(self) -> float:
        """The largest difference of sizes, and bow of an edge."""
        return max(self.widths.worst_mm, self.lengths.worst_mm)

    @property
    def off_mm(self) -> float:
        """How far any point of the edge lies from where an even draw-up would have it."""
        return float(np.hypot(*self.placed.off(self.ring_mm).T).max())


@dataclass(frozen=True)
class QuiltedSheet:
    """An outline with its quilting, ready to be asked how it lies.

    ``lines``     (n,) LineStrings, mm
    ``taken_up``  share that quilting takes as a whole, as the states tell it
    ``local``     share that cloth of each density (m of line on a square metre) would be drawn up
                  by, alone
    """

    outline: Polygon
    lines: Geometries
    taken_up: float
    local: Callable[[Floats], Floats]

    @cached_property
    def cells(self) -> DensityCells:
        """The cells of the cloth."""
        return density_cells(self.outline, self.lines)

    @cached_property
    def _elastic(self) -> PlaneStress:
        return PlaneStress(self.cells.sheet)

    @cached_property
    def m_per_m2(self) -> Floats:
        """(rows, columns) density of its lines in each cell."""
        return self.cells.m_per_m2(self.lines)

    def shares(self, m_per_m2: Floats) -> Floats:
        """(rows, columns) share that each cell would be drawn up by, with the told mean."""
        alone = self.local(m_per_m2)
        return np.asarray(alone + (self.taken_up - self.cells.mean(alone)))

    def lies(self, m_per_m2: Floats | None = None) -> Distortion:
        """How the piece lies with its own lines, or with another density in each cell."""
        m_per_m2 = self.m_per_m2 if m_per_m2 is None else m_per_m2
        shares = self.shares(m_per_m2)
        moved = self._elastic.displaced(shares)
        bent = shapely.segmentize(self.outline.exterior, OUTLINE_STEP_MM)
        ring = shapely.get_coordinates(bent)[:-1]
        shift, turn = _rigid(ring, moved.at(ring) + self.taken_up * ring)
        placed = RestingPlace(moved, shift, turn, self.taken_up)
        cover = self.cells.sheet.cover
        cloth = cover >= min(0.5, float(cover.max()))
        sparse = np.unravel_index(int(np.argmin(np.where(cloth, m_per_m2, np.inf))), cloth.shape)
        return Distortion(
            _sizes(self.outline, placed, 0, ("lower edge", "upper edge")),
            _sizes(self.outline, placed, 1, ("left end", "right end")),
            placed,
            ring,
            (float(shares[cloth].min()), float(shares[cloth].max())),
            self.cells.middle_mm(*map(int, sparse)),
        )


def _across(points: Points) -> Points:
    """(n, 2) points turned by a quarter."""
    return np.stack([-points[:, 1], points[:, 0]], axis=1)


def _rigid(points: Points, off: Points) -> tuple[Floats, float]:
    """Small shift and turn that take as much as they can from how far points are off, by least
    squares; a turn counts as small, as everything in linear elasticity does."""
    out = _across(points - points.mean(axis=0))
    turn = -float((out * off).sum() / (out**2).sum())
    return -(off + turn * _across(points)).mean(axis=0), turn


def _sizes(outline: Polygon, placed: RestingPlace, axis: int, names: tuple[str, str]) -> Sizes:
    """Sizes across ``axis`` at stations along it."""
    low, high = np.array(outline.bounds).reshape(2, 2)[:, axis]
    at = np.linspace(low, high, STATIONS)
    at[[0, -1]] += np.array([1, -1]) * INSET * (high - low)
    ends = _ends(outline, at, axis)
    off_low, off_high = (placed.off(points)[:, 1 - axis] for points in ends)
    return Sizes(
        at - low,
        off_high - off_low,
        EdgeBow(names[0], -_bow(at, off_low)),
        EdgeBow(names[1], _bow(at, off_high)),
    )


def _ends(outline: Polygon, at: Floats, axis: int) -> tuple[Points, Points]:
    """(k, 2) lowest and highest points of the cloth on the lines across ``axis``."""
    reach = np.array(outline.bounds).reshape(2, 2)[:, 1 - axis] + [-1.0, 1.0]
    lines = np.empty((len(at), 2, 2))
    lines[..., axis], lines[..., 1 - axis] = at[:, None], reach
    crossed = shapely.bounds(shapely.intersection(shapely.linestrings(lines), outline))
    return crossed[:, :2], crossed[:, 2:]


def _bow(at: Floats, off: Floats) -> float:
    """The greatest distance from the straight line between the ends, with its sign."""
    from_chord = off - np.interp(at, at[[0, -1]], off[[0, -1]])
    return float(from_chord[int(np.abs(from_chord).argmax())])
