"""Needle paths as polylines with few points, for machines that follow lines by themselves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Points
from quiltpath.geometry.polyline_simplification import fewest_points
from quiltpath.stitching import Stitches
from quiltpath.stitching.needle_path import needle_path


@dataclass(frozen=True, eq=False)
class ThreadPaths:
    """One polyline for each start of thread, in sewing order.

    ``lines``   (n, 2) arrays in mm; the lower left corner of all of them is (0, 0), y upwards
    ``holes``   the needle holes that each polyline stands for, in the same place
    ``line``    index of the quilting line that each begins with, -1 for none
    """

    lines: tuple[Points, ...]
    holes: tuple[Points, ...]
    line: tuple[int, ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of all polylines, in mm."""
        high = np.max([line.max(axis=0) for line in self.holes], axis=0)
        return float(high[0]), float(high[1])

    @property
    def deviation_mm(self) -> float:
        """Largest distance of a needle hole from the polyline that stands for it."""
        return max(
            float(shapely.distance(shapely.points(holes), shapely.LineString(line)).max())
            for holes, line in zip(self.holes, self.lines, strict=True)
        )


def thread_paths(stitches: Stitches, tolerance_mm: float) -> ThreadPaths:
    """The starts of thread as polylines no further than ``tolerance_mm`` from any hole.

    They keep their ends and as few of the other holes as can be.
    """
    path = needle_path(stitches)
    holes = path.holes - path.holes.min(axis=0)
    begins = np.flatnonzero(path.moved)
    chains = [chain for chain in np.split(holes, begins[1:]) if len(chain) > 1]
    line_of = stitches.line[stitches.kind <= 1]
    firsts = [
        _first_line(lines)
        for lines, chain in zip(
            np.split(line_of, begins[1:]), np.split(holes, begins[1:]), strict=True
        )
        if len(chain) > 1
    ]
    return ThreadPaths(_thinned(chains, tolerance_mm), tuple(chains), tuple(firsts))


def _thinned(chains: list[Points], tolerance_mm: float) -> tuple[Points, ...]:
    if not chains:
        return ()
    start = np.cumsum([0, *(len(chain) for chain in chains)]).astype(np.intp)
    kept = fewest_points(np.vstack(chains), start, tolerance_mm)
    return tuple(
        chain[kept[low:high]]
        for chain, low, high in zip(chains, start[:-1].tolist(), start[1:].tolist(), strict=True)
    )


def _first_line(lines: NDArray[np.int32]) -> int:
    """The first quilting line of a chain: margin stitches and the needle going down are none."""
    real = lines[lines >= 0]
    return int(real[0]) if len(real) else -1


def worst_difference(read: list[Points], meant: tuple[Points, ...]) -> float:
    """Largest distance along an axis between polylines read and meant; infinite where they
    differ in number or in points."""
    if [len(line) for line in read] != [len(line) for line in meant]:
        return float("inf")
    return max((float(np.abs(a - b).max()) for a, b in zip(read, meant, strict=True)), default=0.0)
