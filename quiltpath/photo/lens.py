"""The lens's one radial term, from edges that are straight on the cloth and bent in the photo.

Undistorted place = middle + (seen - middle) (1 + k r^2), r in half diagonals of the picture (the
plumb-line method: Brown 1971; Devernay & Faugeras 2001).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quiltpath.photo.reading import Points

STRONGEST = 0.15
"""Beyond this a picture is from a fisheye: one term is too few, and may have no inverse."""

LEAST_GAIN = 1.15
"""The edges must be so much straighter with the term than without, else there is none."""


@dataclass(frozen=True)
class Lens:
    """``radial`` of a picture of ``size_px`` (width, height); 0 for a lens that bends nothing."""

    size_px: tuple[int, int]
    radial: float = 0.0

    def _measure(self) -> tuple[Points, float]:
        wide, high = self.size_px
        return np.array([(wide - 1) / 2, (high - 1) / 2]), float(np.hypot(wide, high) / 2)

    def straight(self, seen: Points) -> Points:
        """Pixels (..., 2) as a lens without distortion would show them."""
        middle, half = self._measure()
        away = (seen - middle) / half
        out: Points = middle + half * away * (1 + self.radial * (away**2).sum(axis=-1))[..., None]
        return out

    def seen(self, straight: Points) -> Points:
        """The inverse: where the photo shows them. Newton's method on the radius."""
        middle, half = self._measure()
        away = (straight - middle) / half
        wanted = np.hypot(away[..., 0], away[..., 1])
        radius = wanted.copy()
        for _ in range(4):
            radius = radius - (radius + self.radial * radius**3 - wanted) / np.maximum(
                1 + 3 * self.radial * radius**2, 0.1
            )
        share = np.divide(radius, wanted, out=np.ones_like(wanted), where=wanted > 1e-12)
        out: Points = middle + half * away * share[..., None]
        return out


def lens_of(edges: Sequence[Points], size_px: tuple[int, int]) -> Lens:
    """The lens that leaves the edges, (n, 2) pixels each, straightest; none if it does not show."""
    from scipy.optimize import minimize_scalar

    def bent(radial: float) -> float:
        lens = Lens(size_px, radial)
        return float(sum((off_line(lens.straight(edge)) ** 2).sum() for edge in edges))

    best = minimize_scalar(
        bent, bounds=(-STRONGEST, STRONGEST), method="bounded", options={"xatol": 1e-5}
    )
    if bent(0.0) < LEAST_GAIN * float(best.fun):
        return Lens(size_px)
    return Lens(size_px, float(best.x))


def off_line(points: Points) -> Points:
    """Distances (n,) of points from the straight line that fits them best (total least squares)."""
    line = fitted_line(points)
    out: Points = points @ line[:2] + line[2]
    return out


def fitted_line(points: Points) -> Points:
    """(a, b, c) of a x + b y + c = 0 with a^2 + b^2 = 1."""
    middle = points.mean(axis=0)
    _, _, axes = np.linalg.svd(points - middle, full_matrices=False)
    normal = axes[1]
    return np.array([normal[0], normal[1], -float(normal @ middle)])
