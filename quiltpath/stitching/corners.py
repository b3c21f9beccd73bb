"""Corners: where the path turns so sharply that the needle must go down just there."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.stitching.path import Path

REACH_MM = 0.5
"""How far before and after a vertex its turn is measured.

Drawings hold corners that are cut off or rounded by a hair, and hooks of a few hundredths where
two lines were joined. Measured over half a millimetre the first are corners and the second are
not; corners nearer to each other than this are one, as they are to a sewing machine.
"""


def corner_arcs(path: Path, corner_deg: float) -> NDArray[np.float64]:
    """(c,) arc lengths inside runs where the path turns by more than ``corner_deg``.

    A corner nearer than :data:`REACH_MM` to an end of its run is left to that end.
    """
    vertex = np.flatnonzero(path.run[1:] == path.run[:-1]) + 1
    arc, run = path.arc[vertex], path.run[vertex]
    ends = path.run_arc
    inside = (arc - ends[run] >= REACH_MM) & (ends[run + 1] - arc >= REACH_MM)
    vertex, arc = vertex[inside], arc[inside]
    turn = _turn(path, vertex)
    sharp = turn > np.radians(corner_deg)
    return _sharpest_of_each(arc[sharp], turn[sharp])


def _turn(path: Path, vertex: NDArray[np.intp]) -> NDArray[np.float64]:
    """Change of heading at the start of segment ``vertex``, in radians, 0 to pi."""
    before, after = path.vector[vertex - 1], path.vector[vertex]
    length = np.diff(path.arc)
    near = (length[vertex - 1] < REACH_MM) | (length[vertex] < REACH_MM)
    at, run = path.arc[vertex[near]], path.run[vertex[near]]
    here = path.start[vertex[near]]
    before[near] = here - path.points_at(at - REACH_MM, path.segment_at(at - REACH_MM, run))
    after[near] = path.points_at(at + REACH_MM, path.segment_at(at + REACH_MM, run)) - here
    across = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.abs(np.arctan2(across, (before * after).sum(axis=1)))


def _sharpest_of_each(arc: NDArray[np.float64], turn: NDArray[np.float64]) -> NDArray[np.float64]:
    """One arc length for each cluster of candidates that lie within reach of one another."""
    if not len(arc):
        return arc
    first = np.concatenate([[0], np.flatnonzero(np.diff(arc) >= REACH_MM) + 1])
    cluster = np.repeat(np.arange(len(first)), np.diff([*first, len(arc)]))
    best = np.flatnonzero(turn >= np.maximum.reduceat(turn, first)[cluster])
    _, chosen = np.unique(cluster[best], return_index=True)
    return arc[best[chosen]]
