"""What stands out from a block's ground: the ground's colour and light from the block's own rim."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.photo.colours import Lab
from quiltpath.photo.vision import vision

Share = NDArray[np.float32]
"""(rows, columns): 0 on the ground, 1 on what is printed; the outline runs along 1/2."""

RIM = 0.1
"""Of a block's shorter side: where mostly ground is to be seen."""

CLEAR_OF_EDGE_MM = 2.0
"""The outermost part of a block has the blur of its edge."""

WEIGHTS = np.array([0.8, 1.0, 1.0], dtype=np.float32)
"""Of lightness and the two colours: shade changes lightness more."""

LEAST_CONTRAST = 7.0
"""L*a*b* between print and ground; fainter print does not stand out."""

LEAST_RATIO = 3.0
"""Of that to what the ground itself varies by."""

LEAST_MM2 = 60.0
"""A printed piece smaller than this is small print, not a motif."""

FAINT, LEAST_DOT_MM2, MANY = 3.0, 1.2, 12
"""Small print is so many pieces in a block, each so far from the ground and so large at least."""

LEAST_OF_BLOCK = 0.01


@dataclass(frozen=True)
class PrintMask:
    """``share`` of print at each pixel, how it contrasts with the ground in units of the ground's
    own variation, and the width of small print that was smoothed away."""

    share: Share
    ratio: float
    smoothed_mm: float


def separate_print(colours: Lab, px_per_mm: float) -> PrintMask | str:
    """What is printed in a block (rows, columns, 3); a sentence where nothing can be told."""
    cv = vision()
    smooth = cv.GaussianBlur(colours, (0, 0), max(0.5, 0.35 * px_per_mm))
    away = _from_ground(smooth, px_per_mm)
    away, smoothed_mm = _without_small_print(away, px_per_mm)
    level = _split(away)
    usual = float(np.median(away[away < level])) if (away < level).any() else 0.0
    parts = _parts(away > level, px_per_mm)
    if parts is None:
        return "nothing of a motif's size stands out"
    contrast = float(np.median(away[parts > 0]))
    varies = max(usual, 1.0)
    if contrast < LEAST_CONTRAST or contrast < LEAST_RATIO * varies:
        return (
            f"the print is too faint: {contrast:.0f} from the ground, which varies by {usual:.0f}"
        )
    return PrintMask(_shares(away, parts, usual), contrast / varies, smoothed_mm)


def _from_ground(smooth: Lab, px_per_mm: float) -> NDArray[np.float32]:
    """L*a*b* distance from the ground, whose colour is a tilted plane through the rim's, fitted
    again without what is far off it."""
    high, wide = smooth.shape[:2]
    edge = round(CLEAR_OF_EDGE_MM * px_per_mm)
    depth = edge + max(2, round(RIM * min(high, wide)))
    rim = np.zeros((high, wide), dtype=bool)
    rim[edge : high - edge, edge : wide - edge] = True
    rim[depth : high - depth, depth : wide - depth] = False
    y, x = np.mgrid[:high, :wide].astype(np.float32)
    terms = np.stack([np.ones_like(x), x / wide - 0.5, y / high - 0.5], axis=-1)
    every = max(1, int(rim.sum()) // 4000)
    at, seen = terms[rim][::every], smooth[rim][::every]
    kept = np.ones(len(at), dtype=bool)
    for _ in range(5):
        plane = np.linalg.lstsq(at[kept], seen[kept], rcond=None)[0]
        off = np.sqrt(((at @ plane - seen) ** 2).sum(axis=1))
        kept = off <= max(2.0, 2.0 * float(np.median(off)))
    off_ground = (smooth - terms @ plane.astype(np.float32)) * WEIGHTS
    away: NDArray[np.float32] = np.sqrt((off_ground**2).sum(axis=2))
    away[:edge], away[high - edge :], away[:, :edge], away[:, wide - edge :] = 0, 0, 0, 0
    return away


def _without_small_print(
    away: NDArray[np.float32], px_per_mm: float
) -> tuple[NDArray[np.float32], float]:
    """Small dots and sprigs taken off where there are many (grey opening: Serra 1982)."""
    cv = vision()
    _, _, stats, _ = cv.connectedComponentsWithStats((away > FAINT).astype(np.uint8))
    areas = stats[1:, cv.CC_STAT_AREA] / px_per_mm**2
    dots = areas[(areas > LEAST_DOT_MM2) & (areas < LEAST_MM2 / 2)] * px_per_mm**2
    if len(dots) < MANY:
        return away, 0.0
    across = float(np.sqrt(4 / np.pi * np.quantile(dots, 0.9)))
    side = int(np.clip(across * 1.1, 3, 6 * px_per_mm)) | 1
    disc = cv.getStructuringElement(cv.MORPH_ELLIPSE, (side, side))
    opened = cv.morphologyEx(away, cv.MORPH_OPEN, disc)
    return opened, side / px_per_mm


def _split(away: NDArray[np.float32]) -> float:
    """The value that parts two heaps of values (Otsu 1979)."""
    cv = vision()
    level, _ = cv.threshold(
        np.clip(away * 4, 0, 255).astype(np.uint8), 0, 1, cv.THRESH_BINARY + cv.THRESH_OTSU
    )
    return max(float(level) / 4, 2.5)


def _parts(print_: NDArray[np.bool_], px_per_mm: float) -> NDArray[np.int32] | None:
    """Numbered pieces of a motif's size; None where there is none."""
    cv = vision()
    _, parts, stats, _ = cv.connectedComponentsWithStats(print_.astype(np.uint8))
    areas = stats[:, cv.CC_STAT_AREA]
    large = (areas >= LEAST_MM2 * px_per_mm**2) & (areas >= LEAST_OF_BLOCK / 4 * parts.size)
    large[0] = False
    total = int(areas[large].sum())
    if not large.any() or total < LEAST_OF_BLOCK * parts.size:
        return None
    renumbered = np.cumsum(large) * large
    out: NDArray[np.int32] = renumbered[parts].astype(np.int32)
    return out


def _shares(away: NDArray[np.float32], parts: NDArray[np.int32], usual: float) -> Share:
    """Each piece against its own contrast: half way up its edge is 1/2, however dark it is."""
    cv = vision()
    out = np.zeros_like(away)
    disc = cv.getStructuringElement(cv.MORPH_ELLIPSE, (5, 5))
    for i in range(1, int(parts.max()) + 1):
        piece = (parts == i).astype(np.uint8)
        core = cv.erode(piece, disc)
        contrast = float(np.median(away[(core if core.any() else piece) > 0]))
        near = cv.dilate(piece, disc, iterations=2)
        share = np.clip((away - usual) / max(contrast - usual, 1e-6), 0, 1)
        # A hole or a paler part inside is only a hole if it is ground.
        out = np.maximum(out, np.where(near > 0, share, 0).astype(np.float32))
    return out
