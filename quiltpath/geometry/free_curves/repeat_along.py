"""A drawn repeat led along a smooth curve that goes where a person wants it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from scipy.interpolate import CubicSpline
from shapely.geometry import LineString

from quiltpath.geometry.arrays import Points, arc_lengths
from quiltpath.geometry.free_curves.smooth_curve import simplify_curve

CHORDS = 160  # to a repeat, at least
STEP_MM = 1.0


def spine_through(points: Points) -> CubicSpline:
    """The natural cubic spline through (n, 2) points in mm, n from 2, by the way along its chords.

    Raises ``ValueError`` where two points that follow each other are the same.
    """
    steps = np.hypot(*np.diff(points, axis=0).T)
    if steps.min(initial=np.inf) <= 0:
        raise ValueError("two points of the spine are the same; leave one of them out")
    return CubicSpline(np.concatenate([[0.0], np.cumsum(steps)]), points, bc_type="natural")


def repeat_along(
    spine: Points, parts: Sequence[Points], advance: float, count_for: float, joined: bool
) -> list[Points]:
    """Lines (n, 2) in mm of a drawing repeated along the spine through ``spine`` (n, 2).

    ``parts`` are the paths of one repeat, ``advance`` long; a whole number of repeats of about
    ``count_for`` mm fills the spine from end to end, and bends with it. ``joined`` says that the
    first part leads from one repeat to the next: then it is one line. What lies at height 0 of
    the drawing lies on the spine; heights go to its left. Raises ``ValueError`` where the spine
    turns so tightly that the drawing would fold.
    """
    curve = spine_through(spine)
    at = np.linspace(0, float(curve.x[-1]), max(2, round(float(curve.x[-1]) / STEP_MM)) + 1)
    places = curve(at)
    way = arc_lengths(places)
    count = max(1, round(float(way[-1]) / count_for))
    scale = float(way[-1]) / count / advance
    _refuse_folds(curve, at, scale * max(float(np.abs(part[:, 1]).max()) for part in parts))

    def placed(part: Points, number: int) -> Points:
        dense = shapely.get_coordinates(shapely.segmentize(LineString(part), advance / CHORDS))
        along = np.interp((dense[:, 0] + number * advance) * scale, way, at)
        heading = curve(along, 1)
        left = np.stack([-heading[:, 1], heading[:, 0]], axis=1)
        left /= np.hypot(*left.T)[:, None]
        return np.asarray(curve(along) + left * (dense[:, 1:] * scale))

    lines = []
    for number, part in enumerate(parts):
        repeats = [placed(part, each) for each in range(count)]
        if joined and number == 0:
            repeats = [np.concatenate([repeats[0], *(line[1:] for line in repeats[1:])])]
        lines += [simplify_curve(line) for line in repeats]
    return lines


def _refuse_folds(curve: CubicSpline, at: Points, reach_mm: float) -> None:
    """Raises ``ValueError`` where the radius of the curve is less than the drawing reaches."""
    (dx, dy), (ddx, ddy) = curve(at, 1).T, curve(at, 2).T
    bend = np.abs(dx * ddy - dy * ddx) / np.hypot(dx, dy) ** 3
    if bend.max() * reach_mm > 1.0:
        raise ValueError(
            f"the spine turns with a radius of {1 / bend.max():.0f} mm, less than the"
            f" {reach_mm:.0f} mm that the drawing reaches beside it; draw it gentler, or make size"
            " smaller"
        )
