"""A spiral that fills any shape, holes or none: one path for each connected part.

The level lines of the distance to the edge are joined into double spirals that go in and come out
again, and these into one path: H. Zhao et al., "Connected Fermat spirals for layered fabrication",
ACM Trans. Graph. 35, 2016.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.ops import substring

from quiltpath.geometry.arrays import Points, arc_lengths
from quiltpath.geometry.free_curves.loop_joining import join_loops
from quiltpath.geometry.free_curves.smooth_curve import simplify_curve
from quiltpath.geometry.free_curves.stippling import rooms

SLIDE = 2.0  # spacings to either side of the seam in which a turn slides to the next
LEAST_RING = 2.0  # spacings: shorter level lines are left out
SAMPLE = 1 / 16  # of a spacing
EASED = 0.36  # spacings: radius of outer corners, and half of the narrowest way between turns
AMISS = 0.25  # of a spacing: farthest that a line may leave its room by
SEAMS = 48  # places tried for the seam


def shape_spiral(
    region: Polygon | MultiPolygon,
    spacing_mm: float,
    *,
    edge_mm: float | None = None,
    motif_mm: float | None = None,
) -> list[Points]:
    """Closed paths (n, 2) in mm, one for each part of the region, that never cross themselves.

    The outermost turn keeps ``edge_mm`` from the edge and ``motif_mm`` from holes, half a spacing
    if not given. The gap is made a little smaller so that the widest part ends in half a gap. Parts
    narrower than half a spacing between those distances are left empty, and in a region of hardly a
    spacing or two others may be. Where level lines meet, by
    motifs above all, round places up to 2.8 gaps across may stay. Raises ``ValueError`` for a
    spacing that is not above 0.
    """
    if not spacing_mm > 0:
        raise ValueError(f"spacing_mm is {spacing_mm}; it must be above 0")
    edge = spacing_mm / 2 if edge_mm is None else edge_mm
    motif = spacing_mm / 2 if motif_mm is None else motif_mm
    found = []
    for room in rooms(region, edge, motif, 0.5 * spacing_mm):
        gap = _even_gap(room, spacing_mm)
        loops = [_double_spiral(chain, gap) for chain in _chains(_levels(room, gap), gap)]
        if loops:
            found += _sound(loops, gap, room)
    return found


def _sound(loops: list[Points], gap: float, room: Polygon) -> list[Points]:
    """One line through all loops, or where that would cross itself or leave the room, through as
    many of them as it can; the rest is left empty."""
    allowed = room.buffer(AMISS * gap)
    whole = _through(loops, gap)
    if _is_sound(whole, allowed):
        return [whole]
    kept: list[Points] = []
    found: list[Points] = []
    for loop in sorted(loops, key=lambda loop: -LineString(loop).length):
        tried = _through([*kept, loop], gap)
        if _is_sound(tried, allowed):
            kept.append(loop)
            found = [tried]
    return found


def _through(loops: list[Points], gap: float) -> Points:
    return simplify_curve(join_loops(loops, gap))


def _is_sound(path: Points, allowed: Polygon | MultiPolygon) -> bool:
    line = LineString(path)
    return bool(line.is_simple and shapely.covers(allowed, line))


def _even_gap(room: Polygon, spacing_mm: float) -> float:
    """The spacing at which the deepest point of the room lies half a gap inside the last turn."""
    centre = shapely.maximum_inscribed_circle(room, spacing_mm / 50)
    turns = max(0, math.ceil(centre.length / spacing_mm - 0.5))
    return centre.length / (turns + 0.5) if turns else spacing_mm


def _levels(room: Polygon, gap: float) -> list[list[LineString]]:
    """Level lines of the distance to the edge, a gap apart, all anticlockwise."""
    levels = []
    for depth in range(10_000):
        inner = room.buffer(-(depth + EASED) * gap, quad_segs=16).buffer(EASED * gap, quad_segs=16)
        rings = [
            LineString(shapely.orient_polygons(Polygon(ring)).exterior)
            for part in shapely.get_parts(inner)
            for ring in (part.exterior, *part.interiors)
        ]
        rings = [ring for ring in rings if ring.length >= LEAST_RING * gap]
        if not rings:
            break
        levels.append(rings)
    return levels


def _chains(levels: list[list[LineString]], gap: float) -> list[list[LineString]]:
    """Runs of level lines in which each has one neighbour inside, from the outer one on."""
    above: dict[tuple[int, int], list[tuple[int, int]]] = {}
    below: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for depth in range(1, len(levels)):
        tree = shapely.STRtree(levels[depth - 1])
        for k, ring in enumerate(levels[depth]):
            near = tree.query(ring, predicate="dwithin", distance=1.01 * gap)
            for j in sorted(near.tolist()):
                above.setdefault((depth, k), []).append((depth - 1, j))
                below.setdefault((depth - 1, j), []).append((depth, k))
    chains = []
    for depth, rings in enumerate(levels):
        for k in range(len(rings)):
            at = (depth, k)
            outer = above.get(at, [])
            if len(outer) == 1 and len(below[outer[0]]) == 1:
                continue
            chain = [at]
            while len(inner := below.get(chain[-1], [])) == 1 and len(above[inner[0]]) == 1:
                chain.append(inner[0])
            chains.append([levels[d][j] for d, j in chain])
    return chains


def _double_spiral(chain: list[LineString], gap: float) -> Points:
    """One closed line through a chain of level lines: in along every other one, out by the rest."""
    turns = _from_the_seam(chain, gap)
    if len(turns) == 1:
        return _stretch(turns[0], 0.0, turns[0].length, gap)
    for slide in (SLIDE, SLIDE / 2, SLIDE / 4) if len(turns) > 2 else (0.5,):
        ways_in = _arm(turns[0::2], slide * gap, gap)
        ways_out = _arm(turns[1::2], slide * gap, gap)
        loop = np.vstack([ways_in, ways_out[::-1], ways_in[:1]])
        if shapely.is_simple(shapely.LineString(loop)):
            return loop
    return _stretch(turns[0], 0.0, turns[0].length, gap)


def _from_the_seam(chain: list[LineString], gap: float) -> list[LineString]:
    """Each level line begun where it is nearest to the start of the one outside, at a place where
    all of them run straight."""
    best, most = chain[0].interpolate(0), -1.0
    for at in np.arange(SEAMS) / SEAMS * chain[0].length:
        start = chain[0].interpolate(at)
        ways = _seam(chain, start)
        straight = min(
            _straightness(turn, way, min(SLIDE * gap, turn.length / 4))
            for turn, way in zip(chain, ways, strict=True)
        )
        if straight > most + 1e-3:
            best, most = start, straight
    return [rotate_ring(turn, way) for turn, way in zip(chain, _seam(chain, best), strict=True)]


def _seam(chain: list[LineString], start: shapely.Point) -> list[float]:
    """How far along each level line the seam crosses it, going inwards by the shortest way."""
    ways = []
    for turn in chain:
        ways.append(float(turn.project(start)))
        start = turn.interpolate(ways[-1])
    return ways


def _straightness(turn: LineString, way: float, half: float) -> float:
    """1 where the line is straight ``half`` to both sides, less where it bends."""
    ends = shapely.line_interpolate_point(turn, np.mod([way - half, way + half], turn.length))
    return float(shapely.distance(*ends)) / (2 * half)


def rotate_ring(ring: LineString, start_mm: float) -> LineString:
    """The same closed line, begun ``start_mm`` further along."""
    points = shapely.get_coordinates(ring)
    way = arc_lengths(points)
    at = shapely.get_coordinates(ring.interpolate(start_mm))
    cut = int(np.searchsorted(way, start_mm, side="right"))
    cut = min(max(cut, 1), len(points) - 1)
    return LineString(np.vstack([at, points[cut:-1], points[:cut], at]))


def _arm(turns: list[LineString], slide_mm: float, gap: float) -> Points:
    """Turns of one arm from the outside in, each sliding to the next over the seam."""
    pieces = []
    begin = _window(turns[0], slide_mm)
    for k, turn in enumerate(turns):
        wide = _window(turns[min(k + 1, len(turns) - 1)], slide_mm)
        pieces.append(_stretch(turn, begin, turn.length - wide, gap))
        if k + 1 < len(turns):
            pieces.append(_slide(turn, turns[k + 1], wide, gap)[1:-1])
        begin = wide
    return np.vstack(pieces)


def _window(turn: LineString, slide_mm: float) -> float:
    return min(slide_mm, turn.length / 4)


def _stretch(turn: LineString, start: float, end: float, gap: float) -> Points:
    """A turn between two places along it, its corners kept."""
    return shapely.get_coordinates(substring(turn, start, end).segmentize(gap / 4))


def _slide(outer: LineString, inner: LineString, wide: float, gap: float) -> Points:
    """From one turn, before its end, to the next, after its start."""
    count = max(8, int(2 * wide / (SAMPLE * gap)))
    x = np.linspace(-wide, wide, count)
    share = (x / wide + 1) / 2
    share = (share * share * (3 - 2 * share))[:, None]
    ways = [
        shapely.get_coordinates(shapely.line_interpolate_point(turn, np.mod(x, turn.length)))
        for turn in (outer, inner)
    ]
    return (1 - share) * ways[0] + share * ways[1]
