"""Which of the proposed regions has four straight sides, and where they roughly run."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from quiltpath.photo.projective import map_of
from quiltpath.photo.reading import Points
from quiltpath.photo.regions import Mask
from quiltpath.photo.vision import vision

LEAST_LIKENESS = 0.9
"""Share of region and quadrilateral together that they have in common; a disc has 0.64 at most."""

SAME = 0.8
"""Quadrilaterals with so much in common are one."""


@dataclass(frozen=True)
class FourSided:
    """``corners`` (4, 2) in pixels, in order round; how like the region; share of the picture."""

    corners: Points
    likeness: float
    share: float
    cut_off: bool
    """whether it reaches the picture's edge"""


def four_sided(masks: Iterable[Mask]) -> list[FourSided]:
    """The regions with four straight sides, each once, the best likeness of each."""
    found: list[FourSided] = []
    for mask in masks:
        best = _fit(mask)
        if best is None or best.likeness < LEAST_LIKENESS:
            continue
        same = [
            i
            for i, other in enumerate(found)
            if share_in_common(best.corners, other.corners) > SAME
        ]
        if not same:
            found.append(best)
        elif best.likeness > found[same[0]].likeness:
            found[same[0]] = best
    return found


def _fit(mask: Mask) -> FourSided | None:
    """The quadrilateral along four edges of the region's hull that has most in common with it.

    Edges are carried on to where they meet: a corner that is folded under is still a corner.
    """
    cv = vision()
    rings, _ = cv.findContours(mask, cv.RETR_EXTERNAL, cv.CHAIN_APPROX_NONE)
    hull = cv.convexHull(rings[0])
    simple = cv.approxPolyDP(hull, 0.012 * cv.arcLength(hull, True), True)[:, 0].astype(float)
    if not 4 <= len(simple) <= 9:
        return None
    area = float(mask.sum())
    quads = [_meeting(simple, sides) for sides in combinations(range(len(simple)), 4)]
    likely = [quad for quad in quads if quad is not None]
    if not likely:
        return None
    scores = [_likeness(mask, area, quad) for quad in likely]
    best = int(np.argmax(scores))
    high, wide = mask.shape
    at_rim = (mask[[0, 1, -2, -1]].sum() + mask[:, [0, 1, -2, -1]].sum()) > 0.01 * (high + wide)
    return FourSided(likely[best], scores[best], area / mask.size, bool(at_rim))


def _meeting(ring: Points, sides: tuple[int, ...]) -> Points | None:
    """Where four edges of a ring meet, each with the next; None where they do not go round."""
    starts, ends = ring[list(sides)], ring[[(i + 1) % len(ring) for i in sides]]
    normal = (ends - starts)[:, ::-1] * (1, -1)
    normal = normal / np.maximum(np.hypot(*normal.T), 1e-9)[:, None]
    lines = np.column_stack([normal, -(normal * starts).sum(axis=1)])
    corners = np.cross(lines, np.roll(lines, -1, axis=0))
    if (np.abs(corners[:, 2]) < 0.05).any():
        return None
    quad: Points = corners[:, :2] / corners[:, 2:]
    reach = 0.25 * np.ptp(ring, axis=0).max()
    near = (quad > ring.min(axis=0) - reach).all() and (quad < ring.max(axis=0) + reach).all()
    return quad if near and _convex(quad) else None


def _convex(quad: Points) -> bool:
    step = np.roll(quad, -1, axis=0) - quad
    after = np.roll(step, -1, axis=0)
    turn = step[:, 0] * after[:, 1] - step[:, 1] * after[:, 0]
    return bool((turn > 0).all() or (turn < 0).all())


def _likeness(mask: Mask, area: float, quad: Points) -> float:
    """Common area over area of both together."""
    covered = np.zeros_like(mask)
    vision().fillConvexPoly(covered, np.round(quad * 16).astype(np.int32), 1, shift=4)
    both = float((covered & mask).sum())
    return both / (area + _area(quad) - both)


def _area(quad: Points) -> float:
    x, y = quad.T
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)


def share_in_common(one: Points, other: Points) -> float:
    """Common area of two convex quadrilaterals over their area together."""
    both, _ = vision().intersectConvexConvex(one.astype(np.float32), other.astype(np.float32))
    return float(both / (_area(one) + _area(other) - both))


def share_inside(one: Points, other: Points) -> float:
    """The share of ``one`` that lies in ``other``."""
    both, _ = vision().intersectConvexConvex(one.astype(np.float32), other.astype(np.float32))
    return float(both / _area(one))


FOCAL_LENGTHS = (0.65, 0.8, 1.0, 1.4, 2.0, 4.0)
"""In larger sides of the picture: from a telephone's wide lens to a tele lens."""


def off_ratio(quad: Points, wanted: float, size: tuple[int, int]) -> float:
    """How far the sides of the rectangle behind ``quad`` are from 1 to ``wanted``, as a factor.

    What perspective shortens depends on the focal length, which is not known: the usual ones are
    tried and the nearest counts (Zhang & He 2007, with square pixels and the middle in the
    middle). ``size`` is width and height of the picture.
    """
    ratios = [_seen_ratio(quad)]
    middle = np.array(size) / 2
    unit = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    for focal in FOCAL_LENGTHS:
        columns = map_of(unit, (quad - middle) / (focal * max(size)))
        sides = np.hypot(np.hypot(columns[0], columns[1]), columns[2])[:2]
        ratios.append(float(sides.max() / sides.min()))
    wanted = max(wanted, 1 / wanted)
    return float(np.exp(min(abs(np.log(one / wanted)) for one in ratios)))


def _seen_ratio(quad: Points) -> float:
    """Longer over shorter side, each the mean of two that face each other."""
    sides = np.hypot(*(np.roll(quad, -1, axis=0) - quad).T)
    pair = sides[[0, 1]] + sides[[2, 3]]
    return float(pair.max() / pair.min())
