"""Points on true curves, dense enough that no chord strays from the curve by more than 0.02 mm."""

from __future__ import annotations

import math

import numpy as np

from quiltpath.geometry.arrays import Points

__all__ = [
    "STRAY_MM",
    "Points",
    "arc",
    "arc_between",
    "arc_steps",
    "chain_paths",
    "circle",
    "round_corners",
]

STRAY_MM = 0.02


def arc_steps(radius_mm: float, sweep_rad: float) -> int:
    """Chords for an arc: the sagitta of a chord is r (1 - cos(step / 2))."""
    if radius_mm <= STRAY_MM:
        return 4
    step = 2 * math.acos(1 - STRAY_MM / radius_mm)
    return max(2, math.ceil(abs(sweep_rad) / step))


def arc(centre: tuple[float, float], radius_mm: float, start_deg: float, end_deg: float) -> Points:
    """(k, 2) points of a circular arc from one angle to another, both ends included."""
    start, end = math.radians(start_deg), math.radians(end_deg)
    turn = np.linspace(start, end, arc_steps(radius_mm, end - start) + 1)
    return np.column_stack(
        [centre[0] + radius_mm * np.cos(turn), centre[1] + radius_mm * np.sin(turn)]
    )


def circle(centre: tuple[float, float], radius_mm: float) -> Points:
    """(k, 2) points of a closed circle."""
    points = arc(centre, radius_mm, 0.0, 360.0)
    points[-1] = points[0]
    return points


def arc_between(start: Points, end: Points, sweep_deg: float) -> Points:
    """(k, 2) points of the arc of ``sweep_deg`` from ``start`` to ``end``.

    A positive sweep turns anticlockwise, so that the arc bulges to the right of the chord.
    """
    chord = end - start
    length = float(np.hypot(*chord))
    half = math.radians(sweep_deg) / 2
    radius = length / 2 / math.sin(abs(half))
    steps = arc_steps(radius, 2 * half)
    turn = np.linspace(-half, half, steps + 1)
    forwards = np.sin(turn) / math.sin(half) / 2 + 0.5
    sideways = (math.cos(half) - np.cos(turn)) / math.sin(half) / 2
    across = np.array([-chord[1], chord[0]])
    points = start + forwards[:, None] * chord + sideways[:, None] * across
    points[0], points[-1] = start, end
    return points


def chain_paths(parts: list[Points]) -> Points:
    """Arcs and lines that follow one another, without the points that stand twice."""
    whole = np.concatenate(parts)
    step = np.hypot(*np.diff(whole, axis=0).T)
    return whole[np.concatenate([[True], step > 1e-9])]


def round_corners(corners: Points, radius_mm: float) -> Points:
    """An open polyline with each corner replaced by an arc that touches both its sides.

    Where the sides are too short for the radius it shrinks to half the shorter side.
    """
    before, at, after = corners[:-2], corners[1:-1], corners[2:]
    parts = [corners[:1]]
    for a, b, c in zip(before, at, after, strict=True):
        parts.append(_corner(a, b, c, radius_mm))
    return chain_paths([*parts, corners[-1:]])


def _corner(a: Points, b: Points, c: Points, radius_mm: float) -> Points:
    inwards, outwards = a - b, c - b
    reach_in, reach_out = float(np.hypot(*inwards)), float(np.hypot(*outwards))
    inwards, outwards = inwards / reach_in, outwards / reach_out
    cross = float(inwards[0] * outwards[1] - inwards[1] * outwards[0])
    opening = math.atan2(abs(cross), float(inwards @ outwards))
    if opening < 1e-6 or opening > math.pi - 1e-6:
        return b[None, :]
    cut = min(radius_mm / math.tan(opening / 2), reach_in / 2, reach_out / 2)
    sweep = math.degrees(math.pi - opening)
    return arc_between(b + cut * inwards, b + cut * outwards, sweep if cross < 0 else -sweep)
