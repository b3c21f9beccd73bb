"""Outlines along the level 1/2 of a share of print, to a part of a pixel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.photo.grounds import LEAST_MM2, Share
from quiltpath.photo.reading import Points
from quiltpath.photo.vision import vision

FLAT_MM = 0.15
"""How far an outline may leave the seen one so that it has fewer points."""

LEAST_HOLE_MM2 = 25.0


@dataclass(frozen=True)
class Piece:
    """``outline`` (n, 2) and ``holes`` (m, 2) of a printed piece, mm from the block's middle; the
    last point is not the first one again."""

    outline: Points
    holes: tuple[Points, ...] = ()

    @property
    def polygon(self) -> Polygon:
        """As one polygon."""
        return Polygon(self.outline, self.holes)


def pieces(share: Share, px_per_mm: float) -> tuple[Piece, ...]:
    """The pieces where ``share`` (rows, columns) is above 1/2, mm from its middle, y upwards.

    Borders of pixels (Suzuki & Abe 1985) moved to the level along the slope (Newton's method).
    """
    cv = vision()
    rings, tree = cv.findContours(
        (share > 0.5).astype(np.uint8), cv.RETR_CCOMP, cv.CHAIN_APPROX_NONE
    )
    if tree is None:
        return ()
    slope = np.stack([cv.Sobel(share, cv.CV_32F, *way, ksize=3) / 8 for way in ((1, 0), (0, 1))])
    at = [
        _in_mm(_moved_to_level(r[:, 0].astype(float), share, slope), share, px_per_mm)
        for r in rings
    ]
    found: list[Piece] = []
    for i, (_, _, child, parent) in enumerate(tree[0]):
        if parent < 0 and len(at[i]) >= 8:
            found += _sound(at[i], [at[j] for j in _chain(tree[0], child)])
    return tuple(sorted(found, key=lambda piece: -piece.polygon.area))


def _chain(tree: NDArray[np.int32], first: int) -> list[int]:
    """A child and those after it on its level."""
    out = []
    while first >= 0:
        out.append(int(first))
        first = int(tree[first][0])
    return out


def _moved_to_level(ring: Points, share: Share, slope: NDArray[np.float32]) -> Points:
    start = ring.copy()
    for _ in range(3):
        value, across, down = (_look_up(field, ring) for field in (share, slope[0], slope[1]))
        steep = np.maximum(across**2 + down**2, 1e-3)
        step = ((0.5 - value) / steep)[:, None] * np.column_stack([across, down])
        length = np.hypot(*step.T)[:, None]
        ring = ring + step * np.minimum(1, 0.7 / np.maximum(length, 1e-9))
        away = ring - start
        far = np.hypot(*away.T)[:, None]
        ring = start + away * np.minimum(1, 1.2 / np.maximum(far, 1e-9))
    return ring


def _look_up(field: NDArray[np.float32], at: Points) -> Points:
    """Values between pixels, bilinear."""
    found = vision().remap(
        field, at[:, 0].astype(np.float32), at[:, 1].astype(np.float32), vision().INTER_LINEAR,
        borderMode=vision().BORDER_REPLICATE,
    )  # fmt: skip
    return found.ravel().astype(np.float64)


def _in_mm(ring: Points, share: Share, px_per_mm: float) -> Points:
    high, wide = share.shape
    out: Points = (ring - ((wide - 1) / 2, (high - 1) / 2)) * (1, -1) / px_per_mm
    return out


def _sound(outline: Points, holes: list[Points]) -> tuple[Piece, ...]:
    """Sound pieces of a motif's size; what a noisy border twists is untwisted."""
    rings = [ring for ring in holes if len(ring) >= 8 and Polygon(ring).area >= LEAST_HOLE_MM2]
    whole = shapely.make_valid(Polygon(outline))
    for ring in rings:
        whole = whole.difference(shapely.make_valid(Polygon(ring)))
    return pieces_of(whole)


def pieces_of(shape: BaseGeometry, least_mm2: float = LEAST_MM2) -> tuple[Piece, ...]:
    """The pieces of a shape, largest first, with as few points as tell it; crumbs are left out."""
    whole = shapely.simplify(shapely.make_valid(shape), FLAT_MM)
    parts = [part for part in shapely.get_parts(whole) if isinstance(part, Polygon)]
    sound = [part for part in parts if part.is_valid and part.area >= least_mm2]
    return tuple(_piece(part) for part in sorted(sound, key=lambda part: -part.area))


def _piece(part: Polygon) -> Piece:
    part = shapely.orient_polygons(part)
    holes = tuple(np.array(hole.coords)[:-1] for hole in part.interiors)
    return Piece(np.array(part.exterior.coords)[:-1], holes)


def unite_pieces(parts: tuple[Piece, ...]) -> MultiPolygon:
    """All pieces as one shape."""
    return MultiPolygon([part.polygon for part in parts])
