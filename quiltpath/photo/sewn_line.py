"""One sewn line near its planned one: where it runs, where it is seen at all, its stitches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.photo.colours import Lab, lab
from quiltpath.photo.reading import Points
from quiltpath.photo.straighten import Flat
from quiltpath.photo.vision import vision

STEP_MM = 1.5
"""From place to place along a line."""

ACROSS_MM = 0.25

BESIDE_MM = 1.6
"""Cloth beside the thread, on both sides, that it is compared with."""

LEAST_RIDGE = 2.0
"""L*a*b* by which thread or its furrow differs from the cloth on both sides."""

TIMES_USUAL = 2.5
"""And so many times what the cloth around shows of itself."""

BEND = 0.35
"""What a step aside of 1 mm costs, in ridges that are just seen: lines do not jump."""

STITCHES_MM = (1.2, 6.0)

CLEAR_PEAK = 14.0
"""Of the spectrum, over its middle: stitches that can be counted."""


@dataclass(frozen=True)
class SewnLine:
    """A planned line against what is sewn.

    ``at_mm``      (n, 2) places along the planned line
    ``off_mm``     (n,) how far to the left of it the sewing lies there; NaN where none is seen
    ``seen``       share of the line where sewing is seen
    ``stitch_mm``  mean stitch length where the thread's stitches can be counted, else None
    """

    at_mm: Points
    off_mm: Points
    seen: float
    stitch_mm: float | None

    @property
    def largest_mm(self) -> float:
        """The largest distance from the plan; 0 where nothing is seen."""
        away = np.abs(self.off_mm[np.isfinite(self.off_mm)])
        return float(away.max()) if len(away) else 0.0


def sewn_line(flat: Flat, colours: Lab, planned_mm: Points, reach_mm: float) -> SewnLine:
    """The sewing within ``reach_mm`` of a planned line (m, 2) on a straightened piece."""
    at, normal = _places(planned_mm)
    offsets = np.arange(-reach_mm, reach_mm + 1e-9, ACROSS_MM)
    ridge = _ridge(flat, colours, at, normal, offsets)
    usual = max(float(np.median(ridge)), 0.3)
    level = max(LEAST_RIDGE, TIMES_USUAL * usual)
    path = _smoothest(np.log1p(ridge / level))
    rows = np.arange(len(at))
    there = _mostly(ridge[rows, path] > level)
    off = np.where(there, offsets[path] + _part(ridge, rows, path) * ACROSS_MM, np.nan)
    stitch = _stitch(flat, at, normal, off) if there.mean() > 0.5 else None
    return SewnLine(at, off, float(there.mean()), stitch)


def _places(line_mm: Points) -> tuple[Points, Points]:
    """Even places along a line and the unit normals there, to the left."""
    path = shapely.linestrings(line_mm)
    number = max(4, round(path.length / STEP_MM))
    distance = (np.arange(number) + 0.5) * path.length / number
    at = shapely.get_coordinates(shapely.line_interpolate_point(path, distance))
    ahead = shapely.line_interpolate_point(path, np.minimum(distance + 0.8, path.length))
    behind = shapely.line_interpolate_point(path, np.maximum(distance - 0.8, 0))
    way = shapely.get_coordinates(ahead) - shapely.get_coordinates(behind)
    unit = way / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    return at, np.column_stack([-unit[:, 1], unit[:, 0]])


def _look_up(flat: Flat, field: NDArray[np.generic], at_mm: Points) -> NDArray[np.generic]:
    """Values of a picture at places in mm (..., 2), bilinear."""
    x = (at_mm[..., 0] * flat.px_per_mm - 0.5).astype(np.float32)
    y = (flat.pixels.shape[0] - at_mm[..., 1] * flat.px_per_mm - 0.5).astype(np.float32)
    cv = vision()
    found: NDArray[np.generic] = cv.remap(
        field, x, y, cv.INTER_LINEAR, borderMode=cv.BORDER_REPLICATE
    )
    return found


def _ridge(flat: Flat, colours: Lab, at: Points, normal: Points, offsets: Points) -> Points:
    """(places, offsets) how far a place differs from both its sides in the same way.

    An edge between two cloths differs from one side only, and counts nothing.
    """
    reach = round(BESIDE_MM / ACROSS_MM)
    wide = np.arange(-reach, len(offsets) + reach) * ACROSS_MM + offsets[0]
    grid = at[:, None] + wide[None, :, None] * normal[:, None]
    strip = _look_up(flat, colours, grid)
    smooth = vision().blur(vision().GaussianBlur(strip, (0, 0), sigmaX=1.4, sigmaY=1e-3), (1, 5))
    middle = smooth[:, reach:-reach]
    left = middle - smooth[:, : -2 * reach]
    right = middle - smooth[:, 2 * reach :]
    return np.sqrt(np.maximum((left * right).sum(axis=2), 0)).astype(np.float64)


def _smoothest(worth: Points) -> NDArray[np.intp]:
    """The way from place to place with most ridge and least bending (Viterbi 1967)."""
    number, wide = worth.shape
    jumps = np.abs(np.subtract.outer(np.arange(wide), np.arange(wide))) * ACROSS_MM
    cost = BEND * jumps + np.where(jumps > 1.2, 1e6, 0.0)
    best = worth[0].copy()
    back = np.zeros((number, wide), dtype=np.intp)
    for i in range(1, number):
        options = best[:, None] - cost
        back[i] = np.argmax(options, axis=0)
        best = options[back[i], np.arange(wide)] + worth[i]
    path = np.empty(number, dtype=np.intp)
    path[-1] = int(np.argmax(best))
    for i in range(number - 1, 0, -1):
        path[i - 1] = back[i, path[i]]
    return path


def _mostly(there: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """What most of the neighbourhood says: single places among others follow them."""
    share = np.convolve(np.pad(there.astype(float), 3, "edge"), np.full(7, 1 / 7), "valid")
    return there & (share > 0.4)


def _part(ridge: Points, rows: NDArray[np.intp], path: NDArray[np.intp]) -> Points:
    """The top of the ridge to a part of a step (parabola)."""
    inner = np.clip(path, 1, ridge.shape[1] - 2)
    before, at, after = (ridge[rows, inner + d] for d in (-1, 0, 1))
    bend = before - 2 * at + after
    shift = 0.5 * (before - after) / np.where(bend < -1e-9, bend, -1e9)
    return np.where(inner == path, np.clip(shift, -0.5, 0.5), 0.0)


def _stitch(flat: Flat, at: Points, normal: Points, off: Points) -> float | None:
    """The stitch length from the spectrum of the colour along the sewn line, where it has one
    clear peak and the photo is fine enough to show it."""
    there = np.isfinite(off)
    filled = np.interp(np.arange(len(off)), np.flatnonzero(there), off[there])
    path = shapely.linestrings(at + filled[:, None] * normal)
    fine = 0.2
    along = shapely.get_coordinates(
        shapely.line_interpolate_point(path, np.arange(0, path.length, fine))
    )
    if len(along) < 200:
        return None
    # One strip as high as a pixel: the library takes pictures up to 32,000 wide.
    colour = lab(_look_up(flat, flat.pixels, along[None, :30_000]).astype(np.uint8))[0]
    signal = colour - vision().blur(colour[None], (61, 1))[0]
    window = np.hanning(len(signal))[:, None]
    power = (np.abs(np.fft.rfft(signal * window, axis=0)) ** 2).sum(axis=1)
    each_mm = np.fft.rfftfreq(len(signal), fine)
    shortest = max(STITCHES_MM[0], 3.0 / flat.px_per_mm)
    band = (each_mm > 1 / STITCHES_MM[1]) & (each_mm < 1 / shortest)
    if band.sum() < 20:
        return None
    top = int(np.flatnonzero(band)[np.argmax(power[band])])
    if power[top] < CLEAR_PEAK * np.median(power[band]):
        return None
    near = slice(max(top - 2, 1), top + 3)
    return float(power[near].sum() / (power[near] * each_mm[near]).sum())
