"""What an unquilted circle must not touch: stitched lines and the finished edge, as segments.

The segments are turned into the frame of their main direction, so that a set of parallel lines,
whatever its angle, lies along x, where upright cells fit it best and the tree's boxes are thin.
The lines that run square to an axis of that frame are kept as guides as well: between them a cell
falls into even rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import Floats, Segments, segments, shares

LineStrings = Sequence[object] | NDArray[np.object_]
"""shapely LineStrings, mm"""

_LONGEST_PIECE_MM = 30.0
"""longer segments are cut for the tree: boxes of long ones beside short ones find nothing fast"""

_SHORTEST_MM = 20.0
"""a shorter line bounds no row that is worth following"""

_FAR_MM = 1e6
"""more than any length of cloth: puts the lines of each place in a range of numbers of its own"""


@dataclass(frozen=True)
class Guides:
    """Lines square to one axis, sorted by place and then by where they begin.

    ``place``        (g,) distinct places on the axis, mm
    ``place_of``     (k,) index of its place, for each line
    ``begin``, ``finish``  (k,) where each line begins and ends on the other axis, mm
    """

    place: Floats
    place_of: NDArray[np.intp]
    begin: Floats
    finish: Floats

    def spanned(self, place: NDArray[np.intp], low: Floats, high: Floats) -> NDArray[np.bool_]:
        """(n,) true where one line at the place covers low..high on the other axis."""
        keys = self.place_of * _FAR_MM + self.begin
        line = np.maximum(np.searchsorted(keys, place * _FAR_MM + low + 1e-6) - 1, 0)
        covers = (self.begin[line] <= low + 1e-6) & (self.finish[line] >= high - 1e-6)
        return covers & (self.place_of[line] == place)


def guides(start: Floats, end: Floats, axis: int) -> Guides:
    """The segments square to the axis, from (k, 2) ends; those that touch count as one."""
    along = np.abs(end - start)
    square = (along[:, axis] < 1e-3) & (along[:, 1 - axis] > _SHORTEST_MM)
    ends = np.stack([start[square, 1 - axis], end[square, 1 - axis]])
    place, place_of = np.unique(np.round(start[square, axis], 3), return_inverse=True)
    order = np.lexsort([ends.min(axis=0), place_of])
    return _merge(Guides(place, place_of[order], ends.min(axis=0)[order], ends.max(axis=0)[order]))


@dataclass(frozen=True)
class Obstacles:
    """Segments in the turned frame with a search tree over their pieces.

    ``start``, ``end``  (k, 2) ends of the segments, mm in the turned frame
    ``tree``            over pieces of the segments; ``piece_of`` (m,) names the segment
    ``outline``         the finished edge in the turned frame
    ``turn``            (2, 2) matrix: frame point = turn @ runner point
    ``guides``          the upright lines by x, and the level lines by y
    """

    start: Floats
    end: Floats
    tree: shapely.STRtree
    piece_of: NDArray[np.intp]
    outline: Polygon
    turn: Floats
    guides: tuple[Guides, Guides]

    def nearest(self, points: Floats) -> tuple[NDArray[np.intp], Floats]:
        """Nearest segment, and its distance in mm, for each of (n, 2) frame points."""
        (_, piece), distance = self.tree.query_nearest(
            shapely.points(points), all_matches=False, return_distance=True
        )
        return self.piece_of[piece], distance

    def clearance(self, points: Floats) -> Floats:
        """(n,) radius of the empty circle around each frame point; -inf outside the edge."""
        _, distance = self.nearest(points)
        return np.where(self.inside(points), distance, -np.inf)

    def inside(self, points: Floats) -> NDArray[np.bool_]:
        """(n,) true inside the finished edge."""
        return shapely.contains_xy(self.outline, points[:, 0], points[:, 1])


def obstacles(stitched: LineStrings, outline: Polygon, moved_mm: float) -> Obstacles:
    """Obstacles from (n,) LineStrings in mm and the finished edge.

    Curves are drawn with fewer vertices, each moved by at most ``moved_mm``.
    """
    shapes = np.array([*stitched, *_rings(outline)], dtype=object)
    parts = segments(shapely.simplify(shapes, moved_mm, preserve_topology=False))
    turn = _main_turn(parts)
    start, end = parts.start @ turn.T, parts.end @ turn.T
    pieces, piece_of = _pieces(start, end)
    frame_outline = shapely.transform(outline, lambda xy: xy @ turn.T)
    shapely.prepare(frame_outline)
    square = (guides(start, end, 0), guides(start, end, 1))
    return Obstacles(
        start, end, shapely.STRtree(pieces, node_capacity=4), piece_of, frame_outline, turn, square
    )


def _rings(outline: Polygon) -> list[object]:
    return [outline.exterior, *outline.interiors]


def _main_turn(parts: Segments) -> Floats:
    """Rotation that lays the direction with most length (a right angle counts as none) along x."""
    along, length = parts.along, parts.length
    angle = np.arctan2(along[:, 1], along[:, 0]) % (np.pi / 2)
    bins = np.round(angle / np.radians(0.5)).astype(np.intp) % 180
    fullest = np.argmax(np.bincount(bins, weights=length, minlength=180))
    chosen = bins == fullest
    wave = np.sum(length[chosen] * np.exp(4j * angle[chosen]))
    theta = np.angle(wave) / 4
    return np.array([[np.cos(theta), np.sin(theta)], [-np.sin(theta), np.cos(theta)]])


def _pieces(start: Floats, end: Floats) -> tuple[NDArray[np.object_], NDArray[np.intp]]:
    """Pieces of the segments for the tree, with the index of the segment of each."""
    length = np.abs(end - start).max(axis=1)
    count = np.maximum(np.ceil(length / _LONGEST_PIECE_MM), 1).astype(np.intp)
    owner, middle = shares(count)
    half, span = 0.5 / count[owner], (end - start)[owner]
    ends = [start[owner] + span * share[:, None] for share in (middle - half, middle + half)]
    return shapely.linestrings(np.stack(ends, axis=1)), owner


def _merge(lines: Guides) -> Guides:
    """The same guides with touching and overlapping lines of one place made one."""
    if len(lines.begin) == 0:
        return lines
    shift = lines.place_of * _FAR_MM
    reach = np.maximum.accumulate(lines.finish + shift)
    opens = np.concatenate([[True], (lines.begin + shift)[1:] > reach[:-1] + 1e-6])
    first = np.flatnonzero(opens)
    last = np.append(first[1:], len(opens)) - 1
    return Guides(lines.place, lines.place_of[first], lines.begin[first], (reach - shift)[last])
