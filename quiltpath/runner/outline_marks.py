"""What a finished edge does: its corners, which binding mitres, and the curves it bends round."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

Points = NDArray[np.float64]

CORNER_DEG = 15.0
"""A turn sharper than this between two edges is a corner, not part of a curve."""


WIDEST_CURVE_MM = 10_000.0
"""An edge that bends less than a circle of 10 m radius is straight to the sewer."""


@dataclass(frozen=True)
class Outline:
    """A finished outline and what its edge does.

    ``shape``    the polygon; vertex 0 is its first point
    ``corners``  indices of vertices that are corners
    ``curves``   (first, last) vertex indices of curved stretches, in order round the edge; a last
                 index below the first runs on past vertex 0, and equal ones go all the way round
    """

    shape: Polygon
    corners: tuple[int, ...]
    curves: tuple[tuple[int, int], ...] = ()

    @property
    def vertices(self) -> Points:
        """(n, 2) vertices, the first not repeated."""
        return np.array(self.shape.exterior.coords)[:-1]

    @property
    def corner_angles_deg(self) -> tuple[float, ...]:
        """Inside angle at each corner; above 180 where the edge turns inwards.

        Measured between the tangents where curves meet: the first and the last chord of an arc
        lean from its tangent by half the turn from chord to chord.
        """
        turns = turns_deg(self.vertices)
        number, true = len(turns), turns.copy()
        for first, last in self.curves:
            true[first] -= turns[(first + 1) % number] / 2
            true[last] -= turns[last - 1] / 2
        return tuple((180.0 - true[list(self.corners)]).tolist())

    @property
    def curved_mm(self) -> float:
        """Length of edge that needs binding cut on the bias."""
        steps = np.hypot(*(np.roll(self.vertices, -1, axis=0) - self.vertices).T)
        return float(sum(_stretch(steps, first, last).sum() for first, last in self.curves))


def _stretch(steps: Points, first: int, last: int) -> Points:
    """Edges from one vertex to another, going on past the first vertex where need be."""
    count = (last - first) % len(steps) or len(steps)
    return np.take(steps, np.arange(first, first + count), mode="wrap")


def turns_deg(vertices: Points) -> Points:
    """(n,) change of direction at each vertex, positive to the left."""
    after = np.roll(vertices, -1, axis=0) - vertices
    heading = np.degrees(np.arctan2(after[:, 1], after[:, 0]))
    return (heading - np.roll(heading, 1) + 180.0) % 360.0 - 180.0


def marked(shape: Polygon) -> Outline:
    """Any drawn outline with its corners and curves found from how the edge turns.

    A vertex that turns by more than 15 degrees is a corner. An edge belongs to a curve where its
    bend, length over turn, is a radius of the same order as its neighbour's: the straight between
    two arcs turns at both its ends as well, but is far too long for them.
    """
    vertices = np.array(shape.exterior.coords)[:-1]
    turns = np.abs(turns_deg(vertices))
    sharp = turns > CORNER_DEG
    curved = _curved_edges(vertices, turns, sharp)
    corners = tuple(np.flatnonzero(sharp).tolist())
    if curved.all() and not sharp.any():
        return Outline(shape, (), ((0, 0),))
    return Outline(shape, corners, tuple(_curves(curved, sharp)))


def _curved_edges(vertices: Points, turns: Points, sharp: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """(n,) true where the edge that begins at a vertex is a chord of a curve."""
    lengths = np.hypot(*(np.roll(vertices, -1, axis=0) - vertices).T)
    soft, turn = ~sharp, np.where(sharp, 0.0, turns)
    ends = np.maximum(soft.astype(int) + np.roll(soft, -1), 1)
    bend = np.radians((turn + np.roll(turn, -1)) / ends)
    radius = lengths / np.maximum(bend, 1e-12)
    beside = np.minimum(np.roll(radius, 1), np.roll(radius, -1))
    return (radius < WIDEST_CURVE_MM) & (radius <= 4 * beside)


def _curves(curved: NDArray[np.bool_], sharp: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Cyclic runs of curved edges, broken at corners, as their first and last vertices."""
    number = len(curved)
    starts = np.flatnonzero(curved & (~np.roll(curved, 1) | sharp))
    ends = np.flatnonzero(curved & (~np.roll(curved, -1) | np.roll(sharp, -1)))
    if not len(starts):
        return []
    after = np.concatenate([ends[ends >= starts[0]], ends[ends < starts[0]]])
    return [
        (int(first), (int(last) + 1) % number) for first, last in zip(starts, after, strict=True)
    ]
