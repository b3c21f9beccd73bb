"""Direction fields: which way lines run at a point. Only the line counts, not its sense.

A field takes (n, 2) points in mm and returns (n, 2) vectors of any length.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import Points
from quiltpath.geometry.free_curves.repeat_along import spine_through

Field = Callable[[Points], Points]

SPINE_PIECES = 240
NEAREST_COUNTS = 4
"""Weights fall with this power of the distance: close by, the nearest of the spine decides."""

PANELS = 480
AT_ONCE = 2_000  # points, for the sake of memory
FAR, TERMS = 2.5, 10  # radii of a motif, and terms of the series that tells of it from there
PANELS_A_MOTIF = (16, 80)


def straight(heading_deg: float) -> Field:
    """Lines at one angle to the runner."""
    angle = np.radians(heading_deg)
    return lambda at: np.tile([np.cos(angle), np.sin(angle)], (len(at), 1))


def radial(centre_mm: tuple[float, float], twist_deg: float = 0.0) -> Field:
    """Rays from a centre; turned by ``twist_deg`` they are spirals that cross each ray at that
    angle (logarithmic spirals), at 90 degrees circles."""
    turn = np.exp(1j * np.radians(twist_deg))

    def field(at: Points) -> Points:
        way = (at[:, 0] - centre_mm[0] + 1j * (at[:, 1] - centre_mm[1])) * turn
        return np.stack([way.real, way.imag], axis=1)

    return field


def along_spine(spine: Points, turn_deg: float = 0.0) -> Field:
    """Lines beside a smooth curve through (n, 2) points in mm, n from 2, as rows follow a path.

    The mean of the curve's directions, weighted by inverse distance: D. Shepard, "A two-dimensional
    interpolation function for irregularly-spaced data", ACM National Conference 1968; doubled
    angles, so that a curve that turns back has lines and no opposites beside it. ``turn_deg`` turns
    all of them, so that they cross the curve at that angle. Raises
    ``ValueError`` where two points that follow each other are the same.
    """
    curve = spine_through(spine)
    at = np.linspace(0, float(curve.x[-1]), SPINE_PIECES + 1)
    places, ways = curve(at), curve(at, 1)
    doubled = (ways[:, 0] + 1j * ways[:, 1]) ** 2
    size = np.abs(doubled)
    doubled *= np.exp(2j * np.radians(turn_deg)) / np.where(size > 0, size, 1.0)  # 0 at a cusp
    near = (float(curve.x[-1]) / SPINE_PIECES) ** 2

    def field(points: Points) -> Points:
        found = np.empty(len(points), dtype=np.complex128)
        for piece in np.array_split(np.arange(len(points)), len(points) // AT_ONCE + 1):
            x, y = (points[piece, k, None] - places[:, k] for k in (0, 1))
            weight = (x * x + y * y + near) ** (-NEAREST_COUNTS / 2)
            found[piece] = np.sqrt(weight @ doubled)
        return np.stack([found.real, found.imag], axis=1)

    return field


def water(motifs: Sequence[Polygon], heading_deg: float = 0.0) -> Field:
    """Lines that part before motifs and close behind them, as an even stream does.

    The potential flow past bodies, by source panels: J. L. Hess and A. M. O. Smith, "Calculation of
    potential flow about arbitrary bodies", Prog. Aerospace Sci. 8, 1967.
    """
    stream = np.exp(-1j * np.radians(heading_deg))  # complex velocity u - iv
    if not motifs:
        return straight(heading_deg)
    start, end = _panels(motifs)
    tangent = (end - start) / np.abs(end - start)
    middle = (start + end) / 2
    seen = _panel_velocity(middle, start, end) * (tangent * -1j)[:, None]
    normal = seen.real  # of u - iv times n = n_x + i n_y: the part along n
    np.fill_diagonal(normal, 0.5)
    strength = np.linalg.solve(normal, -(stream * tangent * -1j).real)

    parts = (np.split(each, len(motifs)) for each in (start, end, strength))
    bodies = [_Body(*panels) for panels in zip(*parts, strict=True)]

    def field(at: Points) -> Points:
        where = at[:, 0] + 1j * at[:, 1]
        flow = stream + sum(body.velocity(where) for body in bodies)
        return np.stack([flow.real, -flow.imag], axis=1)

    return field


@dataclass(frozen=True)
class _Body:
    """The panels of one motif, each with its strength."""

    start: NDArray[np.complex128]
    end: NDArray[np.complex128]
    strength: NDArray[np.float64]

    def velocity(self, at: NDArray[np.complex128]) -> NDArray[np.complex128]:
        """Complex velocity (points,) of all panels: one by one where they are near, from afar as
        the multipole series that the logarithms come to, good to a ten-thousandth."""
        middle = self.start.mean()
        away = at - middle
        far = np.abs(away) > FAR * np.abs(self.start - middle).max()
        flow = np.empty(len(at), dtype=np.complex128)
        flow[far] = self._from_afar(middle, away[far])
        near = np.flatnonzero(~far)
        for piece in np.array_split(near, len(near) // AT_ONCE + 1):
            flow[piece] = _induced(at[piece], self.start, self.end, self.strength)
        return flow

    def _from_afar(
        self, middle: np.complex128, away: NDArray[np.complex128]
    ) -> NDArray[np.complex128]:
        start, end = self.start - middle, self.end - middle
        weight = self.strength / (2 * np.pi * (end - start) / np.abs(end - start))
        series = [(weight * (end**k - start**k)).sum() / k for k in range(1, TERMS + 1)]
        inverse = 1 / away
        flow = np.zeros(len(away), dtype=np.complex128)
        for term in reversed(series):
            flow += term
            flow *= inverse
        return flow


def _panels(motifs: Sequence[Polygon]) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Straight panels round each motif, anticlockwise, so that -i times the way is outward."""
    count = int(np.clip(PANELS // len(motifs), *PANELS_A_MOTIF))
    starts, ends = [], []
    for motif in motifs:
        ring = shapely.orient_polygons(motif).exterior
        at = np.linspace(0, ring.length, count + 1)[:-1]
        xy = shapely.get_coordinates(shapely.line_interpolate_point(ring, at))
        z = xy[:, 0] + 1j * xy[:, 1]
        starts.append(z)
        ends.append(np.roll(z, -1))
    return np.concatenate(starts), np.concatenate(ends)


def _induced(
    at: NDArray[np.complex128],
    start: NDArray[np.complex128],
    end: NDArray[np.complex128],
    strength: NDArray[np.float64],
) -> NDArray[np.complex128]:
    """Complex velocity (points,) of all panels at their strengths.

    The same as their velocities times their strengths, in real numbers: logarithm and angle of the
    ratio of the two ways from the point to a panel's ends cost a third of a complex logarithm.
    """
    x, y = at.real[:, None], at.imag[:, None]
    from_x, from_y = x - start.real, y - start.imag
    to_x, to_y = x - end.real, y - end.imag
    near, far = (np.maximum(a * a + b * b, 1e-18) for a, b in ((to_x, to_y), (from_x, from_y)))
    growth = 0.5 * np.log(far / near)
    turn = np.arctan2(to_x * from_y - to_y * from_x, to_x * from_x + to_y * from_y)
    weight = strength / (2 * np.pi * (end - start) / np.abs(end - start))
    real = growth @ weight.real - turn @ weight.imag
    return np.asarray(real + 1j * (growth @ weight.imag + turn @ weight.real))


def _panel_velocity(
    at: NDArray[np.complex128], start: NDArray[np.complex128], end: NDArray[np.complex128]
) -> NDArray[np.complex128]:
    """Complex velocity (points, panels) of a source of unit strength a mm spread on each panel."""
    along = (end - start) / np.abs(end - start)
    ratio = (at[:, None] - start) / np.where(at[:, None] == end, 1e-9, at[:, None] - end)
    return np.log(np.where(ratio == 0, 1e-9, ratio)) / (2 * np.pi * along)
