"""Regions of a picture that could be the panel: what differs from its surroundings, filled in.

Looked for on a small copy of the picture. Three ways propose regions; which of them has four
straight sides is judged in ``foursided.py``.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from quiltpath.photo.colours import Lab, clusters, distance_from, lab
from quiltpath.photo.reading import Pixels
from quiltpath.photo.vision import vision

Mask = NDArray[np.uint8]
"""(height, width): 1 inside, 0 outside."""

SMALL_SIDE_PX = 560
"""Larger side of the small copy."""

LEAST_SHARE = 0.012
"""Of the picture; a smaller panel has too few pixels to measure on."""

COLOURS = (4, 7, 10)
"""Numbers of colours that the picture is divided into, each in turn."""


def small_copy(pixels: Pixels) -> tuple[Pixels, float]:
    """The picture at most :data:`SMALL_SIDE_PX` long, and how many of its pixels make one."""
    cv = vision()
    high, wide = pixels.shape[:2]
    scale = max(high, wide) / SMALL_SIDE_PX
    if scale <= 1:
        return pixels, 1.0
    size = round(wide / scale), round(high / scale)
    small: Pixels = cv.resize(pixels, size, interpolation=cv.INTER_AREA)
    return small, scale


def proposals(small: Pixels) -> Iterator[Mask]:
    """Regions that may be the panel, each connected and without holes."""
    small = evenly_lit(small)
    colours = lab(small)
    whole = np.ones(small.shape[:2], np.uint8)
    apart = unlike_the_rim(colours, whole)
    yield from filled_parts(apart)
    yield from filled_parts(_cut_out(small, apart))
    smooth = vision().GaussianBlur(colours, (0, 0), 1.0)
    for number in COLOURS:
        _, group = clusters(smooth.reshape(-1, 3), number)
        for i in range(number):
            yield from filled_parts((group.reshape(whole.shape) == i).astype(np.uint8))


def evenly_lit(small: Pixels) -> Pixels:
    """The picture without the fall of light that its rim shows: a curved sheet through the rim's
    brightness, in stops, fitted again without what is far off it."""
    high, wide = small.shape[:2]
    y, x = np.mgrid[:high, :wide]
    u, v = (2 * x / wide - 1).astype(np.float32), (2 * y / high - 1).astype(np.float32)
    terms = np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=-1)
    stops = np.log(small.astype(np.float32).mean(axis=-1) + 4)
    rim = _rim(np.ones((high, wide), np.uint8))
    at, wanted = terms[rim], stops[rim]
    kept = np.ones(len(wanted), dtype=bool)
    for _ in range(4):
        sheet = np.linalg.lstsq(at[kept], wanted[kept], rcond=None)[0]
        off = np.abs(at @ sheet - wanted)
        kept = off <= max(0.03, 2.5 * float(np.median(off)))
    light = terms @ sheet
    shares = np.exp(np.clip(float(np.median(at @ sheet)) - light, -1, 1))
    even: Pixels = np.clip(small * shares[..., None], 0, 255).astype(np.uint8)
    return even


def unlike_the_rim(colours: Lab, within: Mask) -> Mask:
    """What differs in colour from the rim of the picture, split where the difference does.

    Threshold between two heaps of values (Otsu 1979).
    """
    cv = vision()
    rim = _rim(within)
    away = np.minimum(distance_from(colours, colours[rim]), 16.0)
    away = cv.GaussianBlur(away, (0, 0), 1.2)
    level, _ = cv.threshold((away * 15).astype(np.uint8), 0, 1, cv.THRESH_BINARY + cv.THRESH_OTSU)
    apart: Mask = ((away * 15 > level) & (away > 2.5)).astype(np.uint8)
    return apart


def _rim(within: Mask) -> NDArray[np.bool_]:
    reach = max(3, min(within.shape) // 25)
    rim = within.astype(bool)
    rim[reach:-reach, reach:-reach] = False
    return rim


def _cut_out(small: Pixels, apart: Mask) -> Mask:
    """The same boundary drawn along edges by minimum cuts (GrabCut: Rother et al. 2004)."""
    cv = vision()
    if not apart.any() or apart.all():
        return apart
    marks = np.where(apart > 0, cv.GC_PR_FGD, cv.GC_PR_BGD).astype(np.uint8)
    marks[_rim(np.ones_like(apart))] = cv.GC_BGD
    if not (marks == cv.GC_PR_FGD).any():
        return apart
    models = np.zeros((1, 65)), np.zeros((1, 65))
    bgr = np.ascontiguousarray(small[..., ::-1])
    cv.grabCut(bgr, marks, None, models[0], models[1], 3, cv.GC_INIT_WITH_MASK)
    cut: Mask = np.isin(marks, (cv.GC_FGD, cv.GC_PR_FGD)).astype(np.uint8)
    return cut


def filled_parts(mask: Mask) -> Iterator[Mask]:
    """Connected parts of a size to look at, tidied, with their holes filled; largest first."""
    cv = vision()
    disc = cv.getStructuringElement(cv.MORPH_ELLIPSE, (5, 5))
    tidy = cv.morphologyEx(cv.morphologyEx(mask, cv.MORPH_CLOSE, disc), cv.MORPH_OPEN, disc)
    rings, _ = cv.findContours(tidy, cv.RETR_EXTERNAL, cv.CHAIN_APPROX_NONE)
    least = LEAST_SHARE * mask.size
    large = [ring for ring in rings if cv.contourArea(ring) >= least]
    for ring in sorted(large, key=cv.contourArea, reverse=True)[:4]:
        yield cv.drawContours(np.zeros_like(mask), [ring], 0, 1, cv.FILLED)
