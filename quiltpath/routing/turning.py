"""Trails put in order: turned round, closed ones begun where they are entered."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.entry import Loops
from quiltpath.routing.euler import Trails
from quiltpath.routing.strands import Strands, cut, gather, offsets


def loops_of(strands: Strands, trails: Trails) -> tuple[Loops, NDArray[np.intp]]:
    """Vertices of the closed trails, and the strand vertex behind each of them."""
    run = np.flatnonzero(trails.closed)
    half, half_start = gather(trails.start, run)
    strand = trails.half[half] // 2
    vertex, start = gather(strands.start, strand)
    return Loops(run, strands.coordinates[vertex], start[half_start]), vertex


def begun_at(
    strands: Strands, trails: Trails, loops: Loops, entry: NDArray[np.float64]
) -> tuple[Strands, Trails]:
    """The same trails, each closed one beginning at its ``entry`` (k, 2), a vertex of its own."""
    if not len(loops.run):
        return strands, trails
    strand, at = _entry_places(strands, trails, loops, entry)
    inner = ~(strands.ends[strand] == entry[:, None, :]).all(2).any(1)
    parts = cut(strands, strand[inner], at[inner], entry[inner])
    extra = np.bincount(strand[inner], minlength=len(strands))
    shift = np.cumsum(extra) - extra
    half = _renumbered(trails.half, shift, extra)
    count = np.add.reduceat(1 + extra[trails.half // 2], trails.start[:-1])
    renewed = Trails(half, offsets(count), trails.closed)
    return parts, _rotated(parts, renewed, loops.run, entry)


def _entry_places(
    strands: Strands, trails: Trails, loops: Loops, entry: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Strand of each entry, and how far along it lies."""
    owner = np.repeat(np.arange(len(loops.run)), np.diff(loops.start))
    hit = np.flatnonzero((loops.points == entry[owner]).all(axis=1))
    first = hit[np.unique(owner[hit], return_index=True)[1]]
    vertex = loops_of(strands, trails)[1][first]
    strand = np.searchsorted(strands.start, vertex, side="right") - 1
    along = strands.along_mm
    return strand, along[vertex] - along[strands.start[strand]]


def _renumbered(
    half: NDArray[np.intp], shift: NDArray[np.intp], extra: NDArray[np.intp]
) -> NDArray[np.intp]:
    """Half-strands after cutting: a cut strand is followed by its other part, in sewing order."""
    strand, back = half // 2, half % 2
    count = 1 + extra[strand]
    owner = np.repeat(np.arange(len(half)), count)
    step = np.arange(len(owner)) - (np.cumsum(count) - count)[owner]
    part = np.where(back[owner] == 1, extra[strand[owner]] - step, step)
    return 2 * (strand[owner] + shift[strand[owner]] + part) + back[owner]


def _rotated(
    strands: Strands, trails: Trails, run: NDArray[np.intp], entry: NDArray[np.float64]
) -> Trails:
    """Closed trails turned so that they begin at the half-strand that starts at their entry."""
    half = trails.half.copy()
    begin = strands.ends.reshape(-1, 2)
    for trail, spot in zip(run.tolist(), entry, strict=True):
        first, last = trails.start[trail], trails.start[trail + 1]
        mine = trails.half[first:last]
        at = int((begin[mine] == spot).all(axis=1).argmax())
        half[first:last] = np.roll(mine, -at)
    return Trails(half, trails.start, trails.closed)


def in_order(trails: Trails, order: NDArray[np.intp]) -> Trails:
    """Trails in the given order, odd entries (``2 * trail + 1``) turned round."""
    trail, back = order >> 1, order & 1
    place, start = gather(trails.start, trail)
    count = np.diff(start)
    turned = np.repeat(back == 1, count)
    mirror = np.repeat(start[:-1] + start[1:] - 1, count) - np.arange(len(place))
    half = trails.half[np.where(turned, place[mirror], place)]
    return Trails(np.where(turned, half ^ 1, half), start, trails.closed[trail])
