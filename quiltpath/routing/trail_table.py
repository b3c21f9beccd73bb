"""Trails as the sewing order sees them: ends, middles, lengths, and where closed ones may begin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.patterns import Lines
from quiltpath.routing.edges import Edges
from quiltpath.routing.euler_trail import Trails


@dataclass(frozen=True)
class TrailTable:
    """What the order needs to know of each trail.

    ``ends``    (r, 2, 2) first and last point, mm
    ``closed``  (r,) whether it ends where it began, so that it may begin anywhere
    ``middle``  (r, 2) mean point of its vertices
    ``length``  (r,) mm
    ``layer``   (r,) layer of its first line
    """

    ends: NDArray[np.float64]
    closed: NDArray[np.bool_]
    middle: NDArray[np.float64]
    length: NDArray[np.float64]
    layer: NDArray[np.int32]


@dataclass(frozen=True)
class Circuits:
    """Vertices of closed runs: ``run`` (k,) which runs, ``points`` (m, 2), ``start`` (k + 1,)."""

    run: NDArray[np.intp]
    points: NDArray[np.float64]
    start: NDArray[np.intp]

    def of(self, circuit: int) -> NDArray[np.float64]:
        """(n, 2) vertices of one circuit."""
        return self.points[self.start[circuit] : self.start[circuit + 1]]


def trail_table(edges: Edges, trails: Trails, lines: Lines) -> TrailTable:
    spots = edges.ends.reshape(-1, 2)
    first, last = trails.half[trails.start[:-1]], trails.half[trails.start[1:] - 1] ^ 1
    length = edges.length_mm
    begin = trails.start[:-1]
    total = np.add.reduceat(length[trails.half // 2], begin)
    weighted = (edge_middles(edges) * length[:, None])[trails.half // 2]
    middle = np.add.reduceat(weighted, begin, axis=0) / total[:, None]
    return TrailTable(
        ends=np.stack([spots[first], spots[last]], axis=1),
        closed=trails.closed,
        middle=middle,
        length=total,
        layer=_layers(edges, trails, lines),
    )


def edge_middles(edges: Edges) -> NDArray[np.float64]:
    """(s, 2) centre of gravity of each edge."""
    a, b = edges.coordinates[:-1], edges.coordinates[1:]
    weight = np.hypot(*(b - a).T)
    weight[edges.start[1:-1] - 1] = 0.0
    begin = edges.start[:-1]
    moment = np.add.reduceat((a + b) / 2 * weight[:, None], begin, axis=0)
    return moment / np.add.reduceat(weight, begin)[:, None]


def _layers(edges: Edges, trails: Trails, lines: Lines) -> NDArray[np.int32]:
    """(t,) layer of the first quilting line of each trail."""
    line = edges.line[trails.half // 2]
    owner = np.repeat(np.arange(len(trails)), np.diff(trails.start))
    real = np.flatnonzero(line >= 0)
    first = real[np.unique(owner[real], return_index=True)[1]]
    return lines.layer[line[first]]
