"""All runs as one long path, measured by arc length, with its corners and its secured ends.

One axis for all runs, so that nothing loops over stitches. A corner is where the path turns so
sharply that the needle must go down just there. Where a run starts or ends inside the quilt its
thread is held by tiny stitches, which go forward along the run's own line, from its start and up
to its end (common practice with a walking foot: begin and end with a few stitches of about 1 mm).
Nothing is sewn back and forth, so that no hole is sewn through twice and no lump of thread shows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import Runs

Arcs = NDArray[np.float64]
"""Arc lengths along the path, in mm."""

SAME_POINT_MM = 1e-6

REACH_MM = 0.5
"""How far before and after a vertex its turn is measured.

Drawings hold corners that are cut off or rounded by a hair, and hooks of a few hundredths where
two lines were joined. Measured over half a millimetre the first are corners and the second are
not; corners nearer to each other than this are one, as they are to a sewing machine.
"""


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
        share = (arcs - self.arc.take(segment)) / np.diff(self.arc).take(segment)
        points = self.vector.take(segment, axis=0)
        points *= share[:, None]
        points += self.start.take(segment, axis=0)
        return points


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


def securing_zones(
    run_arc: Arcs, corners: Arcs, secured: NDArray[np.bool_], stitch: StitchSection
) -> tuple[Arcs, Arcs]:
    """(r,) arc lengths where sewing proper begins, and where it ends, in each run.

    ``run_arc`` (r + 1,) and ``corners`` are arc lengths in mm. A short run gives a third of
    itself to each end at most. Securing runs on, by less than a stitch, until what is left up to
    the next corner divides into stitches within the bounds.
    """
    first, last = run_arc[:-1], run_arc[1:]
    zone = np.minimum(stitch.securing_path_mm, (last - first) / 3)
    low = first + zone * secured[:, 0]
    high = last - zone * secured[:, 1]
    moves = secured & (zone > 0)[:, None]
    known = np.sort(np.concatenate([run_arc, corners]))
    low = np.where(moves[:, 0], _onwards(low, high, known, stitch), low)
    # The same seen from the other end: arc lengths run backwards.
    high = np.where(moves[:, 1], -_onwards(-high, -low, -known[::-1], stitch), high)
    return low, high


def _onwards(start: Arcs, other: Arcs, known: Arcs, stitch: StitchSection) -> Arcs:
    """Where sewing starts if securing was to end at ``start`` and ``other`` ends the sewing."""
    following = known[np.searchsorted(known, start, side="left")]
    before = known[np.searchsorted(known, start, side="right") - 1]
    # A corner just passed is where securing ends; a stitch of a few tenths would follow it.
    just_passed = start - before < stitch.securing_length / 2
    start = np.where(just_passed, before, start)
    left = np.minimum(following, other) - start
    fewest = np.ceil(left / stitch.longest)
    most = np.floor(left / stitch.shortest + 1e-9)
    return np.where(fewest > most, start + left - most * stitch.longest, start)
