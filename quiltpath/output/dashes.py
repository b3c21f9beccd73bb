"""Polylines cut into dashes, for a sink that cannot dash by itself."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Offsets = NDArray[np.intp]


def dashed(
    points: Points, start: Offsets, closed: bool, lengths: Sequence[float]
) -> tuple[Points, Offsets]:
    """The inked parts of each polyline: points (k, 2) and offsets, in the same order.

    ``lengths`` are ink, gap, ink, gap ... and repeat; every polyline begins with ink. An odd
    number of lengths is repeated once, as SVG does.
    """
    pattern = np.asarray(lengths if len(lengths) % 2 == 0 else [*lengths, *lengths])
    parts: list[Points] = []
    for first, last in zip(start[:-1].tolist(), start[1:].tolist(), strict=True):
        line = points[first:last]
        parts += _cut(np.concatenate([line, line[:1]]) if closed else line, pattern)
    counts = np.cumsum([0, *(len(part) for part in parts)]).astype(np.intp)
    return np.concatenate([*parts, np.empty((0, 2))]), counts


def _cut(line: Points, pattern: NDArray[np.float64]) -> list[Points]:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    total, period = along[-1], pattern.sum()
    if total <= 0 or period <= 0:
        return []
    edges = (
        np.arange(np.ceil(total / period))[:, None] * period
        + np.concatenate([[0.0], np.cumsum(pattern)[:-1]])
    ).ravel()
    edges = np.minimum(edges, total)
    cuts = np.stack([np.interp(edges, along, line[:, axis]) for axis in (0, 1)], axis=1)
    order = np.searchsorted(along, edges, side="right")
    pieces = []
    for ink in range(0, len(edges) - 1, 2):
        if edges[ink + 1] > edges[ink]:
            inner = line[order[ink] : np.searchsorted(along, edges[ink + 1], side="left")]
            pieces.append(np.concatenate([cuts[ink : ink + 1], inner, cuts[ink + 1 : ink + 2]]))
    return pieces
