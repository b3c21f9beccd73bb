"""Needle paths as polylines with few points, for machines that follow lines by themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats, Points
from quiltpath.geometry.polyline_simplification import simplify_polylines
from quiltpath.machine.loads import Load, whole_load
from quiltpath.stitching import PointKind, Stitches
from quiltpath.stitching.needle_path import needle_path

_Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class ThreadPaths:
    """One polyline for each start of thread, in sewing order.

    ``lines``  (n, 2) arrays in mm from the load's zero, y upwards
    ``holes``  the needle holes that each polyline stands for, in the same place
    ``tiny``   for each polyline (n,) whether a tiny securing move ends at the point
    ``size``   width and height of all that the load's files cover, in mm
    """

    lines: tuple[Points, ...]
    holes: tuple[Points, ...]
    tiny: tuple[_Mask, ...]
    size: tuple[float, float]

    @cached_property
    def deviation_mm(self) -> float:
        """Largest distance of a needle hole from the polyline that stands for it."""
        return max(
            float(shapely.distance(shapely.points(holes), shapely.LineString(line)).max())
            for holes, line in zip(self.holes, self.lines, strict=True)
        )

    @property
    def secured_ends(self) -> int:
        """Thread ends at which tiny moves lock the thread."""
        return sum(blocks(tiny) for tiny in self.tiny)

    @property
    def tiny_mm(self) -> float:
        """Usual length of the tiny moves, 0 where there are none."""
        steps = [
            np.hypot(*np.diff(line, axis=0).T)[tiny[1:]]
            for line, tiny in zip(self.lines, self.tiny, strict=True)
        ]
        every = np.concatenate(steps) if steps else np.zeros(0)
        return float(np.median(every)) if len(every) else 0.0


def blocks(marks: _Mask) -> int:
    """How many stretches of true there are."""
    return int(np.count_nonzero(np.diff(marks.astype(np.int8), prepend=0) == 1))


def thread_paths(
    stitches: Stitches,
    tolerance_mm: float,
    load: Load | None = None,
    *,
    secure: bool = False,
    halts: bool = False,
) -> ThreadPaths:
    """The starts of thread as polylines no further than ``tolerance_mm`` from any hole.

    They keep their ends and as few of the other holes as can be; with ``secure`` every tiny
    securing stitch as well, and with ``halts`` a new polyline begins, where the last one ended, at
    each halt amid a start of thread. They count from the zero of ``load``, or from the lower left
    corner of what is sewn.
    """
    load = load or whole_load(stitches)
    path = needle_path(stitches)
    holes = path.holes - load.zero_mm
    begins = np.flatnonzero(path.moved)[1:]
    amid = np.flatnonzero(path.stop & ~path.moved) if halts else begins[:0]
    securing = stitches.kind[stitches.is_hole] == PointKind.SECURING
    tiny = securing & secure & ~path.moved
    spans = _spans(len(holes), begins, amid)
    chains = [holes[first:last] for first, last in spans]
    marks = [_begin(tiny[first:last]) for first, last in spans]
    kept = _holes_to_keep(chains, marks, tolerance_mm)
    return ThreadPaths(
        tuple(chain[keep] for chain, keep in zip(chains, kept, strict=True)),
        tuple(chains),
        tuple(mark[keep] for mark, keep in zip(marks, kept, strict=True)),
        load.reach_size_mm,
    )


def _spans(count: int, begins: NDArray[np.intp], amid: NDArray[np.intp]) -> list[tuple[int, int]]:
    """First hole and the one after the last of each polyline; one that begins at a halt ``amid``
    sewing begins on the hole before it."""
    bounds = np.unique(np.concatenate([[0], begins, amid, [count]]))
    firsts = np.where(np.isin(bounds[:-1], amid), bounds[:-1] - 1, bounds[:-1])
    pairs = zip(firsts.tolist(), bounds[1:].tolist(), strict=True)
    return [(first, last) for first, last in pairs if last - first > 1]


def _begin(tiny: _Mask) -> _Mask:
    """No move ends at the first point of a polyline."""
    begun = tiny.copy()
    begun[:1] = False
    return begun


def _holes_to_keep(
    chains: Sequence[Points], tiny: Sequence[_Mask], tolerance_mm: float
) -> list[_Mask]:
    """Which holes its polyline keeps of each chain; it is thinned between securing stitches."""
    stays = [mark | np.append(mark[1:], False) for mark in tiny]
    ends = [np.union1d(np.flatnonzero(stay), [0, len(stay) - 1]) for stay in stays]
    pieces: list[Floats] = []
    for chain, end in zip(chains, ends, strict=True):
        pieces += [chain[a : b + 1] for a, b in pairwise(end)]
    if not pieces:
        return []
    start = np.cumsum([0, *(len(piece) for piece in pieces)]).astype(np.intp)
    thinned = iter(
        np.split(simplify_polylines(np.vstack(pieces), start, tolerance_mm), start[1:-1])
    )
    kept = []
    for chain, end in zip(chains, ends, strict=True):
        keep = np.zeros(len(chain), dtype=np.bool_)
        for a, b in pairwise(end):
            keep[a : b + 1] |= next(thinned)
        kept.append(keep)
    return kept


def worst_difference(read: list[Points], meant: tuple[Points, ...]) -> float:
    """Largest distance along an axis between polylines read and meant; infinite where they
    differ in number or in points."""
    if [len(line) for line in read] != [len(line) for line in meant]:
        return float("inf")
    return max((float(np.abs(a - b).max()) for a, b in zip(read, meant, strict=True)), default=0.0)
