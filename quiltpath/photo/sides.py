"""The sides of the panel to a part of a pixel: steps across each, one curve through all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.photo.colours import Lab, lab
from quiltpath.photo.lens import Lens
from quiltpath.photo.reading import Pixels, Points
from quiltpath.photo.vision import vision

PLACES = 360
"""Where each side is looked at."""

DRAWS = 500
"""Trials of three places each: enough where a third of the places are right."""

CLEAR_STEP = 6.0
"""L*a*b* distance of a step that is sure."""


@dataclass(frozen=True)
class Side:
    """``points`` (n, 2), pixels, on the edge; ``seen`` (places,) whether each place agreed."""

    points: Points
    seen: NDArray[np.bool_]
    spread_px: float
    contrast: float

    @property
    def confidence(self) -> float:
        """Share of the places that agree, less where the step of colour is faint."""
        return float(self.seen.mean() * min(1.0, self.contrast / CLEAR_STEP))

    @property
    def error_px(self) -> float:
        """Of the line at its ends: noise of the fit, never below a tenth of a pixel."""
        return float(max(0.1, 2 * self.spread_px / np.sqrt(max(1, self.seen.sum() / 4))))


def side(pixels: Pixels, lens: Lens, start: Points, end: Points, reach_px: float) -> Side:
    """The edge between two rough corners, looked for ``reach_px`` to either side.

    Corners are pixels as the photo shows them; with a ``lens`` the way between them is bent.
    """
    along = np.linspace(0.015, 0.985, PLACES)
    start, end = lens.straight(start), lens.straight(end)
    strip, step_px = _strip(pixels, lens, start, end, along, reach_px)
    rise = _rise(strip, step_px)
    offsets = (np.arange(rise.shape[1]) - rise.shape[1] // 2) * step_px
    places, where = _peaks(rise, offsets)
    t = along[places]
    curve, agreed = _common_curve(t, where, tolerance=max(0.8, 0.04 * reach_px))
    unit = (end - start) / np.hypot(*(end - start))
    normal = np.array([-unit[1], unit[0]])
    seen = np.zeros(PLACES, dtype=bool)
    seen[places[agreed]] = True
    off = where[agreed]
    points = start + t[agreed, None] * (end - start) + off[:, None] * normal
    left = off - _height(curve, t[agreed])
    spread = float(np.sqrt(np.mean(left**2))) if agreed.any() else reach_px
    contrast = _contrast(strip, _height(curve, along), offsets)
    return Side(lens.seen(points), seen, spread, contrast)


def _height(curve: Points, t: Points) -> Points:
    out: Points = curve[0] * t**2 + curve[1] * t + curve[2]
    return out


def _strip(
    pixels: Pixels, lens: Lens, start: Points, end: Points, along: Points, reach_px: float
) -> tuple[Lab, float]:
    """Colours across the side at each place, averaged a little along it; and their step."""
    cv = vision()
    unit = (end - start) / np.hypot(*(end - start))
    normal = np.array([-unit[1], unit[0]])
    step = max(0.5, reach_px / 60)
    across = np.arange(-round(reach_px / step), round(reach_px / step) + 1) * step
    fine = np.linspace(along[0], along[-1], 3 * len(along))
    flat = start + fine[:, None, None] * (end - start) + across[None, :, None] * normal
    grid = lens.seen(flat)
    found = cv.remap(
        pixels, grid[..., 0].astype(np.float32), grid[..., 1].astype(np.float32),
        cv.INTER_LINEAR, borderMode=cv.BORDER_REPLICATE,
    )  # fmt: skip
    colours = cv.blur(lab(found), (1, 5))[1::3]
    return colours, step


def _rise(strip: Lab, step_px: float) -> NDArray[np.float32]:
    """How steeply colour changes across the side, from what is outside to what is inside."""
    cv = vision()
    sigma = max(1.0, 1.2 / step_px)
    smooth = cv.GaussianBlur(strip, (0, 0), sigmaX=sigma, sigmaY=0.01)
    slope = np.gradient(smooth, axis=1)
    power: NDArray[np.float32] = np.sqrt((slope**2).sum(axis=2))
    return power


def _peaks(rise: NDArray[np.float32], offsets: Points) -> tuple[NDArray[np.intp], Points]:
    """The steps that stand out at each place, up to three, to a part of a step (parabola)."""
    middle = rise[:, 1:-1]
    top = (
        (middle > rise[:, :-2])
        & (middle >= rise[:, 2:])
        & (middle > 0.35 * rise.max(axis=1)[:, None])
    )
    strength = np.where(top, middle, 0)
    order = np.argsort(-strength, axis=1, kind="stable")[:, :3]
    rows = np.repeat(np.arange(len(rise)), order.shape[1])
    columns = order.ravel() + 1
    kept = strength[rows, columns - 1] > 0
    rows, columns = rows[kept], columns[kept]
    before, at, after = (rise[rows, columns + d].astype(np.float64) for d in (-1, 0, 1))
    shift = 0.5 * (before - after) / np.minimum(before - 2 * at + after, -1e-9)
    step = offsets[1] - offsets[0]
    return rows, offsets[columns] + np.clip(shift, -0.5, 0.5) * step


def _common_curve(t: Points, where: Points, tolerance: float) -> tuple[Points, NDArray[np.bool_]]:
    """The parabola that most places agree on (RANSAC: Fischler & Bolles 1981), then all of them.

    A lens bends a side by a little; more than a parabola is not asked for.
    """
    best, most = np.zeros(3), np.zeros(len(t), dtype=bool)
    if len(t) < 12:
        return best, most
    three = np.random.default_rng(7).integers(0, len(t), (DRAWS, 3))
    three = three[np.ptp(t[three], axis=1) > 0.3]
    three = three[np.diff(np.sort(t[three], axis=1), axis=1).min(axis=1) > 0.02]
    powers = np.stack([t**2, t, np.ones_like(t)], axis=-1)
    curves = np.linalg.solve(powers[three], where[three][..., None])[..., 0]
    curves = curves[np.abs(curves[:, 0]) < 40 * tolerance]
    if len(curves):
        agreed = np.abs(curves @ powers.T - where) < tolerance
        winner = int(np.argmax(agreed.sum(axis=1)))
        best, most = curves[winner], agreed[winner]
    for _ in range(4):
        if most.sum() < 12:
            break
        best = np.polyfit(t[most], where[most], 2)
        left = np.abs(_height(best, t) - where)
        most = left < max(0.4, min(tolerance, 3 * np.median(left[most])))
    return best, most


def _contrast(strip: Lab, where: Points, offsets: Points) -> float:
    """L*a*b* distance of the two sides of the edge, in the median place."""
    step = offsets[1] - offsets[0]
    at = np.round((where - offsets[0]) / step).astype(int)
    gap = max(2, round(2.0 / step))
    rows = np.arange(len(strip))
    last = strip.shape[1] - 1
    one = strip[rows, np.clip(at - gap, 0, last)]
    other = strip[rows, np.clip(at + gap, 0, last)]
    return float(np.median(np.sqrt(((one - other) ** 2).sum(axis=1))))
