"""The printed motifs of the blocks: equal ones are known as equal, their outlines averaged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from quiltpath.photo.colours import lab
from quiltpath.photo.grounds import PrintMask, Share, separate_print
from quiltpath.photo.motif_outlines import Piece, pieces, unite_pieces
from quiltpath.photo.sashing import Block
from quiltpath.photo.straighten import Flat
from quiltpath.photo.vision import vision

ALIKE = 0.85
"""Common share of two motifs' areas from which on they are the same print."""

FARTHEST_MM = 8.0
"""How far the same print may lie off its place in another block."""


@dataclass(frozen=True)
class Place:
    """Where a motif lies: its block, 0 or 180 degrees turned, and off the block's middle."""

    block: str
    turned: int
    aside_mm: tuple[float, float]


@dataclass(frozen=True)
class FoundMotif:
    """One motif and all its places.

    ``pieces``      outlines, mm, from the middle of the first place's block
    ``places``      every place; ``aside_mm`` of the first is (0, 0)
    ``error_mm``    so far the outline may be off, 95 of 100 points
    ``confidence``  0 to 1
    """

    name: str
    pieces: tuple[Piece, ...]
    places: tuple[Place, ...]
    error_mm: float
    confidence: float


@dataclass(frozen=True)
class UnreadBlock:
    """A block in which no motif could be told from its ground, and why."""

    block: str
    why: str


@dataclass(frozen=True)
class _Print:
    block: Block
    seen: PrintMask


def find_motifs(
    flat: Flat, blocks: Sequence[Block]
) -> tuple[tuple[FoundMotif, ...], tuple[UnreadBlock, ...]]:
    """The motifs printed in the blocks, and the blocks where none can be told."""
    prints: list[_Print] = []
    missing: list[UnreadBlock] = []
    size = _common_size(flat, blocks)
    for block in blocks:
        seen = separate_print(lab(_crop(flat, block, size)), flat.px_per_mm)
        if isinstance(seen, str):
            missing.append(UnreadBlock(block.name, seen))
        else:
            prints.append(_Print(block, seen))
    motifs = []
    for number, group in enumerate(_groups(prints, flat.px_per_mm), start=1):
        motif = _average(f"print-{number}", group, flat.px_per_mm)
        if motif.pieces:
            motifs.append(motif)
        else:
            why = "its outline does not hold together"
            missing += [UnreadBlock(one.block.name, why) for one, _, _ in group]
    return tuple(motifs), tuple(missing)


def _common_size(flat: Flat, blocks: Sequence[Block]) -> tuple[int, int]:
    """Pixels along and across that all blocks have, the middle of each in the middle."""
    sides = np.array([block.size_mm for block in blocks]).reshape(-1, 2)
    along, across = np.floor(sides.min(axis=0) * flat.px_per_mm) if len(sides) else (1, 1)
    return int(along), int(across)


def _crop(flat: Flat, block: Block, size: tuple[int, int]) -> np.ndarray:
    """A block's part of the picture, its middle in the middle to a part of a pixel."""
    x, y = block.middle_mm
    s = flat.px_per_mm
    centre = x * s - 0.5, flat.pixels.shape[0] - y * s - 0.5
    return np.asarray(vision().getRectSubPix(flat.pixels, size, centre))


_Fit = tuple[_Print, int, tuple[float, float]]
"""A print, how it is turned and how many pixels it lies off (right, down) against its group's."""


def _groups(prints: Sequence[_Print], px_per_mm: float) -> list[list[_Fit]]:
    """Blocks with the same print together, the first of each as it lies."""
    groups: list[list[_Fit]] = []
    for one in prints:
        fits = [(_fit(one, group[0][0], px_per_mm), group) for group in groups]
        likeness, best = max(((fit[0], i) for i, (fit, _) in enumerate(fits)), default=(0.0, -1))
        if likeness >= ALIKE:
            (_, turned, off), group = fits[best]
            group.append((one, turned, off))
        else:
            groups.append([(one, 0, (0.0, 0.0))])
    return groups


def _fit(one: _Print, other: _Print, px_per_mm: float) -> tuple[float, int, tuple[float, float]]:
    """How alike two prints are at best, how ``one`` is turned against ``other``, how far off."""
    best = (0.0, 0, (0.0, 0.0))
    for turned in (0, 180):
        share = _turn(one.seen.share, turned)
        off = _offset(other.seen.share, share)
        if np.hypot(*off) > FARTHEST_MM * px_per_mm:
            continue
        alike = _alike(other.seen.share, _move_back(share, off))
        # Upright wins where a print looks the same both ways.
        if alike > best[0] + 0.02:
            best = alike, turned, off
    return best


def _turn(share: Share, degrees: int) -> Share:
    return np.ascontiguousarray(share[::-1, ::-1]) if degrees else share


def _offset(still: Share, other: Share) -> tuple[float, float]:
    """How far ``other`` lies to the right of and below ``still``: first the middles of their areas,
    then by phase correlation (Kuglin & Hines 1975), which is good to a tenth of a pixel."""
    rough = np.subtract(_middle(other), _middle(still))
    moved = _move_back(other, (float(rough[0]), float(rough[1])))
    (right, down), answer = vision().phaseCorrelate(still, moved)
    fine = (right, down) if answer > 0.1 and np.hypot(right, down) < 4 else (0.0, 0.0)
    return float(rough[0] + fine[0]), float(rough[1] + fine[1])


def _middle(share: Share) -> tuple[float, float]:
    rows, columns = np.nonzero(share > 0.5)
    return (float(columns.mean()), float(rows.mean())) if len(rows) else (0.0, 0.0)


def _move_back(share: Share, off: tuple[float, float]) -> Share:
    cv = vision()
    matrix = np.array([[1, 0, -off[0]], [0, 1, -off[1]]], dtype=np.float64)
    out: Share = cv.warpAffine(share, matrix, share.shape[::-1], flags=cv.INTER_LINEAR)
    return out


def _alike(one: Share, other: Share) -> float:
    a, b = one > 0.5, other > 0.5
    return float((a & b).sum() / max(1, (a | b).sum()))


def _average(name: str, group: Sequence[_Fit], px_per_mm: float) -> FoundMotif:
    """One outline from all blocks of a group, and where each of them has it."""
    moved = [_move_back(_turn(one.seen.share, turned), off) for one, turned, off in group]
    shape = pieces(np.mean(moved, axis=0, dtype=np.float32), px_per_mm)
    places = tuple(_place(fit, px_per_mm) for fit in group)
    ratio = float(np.median([one.seen.ratio for one, _, _ in group]))
    smoothed = max(one.seen.smoothed_mm for one, _, _ in group)
    spread = _spread(shape, moved, px_per_mm)
    error = float(np.hypot(0.3 / px_per_mm + 0.25 * smoothed, spread / len(group) ** 0.5)) + 0.15
    sure = min(1.0, (ratio - 2.0) / 6.0) * min(1.0, 2.0 / (1.0 + error))
    return FoundMotif(name, shape, places, error, max(0.0, sure))


def _place(fit: _Fit, px_per_mm: float) -> Place:
    one, turned, (right, down) = fit
    sign = -1 if turned else 1
    aside = sign * right / px_per_mm, -sign * down / px_per_mm
    return Place(one.block.name, turned, aside)


def _spread(shape: tuple[Piece, ...], moved: Sequence[Share], px_per_mm: float) -> float:
    """How far the blocks' own outlines lie from the common one, mm, 95 of 100 points."""
    if not shape or len(moved) < 2:
        return 0.0
    common = unite_pieces(shape).boundary
    apart = []
    for share in moved:
        for piece in pieces(share, px_per_mm):
            apart.append(shapely.distance(common, shapely.points(piece.outline)))
    return float(np.quantile(np.concatenate(apart), 0.95)) if apart else 0.0
