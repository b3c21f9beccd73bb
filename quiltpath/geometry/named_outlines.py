"""Finished outlines by name: what a runner is cut to, drawn from its size and its own measures.

Every outline lies with its lower left corner of bounds at the origin and runs anticlockwise.
Lengths in mm, angles in degrees. Impossible measures raise ``ValueError`` with "wrong; right".
"""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from shapely.geometry import Polygon

from quiltpath.geometry.curves import Points
from quiltpath.units import MM_PER_INCH, both_units

STRAY_MM = 0.01
"""No chord of a curved edge lies farther from it than this."""


@dataclass(frozen=True)
class NamedOutline:
    """The row of one outline: its word in the project file, and what draws it.

    The parameters of ``draw`` say what it takes: ``length``, ``width`` unless it is as wide as it
    is long, and measures of its own. Those are keys of ``[runner]`` under the same names, which may
    be left out, so each has a default. Raises ``TypeError``, one line, for a function that does not
    fit.
    """

    word: str
    draw: Callable[..., Polygon]

    def __post_init__(self) -> None:
        takes = inspect.signature(self.draw).parameters
        if next(iter(takes), "") != "length":
            raise TypeError(f"outline {self.word!r}: its function takes length first")
        for name in self.measures:
            if takes[name].default is inspect.Parameter.empty:
                raise TypeError(f"outline {self.word!r}: {name} may be left out, give a default")

    @property
    def one_size(self) -> bool:
        """True for what is as wide as it is long."""
        return "width" not in inspect.signature(self.draw).parameters

    @property
    def measures(self) -> tuple[str, ...]:
        """Keys of the runner that it reads besides length and width."""
        takes = inspect.signature(self.draw).parameters
        return tuple(name for name in takes if name not in ("length", "width"))


def rectangle(length: float, width: float) -> Polygon:
    """Four right angles."""
    return Polygon([(0, 0), (length, 0), (length, width), (0, width)])


def pointed(length: float, width: float, point_angle: float = 90.0) -> Polygon:
    """A point of so many degrees at either end: each is width / 2 / tan(angle / 2) deep."""
    angle = point_angle
    if not 20.0 <= angle < 180.0:
        raise ValueError(f"a point of {angle:g} degrees cannot be bound; give 20 up to 180")
    depth = width / 2 / math.tan(math.radians(angle) / 2)
    if 2 * depth > length + 1e-9:
        raise ValueError(
            f"two points of {angle:g} degrees take {both_units(2 * depth)}, more than the length of"
            f" {both_units(length)}; give a wider angle"
        )
    ends = [(length - depth, 0), (length, width / 2), (length - depth, width)]
    return Polygon(_distinct([(depth, 0), *ends, (depth, width), (0, width / 2)]))


def clipped(length: float, width: float, cut: float | None = None) -> Polygon:
    """The four corners cut off at 45 degrees, ``cut`` along each side; a quarter of the width."""
    cut = width / 4 if cut is None else cut
    if 2 * cut > min(length, width):
        limit = both_units(min(length, width) / 2)
        raise ValueError(f"the cuts of {both_units(cut)} meet; give {limit} or less")
    points = [
        (cut, 0), (length - cut, 0), (length, cut), (length, width - cut),
        (length - cut, width), (cut, width), (0, width - cut), (0, cut),
    ]  # fmt: skip
    return Polygon(_distinct(points))


def hexagon(length: float, width: float) -> Polygon:
    """Six angles of 120 degrees; regular where length is width x 2 / sqrt 3."""
    return pointed(length, width, 120.0)


def octagon(length: float, width: float) -> Polygon:
    """Eight angles of 135 degrees; regular where length and width are one."""
    return clipped(length, width, min(length, width) / (2 + math.sqrt(2)))


def rounded(length: float, width: float, radius: float | None = None) -> Polygon:
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
    return _join_arcs(arcs)


def oval(length: float, width: float) -> Polygon:
    """An ellipse; curved all the way round."""
    a, b = length / 2, width / 2
    # With even steps h of the parameter a chord strays by h^2 / 8 times the second derivative at
    # most, and that is no more than the longer half axis: as many steps as on its circle.
    steps = _arc_steps(max(a, b), 2 * math.pi)
    turn = np.linspace(0, 2 * math.pi, steps, endpoint=False)
    points = np.column_stack([a + a * np.cos(turn), b + b * np.sin(turn)])
    return Polygon(points)


def round_centre(length: float) -> Polygon:
    """A circle; its length is the diameter."""
    return oval(length, length)


def square_centre(length: float) -> Polygon:
    """A square; its length is the side."""
    return rectangle(length, length)


def scalloped(
    length: float,
    width: float,
    scallop: float = 4 * MM_PER_INCH,
    scallop_depth: float | None = None,
) -> Polygon:
    """Arcs that stand proud of a rectangle, whole ones of about ``scallop`` on each side.

    An arc on a chord c that rises by d has the radius (c^2 / 4 + d^2) / 2 d; d is a quarter of
    ``scallop`` where it is left out. Length and width are taken over the arcs.
    """
    depth = scallop / 4 if scallop_depth is None else scallop_depth
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
    return _join_arcs(arcs)


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


def _join_arcs(arcs: Sequence[Points]) -> Polygon:
    """Arcs that follow each other round the edge, joined by straights where they do not touch."""
    parts = []
    for arc, onward in zip(arcs, [*arcs[1:], arcs[0]], strict=True):
        touches = np.allclose(arc[-1], onward[0], atol=1e-9)
        parts.append(arc[:-1] if touches else arc)
    return Polygon(np.concatenate(parts))


def registry(outlines: Iterable[NamedOutline]) -> dict[str, NamedOutline]:
    """The outlines by their words; raises ``TypeError`` for a word that stands twice."""
    found: dict[str, NamedOutline] = {}
    for outline in outlines:
        if outline.word in found:
            raise TypeError(f"two outlines are called {outline.word!r}: give one another word")
        found[outline.word] = outline
    return found


OUTLINES = registry(
    (
        NamedOutline("rectangle", rectangle),
        NamedOutline("pointed", pointed),
        NamedOutline("clipped", clipped),
        NamedOutline("rounded", rounded),
        NamedOutline("oval", oval),
        NamedOutline("hexagon", hexagon),
        NamedOutline("octagon", octagon),
        NamedOutline("scalloped", scalloped),
        NamedOutline("round", round_centre),
        NamedOutline("square", square_centre),
    )
)
"""One row an outline; a measure of its own is a key of ``[runner]`` besides."""
