"""One load of a machine: the zero that all of its files share, and what is traced before it sews.

A machine either keeps a file's own zero or puts the middle of a file in the middle of its field.
So that the trace follows the cloth on both, the files of a load count from one place, and the
trace goes round a box about the middle of what is sewn as well as along the finished edge.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from quiltpath.geometry.arrays import Floats
from quiltpath.machine.parts import Bounds, Part
from quiltpath.stitching import PointKind, Stitches

SAME_MM = 0.01
SHARE_OF_STITCH = 0.5
"""A traced step over the usual stitch: at one rate of stitches the head moves half as fast."""
LONGEST_STEP_MM = 8.0
"""Short enough for one record of every format."""


def _nowhere() -> Floats:
    return np.zeros((0, 2))


@dataclass(frozen=True, eq=False)
class Load:
    """What the files of one load have in common; mm as the machine sees the runner.

    ``sewn``     left, low, right and high of the needle holes
    ``rings``    the finished edge where the machine reaches it, closed, each an (n, 2) array; the
                 first begins at its point nearest to the zero
    ``crosses``  (2, 2) alignment crosses, none where nothing is to be aligned
    ``cross_names``  what they are called on the runner's map
    ``cuts``     (k, 2) places where lines pass to another load
    ``turned``   the runner lies turned a quarter to the right
    ``corner``   the corner of the reach that path files count from: 0 or 1 to the right, and up
    """

    sewn: Bounds
    rings: tuple[Floats, ...] = ()
    crosses: Floats = field(default_factory=_nowhere)
    cross_names: tuple[str, ...] = ()
    cuts: Floats = field(default_factory=_nowhere)
    turned: bool = False
    corner: tuple[int, int] = (0, 0)

    def flipped(self, flip: Floats) -> Load:
        """The same with what lies about its middle multiplied by ``flip``, (2,) of 1 and -1."""
        middle = self.middle_mm

        def laid(points: Floats) -> Floats:
            return middle + (points - middle) * flip

        rings = tuple(laid(ring) for ring in self.rings)
        return replace(self, rings=rings, crosses=laid(self.crosses), cuts=laid(self.cuts))

    @property
    def middle_mm(self) -> Floats:
        """(2,) middle of what is sewn: stitch files count from here, to their grid."""
        left, low, right, high = self.sewn
        return (np.array([left, low]) + np.array([right, high])) / 2

    @property
    def reach(self) -> Bounds:
        """The smallest box about the middle that holds all that is sewn and the finished edge."""
        edge = np.vstack([np.reshape(self.sewn, (2, 2)), *self.rings])
        low, high = np.reshape(self.sewn, (2, 2))
        out = np.maximum(low - edge.min(axis=0), edge.max(axis=0) - high)
        (left, low), (right, high) = low - out, high + out
        return float(left), float(low), float(right), float(high)

    @property
    def zero_mm(self) -> Floats:
        """(2,) the corner of :attr:`reach` that path files count from."""
        left, low, right, high = self.reach
        return np.array([(left, right)[self.corner[0]], (low, high)[self.corner[1]]])

    @property
    def reach_size_mm(self) -> tuple[float, float]:
        """Width and height of the box that the trace goes round."""
        left, low, right, high = self.reach
        return right - left, high - low

    @property
    def sewn_size_mm(self) -> tuple[float, float]:
        """Width and height of what is sewn."""
        left, low, right, high = self.sewn
        return right - left, high - low

    @property
    def check_mm(self) -> Floats:
        """(2,) a place to bring the needle to: the first cross, or where the trace begins."""
        if len(self.crosses):
            return np.asarray(self.crosses[0])
        return self.rings[0][0] if self.rings else self.zero_mm

    @property
    def check_on_runner_mm(self) -> tuple[float, float]:
        """The same place as the guide has it."""
        x, y = self.check_mm.tolist()
        return (-y, x) if self.turned else (x, y)


@dataclass(frozen=True)
class FileFacts:
    """What one file that was read back does at thread ends inside the runner.

    ``ends``  thread ends that are to be secured; ``secured`` those that the file secures itself
    ``way``   how it does
    """

    name: str
    ends: int
    secured: int
    way: str


def load_of(part: Part, outline: shapely.Polygon, *, alone: bool, cuts: Floats) -> Load:
    """The load of one part; ``outline`` is the finished edge, ``cuts`` (k, 2) mm on the runner.

    ``alone`` where it is the only part, which needs no crosses.
    """
    holes = part.machine_stitches.needle_holes
    low, high = holes.min(axis=0), holes.max(axis=0)
    reached = part.field
    box = shapely.box(reached.left, reached.low, reached.right, reached.high)
    seen = [
        piece
        for piece in shapely.get_parts(shapely.intersection(outline, box))
        if isinstance(piece, shapely.Polygon) and not piece.is_empty
    ]
    rings = [_as_seen(part, shapely.get_coordinates(piece.exterior)) for piece in seen]
    return Load(
        sewn=(float(low[0]), float(low[1]), float(high[0]), float(high[1])),
        rings=tuple(_begin_near(ring, low) for ring in rings),
        crosses=np.zeros((0, 2)) if alone else _as_seen(part, part.crosses),
        cuts=_as_seen(part, cuts),
        turned=reached.turned,
    )


def whole_load(stitches: Stitches) -> Load:
    """The load of a design that is sewn without a profile: nothing is traced."""
    low, high = stitches.needle_holes.min(axis=0), stitches.needle_holes.max(axis=0)
    return Load((float(low[0]), float(low[1]), float(high[0]), float(high[1])))


def _as_seen(part: Part, points: Floats) -> Floats:
    """A runner that lies turned a quarter to the right, as the machine sees it."""
    points = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    return np.column_stack([points[:, 1], -points[:, 0]]) if part.field.turned else points


def _begin_near(ring: Floats, place: Floats) -> Floats:
    first = int(np.hypot(*(ring[:-1] - place).T).argmin())
    return np.vstack([np.roll(ring[:-1], -first, axis=0), ring[first]])


def traced_rings(load: Load) -> tuple[tuple[str, Floats], ...]:
    """What is traced, in order, each with its role: the finished edge, then the box about it.

    The box is left out where the edge is that box already.
    """
    left, low, right, high = load.reach
    box = np.array([[left, low], [right, low], [right, high], [left, high], [left, low]])
    edges = tuple(("edge", ring) for ring in load.rings)
    if len(edges) == 1:
        edge = shapely.Polygon(load.rings[0])
        if edge.symmetric_difference(shapely.Polygon(box)).area <= SAME_MM * edge.length:
            return edges
    return (*edges, ("trace", box))


def trace_stitches(load: Load, stitch_mm: float) -> Stitches:
    """Steps round all that is traced, each ring back to its start, with a halt after each.

    They are half as long as ``stitch_mm``, the usual stitch, so that the head moves more slowly.
    """
    step = min(max(stitch_mm * SHARE_OF_STITCH, 0.5), LONGEST_STEP_MM)
    blocks = [
        shapely.get_coordinates(shapely.segmentize(shapely.LineString(ring), step))
        for _, ring in traced_rings(load)
    ]
    sizes = [len(block) for block in blocks]
    kind = [
        [PointKind.TRAVEL, *[PointKind.STITCH] * size, PointKind.TRIM, PointKind.STOP]
        for size in sizes
    ]
    kind[-1] = kind[-1][:-2]
    counts = [len(each) for each in kind]
    points = [
        np.vstack([block[:1], block, np.repeat(block[-1:], count - size - 1, axis=0)])
        for block, count, size in zip(blocks, counts, sizes, strict=True)
    ]
    stretch = [
        [-1, -1, *[0] * (size - 1), -1, -1][:count]
        for size, count in zip(sizes, counts, strict=True)
    ]
    total = sum(counts)
    return Stitches(
        np.vstack(points),
        np.concatenate(kind).astype(np.int8),
        np.repeat(np.arange(len(blocks), dtype=np.int32), counts),
        np.full(total, -1, dtype=np.int32),
        np.concatenate(stretch).astype(np.int32),
        np.zeros((0, 3)),
    )
