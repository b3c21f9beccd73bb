"""Trails put in order: some turned round, closed ones begun where they are entered."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.routing.edges import Edges, cut_edges, gather_slices, offsets
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.runs import PieceKind
from quiltpath.routing.trail_table import Circuits


def circuits_of(edges: Edges, trails: Trails) -> tuple[Circuits, NDArray[np.intp]]:
    """Vertices of the closed trails, and the edge vertex behind each of them."""
    run = np.flatnonzero(trails.closed)
    half, half_start = gather_slices(trails.start, run)
    edge = trails.half[half] // 2
    vertex, start = gather_slices(edges.start, edge)
    return Circuits(run, edges.coordinates[vertex], start[half_start]), vertex


def start_circuits_at(
    edges: Edges, trails: Trails, circuits: Circuits, entry: NDArray[np.float64]
) -> tuple[Edges, Trails]:
    """The same trails, each closed one beginning at its ``entry`` (k, 2), a vertex of its own."""
    if not len(circuits.run):
        return edges, trails
    edge, at = _entry_places(edges, trails, circuits, entry)
    inner = ~(edges.ends[edge] == entry[:, None, :]).all(2).any(1)
    parts = cut_edges(edges, edge[inner], at[inner], entry[inner])
    extra = np.bincount(edge[inner], minlength=len(edges))
    shift = np.cumsum(extra) - extra
    half = _renumber(trails.half, shift, extra)
    count = np.add.reduceat(1 + extra[trails.half // 2], trails.start[:-1])
    renewed = Trails(half, offsets(count), trails.closed)
    return parts, _rotate(parts, renewed, circuits.run, entry)


def _entry_places(
    edges: Edges, trails: Trails, circuits: Circuits, entry: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Strand of each entry, and how far along it lies."""
    owner = np.repeat(np.arange(len(circuits.run)), np.diff(circuits.start))
    hit = np.flatnonzero((circuits.points == entry[owner]).all(axis=1))
    first = hit[np.unique(owner[hit], return_index=True)[1]]
    vertex = circuits_of(edges, trails)[1][first]
    edge = np.searchsorted(edges.start, vertex, side="right") - 1
    along = edges.along_mm
    return edge, along[vertex] - along[edges.start[edge]]


def _renumber(
    half: NDArray[np.intp], shift: NDArray[np.intp], extra: NDArray[np.intp]
) -> NDArray[np.intp]:
    """Half-edges after cutting: a cut edge is followed by its other part, in sewing order."""
    edge, back = half // 2, half % 2
    count = 1 + extra[edge]
    owner = np.repeat(np.arange(len(half)), count)
    step = np.arange(len(owner)) - (np.cumsum(count) - count)[owner]
    part = np.where(back[owner] == 1, extra[edge[owner]] - step, step)
    return 2 * (edge[owner] + shift[edge[owner]] + part) + back[owner]


def _rotate(
    edges: Edges, trails: Trails, run: NDArray[np.intp], entry: NDArray[np.float64]
) -> Trails:
    """Closed trails turned so that they begin at the half-edge that starts at their entry."""
    half = trails.half.copy()
    begin = edges.ends.reshape(-1, 2)
    for trail, spot in zip(run.tolist(), entry, strict=True):
        first, last = trails.start[trail], trails.start[trail + 1]
        mine = trails.half[first:last]
        at = int((begin[mine] == spot).all(axis=1).argmax())
        half[first:last] = np.roll(mine, -at)
    return Trails(half, trails.start, trails.closed)


def begin_between_lines(edges: Edges, trails: Trails) -> Trails:
    """The only trail, where it is closed, off the edge and goes from line to line by steps, begun
    where the outermost line ends.

    So no line is begun in its middle, and a border comes last, in one go. A step to the first line
    is not needed then.
    """
    kind, line = (values[trails.half // 2] for values in (edges.kind, edges.line))
    only = len(trails) == 1 and bool(trails.closed[0])
    if not only or not (kind == PieceKind.STEP).any() or (kind == PieceKind.MARGIN).any():
        return trails
    drawn = np.flatnonzero(kind == PieceKind.LINE)
    last = drawn[line[drawn] != line[np.roll(drawn, -1)]]
    if not len(last):
        return trails
    reach = shapely.area(shapely.envelope(edges.shapes()))[trails.half // 2]
    outermost = line[drawn[np.round(reach[drawn], 3).argmax()]]
    mine = last[line[last] == outermost]
    half = np.roll(trails.half, -int(mine[-1]) - 1)
    before = int((edges.kind[half // 2] == PieceKind.LINE).argmax())
    return Trails(half[before:], offsets(np.array([len(half) - before])), np.array([before == 0]))


def reorder_trails(trails: Trails, order: NDArray[np.intp]) -> Trails:
    """Trails in the given order, odd entries (``2 * trail + 1``) turned round."""
    trail, back = order >> 1, order & 1
    place, start = gather_slices(trails.start, trail)
    count = np.diff(start)
    turned = np.repeat(back == 1, count)
    mirror = np.repeat(start[:-1] + start[1:] - 1, count) - np.arange(len(place))
    half = trails.half[np.where(turned, place[mirror], place)]
    return Trails(np.where(turned, half ^ 1, half), start, trails.closed[trail])
