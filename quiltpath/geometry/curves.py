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


def cubic_bezier(handles: Points, steps: int) -> Points:
    """(steps + 1, 2) points of the cubic curve with (4, 2) handles, by Bernstein's polynomials."""
    t = np.linspace(0.0, 1.0, steps + 1)[:, None]
    a, b, c, d = handles
    curve = (1 - t) ** 3 * a + 3 * t * (1 - t) ** 2 * b + 3 * t**2 * (1 - t) * c + t**3 * d
    return np.asarray(curve)


def chain_paths(parts: list[Points]) -> Points:
    """(n, 2) points of arcs and lines that follow one another, without those that stand twice."""
    whole = np.concatenate(parts)
    step = np.hypot(*np.diff(whole, axis=0).T)
    return whole[np.concatenate([[True], step > 1e-9])]


def round_corners(corners: Points, radius_mm: float) -> Points:
    """An open polyline (n, 2) in mm, each corner replaced by an arc that touches both its sides.

    Where the sides are too short for the radius it shrinks to half the shorter side.
    """
    at = corners[1:-1]
    inwards, outwards = corners[:-2] - at, corners[2:] - at
    reach_in, reach_out = np.hypot(*inwards.T), np.hypot(*outwards.T)
    inwards, outwards = inwards / reach_in[:, None], outwards / reach_out[:, None]
    cross = inwards[:, 0] * outwards[:, 1] - inwards[:, 1] * outwards[:, 0]
    opening = np.arctan2(np.abs(cross), (inwards * outwards).sum(axis=1))
    bent = (opening >= 1e-6) & (opening <= math.pi - 1e-6)
    half = np.where(bent, np.where(cross < 0, 1, -1) * (math.pi - opening) / 2, 1.0)
    shorter = np.minimum(reach_in, reach_out) / 2
    cut = np.where(bent, np.minimum(radius_mm / np.tan(np.where(bent, opening, 1) / 2), shorter), 0)
    start, end = at + cut[:, None] * inwards, at + cut[:, None] * outwards
    chord = end - start
    radius = np.hypot(*chord.T) / 2 / np.sin(np.abs(half))
    step = 2 * np.arccos(1 - STRAY_MM / np.maximum(radius, STRAY_MM))
    steps = np.maximum(np.ceil(2 * np.abs(half) / step), 2).astype(np.intp)
    steps[radius <= STRAY_MM] = 4
    steps[~bent] = 0
    owner = np.repeat(np.arange(len(at)), steps + 1)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(steps + 1) - steps - 1, steps + 1)
    half = half[owner]
    turn = number * (2 * half / np.maximum(steps, 1)[owner]) - half
    forwards = np.sin(turn) / np.sin(half) / 2 + 0.5
    sideways = (np.cos(half) - np.cos(turn)) / np.sin(half) / 2
    across = np.column_stack([-chord[:, 1], chord[:, 0]])
    points = start[owner] + forwards[:, None] * chord[owner] + sideways[:, None] * across[owner]
    first, last = number == 0, number == steps[owner]
    points[first], points[last] = start, end
    return chain_paths([corners[:1], points, corners[-1:]])
