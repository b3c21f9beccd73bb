"""A border as a band that is followed all round: along its sides, and round true corners.

Places in the band are pairs: how many repeats along, and how far off the middle, from -1 at the
inner edge to 1 at the outer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import CubicHermiteSpline
from shapely.geometry import Polygon

from quiltpath.geometry.arrays import Floats, Points

STRAIGHT_ENOUGH_DEG = 2.0
INNER_EASE = 0.2  # how far figures keep off the inner corner, to go round and not into it
CORNER_REACH = 0.6  # how far a figure reaches into the empty outer corner
ROUNDS = 12
ROUND = 1.6  # half widths: radius of the middle's arc round a corner
SETTLED = 0.5  # of a repeat: how soon past a corner repeats are even
CORNER_REPEATS = 0.25  # of a repeat, to either side of a corner, on its arc
ROUNDED = 6.0  # the higher, the further what fills a corner reaches into it
EASED = 0.6  # the higher, the wider what fills a corner goes round the inner one
LEAST_CENTRE = 0.15  # of the radius: the inner edge keeps so far from the centre


@dataclass(frozen=True)
class BorderBand:
    """A border with corners 0 to n - 1, anticlockwise; side i runs from corner i to i + 1.

    ``middle`` (n, 2) corners of the line midway between the edges; ``half_mm`` (n,) half the width
    of each side; ``radius_mm`` and ``centre`` of the arc round each corner; ``reach_mm`` (n,) from
    the middle of that arc to the outer corner; ``filled`` for figures that lie along both edges
    all the way round a corner, and not only with a crest in it.
    """

    middle: Points
    half_mm: Floats
    radius_mm: Floats
    centre: Points
    reach_mm: Floats
    filled: bool = False

    whole = 1.0
    """repeats of a side come singly"""

    @property
    def along(self) -> Points:
        """(n, 2) unit vectors of the sides."""
        way = np.roll(self.middle, -1, axis=0) - self.middle
        return way / np.hypot(*way.T)[:, None]

    @property
    def turn(self) -> Floats:
        """(n,) angle by which the band turns at each corner."""
        way, before = self.along, np.roll(self.along, 1, axis=0)
        return np.arctan2(
            before[:, 0] * way[:, 1] - before[:, 1] * way[:, 0], (before * way).sum(axis=1)
        )

    @property
    def cut_mm(self) -> Floats:
        """(n,) how much of a side its corner's arc takes."""
        return self.radius_mm * np.tan(self.turn / 2)

    @property
    def arc_mm(self) -> Floats:
        """(n,) half the length of each corner's arc."""
        return self.radius_mm * self.turn / 2

    def straight_mm(self) -> Floats:
        """(n,) lengths of the sides along the middle, between the arcs."""
        way = np.roll(self.middle, -1, axis=0) - self.middle
        return np.hypot(*way.T) - self.cut_mm - np.roll(self.cut_mm, -1)

    def side_lengths_mm(self) -> Floats:
        """(n,) lengths of the sides along the middle, from the middle of one arc to the next."""
        return self.straight_mm() + self.arc_mm + np.roll(self.arc_mm, -1)

    def repeats_mm(self, repeat_mm: float) -> Floats:
        """(n,) how many repeats of that length each side holds, not yet whole."""
        return self.straight_mm() / repeat_mm + 2 * CORNER_REPEATS

    def places(self, repeats: Floats, along: Floats, off: Floats) -> Points:
        """Points (n, 2) in mm for places along (in repeats, ``repeats`` to each side) and off."""
        lengths = np.concatenate([[0.0], np.cumsum(self.side_lengths_mm())])
        way = self._pace(repeats)(np.mod(along, repeats.sum()))
        side = np.clip(np.searchsorted(lengths, way, side="right") - 1, 0, len(repeats) - 1)
        return self._at(side, way - lengths[side], off)

    def _pace(self, repeats: Floats) -> CubicHermiteSpline:
        """Millimetres along for repeats along: a quarter repeat from a corner to where its arc
        ends, the rest even, without a jump of pace."""
        near = np.full(len(repeats), CORNER_REPEATS)
        ends = np.minimum(SETTLED, (repeats - 2 * near) / 4)
        even = repeats - 2 * near - 2 * ends
        steps = np.stack([near, ends, even, ends, near], axis=1).ravel()
        straight, arc = self.straight_mm() / (repeats - 2 * near), self.arc_mm
        sides = [arc, ends * straight, even * straight, ends * straight, np.roll(arc, -1)]
        parts = np.stack(sides, axis=1).ravel()
        pace = parts / steps
        before = np.roll(pace, 1)
        mean = 2 * pace * before / (pace + before)
        knots = np.concatenate([[0.0], np.cumsum(steps)])
        way = np.concatenate([[0.0], np.cumsum(parts)])
        return CubicHermiteSpline(knots, way, np.append(mean, mean[0]))

    def _at(self, side: NDArray[np.intp], way: Floats, off: Floats) -> Points:
        after = (side + 1) % len(self.middle)
        arcs = self.arc_mm
        whole = self.side_lengths_mm()[side]
        points = self._on_side(side, way - arcs[side], off)
        first, last = way < arcs[side], way > whole - arcs[after]
        points[first] = self.on_corner(side[first], way[first], off[first])
        points[last] = self.on_corner(after[last], way[last] - whole[last], off[last])
        return points

    def _on_side(self, side: NDArray[np.intp], way: Floats, off: Floats) -> Points:
        along = self.along[side]
        outward = np.stack([along[:, 1], -along[:, 0]], axis=1)
        start = self.middle[side] + along * self.cut_mm[side][:, None]
        return start + along * way[:, None] + outward * (off * self.half_mm[side])[:, None]

    def on_corner(self, corner: NDArray[np.intp], way: Floats, off: Floats) -> Points:
        """``way`` is measured from the middle of the arc; the figure swells towards the corner."""
        turn, radius = self.turn[corner], self.radius_mm[corner]
        share = way / (radius * turn / 2)
        before, own = self.half_mm[corner - 1], self.half_mm[corner]
        blend = (share + 1) / 2
        half = before + (own - before) * blend * blend * (3 - 2 * blend)
        if self.filled:
            outer_mm, inner_mm = self._rooms(corner, share)
            out = radius + np.where(off > 0, outer_mm, inner_mm) * off
        else:
            spare = np.maximum(self.reach_mm[corner] - half, 0) * CORNER_REACH
            swell = spare * np.maximum(off, 0) ** 2 + INNER_EASE * half * np.minimum(off, 0) ** 2
            out = radius + off * half + swell * np.cos(np.pi / 2 * share) ** 2
        outer = self.middle[corner] - self.centre[corner]
        angle = np.arctan2(outer[:, 1], outer[:, 0]) + way / radius
        return self.centre[corner] + np.stack([np.cos(angle), np.sin(angle)], 1) * out[:, None]

    def _rooms(self, corner: NDArray[np.intp], share: Floats) -> tuple[Floats, Floats]:
        """From the arc outwards and inwards to the edges, along the ray from its centre.

        A ray meets a straight edge at its distance over the cosine of the angle between them. What
        lies within two edges is rounded where they meet: outside by a power mean of both rays,
        never more than the lesser and raised to the edge itself at both ends of the arc; inside
        it goes round the corner and not into it.
        """
        radius, turn = self.radius_mm[corner], self.turn[corner]
        angles = [turn / 2 * (1 + share), turn / 2 * (1 - share)]
        halves = [self.half_mm[corner - 1], self.half_mm[corner]]
        rays = _rays([radius + half for half in halves], angles)
        lost = (1 + np.cos(turn).clip(0) ** ROUNDED) ** (1 / ROUNDED) - 1
        mean = sum(ray**-ROUNDED for ray in rays) ** (-1 / ROUNDED)
        insides = [np.maximum(radius - half, LEAST_CENTRE * radius) for half in halves]
        first, second = _rays(insides, angles)
        nearest, apart = np.minimum(first, second), np.abs(np.log(first / second))
        eased = apart + EASED - np.hypot(apart, EASED)  # no kink where both are alike
        inner = nearest * np.exp(eased / 2 * (1 - share**2) ** 2)
        return mean * (1 + lost * share**4) - radius, radius - inner


def _rays(apart: list[Floats], angles: list[Floats]) -> list[Floats]:
    """How far rays go to edges that are so far off, at such angles to the nearest way there."""
    return [mm / np.cos(angle).clip(1e-3) for mm, angle in zip(apart, angles, strict=True)]


def band_of(border: Polygon, fullest: float, *, filled: bool) -> BorderBand:
    """The band of a border with one convex hole that has as many corners as the outside.

    ``fullest`` is how much of the half width figures use: corners are rounded as far as that
    leaves figures inside the border, which those of a band that is ``filled`` never leave.
    Raises ``ValueError`` for other shapes.
    """
    outer, inner = _corners(Polygon(border.exterior)), _inner_corners(border)
    if len(outer) != len(inner):
        raise ValueError(
            f"the border has {len(outer)} corners outside and {len(inner)} inside; both must agree"
        )
    nearest = np.argmin(np.hypot(*(inner - outer[0]).T))
    inner = np.roll(inner, -int(nearest), axis=0)
    half = _half_widths(outer, inner)
    rounding = np.full(len(outer), ROUND)
    if filled:
        return _filled(outer, inner, half)
    for _ in range(ROUNDS):
        band = _round_corners(outer, inner, half, rounding)
        outside = _leaves(band, border, fullest)
        if not outside.any():
            return band
        rounding[outside] *= 0.88
    return _filled(outer, inner, half)


def _filled(outer: Points, inner: Points, half: Floats) -> BorderBand:
    """The band that is filled into its corners; its arcs are alike, for as much to fit in each."""
    middle = (outer + inner) / 2
    turn = BorderBand(middle, half, half, middle, half).turn
    return replace(_round_corners(outer, inner, half, ROUND * np.pi / 2 / turn), filled=True)


def _round_corners(outer: Points, inner: Points, half: Floats, rounding: Floats) -> BorderBand:
    """The band whose corners are rounded by so many half widths."""
    middle = (outer + inner) / 2
    blank = BorderBand(middle, half, half, middle, half)
    radius = rounding * np.maximum(half, np.roll(half, 1))
    room = np.hypot(*(np.roll(middle, -1, axis=0) - middle).T)
    longest = 0.45 * np.minimum(room, np.roll(room, 1)) / np.tan(blank.turn / 2)
    radius = np.minimum(radius, longest)
    inwards = blank.along - np.roll(blank.along, 1, axis=0)
    inwards /= np.hypot(*inwards.T)[:, None]
    centre = middle + inwards * (radius / np.cos(blank.turn / 2))[:, None]
    reach = np.hypot(*(outer - centre).T) - radius
    return BorderBand(middle, half, radius, centre, reach)


def _leaves(band: BorderBand, border: Polygon, fullest: float) -> NDArray[np.bool_]:
    """(n,) whether a full figure would leave the border in a corner, on either side."""
    count = len(band.half_mm)
    share = np.linspace(-1, 1, 41)
    corner = np.repeat(np.arange(count), len(share))
    way = np.tile(share, count) * band.arc_mm[corner]
    off = fullest * np.tile(np.sqrt(np.cos(np.pi / 2 * share).clip(0)), count)
    good = np.ones(len(corner), dtype=bool)
    for sign in (1, -1):
        points = band.on_corner(corner, way, sign * off)
        good &= shapely.contains_xy(border, points[:, 0], points[:, 1])
    return np.asarray(~good.reshape(count, -1).all(axis=1))


def _half_widths(outer: Points, inner: Points) -> Floats:
    sides = zip(inner, np.roll(inner, -1, axis=0), outer, np.roll(outer, -1, axis=0), strict=True)
    widths = [
        shapely.LineString([c, d]).distance(shapely.Point((a + b) / 2)) for a, b, c, d in sides
    ]
    return np.array(widths) / 2


def _inner_corners(border: Polygon) -> Points:
    if len(border.interiors) != 1:
        raise ValueError(f"a border has one hole; this has {len(border.interiors)}")
    return _corners(Polygon(border.interiors[0]))


def _corners(shape: Polygon) -> Points:
    """Corners of a convex polygon, anticlockwise, points on straight sides left out."""
    if shape.convex_hull.area > shape.area * 1.001:
        raise ValueError("a border's edges must be convex")
    points = shapely.get_coordinates(shapely.orient_polygons(shape).exterior)[:-1]
    return points[turns_of(shape) > np.radians(STRAIGHT_ENOUGH_DEG)]


def turns_of(shape: Polygon) -> Floats:
    """(n,) radians by which its outline turns to the left at each of its points."""
    points = shapely.get_coordinates(shapely.orient_polygons(shape).exterior)[:-1]
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    return np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
    )
