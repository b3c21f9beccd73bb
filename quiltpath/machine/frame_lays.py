"""How a runner can lie on a frame: lengthwise or crosswise, with lines that end sooner or later.

A frame sews any depth in passes, but its rail must take in one go what lies along it. So a runner
that is too long for the rail may still go in crosswise, a quarter turned, and lines may stop sooner
in the wadding than the guide has it, where nobody will see it once the edge is trimmed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.polyline_stretches import stretches
from quiltpath.machine.pass_bands import PassBands
from quiltpath.machine.pass_cutting import Pieces
from quiltpath.machine.profile import MachineProfile
from quiltpath.patterns import Lines
from quiltpath.routing.margin import margin_depth
from quiltpath.units import both_units, count

SLACK_MM = 1e-6
SHORTEST_MM = 1e-3


@dataclass(frozen=True)
class FramedWork:
    """What is to be sewn, in mm on the runner: all quilting lines, the pieces of them that are
    sewn, the finished outline, the wadding's width beyond it, printed or sewn sashing lines, and
    blocks and strips that may be finished one by one."""

    lines: Lines
    pieces: Pieces
    outline: shapely.Polygon
    margin_mm: float
    printed: tuple[shapely.LineString, ...] = ()
    regions: tuple[shapely.Polygon, ...] = ()

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, low, right and high of the pieces."""
        left, low, right, high = shapely.total_bounds(self.pieces.shape).tolist()
        return left, low, right, high

    @property
    def size_mm(self) -> tuple[float, float]:
        """Of the pieces, along the rails and across them."""
        left, low, right, high = self.bounds
        return right - left, high - low

    def turned(self) -> FramedWork:
        """The same as it lies turned a quarter to the right."""
        lines = replace(
            self.lines, geometry=_turn(self.lines.geometry), curves=_turn(self.lines.curves)
        )
        pieces = replace(self.pieces, shape=_turn(self.pieces.shape))
        return replace(
            self,
            lines=lines,
            pieces=pieces,
            outline=_turn(np.array([self.outline], dtype=object))[0],
            printed=tuple(_turn(np.array(list(self.printed), dtype=object))),
            regions=tuple(_turn(np.array(list(self.regions), dtype=object))),
        )

    def ending_sooner(self, overrun_mm: float) -> FramedWork:
        """The same with lines that run on no further than that beyond the edge."""
        cloth = self.outline.buffer(overrun_mm, join_style="mitre")
        pieces = clip_pieces(self.pieces, cloth)
        margin = min(self.margin_mm, 2 * overrun_mm)
        return replace(self, pieces=pieces, margin_mm=margin)

    @property
    def margin_room_mm(self) -> float:
        """How far beyond the edge the way from one line's end to the next lies."""
        ends = [shapely.get_coordinates(shapely.get_point(self.pieces.shape, k)) for k in (0, -1)]
        return margin_depth(np.vstack(ends), self.outline, self.margin_mm)


def _turn(shapes: NDArray[np.object_]) -> NDArray[np.object_]:
    found: NDArray[np.object_] = shapely.transform(shapes, turn_right)
    return found


def turn_right(points: Floats) -> Floats:
    """(n, 2) points of a runner as it lies turned a quarter to the right."""
    return np.column_stack([points[:, 1], -points[:, 0]])


def clip_pieces(pieces: Pieces, cloth: shapely.Polygon) -> Pieces:
    """The pieces as far as they lie on ``cloth``. A line that crosses itself stays one line."""
    shapely.prepare(cloth)
    inside = shapely.covers(cloth, pieces.shape)
    parts: list[shapely.LineString] = []
    origin: list[int] = []
    for shape, line, whole in zip(pieces.shape, pieces.origin.tolist(), inside, strict=True):
        own = [shape] if whole else _parts_on(shape, cloth)
        parts += own
        origin += [line] * len(own)
    held = np.empty(len(parts), dtype=object)
    held[:] = parts
    return Pieces(held, np.array(origin, dtype=np.int32))


def _parts_on(line: shapely.LineString, cloth: shapely.Polygon) -> list[shapely.LineString]:
    """The stretches of one line that lie on the cloth."""
    met = shapely.get_coordinates(shapely.intersection(line, cloth.boundary))
    at = np.unique(np.round(shapely.line_locate_point(line, shapely.points(met)), 6))
    stops = np.concatenate([[0.0], at, [line.length]])
    between = [(a, b) for a, b in pairwise(stops.tolist()) if b - a > SHORTEST_MM]
    middles = shapely.line_interpolate_point(line, [(a + b) / 2 for a, b in between])
    on_cloth = shapely.intersects(cloth, middles)
    points = stretches(shapely.get_coordinates(line), between)
    return [shapely.LineString(own) for own, kept in zip(points, on_cloth, strict=True) if kept]


@dataclass(frozen=True)
class FrameLay:
    """One way in which the runner lies on a frame.

    ``along_mm``    what is sewn, along the rails
    ``passes``      how many it takes; None where the rail is too short for it
    ``allowed``     whether the machine's profile lets the runner lie like that
    """

    crosswise: bool
    overrun_mm: float | None
    overlap_mm: float
    along_mm: float
    passes: int | None
    allowed: bool


def frame_lays(
    size_mm: tuple[float, float],
    shorter: tuple[float, tuple[float, float]] | None,
    profile: MachineProfile,
    overlaps_mm: Sequence[float],
) -> tuple[FrameLay, ...]:
    """Every lay there is, those first that change least.

    ``size_mm`` is that of what is sewn, as it lies in the guide; ``shorter`` is a lesser overrun
    with the size that it leaves.
    """
    along, across = profile.usable
    sizes = [(None, size_mm)] + ([shorter] if shorter else [])
    found = []
    for crosswise in (False, True):
        for overrun, size in sizes:
            length, depth = size[::-1] if crosswise else size
            fits = length <= along + SLACK_MM
            for overlap in overlaps_mm:
                if across <= overlap and depth > across + SLACK_MM:
                    continue
                passes = len(PassBands(0.0, depth, across, overlap)) if fits else None
                allowed = profile.turns or not crosswise
                found.append(FrameLay(crosswise, overrun, overlap, length, passes, allowed))
    return tuple(found)


def lay_remedy(lays: Sequence[FrameLay], profile: MachineProfile) -> str:
    """What would do where no lay is both allowed and short enough."""
    said = []
    lengthwise = next(lay for lay in lays if not lay.crosswise and lay.overrun_mm is None)
    rail = math.ceil(lengthwise.along_mm + 2 * profile.margin)
    crosswise = [lay for lay in lays if lay.crosswise and lay.passes is not None]
    if crosswise:
        passes = min(lay.passes or 0 for lay in crosswise)
        said.append(
            f"laid crosswise, a quarter turned, it takes {count(passes, 'pass', 'passes')}: where"
            " it may lie so set machine.turns = true"
        )
    said.append(f"the smallest rail that would do lengthwise is {both_units(rail)}")
    other = next(lay for lay in lays if lay.crosswise and lay.overrun_mm is None)
    if not crosswise:
        rail = math.ceil(other.along_mm + 2 * profile.margin)
        said.append(f"crosswise {both_units(rail)}")
    return "; or ".join(said)
