"""One repeat of the user's own drawing: its paths, which of them leads on, how its ends match."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString

from quiltpath.geometry.curves import Points
from quiltpath.geometry.svg_shapes import read_svg
from quiltpath.patterns.lines import Remark

JOINED_MM = 0.2
"""Ends of hand-drawn paths this close were meant to meet."""

WORTH_JOINING = 0.5
"""A path that carries the pattern on leads over this share of the drawing's length or more."""

LEAN_TOLD_DEG = 1.0
CORNER_TOLD_DEG = 15.0
SHARPER_DEG = 5.0
"""A corner where repeats join is told if the line has none as sharp of its own."""


@dataclass(frozen=True)
class Repeat:
    """A drawing in its own size, its row path beginning at the origin.

    ``path``     (k, 2) the path that leads from one repeat to the next, or None where none does
    ``others``   further paths of the drawing
    ``advance``  length of one repeat
    ``lean_deg`` by how much the path climbed before it was levelled
    """

    path: Points | None
    others: tuple[Points, ...]
    advance: float
    lean_deg: float = 0.0

    @property
    def parts(self) -> tuple[Points, ...]:
        """Everything that is drawn in one repeat."""
        return self.others if self.path is None else (self.path, *self.others)

    def scaled(self, by: float) -> Repeat:
        """The same drawing, larger."""
        path = None if self.path is None else self.path * by
        return Repeat(path, tuple(part * by for part in self.others), self.advance * by)

    def turned_round(self) -> Repeat:
        """Its mirror image left to right, the path still leading to the right."""
        path = None if self.path is None else self._mirrored(self.path)[::-1]
        return Repeat(path, tuple(self._mirrored(part) for part in self.others), self.advance)

    def _mirrored(self, points: Points) -> Points:
        return np.array([self.advance, 0.0]) + points * np.array([-1.0, 1.0])

    def upside_down(self) -> Repeat:
        """Its mirror image top to bottom, as high and as low as before."""
        flip, by = np.array([1.0, -1.0]), np.array([0.0, sum(self.bounds)])
        path = None if self.path is None else by + self.path * flip
        return Repeat(path, tuple(by + part * flip for part in self.others), self.advance)

    @property
    def bounds(self) -> tuple[float, float]:
        """Lowest and highest point."""
        points = np.concatenate(self.parts)
        return float(points[:, 1].min()), float(points[:, 1].max())


def paths_of(svg: bytes, file: str, size_mm: float) -> list[Points]:
    """Paths of the file from its lower left corner, those whose ends meet put together."""
    drawn = read_svg(svg, file, size_mm)
    lines = [np.array(line.coords) for line in drawn.outlines]
    low = np.concatenate(lines).min(axis=0)
    snapped = _ends_met([points - low for points in lines])
    whole = MultiLineString([LineString(path) for path in snapped])
    return [np.array(line.coords) for line in shapely.get_parts(shapely.line_merge(whole))]


def _ends_met(paths: list[Points]) -> list[Points]:
    """Ends within 0.2 mm of an earlier end moved onto it."""
    known: list[Points] = []
    met = []
    for path in paths:
        moved = path.copy()
        for index in (0, -1):
            near = [k for k in known if math.dist(k, moved[index]) <= JOINED_MM]
            if near:
                moved[index] = near[0]
            else:
                known.append(moved[index].copy())
        met.append(moved)
    return met


def repeat_of(paths: Sequence[Points]) -> Repeat:
    """One repeat: the open path that leads farthest along joins it to the next.

    The drawing is sheared a little where that path ends higher or lower than it begins, so that a
    row runs level. Without such a path repeats stand side by side.
    """
    points = np.concatenate(paths)
    length = float(np.ptp(points[:, 0]))
    reach = [abs(float(path[-1, 0] - path[0, 0])) for path in paths]
    longest = int(np.argmax(reach))
    if reach[longest] < WORTH_JOINING * length:
        return Repeat(None, tuple(paths), length)
    path = paths[longest]
    path = path if path[-1, 0] > path[0, 0] else path[::-1]
    start, advance = path[0], float(path[-1, 0] - path[0, 0])
    slope = float(path[-1, 1] - path[0, 1]) / advance

    def levelled(part: Points) -> Points:
        moved = part - start
        return np.column_stack([moved[:, 0], moved[:, 1] - slope * moved[:, 0]])

    others = tuple(levelled(part) for i, part in enumerate(paths) if i != longest)
    main = levelled(path)
    main[-1] = (advance, 0.0)
    return Repeat(main, others, advance, math.degrees(math.atan(slope)))


def ends_remark(repeat: Repeat, file: str, arrangement: str) -> Remark | None:
    """What a person should know of how its repeats join; None where they join well."""
    if repeat.path is None:
        return Remark(
            "repeats-apart",
            f"no line of {file} leads from its left end to its right, so that each repeat is begun"
            " anew",
            "draw one line from end to end, or let it be",
        )
    if arrangement == "half drop":
        return Remark(
            "repeats-apart",
            f"every second repeat of {file} lies half a row lower, so that each is begun anew",
            'take arrangement = "brick" for rows that are sewn in one',
        )
    told, remedies = [], []
    if abs(repeat.lean_deg) > LEAN_TOLD_DEG:
        way = "higher" if repeat.lean_deg > 0 else "lower"
        told.append(
            f"ends {way} than it begins and was leaned by {abs(repeat.lean_deg):.0f} degrees to"
            " join its next repeat"
        )
        remedies.append("draw both ends at one height")
    corner = corner_deg(repeat.path, mirrored=arrangement == "mirrored")
    if corner:
        told.append(f"turns by {corner:.0f} degrees where its repeats join")
        remedies.append("let the line leave its left end the way it comes to its right end")
    words = " and ".join(told)
    return Remark("repeats-joined-badly", f"{file} {words}", ", ".join(remedies)) if told else None


def corner_deg(path: Points, *, mirrored: bool) -> float:
    """The turn where repeats join, in degrees; 0 where the line has corners as sharp of its own."""
    way = np.diff(path, axis=0)
    heading = np.degrees(np.arctan2(way[:, 1], way[:, 0]))
    joins = 2 * heading[[0, -1]] if mirrored else heading[:1] - heading[-1:]
    own = float(np.abs(_turns(np.diff(heading))).max(initial=0.0))
    turn = float(np.abs(_turns(joins)).max())
    return turn if turn > max(CORNER_TOLD_DEG, own + SHARPER_DEG) else 0.0


def _turns(degrees: Points) -> Points:
    """The same turns from -180 to 180 degrees."""
    return (degrees + 180.0) % 360.0 - 180.0
