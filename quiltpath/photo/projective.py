"""Projective maps of the plane: what a camera does to a flat cloth."""

from __future__ import annotations

import numpy as np

from quiltpath.photo.reading import Points


def map_of(start: Points, end: Points) -> Points:
    """(3, 3) that takes four points to four others, no three of either on a line."""
    rows, right = [], []
    for (x, y), (u, v) in zip(start, end, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    solved = np.linalg.solve(np.array(rows), np.array(right))
    return np.append(solved, 1.0).reshape(3, 3)


def map_points(matrix: Points, points: Points) -> Points:
    """Points (..., 2) under a projective map."""
    out = points @ matrix[:, :2].T + matrix[:, 2]
    moved_points: Points = out[..., :2] / out[..., 2:]
    return moved_points


def inverse(matrix: Points) -> Points:
    """The map back."""
    out: Points = np.linalg.inv(matrix).astype(np.float64)
    return out
