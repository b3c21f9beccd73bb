"""Smooth closed and open curves through points, as chords that stray at most a little."""

from __future__ import annotations

import numpy as np
import shapely
from scipy.interpolate import CubicSpline

from quiltpath.geometry.arrays import Points, arc_lengths

STRAY_MM = 0.015
"""Less than a needle hole is wide: what is left out of a curve is not seen."""


def smooth_closed(points: Points, step_mm: float) -> Points:
    """The closed cubic B-spline of evenly spaced points (n, 2) in mm; its last repeats the first.

    It passes within a sixth of each point's bend, and its curvature has no jumps.
    """
    eased = (np.roll(points, 1, axis=0) + 4 * points + np.roll(points, -1, axis=0)) / 6
    closed = np.vstack([eased, eased[:1]])
    way = arc_lengths(closed)
    at = np.linspace(0, way[-1], max(16, int(np.ceil(way[-1] / step_mm))) + 1)
    curve = CubicSpline(way, closed, bc_type="periodic")(at)
    curve[-1] = curve[0]
    return simplify_curve(curve)


def smooth_open(points: Points, step_mm: float) -> Points:
    """The natural cubic spline through an open line (n, 2) in mm."""
    if len(points) < 3:
        return points
    way = arc_lengths(points)
    at = np.linspace(0, way[-1], max(2, int(np.ceil(way[-1] / step_mm)) + 1))
    return simplify_curve(CubicSpline(way, points, bc_type="natural")(at))


def simplify_curve(curve: Points) -> Points:
    """The curve without points that lie within ``STRAY_MM`` of the chord that passes them."""
    return shapely.get_coordinates(shapely.LineString(curve).simplify(STRAY_MM))


def turning_radius_mm(closed: Points) -> np.ndarray:
    """Radius of the circle through three consecutive points of a closed line, one a point."""
    before, after = np.roll(closed, 1, axis=0), np.roll(closed, -1, axis=0)
    a, b, c = closed - before, after - closed, after - before
    area = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    sides = np.hypot(*a.T) * np.hypot(*b.T) * np.hypot(*c.T)
    return sides / np.maximum(2 * area, 1e-12)
