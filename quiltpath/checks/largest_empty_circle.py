"""The widest unquilted places: the largest circles inside the edge that touch no stitched line.

Branch and bound over cells (Land and Doig, Econometrica 28, 1960, from memory, for the method):
cells whose bound leaves room for a wider circle than the widest found are halved, level by level
on whole arrays, until none is left. ``empty_circle_cells`` proves the bound.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from quiltpath.checks.empty_circle_cells import (
    Cells,
    Probes,
    divide_cells,
    first_cell,
    number_of_parts,
)
from quiltpath.checks.obstacles import LineStrings, Obstacles, obstacles
from quiltpath.geometry.arrays import Floats

Disc = tuple[Floats, float]
"""centre in the obstacles' frame and radius of a gap that has its place already"""

_SCATTERED = 400
"""probes before the search"""

_MOST_CELLS = 200_000
"""for all places together; a runner needs some thousands. A drawing that asks for more is answered
with the bound reached by then, and each place may have half of what is left"""


@dataclass(frozen=True)
class Gap:
    """An empty circle: no stitched line touches it and it lies inside the finished edge.

    ``at_most_mm`` is proved: no circle clear of the wider gaps has a larger diameter.
    """

    centre: tuple[float, float]
    diameter_mm: float
    at_most_mm: float


@dataclass(frozen=True)
class Gaps:
    """The widest unquilted places, widest first.

    Each is the widest empty circle that overlaps none before it, so that each names cloth of its
    own: centres that merely lay a radius apart would spend all places on one long strip.
    """

    widest: tuple[Gap, ...]

    @property
    def widest_mm(self) -> float:
        """Diameter of the widest; 0 where nothing is wider than the tolerance."""
        return self.widest[0].diameter_mm if self.widest else 0.0


def widest_gaps(
    stitched: LineStrings, outline: Polygon, count: int = 5, tolerance_mm: float = 0.5
) -> Gaps:
    """The ``count`` widest empty circles among (n,) stitched LineStrings in mm.

    Each diameter is within ``tolerance_mm`` of the largest possible beside those before it.
    Fewer places come back where nothing wider than the tolerance is left. Cost: about one
    nearest-segment search for each cell; k parallel lines take some 5 k cells.
    Raises ``ValueError`` for an outline without area.
    """
    if outline.is_empty or outline.area <= 0:
        raise ValueError("the outline has no area")
    moved = tolerance_mm / 20
    around = obstacles(stitched, outline, moved)
    # Each of the circle found and the circle possible may be off by what the curves were moved.
    room = tolerance_mm / 2 - 2 * moved
    cells, probes = _first(around)
    discs: list[Disc] = []
    places: list[Gap] = []
    left = _MOST_CELLS
    while len(places) < count:
        cells, probes, made = _refine(cells, probes, around, discs, room, most=left // 2)
        left -= made
        centre, radius = probes.best
        if radius <= room:
            break
        at = centre @ around.turn
        beside = float(_room_beside(centre[None], discs)[0])
        radius = min(_true_clearance(at, stitched, outline), beside)
        bound = max(float(cells.bound.max(initial=0.0)) + moved, radius)
        places.append(Gap((float(at[0]), float(at[1])), 2 * radius, 2 * bound))
        discs.append((centre, radius))
        cells, probes = cells.beside_disc(centre, radius), probes.beside_disc(centre, radius)
    return Gaps(tuple(places))


def leaves_wider_than(limit_mm: float, stitched: LineStrings, outline: Polygon) -> bool:
    """Whether an empty circle wider than ``limit_mm`` is left, to 0.1 mm.

    Quicker than the widest circle itself: what is known to hold no wider one is not measured.
    """
    moved = room = 0.1 / 6
    around = obstacles(stitched, outline, moved)
    cells, probes = _first(around)
    _, probes, _ = _refine(cells, probes, around, [], room, limit_mm / 2)
    return 2 * probes.best[1] > limit_mm + 0.1 / 2


def _first(around: Obstacles) -> tuple[Cells, Probes]:
    """One cell round everything, and probes spread evenly, for a fair guess to start from.

    Points of the additive recurrence with the plastic number (Roberts, 2018, from memory).
    """
    low, high = np.array(around.outline.bounds).reshape(2, 2)
    share = np.outer(np.arange(1, _SCATTERED + 1), [0.7548776662466927, 0.5698402909980532]) % 1
    points = low + share * (high - low)
    return first_cell(around), Probes(points, around.clearance(points))


def _refine(
    cells: Cells,
    probes: Probes,
    around: Obstacles,
    discs: list[Disc],
    room_mm: float,
    known_mm: float = 0.0,
    most: int = _MOST_CELLS,
) -> tuple[Cells, Probes, int]:
    """Cells divided until no bound is more than ``room_mm`` above the widest circle found.

    Circles of a radius up to ``known_mm`` are of no interest. No more than ``most`` cells are made;
    how many it were comes last.
    """
    made, climbed = 0, -1.0
    while True:
        if probes.best[1] > climbed + 1e-9:
            probes = probes.and_also(_climb(probes, around, discs, 2 * room_mm))
            climbed = probes.best[1]
        enough = max(climbed, known_mm) + room_mm
        chosen = cells.bound > enough
        if not chosen.any() or climbed > known_mm + room_mm > room_mm:
            break
        wide = cells.take(chosen)
        if made + number_of_parts(wide, around, enough) > most:
            break
        parts, found = divide_cells(wide, around, enough)
        for disc in discs:
            parts, found = parts.beside_disc(*disc), found.beside_disc(*disc)
        made += len(parts)
        cells, probes = cells.take(~chosen).and_also(parts), probes.and_also(found)
    return cells, probes, made


def _room_beside(points: Floats, discs: list[Disc]) -> Floats:
    """(n,) distance of each frame point to the nearest disc, inf where there is none."""
    room = np.full(len(points), np.inf)
    for centre, radius in discs:
        room = np.minimum(room, np.hypot(*(points - centre).T) - radius)
    return room


def _climb(probes: Probes, around: Obstacles, discs: list[Disc], step_mm: float) -> Probes:
    """A probe with at least the room of the best, by a search in 12 directions from it.

    Proves nothing and need not: it spares the search cells, and makes an even spacing read as
    itself, not as 0.4 mm less.
    """
    angle = np.arange(12) * np.pi / 6
    compass = np.column_stack([np.cos(angle), np.sin(angle)])
    point, best = probes.best
    step = max(step_mm, best / 4)
    while step > 1e-3:
        tries = point + step * compass
        radius = np.minimum(around.clearance(tries), _room_beside(tries, discs))
        top = int(radius.argmax())
        gain = float(radius[top]) - best
        if gain > 0:
            point, best = tries[top], float(radius[top])
        if gain < step / 20:  # on a gentle ridge: go finer, do not creep along it
            step /= 3
    return Probes(point[None], np.array([best]))


def _true_clearance(at: Floats, stitched: LineStrings, outline: Polygon) -> float:
    """Distance in mm from a point of the runner to the lines as drawn and to the edge."""
    shapes = np.array([*stitched, outline.boundary], dtype=object)
    return float(shapely.distance(shapely.points(at), shapes).min())
