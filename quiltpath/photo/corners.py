"""The panel's four corners in a photo: rough from its colour, then to a part of a pixel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quiltpath.errors import InputError
from quiltpath.photo.foursided import FourSided, four_sided, off_ratio, share_inside
from quiltpath.photo.lens import Lens, fitted_line, lens_of
from quiltpath.photo.reading import Photo, Points
from quiltpath.photo.regions import proposals, small_copy
from quiltpath.photo.sides import Side, side

ONE_WAY_ROUND = 1.15
"""A panel longer than wide by less may lie either way; it is taken as it lies in the picture."""

OFF_RATIO = 1.4
"""The sides of what is taken for the panel may be off the stated ratio by this factor."""

LEAST_CONFIDENCE = 0.2
"""Of the side least seen; below it nothing is measured."""

_AGAIN = "lay it flat on a plain cloth of another colour, with cloth showing all round"

MOVED_PX = 0.01
"""A corner nearer to its place is where it was."""


@dataclass(frozen=True)
class Corners:
    """Where the panel lies in a photo.

    ``at_px``        (4, 2) lower left, lower right, upper right, upper left, as seen
    ``error_px``     (4,) of each
    ``confidence``   (4,) 0 to 1
    ``lens``         with its radial term, 0 where it does not show
    ``sides``        lower, right, upper, left: confidence of each, 0 to 1
    """

    at_px: Points
    error_px: Points
    confidence: Points
    lens: Lens
    sides: tuple[float, float, float, float]


def find_corners(
    photo: Photo, length_mm: float, width_mm: float, *, beside: Points | None = None
) -> Corners:
    """The corners of the one panel in the photo, ``length_mm`` along and ``width_mm`` across.

    With ``beside``, corners (4, 2) that were found before, what is looked for lies beside those.
    Raises :class:`InputError` where there is none, more than one, where it reaches past the
    picture, or where its edge can hardly be told from the table.
    """
    small, scale = small_copy(photo.pixels)
    found = four_sided(proposals(small))
    if beside is not None:
        taken = (beside + 0.5) / scale - 0.5
        found = [one for one in found if _clear(one.corners, taken)]
    rough = _chosen(found, length_mm / width_mm, small.shape[1::-1], photo.name)
    at_px = in_order((rough.corners + 0.5) * scale - 0.5, length_mm, width_mm)
    fitted = _measured(photo, Lens(photo.size_px), at_px, 5 * scale + 4)
    for _ in range(2):
        fitted = _measured(photo, fitted.lens, fitted.at_px, 3 * scale + 4)
    if min(fitted.sides) < LEAST_CONFIDENCE:
        names = ("lower", "right", "upper", "left")
        which = names[int(np.argmin(fitted.sides))]
        fault = f"the panel's {which} edge can hardly be told from the table"
        raise InputError(photo.name, "", fault, _AGAIN)
    return fitted


def given_corners(photo: Photo, at_px: Points) -> Corners:
    """Corners that a person marked, lower left first and anticlockwise, taken as they are."""
    wide, high = photo.size_px
    if at_px.shape != (4, 2) or not np.isfinite(at_px).all() or _flat(at_px):
        fault = "the four corners do not go round a panel"
        raise InputError(
            photo.name, "corners", fault, "mark lower left, lower right, upper right, upper left"
        )
    if (at_px < -0.5).any() or (at_px > (wide, high)).any():
        raise InputError(photo.name, "corners", "a corner lies beside the picture", "mark it in it")
    one = np.ones(4)
    return Corners(at_px.astype(np.float64), one, one, Lens(photo.size_px), (1.0, 1.0, 1.0, 1.0))


def moved_corners(photo: Photo, before: Corners, at_px: Points) -> Corners:
    """Corners found before of which a person has moved some; the lens stays as it was found."""
    marked = given_corners(photo, at_px)
    moved = np.hypot(*(at_px - before.at_px).T) > MOVED_PX
    beside = moved | np.roll(moved, -1)
    lower, right, upper, left = np.where(beside, 1.0, before.sides).tolist()
    return Corners(
        marked.at_px,
        np.where(moved, marked.error_px, before.error_px),
        np.where(moved, 1.0, before.confidence),
        before.lens,
        (lower, right, upper, left),
    )


def in_order(quad: Points, length_mm: float, width_mm: float) -> Points:
    """Corners from the lower left anticlockwise as seen, so that the longer side is the length.

    Of the two ways that are left, the one whose length points to the right (or else upwards).
    """
    x, y = quad.T
    if float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) > 0:
        quad = quad[::-1]
    ways = [np.roll(quad, -i, axis=0) for i in range(4)]
    if max(length_mm, width_mm) > ONE_WAY_ROUND * min(length_mm, width_mm):
        ways = [way for way in ways if (_along(way) > _across(way)) == (length_mm > width_mm)]
    step = [(way[1] - way[0] + way[2] - way[3]) * (1, -0.7) for way in ways]
    return ways[int(np.argmax([s.sum() for s in step]))]


def _along(quad: Points) -> float:
    return float(np.hypot(*(quad[1] - quad[0])) + np.hypot(*(quad[2] - quad[3])))


def _across(quad: Points) -> float:
    return float(np.hypot(*(quad[3] - quad[0])) + np.hypot(*(quad[2] - quad[1])))


def _flat(quad: Points) -> bool:
    step = np.roll(quad, -1, axis=0) - quad
    after = np.roll(step, -1, axis=0)
    turn = step[:, 0] * after[:, 1] - step[:, 1] * after[:, 0]
    return not (turn < -1).all()


def _chosen(
    found: Sequence[FourSided], wanted: float, size: tuple[int, int], name: str
) -> FourSided:
    """The region most like a panel of that ratio; larger and whole ones first."""
    if not found:
        raise InputError(name, "", "no panel with four straight sides stands out", _AGAIN)
    off = {id(one): off_ratio(one.corners, wanted, size) for one in found}

    def score(one: FourSided) -> float:
        whole = 0.25 if one.cut_off else 1.0
        return float(one.likeness * one.share**0.5 * off[id(one)] ** -1.5 * whole)

    best = max(found, key=score)
    if best.cut_off:
        fault = "the panel reaches past the picture's edge, or does not stand out from the table"
        raise InputError(name, "", fault, _AGAIN)
    if off[id(best)] > OFF_RATIO:
        fault = f"no whole panel stands out whose sides are as 1 to {max(wanted, 1 / wanted):.1f}"
        raise InputError(name, "", fault, f"check its size; {_AGAIN}")
    others = [one for one in found if off[id(one)] <= OFF_RATIO and not one.cut_off]
    if any(_beside(one, best) for one in others):
        fault = "there seem to be two panels in the picture"
        raise InputError(name, "", fault, "photograph them one at a time")
    return best


def _clear(one: Points, other: Points) -> bool:
    return max(share_inside(one, other), share_inside(other, one)) < 0.1


def _beside(other: FourSided, best: FourSided) -> bool:
    """Whether another panel lies beside the best one."""
    return share_inside(other.corners, best.corners) < 0.2 and other.share > 0.3 * best.share


def _measured(photo: Photo, lens: Lens, rough: Points, reach_px: float) -> Corners:
    """Sides fitted near the rough ones, the lens from their bend, corners where they meet."""
    ends = np.roll(rough, -1, axis=0)
    sides = [side(photo.pixels, lens, a, b, reach_px) for a, b in zip(rough, ends, strict=True)]
    if any(len(one.points) < 12 for one in sides):
        return _unseen(photo, rough, sides)
    lens = lens_of([one.points for one in sides], photo.size_px)
    lines = np.array([fitted_line(lens.straight(one.points)) for one in sides])
    meeting = np.cross(np.roll(lines, 1, axis=0), lines)
    at_px = lens.seen(meeting[:, :2] / meeting[:, 2:])
    error = np.array([one.error_px for one in sides])
    both = np.hypot(error, np.roll(error, 1))
    return Corners(at_px, both, _confidence(sides), lens, _each(sides))


def _unseen(photo: Photo, rough: Points, sides: Sequence[Side]) -> Corners:
    none = np.zeros(4)
    return Corners(rough, none + np.inf, none, Lens(photo.size_px), _each(sides))


def _each(sides: Sequence[Side]) -> tuple[float, float, float, float]:
    lower, right, upper, left = (one.confidence for one in sides)
    return lower, right, upper, left


def _confidence(sides: Sequence[Side]) -> Points:
    """Of each corner: the lesser of its two sides, less where their ends near it are not seen."""
    out = np.zeros(4)
    for i in range(4):
        before, after = sides[i - 1], sides[i]
        near = len(after.seen) // 12
        ends = 0.5 * (before.seen[-near:].mean() + after.seen[:near].mean())
        out[i] = min(before.confidence, after.confidence) * (0.35 + 0.65 * ends)
    return out
