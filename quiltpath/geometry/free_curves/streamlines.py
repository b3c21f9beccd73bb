"""Evenly spaced lines along a direction field.

After B. Jobard and W. Lefer, "Creating evenly-spaced streamlines of arbitrary density",
Visualization in Scientific Computing 1997: a new line starts one spacing beside a drawn one and
runs until it comes too near to another. What is then still empty is begun in the middle of the
widest gap, as in A. Mebarki, P. Alliez and O. Devillers, "Farthest point seeding for efficient
placement of streamlines", IEEE Visualization 2005.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from dataclasses import field as made_with

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPolygon, Polygon

from quiltpath.geometry.arrays import Points
from quiltpath.geometry.free_curves.fields import Field
from quiltpath.geometry.free_curves.line_ends import join_line_ends
from quiltpath.geometry.free_curves.room_raster import RoomRaster, raster_of
from quiltpath.geometry.free_curves.smooth_curve import simplify_curve, smooth_open
from quiltpath.geometry.free_curves.stippling import rooms

PIXELS_A_SPACING = 5
FIELD_PIXEL = 0.4  # of a spacing: how finely the field is looked at
OFF_THE_WALL = 0.3  # of a spacing: where no line begins
STEP = 1 / 6  # of a spacing
STOP = 0.6  # of a spacing: nearer than this a line ends
BEGIN = 0.97
FILL_UP = 0.9
SHORTEST = 1.8


def field_lines(
    region: Polygon | MultiPolygon,
    direction: Field,
    spacing_mm: float,
    *,
    edge_mm: float = 0.0,
    motif_mm: float | None = None,
    joined: bool = True,
) -> list[Points]:
    """Smooth lines (n, 2) in mm along ``direction``, ``spacing_mm`` apart.

    They end ``edge_mm`` from the region's outer edge and ``motif_mm`` (half a spacing if not given)
    from its holes, or where they would come nearer than 0.6 spacings to another line. ``joined``
    links neighbouring ends by short steps, so that few paths remain. Closed lines end as they
    start.
    """
    if not spacing_mm > 0:
        raise ValueError(f"spacing_mm is {spacing_mm}; it must be above 0")
    motif = spacing_mm / 2 if motif_mm is None else motif_mm
    found: list[Points] = []
    for room in rooms(region, edge_mm, motif, 0.2 * spacing_mm):
        traced = _Sower.over(room, direction, spacing_mm).sow()
        lines = [line for one in traced if len(line := _draw(one, room, spacing_mm)) > 1]
        found += join_line_ends(lines, room, spacing_mm) if joined else lines
    return found


def _draw(line: Points, room: Polygon, spacing_mm: float) -> Points:
    """The traced line as a smooth curve, cut off at the room's edge."""
    curve = LineString(smooth_open(line, spacing_mm / 16))
    inside = [part for part in shapely.get_parts(curve.intersection(room)) if part.length > 0]
    longest = max(inside, key=lambda part: part.length, default=None)
    if longest is None or longest.length < SHORTEST * spacing_mm or len(longest.coords) < 2:
        return np.empty((0, 2))
    return simplify_curve(shapely.get_coordinates(longest))


@dataclass
class _Sower:
    """Draws lines one by one; ``nearest`` is how far each pixel is from the drawn ones, in mm."""

    raster: RoomRaster
    twice: NDArray[np.float64]
    """(rows, columns, 2): cosine and sine of twice the angle"""
    spacing: float
    nearest: NDArray[np.float64]
    rows: list[list[tuple[float, float, float]]] = made_with(default_factory=list)

    @classmethod
    def over(cls, room: Polygon, direction: Field, spacing: float) -> _Sower:
        raster = raster_of(room, spacing / PIXELS_A_SPACING)
        coarse = raster_of(room, FIELD_PIXEL * spacing)
        way = direction(coarse.centres())
        number = (way[:, 0] + 1j * way[:, 1]) ** 2
        number /= np.abs(number) + 1e-300
        seen = np.stack([number.real, number.imag], axis=-1).reshape(*coarse.wall_mm.shape, 2)
        twice = coarse.read(seen, raster.centres()).reshape(*raster.wall_mm.shape, 2)
        sower = cls(raster, twice, spacing, np.full(raster.wall_mm.shape, 4 * spacing))
        packed = np.concatenate([twice, raster.wall_mm[..., None]], axis=-1)
        sower.rows = [[tuple(pixel) for pixel in row] for row in packed.tolist()]
        return sower

    def sow(self) -> list[Points]:
        """All lines, each with points a sixth of a spacing apart."""
        lines: list[Points] = []
        seed = self._widest()
        while seed is not None:
            line = self._trace(*seed)
            if len(line) * STEP < SHORTEST:
                self._mark(np.array([seed]))
            else:
                lines.append(line)
                self._mark(line)
                self._sow_beside(line, lines)
            seed = self._widest()
        return lines

    def _sow_beside(self, first: Points, lines: list[Points]) -> None:
        """Lines beside a line, beside those, and so on."""
        waiting = [first]
        while waiting:
            for x, y in self._beside(waiting.pop(0)):
                if self._far(x, y) < BEGIN * self.spacing:
                    continue
                line = self._trace(x, y)
                if len(line) * STEP >= SHORTEST:
                    lines.append(line)
                    waiting.append(line)
                    self._mark(line)

    def _beside(self, line: Points) -> list[tuple[float, float]]:
        """Places one spacing to both sides, inside the room, from the line's middle outwards."""
        way = np.gradient(line, axis=0)
        square = np.stack([-way[:, 1], way[:, 0]], axis=1)
        square *= self.spacing / np.hypot(*way.T)[:, None]
        order = np.argsort(np.abs(np.arange(len(line)) - len(line) // 2))[::2]
        places = np.concatenate([(line + square)[order], (line - square)[order]])
        good = self.raster.read(self.raster.wall_mm, places) > OFF_THE_WALL * self.spacing
        good &= self.raster.read(self.nearest, places) >= BEGIN * self.spacing
        return [(float(x), float(y)) for x, y in places[good]]

    def _widest(self) -> tuple[float, float] | None:
        """The inner pixel that is farthest from any line and wall, if it is far enough."""
        room = np.where(self.raster.inside, self.nearest, 0)
        if room.max() < FILL_UP * self.spacing:
            return None
        wide = room >= FILL_UP * self.spacing
        score = np.where(wide, np.minimum(room, self.raster.wall_mm + self.spacing), 0)
        place = np.unravel_index(np.argmax(score), room.shape)
        x, y = self.raster.corner_mm
        return x + float(place[1]) * self.raster.step_mm, y + float(place[0]) * self.raster.step_mm

    def _far(self, x: float, y: float) -> float:
        at = np.array([[x, y]])
        return float(self.raster.read(self.nearest, at)[0])

    def _mark(self, line: Points) -> None:
        """Lowers the distance of the pixels round a new line."""
        reach = int(1.3 * PIXELS_A_SPACING)
        down, along = np.mgrid[-reach : reach + 1, -reach : reach + 1]
        line = np.vstack([line[:-1:2], line[-1:]])
        place = (line - np.asarray(self.raster.corner_mm)) / self.raster.step_mm
        pixel = np.round(place).astype(np.intp)
        columns = pixel[:, :1] + along.ravel()
        rows = pixel[:, 1:] + down.ravel()
        far = np.hypot(columns - place[:, :1], rows - place[:, 1:]) * self.raster.step_mm
        height, width = self.nearest.shape
        good = (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
        np.minimum.at(self.nearest, (rows[good], columns[good]), far[good])

    def _trace(self, x: float, y: float) -> Points:
        """The line through a place, both ways, until it leaves, meets another or itself."""
        own: dict[tuple[int, int], int] = {}
        ahead, closed = self._one_way(x, y, 1.0, own)
        if closed:
            return np.array([(x, y), *ahead, (x, y)])
        behind, _ = self._one_way(x, y, -1.0, own)
        return np.array([*behind[::-1], (x, y), *ahead])

    def _one_way(
        self, x: float, y: float, sense: float, own: dict[tuple[int, int], int]
    ) -> tuple[list[tuple[float, float]], bool]:
        """Points of the midpoint rule, and whether they came back to the start."""
        step, stop = STEP * self.spacing, STOP * self.spacing
        start = x, y
        dx, dy, _ = self._way(x, y)
        dx, dy = sense * dx, sense * dy
        points: list[tuple[float, float]] = []
        was, turned = (dx, dy), 0.0
        own.setdefault(self._cell(x, y), 0)
        for count in range(1, 20_000):
            mx, my, _ = self._way(x + dx * step / 2, y + dy * step / 2)
            if mx * dx + my * dy < 0:
                mx, my = -mx, -my
            if mx * dx + my * dy < 0.3:
                break
            x, y = x + mx * step, y + my * step
            nx, ny, wall = self._way(x, y)
            dx, dy = (nx, ny) if nx * mx + ny * my >= 0 else (-nx, -ny)
            points.append((x, y))
            if wall < -0.1 * step:
                break
            back = math.hypot(x - start[0], y - start[1])
            if count > 12 and back < step * 0.75:
                return points[:-1], True
            turned += math.asin(max(-1.0, min(1.0, was[0] * dy - was[1] * dx)))
            was = dx, dy
            # Round a singular point the start is never far: there one turn is enough.
            away = back > 1.5 * stop or abs(turned) > 2 * math.pi
            met = self._taken(x, y, int(sense) * count, own) and away
            if met or self._near(x, y) < stop:
                points.pop()
                break
        return points, False

    def _cell(self, x: float, y: float) -> tuple[int, int]:
        size = STOP * self.spacing
        return int(x // size), int(y // size)

    def _taken(self, x: float, y: float, count: int, own: dict[tuple[int, int], int]) -> bool:
        """Whether the line has been here before, some way back."""
        return abs(own.setdefault(self._cell(x, y), count) - count) > 14

    def _near(self, x: float, y: float) -> float:
        i = int((x - self.raster.corner_mm[0]) / self.raster.step_mm + 0.5)
        j = int((y - self.raster.corner_mm[1]) / self.raster.step_mm + 0.5)
        height, width = self.nearest.shape
        return float(self.nearest[min(max(j, 0), height - 1), min(max(i, 0), width - 1)])

    def _way(self, x: float, y: float) -> tuple[float, float, float]:
        """Direction and distance to the wall between four pixels, without an array."""
        u = (x - self.raster.corner_mm[0]) / self.raster.step_mm
        v = (y - self.raster.corner_mm[1]) / self.raster.step_mm
        i = min(max(int(u), 0), len(self.rows[0]) - 2)
        j = min(max(int(v), 0), len(self.rows) - 2)
        u, v = u - i, v - j
        (a, b, c), (d, e, f) = self.rows[j][i], self.rows[j][i + 1]
        (g, h, k), (m, n, o) = self.rows[j + 1][i], self.rows[j + 1][i + 1]
        p, q, r, s = (1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v
        angle = math.atan2(b * p + e * q + h * r + n * s, a * p + d * q + g * r + m * s) / 2
        return math.cos(angle), math.sin(angle), c * p + f * q + k * r + o * s
