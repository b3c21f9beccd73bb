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

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPolygon, Polygon

from quiltpath.geometry.arrays import Points
from quiltpath.geometry.free_curves.fields import Field
from quiltpath.geometry.free_curves.line_ends import join_line_ends
from quiltpath.geometry.free_curves.line_merging import merge_line_ends
from quiltpath.geometry.free_curves.room_raster import RoomRaster, pixels_over, raster_of
from quiltpath.geometry.free_curves.smooth_curve import simplify_curve, smooth_open
from quiltpath.geometry.free_curves.stippling import rooms

PIXELS_A_SPACING = 5
FIELD_PIXEL = 0.4  # of a spacing: how finely the field is looked at
OFF_THE_WALL = 0.3  # of a spacing: where no line begins
STEP = 1 / 6  # of a spacing
STOP = 0.6  # of a spacing: nearer than this a line ends
BEGIN = 0.97
SHARPEST = 0.2  # cosine of the sharpest turn in one step
SOME_WAY_BACK = 14  # steps: where a line has been less long ago it does not meet itself
EMPTY = 4.0  # spacings: farther off is as good as nowhere
FILL_UP = 0.9
SHORTEST = 1.8
DECIMALS = 6
"""Processors differ in the last bits of a sine or a logarithm, and of two places that are alike by
symmetry those bits would choose one: what choices rest on is rounded, and so are the lines that
others choose from, so that a drawing is the same everywhere."""


def field_lines(
    region: Polygon | MultiPolygon,
    direction: Field,
    spacing_mm: float,
    *,
    edge_mm: float = 0.0,
    motif_mm: float | None = None,
    closest: float = STOP,
    joined: bool = True,
) -> list[Points]:
    """Smooth lines (n, 2) in mm along ``direction``, ``spacing_mm`` apart.

    They end ``edge_mm`` from the region's outer edge and ``motif_mm`` (half a spacing if not given)
    from its holes, or where they would come nearer than ``closest`` spacings to another line.
    ``joined`` links neighbouring ends by short steps and leads the others into what runs beside
    them, so that few paths remain, and those hang together. Closed lines end as they start. Raises
    ``ValueError`` for a spacing or a ``closest`` that is out of range.
    """
    if not spacing_mm > 0:
        raise ValueError(f"spacing_mm is {spacing_mm}; it must be above 0")
    if not 0 < closest < BEGIN:
        raise ValueError(f"closest is {closest}; it must be above 0 and below {BEGIN}")
    motif = spacing_mm / 2 if motif_mm is None else motif_mm
    found: list[Points] = []
    for room in rooms(region, edge_mm, motif, 0.2 * spacing_mm):
        traced = _Sower.over(room, direction, spacing_mm, closest).sow()
        lines = [line for one in traced if len(line := _draw(one, room, spacing_mm)) > 1]
        if joined:
            paths = join_line_ends(lines, room, spacing_mm)
            lines = merge_line_ends(paths, room, spacing_mm)
        found += [line.round(DECIMALS) for line in lines]
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
    """Draws lines one by one; ``nearest`` is how far each pixel is from the drawn ones, in mm.

    ``seen`` holds three figures a pixel, row by row: cosine and sine of twice the line's angle, and
    the distance to the wall. Points come one by one, so that a list is quicker here than an array.
    """

    raster: RoomRaster
    seen: list[float]
    spacing: float
    closest: float
    nearest: NDArray[np.float64]

    @classmethod
    def over(cls, room: Polygon, direction: Field, spacing: float, closest: float) -> _Sower:
        raster = raster_of(room, spacing / PIXELS_A_SPACING, far_mm=EMPTY * spacing)
        coarse = pixels_over(room, FIELD_PIXEL * spacing)
        way = direction(coarse.centres())
        number = (way[:, 0] + 1j * way[:, 1]) ** 2
        number /= np.abs(number) + 1e-300
        seen = np.stack([number.real, number.imag], axis=-1).reshape(*coarse.wall_mm.shape, 2)
        twice = coarse.read(seen, raster.centres()).reshape(*raster.wall_mm.shape, 2)
        packed = np.concatenate([twice, raster.wall_mm[..., None]], axis=-1).round(DECIMALS)
        nearest = np.full(raster.wall_mm.shape, EMPTY * spacing)
        return cls(raster, packed.ravel().tolist(), spacing, closest * spacing, nearest)

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
            places = self._beside(waiting.pop(0))
            while len(places):
                line = self._trace(*places[0].tolist())
                places = places[1:]
                if len(line) * STEP >= SHORTEST:
                    lines.append(line)
                    waiting.append(line)
                    self._mark(line)
                    places = self._away_from_lines(places)

    def _beside(self, line: Points) -> Points:
        """Places one spacing to both sides, inside the room, from the line's middle outwards."""
        way = np.gradient(line, axis=0)
        square = np.stack([-way[:, 1], way[:, 0]], axis=1)
        square *= self.spacing / np.sqrt((way**2).sum(axis=1, keepdims=True))
        order = np.argsort(np.abs(np.arange(len(line)) - len(line) // 2), kind="stable")[::2]
        places = np.concatenate([(line + square)[order], (line - square)[order]])
        places = places[self.raster.read(self.raster.wall_mm, places) > OFF_THE_WALL * self.spacing]
        return self._away_from_lines(places)

    def _away_from_lines(self, places: Points) -> Points:
        """Those where a line may begin."""
        return places[self.raster.read(self.nearest, places) >= BEGIN * self.spacing]

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

    def _mark(self, line: Points) -> None:
        """Lowers the distance of the pixels round a new line."""
        reach = int(1.3 * PIXELS_A_SPACING)
        down, along = np.mgrid[-reach : reach + 1, -reach : reach + 1]
        line = np.vstack([line[:-1:2], line[-1:]])
        place = (line - np.asarray(self.raster.corner_mm)) / self.raster.step_mm
        pixel = np.round(place).astype(np.intp)
        columns = pixel[:, :1] + along.ravel()
        rows = pixel[:, 1:] + down.ravel()
        far = np.sqrt((columns - place[:, :1]) ** 2 + (rows - place[:, 1:]) ** 2)
        far *= self.raster.step_mm
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
        """Points of the two-step rule of Adams and Bashforth, and whether they came back to the
        start. It asks for one direction a step."""
        step, stop, size = STEP * self.spacing, self.closest, self.closest
        start, way, near = (x, y), self._way, self._near
        dx, dy, _ = way(x, y)
        dx, dy = sense * dx, sense * dy
        points: list[tuple[float, float]] = []
        px, py, turned = dx, dy, 0.0
        own.setdefault((int(x // size), int(y // size)), 0)
        for count in range(1, 20_000):
            x, y = x + step * (1.5 * dx - 0.5 * px), y + step * (1.5 * dy - 0.5 * py)
            nx, ny, wall = way(x, y)
            along = nx * dx + ny * dy
            if along < 0:
                nx, ny, along = -nx, -ny, -along
            if along < SHARPEST:
                break
            points.append((x, y))
            if wall < -0.1 * step:
                break
            back = math.hypot(x - start[0], y - start[1])
            if count > 12 and back < step * 0.75:
                return points[:-1], True
            turned += math.asin(max(-1.0, min(1.0, dx * ny - dy * nx)))
            px, py, dx, dy = dx, dy, nx, ny
            # Round a singular point the start is never far: there one turn is enough.
            away = back > 1.5 * stop or abs(turned) > 2 * math.pi
            been = own.setdefault((int(x // size), int(y // size)), int(sense) * count)
            met = away and abs(been - int(sense) * count) > SOME_WAY_BACK
            if met or near(x, y) < stop:
                points.pop()
                break
        return points, False

    def _near(self, x: float, y: float) -> float:
        i = int((x - self.raster.corner_mm[0]) / self.raster.step_mm + 0.5)
        j = int((y - self.raster.corner_mm[1]) / self.raster.step_mm + 0.5)
        height, width = self.nearest.shape
        return float(self.nearest[min(max(j, 0), height - 1), min(max(i, 0), width - 1)])

    def _way(self, x: float, y: float) -> tuple[float, float, float]:
        """Direction and distance to the wall between four pixels, without an array."""
        raster, (height, width) = self.raster, self.nearest.shape
        u = (x - raster.corner_mm[0]) / raster.step_mm
        v = (y - raster.corner_mm[1]) / raster.step_mm
        i, j = min(max(int(u), 0), width - 2), min(max(int(v), 0), height - 2)
        u, v, low = u - i, v - j, 3 * (j * width + i)
        high = low + 3 * width
        a, b, c, d, e, f = self.seen[low : low + 6]
        g, h, k, m, n, o = self.seen[high : high + 6]
        p, q, r, s = (1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v
        angle = math.atan2(b * p + e * q + h * r + n * s, a * p + d * q + g * r + m * s) / 2
        dx, dy = round(math.cos(angle), DECIMALS), round(math.sin(angle), DECIMALS)
        return dx, dy, c * p + f * q + k * r + o * s
