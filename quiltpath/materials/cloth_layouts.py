"""Everything that is cut, cloth by cloth, for all copies: one layout for each length of cloth.

Border strips are cut along the cloth in one piece, or across it and joined on the diagonal, as with
binding: whichever takes clearly less cloth together with all that shares the cloth.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from quiltpath.geometry.runner_shapes import RegionKind
from quiltpath.materials.binding_plan import BindingPlan
from quiltpath.materials.border_strips import BorderJoins, border_joins
from quiltpath.materials.layers import Layers
from quiltpath.materials.pieced_top import Corners, CutCount
from quiltpath.materials.piecing import SEAM_WORTH_MM, CutPiece, Piecing
from quiltpath.materials.shopping import Cloth, ShoppingItem, cloths_for
from quiltpath.materials.strip_packing import ClothLayout, lay_out, lay_out_on
from quiltpath.project import Project


@dataclass(frozen=True)
class ClothLayouts:
    """What is cut from which cloth, laid out; ``border_joins`` by the letter of a border's cut."""

    layouts: tuple[ClothLayout, ...]
    border_joins: Mapping[str, BorderJoins]


Pieces = dict[str, list[CutPiece]]
"""Pieces to cut, by the name of their cloth."""


def lay_out_all(
    project: Project, layers: Layers, binding: BindingPlan, cuts: Sequence[CutCount]
) -> ClothLayouts:
    """One layout for each cloth; parts that share a cloth by name share its layout."""
    cloths = {cloth.name: cloth for cloth in reversed(cloths_for(project.cloth, "binding"))}
    copies = project.materials.copies
    pieces: Pieces = {}
    strips = [cut for cut in cuts if cut.kind is RegionKind.BORDER]
    for cut in cuts:
        cloth = cloths_for(project.cloth, cut.kind.value)[0]
        cloths[cloth.name] = cloth
        if cut not in strips:
            pieces.setdefault(cloth.name, []).extend([*cut.pieces()] * copies)
    for name, layer in (("backing", layers.backing), ("wadding", layers.wadding)):
        cloths[layer.cloth.name] = layer.cloth
        pieces.setdefault(layer.cloth.name, []).extend(_named(name, layer) * copies)
    for cloth_name, piece in binding.pieces():
        pieces.setdefault(cloth_name, []).extend([piece] * copies)
    joins: dict[str, BorderJoins] = {}
    if strips:
        border = cloths_for(project.cloth, RegionKind.BORDER.value)[0]
        there, corners = pieces.get(border.name, []), project.top.border_corners
        own, joins = _border_pieces(strips, border, there, copies, corners)
        pieces.setdefault(border.name, []).extend(own)
    laid = [layout for name, parts in pieces.items() for layout in lay_out_on(parts, cloths[name])]
    return ClothLayouts(tuple(laid), joins)


def _named(name: str, layer: Piecing) -> list[CutPiece]:
    """The pieces of a layer under its own name."""
    return [
        CutPiece(
            name if layer.widths == 1 else f"{name} {number}",
            piece.on_length_mm,
            piece.on_width_mm,
        )
        for number, piece in enumerate(layer.pieces, 1)
    ]


def _border_pieces(
    strips: Sequence[CutCount],
    cloth: Cloth,
    others: Sequence[CutPiece],
    copies: int,
    corners: Corners,
) -> tuple[list[CutPiece], dict[str, BorderJoins]]:
    """Whole strips along the cloth, or joined ones across it where that saves a seam's worth."""
    whole = [piece for cut in strips for piece in [*cut.pieces()] * copies]
    found = ((cut.letter, border_joins(cut, cloth, copies, corners)) for cut in strips)
    joins = {letter: joined for letter, joined in found if joined is not None}
    joined = [piece for cut in strips for piece in _across(cut, joins.get(cut.letter), copies)]
    if not joins:
        return whole, {}
    lengths = [lay_out([*others, *own], cloth).length_mm for own in (whole, joined)]
    if lengths[0] - lengths[1] < SEAM_WORTH_MM:
        return whole, {}
    return joined, joins


def _across(cut: CutCount, joins: BorderJoins | None, copies: int) -> list[CutPiece]:
    name = f"{cut.kind.value} {cut.letter}".strip()
    if joins is not None:
        return [CutPiece(name, joins.width_mm, joins.strip_mm)] * joins.strips
    return [CutPiece(name, cut.short_mm, cut.long_mm)] * (cut.count * copies)


def cloth_items(layouts: Sequence[ClothLayout], allowance_mm: float) -> list[ShoppingItem]:
    """A line for each cloth: what is laid out and the allowance, less what is there.

    What is at hand and holds all needs nothing more; where it does not, it is used as far as it
    goes and the rest is bought as a length of its own.
    """
    items: dict[str, ShoppingItem] = {}
    for layout in layouts:
        cloth, need, have, more = layout.cloth, layout.length_mm, layout.cloth.length_mm, 0.0
        if layout.share == "at hand":
            continue
        if have is None:
            have, more = _had(layouts, cloth.name), allowance_mm
            need += have + more
        items[cloth.name] = ShoppingItem(
            cloth.name, "mm of cloth", need, have, cloth.usable_mm, allowance_mm=more
        )
    return list(items.values())


def _had(layouts: Sequence[ClothLayout], name: str) -> float:
    """Length at hand of a cloth that has to be bought as well."""
    lengths = [
        layout.cloth.length_mm or 0.0
        for layout in layouts
        if layout.share == "at hand" and layout.cloth.name == name
    ]
    return sum(lengths)
