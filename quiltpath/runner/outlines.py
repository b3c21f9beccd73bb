"""The finished outline: from a size, from points, or from a drawing.

Finished outlines by name, with the corners that binding mitres and the curves it bends round.

Every outline lies with its lower left corner of bounds at the origin and runs anticlockwise.
Lengths in mm, angles in degrees. Impossible measures raise ``ValueError`` with "wrong; right".

What a finished edge does: its corners, which binding mitres, and the curves it bends round.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.validation import explain_validity

from quiltpath.errors import InputError
from quiltpath.geometry.svg_shapes import single_outline
from quiltpath.project import Project
from quiltpath.project.runner_sections import RunnerSection
from quiltpath.units import MM_PER_INCH, both_units


def finished_outline(project: Project) -> Polygon:
    """The finished edge as a counter-clockwise polygon with its lower left corner at the origin."""
    section = project.runner
    if section.outline is not None:
        return _settled(Polygon(section.outline), "runner.outline")
    if section.outline_svg is not None:
        drawn = single_outline(project.drawing(section.outline_svg), section.outline_svg)
        return _settled(drawn, "runner.outline_svg")
    return _settled(named_outline(section).shape, "runner")


def named_outline(section: RunnerSection) -> Outline:
    """The outline of a named shape, with its corners and curves.

    Raises :class:`InputError` where the measures contradict each other.
    """
    length = section.length or 0.0
    width = section.width or length
    try:
        return _shaped(section, length, width)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        raise InputError("", "runner.shape", wrong, right) from None


def _shaped(section: RunnerSection, length: float, width: float) -> Outline:
    """A row a shape; defaults of its own measures stand beside it."""
    scallop = section.scallop or 4 * MM_PER_INCH
    make: dict[str, Callable[[], Outline]] = {
        "rectangle": lambda: rectangle(length, width),
        "pointed": lambda: pointed(length, width, section.point_angle or 90.0),
        "clipped": lambda: clipped(length, width, section.cut or width / 4),
        "rounded": lambda: rounded(length, width, section.radius),
        "oval": lambda: oval(length, width),
        "hexagon": lambda: hexagon(length, width),
        "octagon": lambda: octagon(length, width),
        "scalloped": lambda: scalloped(
            length, width, scallop, section.scallop_depth or scallop / 4
        ),
        "round": lambda: round_centre(length),
        "square": lambda: square_centre(length),
    }
    return make[section.shape]()


def _settled(shape: Polygon, key: str) -> Polygon:
    """Checked, turned counter-clockwise, and moved to the origin."""
    if not shape.is_valid:
        raise InputError(
            "", key, f"the outline crosses itself ({explain_validity(shape).lower()})",
            "list its corners in order round the edge",
        )  # fmt: skip
    if shape.area < 100.0:
        raise InputError("", key, "the outline encloses no area", "check its points and units")
    low_x, low_y, _, _ = shape.bounds
    moved = shapely.transform(shape, lambda points: points - (low_x, low_y))
    return shapely.geometry.polygon.orient(moved)


Points = NDArray[np.float64]

STRAY_MM = 0.01
"""No chord of a curved edge lies farther from it than this."""


def rectangle(length: float, width: float) -> Outline:
    """Four right angles."""
    return _cornered([(0, 0), (length, 0), (length, width), (0, width)])


def pointed(length: float, width: float, angle: float) -> Outline:
    """A point of ``angle`` degrees at either end: each is width / 2 / tan(angle / 2) deep."""
    if not 20.0 <= angle < 180.0:
        raise ValueError(f"a point of {angle:g} degrees cannot be bound; give 20 up to 180")
    depth = width / 2 / math.tan(math.radians(angle) / 2)
    if 2 * depth > length + 1e-9:
        raise ValueError(
            f"two points of {angle:g} degrees take {both_units(2 * depth)}, more than the length of"
            f" {both_units(length)}; give a wider angle"
        )
    ends = [(length - depth, 0), (length, width / 2), (length - depth, width)]
    return _cornered(_distinct([(depth, 0), *ends, (depth, width), (0, width / 2)]))


def clipped(length: float, width: float, cut: float) -> Outline:
    """The four corners cut off at 45 degrees, ``cut`` along each side."""
    if 2 * cut > min(length, width):
        limit = both_units(min(length, width) / 2)
        raise ValueError(f"the cuts of {both_units(cut)} meet; give {limit} or less")
    points = [
        (cut, 0), (length - cut, 0), (length, cut), (length, width - cut),
        (length - cut, width), (cut, width), (0, width - cut), (0, cut),
    ]  # fmt: skip
    return _cornered(_distinct(points))


def hexagon(length: float, width: float) -> Outline:
    """Six angles of 120 degrees; regular where length is width x 2 / sqrt 3."""
    return pointed(length, width, 120.0)


def octagon(length: float, width: float) -> Outline:
    """Eight angles of 135 degrees; regular where length and width are one."""
    return clipped(length, width, min(length, width) / (2 + math.sqrt(2)))


def rounded(length: float, width: float, radius: float | None = None) -> Outline:
    """Rounded ends: quarter circles at the corners, half circles where no radius is given."""
    radius = min(length, width) / 2 if radius is None else radius
    if 2 * radius > min(length, width) + 1e-9:
        limit = both_units(min(length, width) / 2)
        raise ValueError(f"a radius of {both_units(radius)} is too wide; give {limit} or less")
    centres = [
        (length - radius, radius), (length - radius, width - radius),
        (radius, width - radius), (radius, radius),
    ]  # fmt: skip
    arcs = [_arc(c, radius, 90.0 * i - 90.0, 90.0 * i) for i, c in enumerate(centres)]
    return _from_stretches(arcs)


def oval(length: float, width: float) -> Outline:
    """An ellipse; curved all the way round."""
    a, b = length / 2, width / 2
    # With even steps h of the parameter a chord strays by h^2 / 8 times the second derivative at
    # most, and that is no more than the longer half axis: as many steps as on its circle.
    steps = _arc_steps(max(a, b), 2 * math.pi)
    turn = np.linspace(0, 2 * math.pi, steps, endpoint=False)
    points = np.column_stack([a + a * np.cos(turn), b + b * np.sin(turn)])
    return Outline(Polygon(points), (), ((0, 0),))


def round_centre(diameter: float) -> Outline:
    """A circle."""
    return oval(diameter, diameter)


def square_centre(side: float) -> Outline:
    """A square."""
    return rectangle(side, side)


def scalloped(length: float, width: float, scallop: float, depth: float) -> Outline:
    """Arcs that stand ``depth`` proud of a rectangle, whole ones of about ``scallop`` on each side.

    An arc on a chord c that rises by d has the radius (c^2 / 4 + d^2) / 2 d. Length and width are
    taken over the arcs.
    """
    inner_length, inner_width = length - 2 * depth, width - 2 * depth
    if min(inner_length, inner_width) < scallop / 2:
        raise ValueError("the scallops are too large for the runner; make them smaller")
    numbers = [max(1, round(side / scallop)) for side in (inner_length, inner_width)]
    chord = min(inner_length / numbers[0], inner_width / numbers[1])
    if depth > chord / 2:
        limit = both_units(chord / 2)
        raise ValueError(f"scallops this deep curl under themselves; give {limit} or less")
    low, right, top = depth, length - depth, width - depth
    corners = np.array([(low, low), (right, low), (right, top), (low, top), (low, low)])
    arcs = []
    for index, (start, end) in enumerate(pairwise(corners)):
        nodes = np.linspace(start, end, numbers[index % 2] + 1)
        arcs += [_bulge(a, b, depth) for a, b in pairwise(nodes)]
    return _from_stretches(arcs)


def _cornered(points: Sequence[tuple[float, float]]) -> Outline:
    return Outline(Polygon(points), tuple(range(len(points))))


def _distinct(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Without points that fall together where two cuts just meet."""
    before = [points[-1], *points[:-1]]
    return [p for p, q in zip(points, before, strict=True) if math.dist(p, q) > 1e-6]


def _arc_steps(radius: float, sweep_rad: float) -> int:
    step = 2 * math.acos(max(0.0, 1 - STRAY_MM / radius))
    return max(4, 2 * math.ceil(sweep_rad / step / 2))


def _arc(centre: tuple[float, float], radius: float, start_deg: float, end_deg: float) -> Points:
    """(k, 2) points of an anticlockwise arc, both ends included."""
    sweep = math.radians(end_deg - start_deg)
    turn = math.radians(start_deg) + np.linspace(0, sweep, _arc_steps(radius, sweep) + 1)
    return np.array(centre) + radius * np.column_stack([np.cos(turn), np.sin(turn)])


def _bulge(start: Points, end: Points, depth: float) -> Points:
    """The arc that rises by ``depth`` to the right of the way from ``start`` to ``end``."""
    chord = end - start
    length = float(np.hypot(*chord))
    along, outwards = chord / length, np.array([chord[1], -chord[0]]) / length
    radius = (length**2 / 4 + depth**2) / (2 * depth)
    half = math.asin(min(1.0, length / 2 / radius))
    turn = np.linspace(-half, half, _arc_steps(radius, 2 * half) + 1)
    rise = radius * (np.cos(turn) - math.cos(half))
    middle = (start + end) / 2
    points = middle + radius * np.sin(turn)[:, None] * along + rise[:, None] * outwards
    points[0], points[-1] = start, end
    return points


def _from_stretches(arcs: Sequence[Points]) -> Outline:
    """Arcs that follow each other round the edge, joined by straights where they do not touch."""
    points: list[Points] = []
    curves, count = [], 0
    for index, arc in enumerate(arcs):
        touches = bool(np.allclose(arc[-1], arcs[(index + 1) % len(arcs)][0], atol=1e-9))
        kept = arc[:-1] if touches else arc
        curves.append((count, count + len(arc) - 1))
        points.append(kept)
        count += len(kept)
    vertices = np.concatenate(points)
    sharp = np.flatnonzero(np.abs(turns_deg(vertices)) > CORNER_DEG)
    stretches = tuple((first, last % count) for first, last in curves)
    return Outline(Polygon(vertices), tuple(sharp.tolist()), _run_together(stretches, set(sharp)))


def _run_together(
    curves: tuple[tuple[int, int], ...], corners: set[int]
) -> tuple[tuple[int, int], ...]:
    """Curves that flow into one another without a corner, as one."""
    joined = [curves[0]]
    for first, last in curves[1:]:
        if first == joined[-1][1] and first not in corners:
            joined[-1] = (joined[-1][0], last)
        else:
            joined.append((first, last))
    if len(joined) > 1 and joined[-1][1] == joined[0][0] and joined[0][0] not in corners:
        joined[0] = (joined.pop()[0], joined[0][1])
    return tuple(joined)


CORNER_DEG = 15.0
"""A turn sharper than this between two edges is a corner, not part of a curve."""


WIDEST_CURVE_MM = 10_000.0
"""An edge that bends less than a circle of 10 m radius is straight to the sewer."""


@dataclass(frozen=True)
class Outline:
    """A finished outline and what its edge does.

    ``shape``    the polygon; vertex 0 is its first point
    ``corners``  indices of vertices that are corners
    ``curves``   (first, last) vertex indices of curved stretches, in order round the edge; a last
                 index below the first runs on past vertex 0, and equal ones go all the way round
    """

    shape: Polygon
    corners: tuple[int, ...]
    curves: tuple[tuple[int, int], ...] = ()

    @property
    def vertices(self) -> Points:
        """(n, 2) vertices, the first not repeated."""
        return np.array(self.shape.exterior.coords)[:-1]

    @property
    def corner_angles_deg(self) -> tuple[float, ...]:
        """Inside angle at each corner; above 180 where the edge turns inwards.

        Measured between the tangents where curves meet: the first and the last chord of an arc
        lean from its tangent by half the turn from chord to chord.
        """
        turns = turns_deg(self.vertices)
        number, true = len(turns), turns.copy()
        for first, last in self.curves:
            true[first] -= turns[(first + 1) % number] / 2
            true[last] -= turns[last - 1] / 2
        return tuple((180.0 - true[list(self.corners)]).tolist())

    @property
    def curved_mm(self) -> float:
        """Length of edge that needs binding cut on the bias."""
        steps = np.hypot(*(np.roll(self.vertices, -1, axis=0) - self.vertices).T)
        return float(sum(_stretch(steps, first, last).sum() for first, last in self.curves))


def _stretch(steps: Points, first: int, last: int) -> Points:
    """Edges from one vertex to another, going on past the first vertex where need be."""
    count = (last - first) % len(steps) or len(steps)
    return np.take(steps, np.arange(first, first + count), mode="wrap")


def turns_deg(vertices: Points) -> Points:
    """(n,) change of direction at each vertex, positive to the left."""
    after = np.roll(vertices, -1, axis=0) - vertices
    heading = np.degrees(np.arctan2(after[:, 1], after[:, 0]))
    return (heading - np.roll(heading, 1) + 180.0) % 360.0 - 180.0


def marked(shape: Polygon) -> Outline:
    """Any drawn outline with its corners and curves found from how the edge turns.

    A vertex that turns by more than 15 degrees is a corner. An edge belongs to a curve where its
    bend, length over turn, is a radius of the same order as its neighbour's: the straight between
    two arcs turns at both its ends as well, but is far too long for them.
    """
    vertices = np.array(shape.exterior.coords)[:-1]
    turns = np.abs(turns_deg(vertices))
    sharp = turns > CORNER_DEG
    curved = _curved_edges(vertices, turns, sharp)
    corners = tuple(np.flatnonzero(sharp).tolist())
    if curved.all() and not sharp.any():
        return Outline(shape, (), ((0, 0),))
    return Outline(shape, corners, tuple(_curves(curved, sharp)))


def _curved_edges(vertices: Points, turns: Points, sharp: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """(n,) true where the edge that begins at a vertex is a chord of a curve."""
    lengths = np.hypot(*(np.roll(vertices, -1, axis=0) - vertices).T)
    soft, turn = ~sharp, np.where(sharp, 0.0, turns)
    ends = np.maximum(soft.astype(int) + np.roll(soft, -1), 1)
    bend = np.radians((turn + np.roll(turn, -1)) / ends)
    radius = lengths / np.maximum(bend, 1e-12)
    beside = np.minimum(np.roll(radius, 1), np.roll(radius, -1))
    return (radius < WIDEST_CURVE_MM) & (radius <= 4 * beside)


def _curves(curved: NDArray[np.bool_], sharp: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Cyclic runs of curved edges, broken at corners, as their first and last vertices."""
    number = len(curved)
    starts = np.flatnonzero(curved & (~np.roll(curved, 1) | sharp))
    ends = np.flatnonzero(curved & (~np.roll(curved, -1) | np.roll(sharp, -1)))
    if not len(starts):
        return []
    after = np.concatenate([ends[ends >= starts[0]], ends[ends < starts[0]]])
    return [
        (int(first), (int(last) + 1) % number) for first, last in zip(starts, after, strict=True)
    ]
