"""All runs as one long path, measured by arc length, so that nothing loops over stitches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.runs import Runs

SAME_POINT_MM = 1e-6


@dataclass(frozen=True)
class Path:
    """Segments of all runs, end to end on one axis of arc length.

    ``start``, ``vector``  (s, 2) first point and direction times length of each segment, mm
    ``arc``      (s + 1,) arc length at the segments' ends, running on from run to run
    ``run``      (s,) run of each segment
    ``line``     (s,) quilting line of each segment, -1 in the margin
    ``run_segment``  (r + 1,) offsets of the runs into the segments
    ``run_first``    (r, 2) first point of each run
    """

    start: NDArray[np.float64]
    vector: NDArray[np.float64]
    arc: NDArray[np.float64]
    run: NDArray[np.int32]
    line: NDArray[np.int32]
    run_segment: NDArray[np.intp]
    run_first: NDArray[np.float64]

    @property
    def run_arc(self) -> NDArray[np.float64]:
        """(r + 1,) arc length where each run starts, and the end of the last."""
        return self.arc[self.run_segment]

    def segment_at(self, arcs: NDArray[np.float64], run: NDArray[np.int32]) -> NDArray[np.intp]:
        """The segment that ends at or after each arc length, within its run."""
        found = np.searchsorted(self.arc[1:], arcs, side="left")
        return np.clip(found, self.run_segment[run], self.run_segment[run + 1] - 1)

    def points_at(
        self, arcs: NDArray[np.float64], segment: NDArray[np.intp]
    ) -> NDArray[np.float64]:
        """(n, 2) points at arc lengths on the given segments."""
        low, high = self.arc[segment], self.arc[segment + 1]
        share = (arcs - low) / (high - low)
        return self.start[segment] + self.vector[segment] * share[:, None]


def path_of(runs: Runs) -> Path:
    """The path of all runs; points that stand twice are passed over."""
    vertices = runs.coordinates
    run_of_vertex = np.repeat(np.arange(len(runs)), np.diff(runs.vertex_start))
    piece_of_vertex = np.repeat(np.arange(len(runs.piece_kind)), np.diff(runs.piece_start))
    vector = np.diff(vertices, axis=0)
    length = np.hypot(vector[:, 0], vector[:, 1])
    kept = np.flatnonzero((run_of_vertex[1:] == run_of_vertex[:-1]) & (length > SAME_POINT_MM))
    run = run_of_vertex[kept].astype(np.int32)
    return Path(
        start=vertices[kept],
        vector=vector[kept],
        arc=np.concatenate([[0.0], np.cumsum(length[kept])]),
        run=run,
        line=runs.piece_line[piece_of_vertex[kept]].astype(np.int32),
        run_segment=np.searchsorted(run, np.arange(len(runs) + 1)),
        run_first=vertices[runs.vertex_start[:-1]],
    )
