"""A closed walk round a spanning tree of scattered points: one simple line, whatever the holes.

A tree has no circle, so its thickened outline is one closed line that never crosses itself. The
points are spread by Lloyd's method (S. P. Lloyd, "Least squares quantization in PCM", IEEE Trans.
Inf. Theory 28, 1982) with the wanted density as weight; neighbours are cells that touch, reached
by the shortest way inside the region, so that no branch crosses a hole.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra, minimum_spanning_tree
from scipy.spatial import cKDTree
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import Points
from quiltpath.geometry.free_curves.room_raster import RoomRaster

LLOYD_STEPS = 8
ALONG_THE_RIM = 0.35  # how far branches that run along the rim are put off


@dataclass(frozen=True)
class Pixels:
    """The pixels inside the room: ``xy`` (n, 2), ``pairs`` (m, 2) that touch, ``length`` (m,)."""

    xy: Points
    pairs: NDArray[np.intp]
    length: NDArray[np.float64]
    wall_mm: NDArray[np.float64]


def pixels_of(raster: RoomRaster) -> Pixels:
    """The inner pixels with their eight-neighbour graph."""
    inside = raster.inside
    number = np.full(inside.shape, -1, dtype=np.intp)
    number[inside] = np.arange(np.count_nonzero(inside))
    pairs, length = [], []
    for rows, columns in ((0, 1), (1, 0), (1, 1), (1, -1)):
        here, there = _shift(number, rows, columns)
        good = (here >= 0) & (there >= 0)
        pairs.append(np.stack([here[good], there[good]], axis=1))
        length.append(np.full(len(pairs[-1]), raster.step_mm * np.hypot(rows, columns)))
    xy = raster.centres().reshape(*inside.shape, 2)[inside]
    return Pixels(xy, np.concatenate(pairs), np.concatenate(length), raster.wall_mm[inside])


def _shift(
    number: NDArray[np.intp], rows: int, columns: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    high = number[rows:]
    low = number[: number.shape[0] - rows]
    if columns < 0:
        return low[:, -columns:].ravel(), high[:, :columns].ravel()
    return low[:, : low.shape[1] - columns].ravel(), high[:, columns:].ravel()


def spread_points(
    pixels: Pixels, spacing: NDArray[np.float64], step_mm: float, rng: np.random.Generator
) -> NDArray[np.intp]:
    """Pixels two spacings apart, spread evenly by weight; their numbers, at least one.

    The rim counts for the half spacing beyond it, so that the outer points lie half a spacing
    inside the room and the line round them on its edge.
    """
    rim = np.where(pixels.wall_mm < step_mm, spacing / 2 / step_mm, 0.0)
    weight = (1 + rim) * (step_mm / (2 * spacing)) ** 2 * 2 / np.sqrt(3)
    count = max(1, round(float(weight.sum())))
    order = rng.permutation(len(weight))
    ladder = np.cumsum(weight[order])
    start = (np.arange(count) + 0.5) * ladder[-1] / count
    chosen = order[np.searchsorted(ladder, start).clip(max=len(order) - 1)]
    points = pixels.xy[chosen]
    for _ in range(LLOYD_STEPS):
        _, cell = cKDTree(points).query(pixels.xy)
        mass = np.bincount(cell, weight, count)
        middle = np.stack([np.bincount(cell, weight * axis, count) for axis in pixels.xy.T], 1)
        full = mass > 0
        points[full] = middle[full] / mass[full, None]
    _, nearest = cKDTree(pixels.xy).query(points)
    return np.unique(nearest)


@dataclass(frozen=True)
class Tree:
    """Branches as lines, the spacing at each, and the spread points."""

    branches: list[Points]
    spacing: NDArray[np.float64]


def spanning_tree(
    pixels: Pixels, nodes: NDArray[np.intp], spacing: NDArray[np.float64], rng: np.random.Generator
) -> Tree:
    """A random spanning tree over touching cells, its branches the shortest ways inside."""
    graph = _graph(pixels.pairs, pixels.length, len(pixels.xy))
    far, before, source = dijkstra(
        graph, directed=False, indices=nodes, return_predecessors=True, min_only=True
    )
    first, second = pixels.pairs.T
    meets = (source[first] != source[second]) & (source[first] >= 0) & (source[second] >= 0)
    first, second = first[meets], second[meets]
    way = far[first] + far[second] + pixels.length[meets]
    ends = np.sort(np.stack([source[first], source[second]], 1), axis=1)
    order = np.lexsort((way, ends[:, 1], ends[:, 0]))
    _, lead = np.unique(ends[order], axis=0, return_index=True)
    kept = order[lead]
    rim = pixels.wall_mm < 1.1 * spacing
    chosen = kept[_random_tree(ends[kept], way[kept] / spacing[ends[kept, 0]], rim, rng)]
    branches = [_branch(pixels, before, first[k], second[k]) for k in chosen]
    if not branches:
        branches = [pixels.xy[nodes[:1]]]
        return Tree(branches, spacing[nodes[:1]])
    return Tree(branches, spacing[ends[chosen]].mean(axis=1))


def _graph(pairs: NDArray[np.intp], weight: NDArray[np.float64], size: int) -> csr_array:
    """(size, size) weights of the joined pairs; numbered in 32 bits, for older releases of scipy
    search no other graphs."""
    one, other = pairs.astype(np.int32).T
    return csr_array(coo_array((weight, (one, other)), shape=(size, size)))


def _random_tree(
    ends: NDArray[np.intp],
    way: NDArray[np.float64],
    rim: NDArray[np.bool_],
    rng: np.random.Generator,
) -> NDArray[np.intp]:
    """Edges of a tree by chance; long ones only where nothing shorter holds it together."""
    weight = rng.uniform(1.0, 2.0, len(ends)) + 4.0 * np.maximum(way - 2.8, 0)
    weight += ALONG_THE_RIM * (rim[ends[:, 0]] & rim[ends[:, 1]])
    tree = minimum_spanning_tree(_graph(ends, weight, len(rim))).tocoo()
    picked = set(zip(tree.row.tolist(), tree.col.tolist(), strict=True))
    return np.array(
        [k for k, (a, b) in enumerate(ends.tolist()) if (a, b) in picked], dtype=np.intp
    )


def _branch(pixels: Pixels, before: NDArray[np.intp], first: int, second: int) -> Points:
    """The way from one point over the two pixels that touch to the other."""
    halves: list[list[int]] = []
    for pixel in (first, second):
        trail = [int(pixel)]
        while before[trail[-1]] >= 0:
            trail.append(int(before[trail[-1]]))
        halves.append(trail)
    return pixels.xy[halves[0][::-1] + halves[1]]


def walk_round(tree: Tree, room: Polygon, thickness: float) -> Points:
    """The outline of the tree thickened to ``thickness`` spacings, kept inside the room; closed,
    first point not repeated. Empty where the room is too narrow for it."""
    lines = [
        shapely.Point(branch[0]) if len(branch) == 1 else _straighten(branch, room)
        for branch in tree.branches
    ]
    fat = shapely.union_all(shapely.buffer(lines, thickness / 2 * tree.spacing, quad_segs=6))
    inside = shapely.intersection(fat, room)
    parts = [part for part in shapely.get_parts(inside) if isinstance(part, Polygon)]
    if not parts:
        return np.empty((0, 2))
    largest = max(parts, key=lambda part: part.area)
    return shapely.get_coordinates(largest.exterior)[:-1]


def _straighten(branch: Points, room: Polygon) -> shapely.LineString:
    straight = shapely.LineString(branch[[0, -1]])
    if shapely.contains_properly(room, straight):
        return straight
    return shapely.LineString(branch)
