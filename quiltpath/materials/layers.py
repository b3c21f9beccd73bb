"""Backing and wadding: how large they are, and which pieces make them.

Backing is 4 in and wadding 3 in larger than the top all round, wadding is butted and never
overlapped, and joins are kept away from each other (all common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from quiltpath.language import message
from quiltpath.materials.piecing import (
    KEEP_CLEAR_MM,
    SEAM_WORTH_MM,
    LayerSize,
    LineToAvoid,
    Piecing,
    piecings,
    rank_piecing,
)
from quiltpath.materials.shopping import Cloth
from quiltpath.materials.strip_packing import lay_out
from quiltpath.project.materials_sections import BackingSection
from quiltpath.project.sewing_sections import WaddingSection

MOST_LAID = 4
"""Of more copies so many are laid out, and the rest is as much again."""


@dataclass(frozen=True)
class LayerSetting:
    """How much larger than the top a layer is at its sides and ends, its cloth, its seams, in mm.

    Longarm takers want more at the ends. A seam must save ``seam_worth_mm`` of cloth. ``rollers``
    is the axis along which a frame's rollers lie, on which it is wound; None where it is not.
    """

    extra_side_mm: float
    extra_end_mm: float
    cloth: Cloth
    seam_mm: float = 0.0
    clear_mm: float = KEEP_CLEAR_MM
    seam_worth_mm: float = SEAM_WORTH_MM
    rollers: int | None = None


def layer_setting(
    section: BackingSection | WaddingSection, cloth: Cloth, rollers: int | None = None
) -> LayerSetting:
    """A layer of that cloth; wadding is butted, so that its seams take nothing.

    Of backing on a frame's ``rollers`` no seam lies across them (common practice), unless the file
    says itself what a seam is worth.
    """
    ends = section.extra if section.extra_ends is None else section.extra_ends
    setting = LayerSetting(section.extra, ends, cloth, 0.0, section.clear, section.seam_worth)
    if not isinstance(section, BackingSection):
        return setting
    wound = None if "seam_worth" in section.model_fields_set else rollers
    return replace(setting, seam_mm=section.seam, rollers=wound)


@dataclass(frozen=True)
class TopPlace:
    """What the layers have to know about the top, in mm.

    ``cut_length_mm``, ``cut_width_mm``  the top before quilting
    ``panel_joins_mm``  x of the top's own join
    ``fold_lines_mm``   x where the runner bends over the table's ends
    """

    cut_length_mm: float
    cut_width_mm: float
    panel_joins_mm: tuple[float, ...] = ()
    fold_lines_mm: tuple[float, ...] = ()


@dataclass(frozen=True)
class Layers:
    """The chosen piecing of backing and wadding and every other way, best first."""

    backing: Piecing
    wadding: Piecing
    other_backings: tuple[Piecing, ...]
    other_waddings: tuple[Piecing, ...]


def layer_size(top: TopPlace, setting: LayerSetting) -> LayerSize:
    """The rectangle of a layer round the top."""
    end, side = setting.extra_end_mm, setting.extra_side_mm
    return LayerSize(-end, -side, top.cut_length_mm + end, top.cut_width_mm + side)


def plan_layers(
    top: TopPlace, backing: LayerSetting, wadding: LayerSetting, copies: int = 1
) -> Layers:
    """Least wadding first, then the backing whose seams keep clear of the wadding's joins too."""
    waddings = _preferred(top, wadding, _top_lines(top, wadding.clear_mm), copies)
    joins = _join_lines(waddings[0], backing.clear_mm)
    backings = _preferred(top, backing, [*_top_lines(top, backing.clear_mm), *joins], copies)
    return Layers(backings[0], waddings[0], backings[1:], waddings[1:])


def _preferred(
    top: TopPlace, setting: LayerSetting, avoid: Sequence[LineToAvoid], copies: int
) -> tuple[Piecing, ...]:
    """Every way, the best first. Where several are cut together it is the cloth for all of them
    that counts: two unjoined pieces may lie side by side where one leaves half the width over."""
    size, worth = layer_size(top, setting), setting.seam_worth_mm
    found = piecings(size, setting.cloth, setting.seam_mm, avoid, worth, setting.rollers)
    if copies == 1:
        return found
    few = min(copies, MOST_LAID)

    def of_all(piecing: Piecing) -> tuple[float, ...]:
        laid = lay_out(piecing.pieces * few, setting.cloth).length_mm * copies / few
        return rank_piecing(piecing, avoid, worth, laid, copies, setting.rollers)

    return tuple(sorted(found, key=of_all))


def _top_lines(top: TopPlace, clear_mm: float) -> list[LineToAvoid]:
    """The panel join above all; the fold lines only where they can be avoided."""
    joins = [
        LineToAvoid(message("the panel join"), x, clear_mm, rank=1) for x in top.panel_joins_mm
    ]
    ends = (
        message("the fold at the table's left end"),
        message("the fold at the table's right end"),
    )
    folds = [
        LineToAvoid(name, x, clear_mm, rank=3)
        for name, x in zip(ends, top.fold_lines_mm, strict=False)
    ]
    return joins + folds


def _join_lines(wadding: Piecing, clear_mm: float) -> list[LineToAvoid]:
    return [
        LineToAvoid(f"{message('wadding join')} {number}", at, clear_mm, rank=2, axis=wadding.axis)
        for number, at in enumerate(wadding.seams_mm, 1)
    ]
