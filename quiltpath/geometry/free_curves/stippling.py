"""Stippling, the free meander: one smooth line that fills a region and never crosses itself.

A walk round a random spanning tree (``tree_walk``) is one closed line round any number of motifs;
it settles to even gaps (``relaxation``), tight bends are opened, a spline is laid through it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.ndimage import gaussian_filter
from scipy.spatial import cKDTree
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from quiltpath.geometry.arrays import Floats, Points
from quiltpath.geometry.free_curves.relaxation import (
    RelaxationSetting,
    Room,
    is_simple,
    relax,
    space_evenly,
)
from quiltpath.geometry.free_curves.room_raster import RoomRaster, raster_of
from quiltpath.geometry.free_curves.smooth_curve import smooth_closed, turning_radius_mm
from quiltpath.geometry.free_curves.tree_walk import (
    Pixels,
    pixels_of,
    spanning_tree,
    spread_points,
    walk_round,
)

SpacingAt = Callable[[Points], Floats]

DENSER = 0.79  # gaps between the bends of a line are wider than between its strands
THICKNESS = 0.85
NARROWEST = 0.7  # a room must hold two strands this many spacings apart
LEAST_RADIUS = 0.3
WALL_PLAY = 0.3  # how far, in spacings, the line may keep off the edge beyond its distance
UNEVEN = 0.1
COARSER = 4  # pixels: how finely a varying gap is asked for
FAR = 4.0  # spacings: how far off a wall is of no more interest
ROUNDS = 60
TRIES = 3
SLACK = 0.03  # of a spacing, for the spline's own way between points
LEAST_GAP, GREATEST_GAP = 0.65, 1.75
BEND = 1.7  # so many spacings along the line there may be a bend between two points
ROUGHLY = RelaxationSetting(steps=100, points=2.5)
FINELY = RelaxationSetting(steps=60, points=4)


@dataclass(frozen=True)
class Density:
    """The spacing to work with at points: the asked one, closer by a constant, a little uneven."""

    raster: RoomRaster
    pixels: Floats

    def __call__(self, at_mm: Points) -> Floats:
        return self.raster.read(self.pixels, at_mm)


def stipple(
    region: Polygon | MultiPolygon,
    spacing_mm: float,
    *,
    edge_mm: float | None = None,
    motif_mm: float | None = None,
    seed: int = 1,
    open_at_mm: tuple[float, float] | None = None,
    spacing_at: SpacingAt | None = None,
) -> list[Points]:
    """Smooth lines (n, 2) in mm, one for each part of the region that is wide enough.

    ``spacing_mm`` is the usual gap between strands. ``edge_mm`` is kept from the region's outer
    edge and ``motif_mm`` from its holes; both are half a spacing if not given. ``spacing_at``
    gives the gap in mm at (n, 2) points where it is to vary, never more than threefold. A line is
    closed (its last point is its first) unless ``open_at_mm`` is given: then it is opened where it
    comes nearest, by one spacing. Parts narrower than 0.7 spacings between the distances kept are
    left empty. The same seed gives the same line. Raises ``ValueError`` for a spacing that is not
    above 0.
    """
    if not spacing_mm > 0:
        raise ValueError(f"spacing_mm is {spacing_mm}; it must be above 0")
    edge = spacing_mm / 2 if edge_mm is None else edge_mm
    motif = spacing_mm / 2 if motif_mm is None else motif_mm
    narrowest, slack = NARROWEST * spacing_mm, SLACK * spacing_mm
    lines = []
    for number, room in enumerate(rooms(region, edge + slack, motif + slack, narrowest)):
        rng = np.random.default_rng([seed, number])
        line = _fill(room, spacing_mm, spacing_at, rng)
        if len(line):
            lines.append(line if open_at_mm is None else open_loop(line, open_at_mm, spacing_mm))
    return lines


def closer_towards(
    target: BaseGeometry, near_mm: float, far_mm: float, within_mm: float
) -> SpacingAt:
    """A spacing of ``near_mm`` at the target that opens to ``far_mm`` at ``within_mm`` from it."""

    def spacing(at_mm: Points) -> Floats:
        away = shapely.distance(target, shapely.points(at_mm))
        share = np.clip(away / within_mm, 0.0, 1.0)
        return near_mm + (far_mm - near_mm) * share * share * (3 - 2 * share)

    return spacing


def rooms(
    region: Polygon | MultiPolygon, edge_mm: float, motif_mm: float, narrowest_mm: float
) -> list[Polygon]:
    """Where the line may run: off the edge, off the motifs, and nowhere narrower than said."""
    parts = [part for part in shapely.get_parts(region) if isinstance(part, Polygon)]
    found: list[Polygon] = []
    for part in parts:
        holes = shapely.union_all([Polygon(ring) for ring in part.interiors])
        room = Polygon(part.exterior).buffer(-edge_mm).difference(holes.buffer(motif_mm))
        wide = room.buffer(-narrowest_mm / 2).buffer(narrowest_mm / 2 * 0.999)
        found += [piece for piece in shapely.get_parts(wide) if isinstance(piece, Polygon)]
    return sorted((room for room in found if not room.is_empty), key=lambda room: room.bounds)


def open_loop(line: Points, at_mm: tuple[float, float], gap_mm: float) -> Points:
    """A closed line opened by ``gap_mm`` where it comes nearest to a point."""
    ring = shapely.LineString(line)
    start = ring.project(shapely.Point(at_mm))
    turned = _from(ring, start)
    gap = min(gap_mm, ring.length / 8)
    return shapely.get_coordinates(substring(turned, gap / 2, turned.length - gap / 2))


def _from(ring: shapely.LineString, start_mm: float) -> shapely.LineString:
    """The same closed line, begun elsewhere."""
    way = shapely.line_locate_point(ring, shapely.points(ring.coords))
    at = ring.interpolate(start_mm)
    points = shapely.get_coordinates(ring)
    cut = int(np.searchsorted(np.concatenate([way[:-1], [ring.length]]), start_mm))
    cut = min(max(cut, 1), len(points) - 1)
    start = np.array([[at.x, at.y]])
    return shapely.LineString(np.vstack([start, points[cut:], points[1:cut], start]))


def _fill(
    room: Polygon, spacing_mm: float, spacing_at: SpacingAt | None, rng: np.random.Generator
) -> Points:
    """The settled line of one room, as a smooth closed curve; empty if there is no room."""
    finest = spacing_mm
    if spacing_at is not None:
        corners = shapely.get_coordinates(room.segmentize(spacing_mm))
        finest = float(np.clip(spacing_at(corners).min(), spacing_mm / 3, spacing_mm))
    raster = raster_of(room, finest * DENSER / 4, far_mm=FAR * spacing_mm)
    if not raster.inside.any():
        return np.empty((0, 2))
    pixels = pixels_of(raster)
    best, least_fault = np.empty((0, 2)), np.inf
    for _ in range(TRIES):
        density = _density(raster, spacing_mm, spacing_at, rng)
        line = _settle(room, raster, pixels, density, rng)
        fault = _fault(line, density)
        if fault < least_fault:
            best, least_fault = line, fault
        if fault <= 1:
            break
    return smooth_closed(best, finest / 32) if len(best) else best


def _settle(
    room: Polygon, raster: RoomRaster, pixels: Pixels, density: Density, rng: np.random.Generator
) -> Points:
    """A closed line that has come to rest; empty if the tree finds no room."""
    local = density.pixels[raster.inside]
    points = spread_points(pixels, local, raster.step_mm, rng)
    tree = spanning_tree(pixels, points, local, rng)
    walk = walk_round(tree, room, THICKNESS)
    if len(walk) == 0:
        return walk
    play = WALL_PLAY * density.pixels * _hills(raster, 1.4 * float(local.mean()), rng)
    line = relax(walk, Room.of(raster, play), density, ROUGHLY)
    line = relax(line, Room.of(raster, play), density, FINELY)
    return open_tight_bends(line, raster, density, LEAST_RADIUS / DENSER)


def _fault(line: Points, density: Density) -> float:
    """How far the line is from what is promised: at most 1 if both gaps keep their bounds."""
    if len(line) == 0:
        return np.inf
    raster, inside = density.raster, density.raster.inside
    centres, local = raster.centres()[inside.ravel()], density.pixels[inside] / DENSER
    away, _ = cKDTree(line).query(centres)
    empty = np.minimum(away, raster.wall_mm[inside]) * 2 / local
    return max(float(empty.max()) / GREATEST_GAP, LEAST_GAP / least_gap(line, density))


def least_gap(line: Points, density: Density) -> float:
    """The least gap between strands of a closed line, in spacings; bends are not strands."""
    local = density(line) / DENSER
    count = len(line)
    pairs = cKDTree(line).query_pairs(float(local.max()), output_type="ndarray")
    apart = np.abs(pairs[:, 0] - pairs[:, 1])
    strands = pairs[np.minimum(apart, count - apart) > BEND * FINELY.points / DENSER]
    if len(strands) == 0:
        return 1.0
    gap = np.hypot(*(line[strands[:, 0]] - line[strands[:, 1]]).T)
    return float((gap / local[strands[:, 0]]).min())


def _density(
    raster: RoomRaster, spacing_mm: float, spacing_at: SpacingAt | None, rng: np.random.Generator
) -> Density:
    wanted = np.full(raster.wall_mm.shape, spacing_mm)
    if spacing_at is not None:
        coarse = raster.coarser(COARSER)
        asked = spacing_at(coarse.centres()).reshape(coarse.wall_mm.shape)
        between = coarse.read(asked, raster.centres()).reshape(wanted.shape)
        wanted = np.clip(between, spacing_mm / 3, spacing_mm * 3)
    uneven = 1 + UNEVEN * (2 * _hills(raster, 1.5 * spacing_mm, rng) - 1)
    return Density(raster, DENSER * wanted * uneven)


def _hills(raster: RoomRaster, width_mm: float, rng: np.random.Generator) -> Floats:
    """Slow random ups and downs between 0 and 1 over the pixels."""
    rough = rng.normal(size=raster.wall_mm.shape)
    slow = gaussian_filter(rough, width_mm / raster.step_mm, mode="wrap")
    return np.clip(0.5 + slow / (4 * slow.std()), 0.0, 1.0)


def open_tight_bends(
    line: Points, raster: RoomRaster, spacing: SpacingAt, least_radius: float
) -> Points:
    """The closed line with bends tighter than ``least_radius`` spacings opened bit by bit."""
    up, along = np.gradient(raster.wall_mm, raster.step_mm)
    field = np.stack([raster.wall_mm, along, up], axis=-1)
    for _ in range(ROUNDS):
        tight = turning_radius_mm(line) < least_radius * spacing(line)
        if not tight.any():
            break
        near = tight | np.roll(tight, 1) | np.roll(tight, -1)
        middle = (np.roll(line, 1, axis=0) + np.roll(line, -1, axis=0)) / 2
        eased = np.where(near[:, None], (line + middle) / 2, line)
        seen = raster.read(field, eased)
        eased = space_evenly(
            eased - np.minimum(seen[:, :1], 0) * seen[:, 1:], spacing, FINELY.points
        )
        if not is_simple(eased):
            break
        line = eased
    return line
