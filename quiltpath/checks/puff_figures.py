"""Figures of the quilted look: how high it puffs and how stiff it is, and what they rest on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quiltpath.checks.membrane import (
    NEAREST,
    Geometries,
    Grid,
    Links,
    links,
    segments_near,
    segments_of,
)
from quiltpath.checks.puff import HeightField, Loft

STIFFNESS = (
    (20.0, "soft: drapes almost like unquilted cloth"),
    (45.0, "supple: drapes, and lies flat by itself"),
    (80.0, "firm: keeps its shape, folds at the lines"),
    (150.0, "stiff: stands up like a place mat"),
    (np.inf, "board-like: hardly bends"),
)
"""Up to so many metres of line on a square metre. Common practice: lines 4 in to 2 in apart drape,
1/2 in apart and closer stand; the steps between are this package's own."""

SMALLEST_POCKET_MM2 = 25.0
"""Smaller pieces of cloth between lines are no puffs to the eye."""


@dataclass(frozen=True)
class Puff:
    """Height of the cloth between its lines, in mm, by area.

    ``middle_mm``  half of the cloth lies in puffs that stand at least so high
    ``low_mm``, ``high_mm``  a tenth of it lies in lower, a tenth in higher ones
    ``pockets``    pieces of cloth parted by the lines
    ``how``, ``trust``  how it was obtained and how far to trust it, in a sentence each
    """

    middle_mm: float
    low_mm: float
    high_mm: float
    pockets: int
    how: str
    trust: str


@dataclass(frozen=True)
class Stiffness:
    """How the quilted cloth handles: metres of line on a square metre, in words."""

    m_per_m2: float
    words: str
    how: str
    trust: str


def puff(
    field: HeightField,
    lines: Geometries,
    outline: BaseGeometry,
    loft: Loft,
    whole: Links | None = None,
) -> Puff:
    """How high the cloth stands, from its height field and the lines that part it.

    ``whole`` are the links that the lines leave, where they are known.
    """
    pocket = pockets(field, whole or links_of(field, lines, outline))
    peak = np.zeros(pocket.max() + 1, dtype=field.height_mm.dtype)
    loose = pocket >= 0
    np.maximum.at(peak, pocket[loose], field.height_mm[loose])
    area = np.bincount(pocket[loose], minlength=len(peak)) * field.cell_mm**2
    shown = area >= SMALLEST_POCKET_MM2
    low, middle, high = _by_area(peak[shown], area[shown], (0.1, 0.5, 0.9))
    how = (
        "reckoned as cloth that every line holds down and the wadding pushes up, by"
        f" {loft.loft_mm:.1f} mm at most ({loft.source})"
    )
    return Puff(middle, low, high, int(shown.sum()), how, _puff_trust(loft))


def _puff_trust(loft: Loft) -> str:
    if loft.source.startswith("measured"):
        return "good near the spacing that was measured; further off it follows the usual curve"
    return "good for comparing spacings; the height itself may be half as much again, or half"


def links_of(field: HeightField, lines: Geometries, outline: BaseGeometry) -> Links:
    """The links between the field's nodes that lines and edge leave."""
    grid = Grid(field.origin_mm, field.cell_mm, field.height_mm.shape)
    held = np.concatenate([segments_of([outline.boundary]), segments_near(lines, grid)])
    return links(held, field.inside, grid)


def pockets(field: HeightField, whole: Links) -> NDArray[np.intp]:
    """(rows, columns) number of the piece of cloth that each node lies in, from 0; -1 for nodes
    outside and for those that lie on a line."""
    from scipy.ndimage import label

    rows, columns = field.height_mm.shape
    loose = field.inside & (whole.along + whole.across < 0.5 / NEAREST)
    # nodes with their links between them, so that a library's labelling finds what hangs together
    woven = np.zeros((2 * rows - 1, 2 * columns - 1), dtype=np.bool_)
    woven[::2, ::2] = loose
    woven[::2, 1::2] = (whole.east[:, :-1] > 0) & loose[:, :-1] & loose[:, 1:]
    woven[1::2, ::2] = (whole.north[:-1] > 0) & loose[:-1] & loose[1:]
    return (label(woven)[0][::2, ::2] - 1).astype(np.intp)


def _by_area(
    value: NDArray[np.float64], area: NDArray[np.floating[Any]], shares: tuple[float, ...]
) -> list[float]:
    """Values below which the given shares of the area lie; 0 where there is none."""
    if not len(value):
        return [0.0] * len(shares)
    order = np.argsort(value, kind="stable")
    reached = np.cumsum(area[order]) / area.sum()
    return [float(value[order][np.searchsorted(reached, share)]) for share in shares]


def stiffness(lines: Geometries, outline: BaseGeometry) -> Stiffness:
    """How the quilting makes the cloth handle, from the length of line that lies on its area."""
    within = shapely.intersection(np.asarray(lines, dtype=object), outline)
    metres = float(shapely.length(within).sum()) / 1000
    density = metres / (outline.area / 1e6)
    words = next(words for most, words in STIFFNESS if density <= most)
    return Stiffness(
        density,
        words,
        f"{density:.0f} m of line on a square metre, put in words by common practice",
        "a rule of thumb: thread, wadding and washing change the hand as much as a step here",
    )
