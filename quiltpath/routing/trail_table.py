"""Trails as the sewing order sees them: ends, middles, lengths, and where closed ones may begin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.patterns import Lines
from quiltpath.routing.edges import Edges
from quiltpath.routing.euler_trail import Trails

MOSTLY = 0.6
"""A line belongs to the region that holds this share of its length, or to none."""

OVER_SEAMS = 0.05
"""A layer with more than this share of its length in second regions is the runner's."""

DIGITS = 6
"""To a millionth of a millimetre: an order that hung on the digits behind would be another one on
another machine."""

WHOLE = -1
"""The region of what belongs to none alone."""


@dataclass(frozen=True)
class TrailTable:
    """What the order needs to know of each trail.

    ``ends``    (r, 2, 2) first and last point, mm
    ``closed``  (r,) whether it ends where it began, so that it may begin anywhere
    ``middle``  (r, 2) mean point of its vertices
    ``length``  (r,) mm
    ``pull``    (r,) mm of line at 45 degrees that it pulls the cloth askew by: length x sin 2t
                over its stretches, t their slope; below 0 for lines that lean the other way
    ``layer``   (r,) layer of its first line
    ``role``    (r,) role of that line, or 0 where roles do not matter
    ``region``  (r,) region it lies in, -1 where it lies in none alone
    """

    ends: NDArray[np.float64]
    closed: NDArray[np.bool_]
    middle: NDArray[np.float64]
    length: NDArray[np.float64]
    pull: NDArray[np.float64]
    layer: NDArray[np.int32]
    role: NDArray[np.intp]
    region: NDArray[np.intp]

    def take(self, chosen: NDArray[np.intp]) -> TrailTable:
        """The chosen trails, in the order given."""
        return TrailTable(*(getattr(self, each.name)[chosen] for each in fields(self)))


@dataclass(frozen=True)
class Circuits:
    """Vertices of closed runs: ``run`` (k,) which runs, ``points`` (m, 2), ``start`` (k + 1,)."""

    run: NDArray[np.intp]
    points: NDArray[np.float64]
    start: NDArray[np.intp]

    def of(self, circuit: int) -> NDArray[np.float64]:
        """(n, 2) vertices of one circuit."""
        return self.points[self.start[circuit] : self.start[circuit + 1]]


def trail_table(
    edges: Edges, trails: Trails, lines: Lines, stage: NDArray[np.intp] | None = None
) -> TrailTable:
    """The table of one or more ``trails``; ``stage`` (edges, 2) role and region of each edge."""
    spots = edges.ends.reshape(-1, 2)
    first, last = trails.half[trails.start[:-1]], trails.half[trails.start[1:] - 1] ^ 1
    length = edges.length_mm
    begin = trails.start[:-1]
    first_edge = _first_edges(edges, trails)
    line = edges.line[first_edge]
    if stage is None:
        stage = np.tile((0, WHOLE), (len(edges), 1))
    total = np.add.reduceat(length[trails.half // 2], begin)
    weighted = (edge_middles(edges) * length[:, None])[trails.half // 2]
    middle = np.add.reduceat(weighted, begin, axis=0) / total[:, None]
    return TrailTable(
        ends=_rounded(np.stack([spots[first], spots[last]], axis=1)),
        closed=trails.closed,
        middle=_rounded(middle),
        length=_rounded(total),
        pull=_rounded(np.add.reduceat(_pulls(edges)[trails.half // 2], begin)),
        layer=lines.layer[line],
        role=stage[first_edge, 0],
        region=stage[first_edge, 1],
    )


def _rounded(values: NDArray[np.float64]) -> NDArray[np.float64]:
    rounded: NDArray[np.float64] = np.round(values, DIGITS)
    return rounded


def _pulls(edges: Edges) -> NDArray[np.float64]:
    """(e,) length x sin 2t = 2 dx dy / length, summed over the stretches of each edge."""
    step = np.diff(edges.coordinates, axis=0)
    step[edges.start[1:-1] - 1] = 0.0
    length = np.hypot(*step.T)
    pull = 2 * step[:, 0] * step[:, 1] / np.where(length > 0, length, 1.0)
    summed: NDArray[np.float64] = np.add.reduceat(pull, edges.start[:-1])
    return summed


def edge_middles(edges: Edges) -> NDArray[np.float64]:
    """(s, 2) centre of gravity of each edge."""
    a, b = edges.coordinates[:-1], edges.coordinates[1:]
    weight = np.hypot(*(b - a).T)
    weight[edges.start[1:-1] - 1] = 0.0
    begin = edges.start[:-1]
    moment = np.add.reduceat((a + b) / 2 * weight[:, None], begin, axis=0)
    return moment / np.add.reduceat(weight, begin)[:, None]


def _first_edges(edges: Edges, trails: Trails) -> NDArray[np.intp]:
    """(t,) the first edge of each trail that lies on a quilting line."""
    edge = trails.half // 2
    owner = np.repeat(np.arange(len(trails)), np.diff(trails.start))
    real = np.flatnonzero(edges.line[edge] >= 0)
    first = real[np.unique(owner[real], return_index=True)[1]]
    return edge[first].astype(np.intp)


def regions_finished_apart(
    edges: Edges, regions: Sequence[Polygon], lines: Lines, held: NDArray[np.bool_]
) -> NDArray[np.intp]:
    """(e,) the region with which each edge is finished, ``WHOLE`` for what belongs to none alone.

    ``held`` (e,) edges belong to the runner. So do all lines of one layer and source where some lie
    in several regions: what is drawn over seams is sewn over them.
    """
    if not regions or not len(edges):
        return np.full(len(edges), WHOLE, dtype=np.intp)
    edge, area, inside = _lengths_inside(edges, regions)
    most = np.zeros(len(edges))
    np.maximum.at(most, edge, inside)
    largest = np.flatnonzero((inside == most[edge]) & (most >= MOSTLY * edges.length_mm)[edge])
    region = np.full(len(edges), WHOLE, dtype=np.intp)
    region[edge[largest][::-1]] = area[largest][::-1]
    names = np.unique(lines.source.astype(str), return_inverse=True)[1]
    drawn = np.stack([lines.layer, names], axis=1)[edges.line]
    group = np.unique(drawn, axis=0, return_inverse=True)[1].reshape(-1)
    in_all = np.bincount(edge, weights=inside, minlength=len(edges))
    over = np.bincount(group, weights=in_all - most)
    over_seams = over > OVER_SEAMS * np.bincount(group, weights=edges.length_mm)
    region[over_seams[group] | held] = WHOLE
    return region


def _lengths_inside(
    edges: Edges, regions: Sequence[Polygon]
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]:
    """Edges, regions that each meets, in their order, and how much of it lies in them, mm."""
    shapes, areas = edges.shapes(), np.array(regions, dtype=object)
    edge, area = shapely.STRtree(areas).query(shapes, predicate="intersects")
    order = np.lexsort((area, edge))
    edge, area = edge[order], area[order]
    shapely.prepare(areas)
    whole = shapely.covers(areas[area], shapes[edge])
    inside = np.where(whole, shapely.length(shapes)[edge], 0.0)
    part = np.flatnonzero(~whole)
    # Most others meet the region with an end alone.
    part = part[~shapely.relate_pattern(shapes[edge[part]], areas[area[part]], "FF*******")]
    inside[part] = shapely.length(shapely.intersection(shapes[edge[part]], areas[area[part]]))
    return edge, area, inside
