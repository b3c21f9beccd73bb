"""Binding: strip width, length in all, strips from the cloth at hand, continuous bias.

Single fold: strip width = 4 x the seam allowance, turned under less the bulk of the wadding.
Double fold: 2 1/4 to 2 1/2 in strips with a 1/4 in seam. Strips are joined on the diagonal, each
join costs one strip width; the end overlaps the start by exactly one strip width (common
practice). The rules that are published differ in their allowance for mitres and handling;
``allowance`` and ``join_loss`` of the section reproduce each.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quiltpath.materials.edge_corners import Edge
from quiltpath.materials.shopping import Cloth
from quiltpath.project.materials_sections import BindingSection
from quiltpath.units import MM_PER_INCH

_SLACK = 1e-6

MOST_STRIPS = 400
"""More strips than anybody joins: the cloth is meant for something else."""

TOP_STITCH_MM = MM_PER_INCH / 16
"""From the folded edge of a binding that is sewn to the back first (common practice)."""


TUBE_SEAM_MM = MM_PER_INCH / 4
"""Seam allowance of the tube from which bias is cut, 1/4 in (common practice)."""


@dataclass(frozen=True)
class StripLength:
    """Length of joined strip, in mm, and what it is made of."""

    perimeter_mm: float
    overlap_mm: float
    mitres_mm: float
    handling_mm: float

    @property
    def total_mm(self) -> float:
        """Sum of the parts."""
        return self.perimeter_mm + self.overlap_mm + self.mitres_mm + self.handling_mm


def strip_length_needed(edge_mm: float, corners: int, setting: BindingSection) -> StripLength:
    """Perimeter, one strip width of overlap, the folds of the mitres, and ends to handle.

    The ends to handle are as long as the stretch left open, so that either can be laid over the
    other. An ``allowance`` of the section replaces all three.
    """
    if setting.allowance is not None:
        return StripLength(edge_mm, 0.0, 0.0, setting.allowance)
    mitres = corners * setting.mitre
    return StripLength(edge_mm, setting.width_mm, mitres, setting.open)


def laid_length(edge_mm: float, corners: int, setting: BindingSection) -> float:
    """Joined strip that stays on the runner: perimeter, closing overlap and mitres."""
    return edge_mm + setting.width_mm + corners * setting.mitre


def strips_needed(total_mm: float, strip_length_mm: float, join_mm: float) -> int:
    """Fewest strips of one length whose joined length reaches ``total_mm``.

    n strips have n - 1 joins; the closing join is in the overlap. Raises ``ValueError`` where a
    strip is no longer than its join.
    """
    if strip_length_mm <= join_mm:
        raise ValueError("a strip must be longer than the join costs")
    return max(1, math.ceil((total_mm - join_mm) / (strip_length_mm - join_mm) - _SLACK))


def joined_length(strips_mm: Sequence[float], join_mm: float) -> float:
    """Length of strips once they are joined end to end."""
    return sum(strips_mm) - join_mm * max(0, len(strips_mm) - 1)


@dataclass(frozen=True)
class Strips:
    """Strips to cut: their lengths in mm and which cloth each comes from."""

    lengths_mm: tuple[float, ...]
    cloths: tuple[str, ...]
    cloth_mm: tuple[tuple[str, float], ...]
    enough: bool = True


def cut_strips(total_mm: float, cloths: Sequence[Cloth], width_mm: float, join_mm: float) -> Strips:
    """Strips from the cloths at hand, cut from selvedge to selvedge, longest first.

    A cloth without a length gives as many as are needed, one that is hardly wider than a strip
    none; of any no more are counted than show that they are too many. ``enough`` is false where
    all cloths together fall short.
    """
    lengths: list[float] = []
    names: list[str] = []
    for cloth in sorted(cloths, key=lambda c: (c.length_mm is None, -c.usable_mm)):
        for _ in range(_strips_in(cloth, width_mm, join_mm)):
            if joined_length(lengths, join_mm) >= total_mm - _SLACK:
                break
            lengths.append(cloth.usable_mm)
            names.append(cloth.name)
    used = tuple((name, names.count(name) * width_mm) for name in dict.fromkeys(names))
    enough = joined_length(lengths, join_mm) >= total_mm - _SLACK
    return Strips(tuple(lengths), tuple(names), used, enough)


def _strips_in(cloth: Cloth, width_mm: float, join_mm: float) -> int:
    if cloth.usable_mm - join_mm < 2 * width_mm:
        return 0
    if cloth.length_mm is None:
        return MOST_STRIPS + 1
    return min(int(cloth.length_mm / width_mm + _SLACK), MOST_STRIPS + 1)


def square_for_bias(total_mm: float, width_mm: float) -> float:
    """Side of the square to cut for so much bias strip, up to the next inch.

    The root of the strip's area, which published rules give, and what both seams of the tube take.
    """
    both = 2 * TUBE_SEAM_MM
    side = both + math.sqrt(both**2 + total_mm * width_mm)
    return math.ceil(side / MM_PER_INCH - _SLACK) * MM_PER_INCH


def rectangle_for_bias(total_mm: float, width_mm: float, across_mm: float) -> float:
    """Length of a rectangle so wide that gives so much bias strip, up to the next inch."""
    both = 2 * TUBE_SEAM_MM
    if across_mm <= both:
        return math.inf
    along = (total_mm * width_mm + both * across_mm) / (across_mm - both)
    return math.ceil(along / MM_PER_INCH - _SLACK) * MM_PER_INCH


def bias_length(cloth_mm: tuple[float, float], width_mm: float) -> float:
    """Bias strip from a tube of that cloth: its area, less the two seams along its edges."""
    along, across = cloth_mm
    return (along * across - 2 * TUBE_SEAM_MM * (along + across)) / width_mm


def bias_pieces(total_mm: float, side_mm: float, join_mm: float) -> tuple[float, ...]:
    """Stretches between the joins of a continuous bias strip: a diagonal of the square each.

    The square is cut once across and sewn into a tube, so that the strip meets a seam each time
    round; the last stretch is what is left of ``total_mm``.
    """
    each = side_mm * math.sqrt(2)
    whole = strips_needed(total_mm, each, join_mm) - 1
    return (*(each,) * whole, total_mm - whole * (each - join_mm))


def edge_needs_bias(edge: Edge, setting: BindingSection) -> bool:
    """True where the edge curves more tightly than a strip that is cut straight can follow."""
    tight = edge.bends.tightest_mm < setting.bias_below
    return edge.is_curved and tight and setting.cut == "straight"
