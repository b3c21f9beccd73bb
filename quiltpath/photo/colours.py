"""Colours as the eye tells them apart: CIE 1976 L*a*b*, and distances from what lies around."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.photo.reading import Pixels
from quiltpath.photo.vision import vision

Lab = NDArray[np.float32]
"""(..., 3): lightness 0 to 100, then green to red and blue to yellow on about the same scale."""

LEAST_SPREAD = 2.0
"""About the least difference that an eye sees side by side; no cloth is more even in a photo."""

GROUPS = 8
"""of colours that a ground is taken to be made of"""


def lab(pixels: Pixels) -> Lab:
    """Red, green and blue (sRGB, IEC 61966-2-1) as L*a*b*; any shape that ends in 3."""
    flat = np.ascontiguousarray(pixels).reshape(-1, 1, 3).astype(np.float32) / 255
    out: Lab = vision().cvtColor(flat, vision().COLOR_RGB2Lab).reshape(pixels.shape)
    return out


def clusters(colours: Lab, number: int) -> tuple[Lab, NDArray[np.intp]]:
    """Middles (number, 3) of ``number`` groups of ``colours`` (n, 3), and each one's group.

    k-means with spread-out starts (Arthur & Vassilvitskii 2007), seeded.
    """
    cv = vision()
    stop = (cv.TERM_CRITERIA_EPS + cv.TERM_CRITERIA_MAX_ITER, 30, 0.2)
    _, labels, middles = cv.kmeans(
        np.ascontiguousarray(colours), number, None, stop, 2, cv.KMEANS_PP_CENTERS
    )
    return middles, labels.ravel().astype(np.intp)


def distance_from(colours: Lab, surroundings: Lab) -> NDArray[np.float32]:
    """How far each colour (..., 3) is from all that the surroundings (n, 3) hold, in spreads.

    The surroundings are described by :data:`GROUPS`, each with its own covariance: Mahalanobis
    distance from the nearest one. A patterned cloth is several groups, an unevenly lit one too.
    """
    step = max(1, len(surroundings) // 6000)
    sample = surroundings[::step]
    _, group = clusters(sample, min(GROUPS, len(sample)))
    flat = colours.reshape(-1, 3)
    nearest = np.full(len(flat), np.inf, dtype=np.float32)
    for i in np.unique(group):
        members = sample[group == i]
        if len(members) < max(4, len(sample) // 200):
            continue
        covariance = np.cov(members.T.astype(np.float64)) + LEAST_SPREAD**2 * np.eye(3)
        away = flat - members.mean(axis=0)
        power = np.einsum("ij,jk,ik->i", away, np.linalg.inv(covariance).astype(np.float32), away)
        np.minimum(nearest, power.astype(np.float32), out=nearest)
    return np.sqrt(nearest).reshape(colours.shape[:-1])
