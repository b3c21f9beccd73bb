"""Finished outlines by name, with the corners that binding mitres and the curves it bends round.

Every outline lies with its lower left corner of bounds at the origin and runs anticlockwise.
Lengths in mm, angles in degrees. Impossible measures raise ``ValueError`` with "wrong; right".
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.runner.outline_marks import CORNER_DEG, Outline, turns_deg
from quiltpath.units import both_units

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
