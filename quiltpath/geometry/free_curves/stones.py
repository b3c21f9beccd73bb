"""Pebbles: round stones side by side, sewn as one smooth line.

Stones are laid one by one against those that lie, from the middle outwards. Each touches the one
it was laid against; the line runs round a stone, turns into the next where they touch the other way
round, as in a figure of eight, and so passes each stone once without stopping.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from quiltpath.geometry.arrays import Points
from quiltpath.geometry.free_curves.room_raster import RoomRaster, raster_of
from quiltpath.geometry.free_curves.stippling import rooms

STRAY_MM = 0.02
HAIR = 0.05  # of the least radius: kept between stones that are not neighbours on the line
TRIES = 4
ANGLES = 36
RASTER = 0.25  # of the least radius


def pebbles(
    region: Polygon | MultiPolygon,
    least_mm: float,
    greatest_mm: float,
    *,
    edge_mm: float = 0.0,
    motif_mm: float | None = None,
    seed: int = 1,
) -> list[Points]:
    """Closed lines (n, 2) in mm round stones, one line for each part of the region.

    Stones are ``least_mm`` to ``greatest_mm`` across, and keep ``edge_mm`` from the region's outer
    edge and ``motif_mm`` (a quarter of the least stone if not given) from its holes. A part
    in which no stone finds room is left empty. The same seed lays the same stones. Raises
    ``ValueError`` where the least is not above 0, or above the greatest.
    """
    if not 0 < least_mm <= greatest_mm:
        raise ValueError("least_mm must be above 0 and greatest_mm not below it")
    motif = least_mm / 4 if motif_mm is None else motif_mm
    found = []
    for number, room in enumerate(rooms(region, edge_mm, motif, least_mm)):
        rng = np.random.default_rng([seed, number])
        heap = _Heap.in_room(room, least_mm / 2, greatest_mm / 2, rng)
        heap.fill()
        if heap.stones:
            found.append(heap.line())
    return found


class Stone(NamedTuple):
    """A round stone; ``against`` is the number of the one it was laid against, -1 for the first."""

    x: float
    y: float
    radius: float
    against: int


class _Neighbour(NamedTuple):
    """A stone as it is seen from another one's middle: how far away its edge and its middle are,
    where it lies, how large it is, and in which direction."""

    edge: float
    x: float
    y: float
    radius: float
    far: float
    ux: float
    uy: float


@dataclass
class _Heap:
    """Stones laid so far, with a net of squares to find those nearby."""

    raster: RoomRaster
    least: float
    greatest: float
    rng: np.random.Generator
    stones: list[Stone] = field(default_factory=list)
    net: dict[tuple[int, int], list[Stone]] = field(default_factory=dict)

    @classmethod
    def in_room(
        cls, room: Polygon, least: float, greatest: float, rng: np.random.Generator
    ) -> _Heap:
        # No stone is larger, so that no wall farther off than that and two pixels is in its way.
        far = greatest + 2 * RASTER * least
        heap = cls(raster_of(room, RASTER * least, far_mm=far), least, greatest, rng)
        middle = shapely.get_coordinates(shapely.maximum_inscribed_circle(room, least / 4))[0]
        wide = heap.raster.wall_at(*middle.tolist())
        if wide >= least:
            heap._lay(Stone(float(middle[0]), float(middle[1]), min(wide, greatest), -1))
        return heap

    def fill(self) -> None:
        """Lays stones against each stone in turn until none finds room."""
        waiting = deque(range(len(self.stones)))
        while waiting:
            number = waiting.popleft()
            while (stone := self._next_to(number)) is not None:
                waiting.append(self._lay(stone))

    def _lay(self, stone: Stone) -> int:
        self.net.setdefault(self._square(stone.x, stone.y), []).append(stone)
        self.stones.append(stone)
        return len(self.stones) - 1

    def _next_to(self, number: int) -> Stone | None:
        """A stone that touches this one and lies close to another, else a small one beside it.

        Largest stones are tried first; those that lie near this stone are the only ones in the way.
        Most places are taken by the first few of them, so that one after the other is quicker here
        than all at once in arrays.
        """
        here = self.stones[number]
        near = self._near(here)
        nearest_first = sorted(one[:4] for one in near)
        for radius in (*self._radii(), self.least):
            for x, y in self._places(here, near, radius):
                if self._is_free(x, y, radius, nearest_first):
                    return Stone(x, y, radius, number)
        for x, y in self._round_about(here, self.least):
            if self._is_free(x, y, self.least, nearest_first):
                return Stone(x, y, self.least, number)
        return None

    def _radii(self) -> list[float]:
        share = self.rng.random(TRIES) ** 1.3
        return sorted((self.least + (self.greatest - self.least) * share).tolist(), reverse=True)

    def _round_about(self, here: Stone, radius: float) -> Iterator[tuple[float, float]]:
        """Middles of stones that touch this one, all round it from a random angle on."""
        first = float(self.rng.uniform(0, 2 * math.pi))
        far = here.radius + radius
        for step in range(ANGLES):
            angle = first + 2 * math.pi / ANGLES * step
            yield here.x + far * math.cos(angle), here.y + far * math.sin(angle)

    def _places(
        self, here: Stone, near: list[_Neighbour], radius: float
    ) -> Iterator[tuple[float, float]]:
        """Middles of stones of this radius that touch ``here`` and come within a hair of another.

        Two circles meet in two points: about ``here`` and about the other, each wider by the
        stone's radius.
        """
        a, hair = here.radius + radius, HAIR * self.least
        for _, _, _, other_radius, far, ux, uy in near:
            b = other_radius + radius + hair
            if far > a + b:
                continue
            along = (a * a - b * b + far * far) / (2 * far)
            square = a * a - along * along
            if square >= 0:
                up = math.sqrt(square)
                x, y = here.x + along * ux, here.y + along * uy
                yield x - up * uy, y + up * ux
                yield x + up * uy, y - up * ux

    def _is_free(
        self, x: float, y: float, radius: float, near: list[tuple[float, float, float, float]]
    ) -> bool:
        """Whether a stone would lie clear of the others and of the wall."""
        apart = radius + 0.5 * HAIR * self.least
        for _, other_x, other_y, other_radius in near:
            dx, dy, least = other_x - x, other_y - y, other_radius + apart
            if dx * dx + dy * dy < least * least:
                return False
        return self.raster.wall_at(x, y) >= radius

    def _square(self, x: float, y: float) -> tuple[int, int]:
        size = 2 * self.greatest
        return int(x // size), int(y // size)

    def _near(self, here: Stone) -> list[_Neighbour]:
        """Stones that one of the greatest, laid against this one, could meet."""
        i, j = self._square(here.x, here.y)
        reach = here.radius + 2 * self.greatest + self.least
        found = []
        for square in [(i + di, j + dj) for di in range(-2, 3) for dj in range(-2, 3)]:
            for x, y, radius, _ in self.net.get(square, ()):
                dx, dy = x - here.x, y - here.y
                far = math.hypot(dx, dy)
                if 0 < far <= reach + radius:
                    found.append(_Neighbour(far - radius, x, y, radius, far, dx / far, dy / far))
        return found

    def line(self) -> Points:
        """One closed smooth line round all stones."""
        touching: list[list[tuple[float, int]]] = [[] for _ in self.stones]
        for number, stone in enumerate(self.stones):
            if stone.against >= 0:
                other = self.stones[stone.against]
                angle = math.atan2(stone.y - other.y, stone.x - other.x)
                touching[stone.against].append((angle, number))
        pieces: list[Points] = []
        work: list[tuple[int, float, float, float]] = []
        self._plan(0, 0.0, 1.0, touching, work)
        while work:
            number, start, end, sense = work.pop()
            if end == start:
                self._plan(number, start, sense, touching, work)
            else:
                pieces.append(_arc(self.stones[number], start, end))
        line = np.concatenate(pieces)
        fresh = np.append(True, np.hypot(*np.diff(line, axis=0).T) > 1e-9)
        line = line[fresh]
        line[-1] = line[0]
        return line

    def _plan(
        self,
        number: int,
        start: float,
        sense: float,
        touching: list[list[tuple[float, int]]],
        work: list[tuple[int, float, float, float]],
    ) -> None:
        """Puts a turn round one stone on the pile: arcs, and between them the stones it touches,
        each to be gone round the other way from where it is touched."""
        stops = sorted(
            ((sense * (angle - start)) % (2 * math.pi), other) for angle, other in touching[number]
        )
        plan: list[tuple[int, float, float, float]] = []
        at = 0.0
        for way, other in stops:
            plan.append((number, start + sense * at, start + sense * way, sense))
            entry = start + sense * way + math.pi
            plan.append((other, entry, entry, -sense))
            at = way
        plan.append((number, start + sense * at, start + sense * 2 * math.pi, sense))
        work.extend(step for step in reversed(plan) if step[0] != number or step[1] != step[2])


def _arc(stone: Stone, start: float, end: float) -> Points:
    """Points of an arc whose chords stray at most a fiftieth of a millimetre."""
    step = 2 * math.acos(max(0.0, 1 - STRAY_MM / stone.radius))
    angle = np.linspace(start, end, max(2, math.ceil(abs(end - start) / step) + 1))
    return np.stack(
        [stone.x + stone.radius * np.cos(angle), stone.y + stone.radius * np.sin(angle)], axis=1
    )
