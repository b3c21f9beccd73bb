"""Border strips that are longer than the cloth is wide: cut across it, joined, cut to length.

All that are of one width are joined end to end first. A diagonal join that lies in a corner is
lumpy, as in a binding, so a strip is cut from the joined one where its joins keep clear of both its
ends; what lies between two strips is waste.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quiltpath.materials.binding import joined_length, strips_needed
from quiltpath.materials.pieced_top import MITRE_SPARE_MM, Corners, CutCount
from quiltpath.materials.shopping import Cloth

_TOUCH = 1e-6


@dataclass(frozen=True)
class BorderJoins:
    """Border strips that are cut across the cloth and joined end to end, then cut to length.

    ``strips`` of ``strip_mm`` by ``width_mm`` give ``joined_mm``, of which ``pieces`` are cut.
    ``starts_mm``    where each begins on the joined strip
    ``keeps_clear``  true where no join lies in a corner
    """

    strips: int
    strip_mm: float
    width_mm: float
    joined_mm: float
    pieces: int
    starts_mm: tuple[float, ...] = ()
    keeps_clear: bool = True


def border_joins(
    cut: CutCount, cloth: Cloth, copies: int, corners: Corners = "butted"
) -> BorderJoins | None:
    """Strips across the cloth for a border's sides, joined; None where each fits without a join.

    Each diagonal join costs one width. One strip more is cut where that keeps joins out of corners.
    """
    if cut.long_mm <= cloth.usable_mm or cloth.usable_mm < 3 * cut.short_mm:
        return None
    pieces, width, strip = cut.count * copies, cut.short_mm, cloth.usable_mm
    needed = cut.long_mm * pieces
    least = strips_needed(needed, strip, width)
    for number in (least, least + 1):
        starts = _starts(number, strip, width, cut.long_mm, pieces, _clear_mm(width, corners))
        if starts:
            break
    else:
        number = least
    joined = joined_length([strip] * number, width)
    even = tuple(i * cut.long_mm for i in range(pieces))
    return BorderJoins(
        number, strip, width, joined, pieces, starts or even, keeps_clear=bool(starts)
    )


def _clear_mm(width_mm: float, corners: Corners) -> float:
    """From a piece's end to the middle of a join, which spans one width of the strip.

    A butted strip's end lies in a seam; a mitred one's stands over and is cut across its width.
    """
    return width_mm if corners == "butted" else MITRE_SPARE_MM / 2 + 2 * width_mm


def _starts(
    strips: int, strip_mm: float, width_mm: float, long_mm: float, pieces: int, clear_mm: float
) -> tuple[float, ...]:
    """Where each piece begins, as early as it can; nothing where the joined strip ends before."""
    step = strip_mm - width_mm
    joins = [strip_mm - width_mm / 2 + step * i for i in range(strips - 1)]
    joined = joined_length([strip_mm] * strips, width_mm)
    starts, at = [], 0.0
    for _ in range(pieces):
        at = _clear_of(at, joins, long_mm, clear_mm)
        starts.append(at)
        at += long_mm
    return tuple(starts) if at <= joined + _TOUCH else ()


def _clear_of(at: float, joins: Sequence[float], long_mm: float, clear_mm: float) -> float:
    """The first place from ``at`` on where neither end of a piece comes too near to a join."""
    near = sorted((end - clear_mm, end + clear_mm) for j in joins for end in (j, j - long_mm))
    for low, high in near:
        if low + _TOUCH < at < high - _TOUCH:
            at = high
    return at
