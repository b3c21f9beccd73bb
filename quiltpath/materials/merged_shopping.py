"""One shopping list for several plans: pieces of one cloth share a layout, the rest adds up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from quiltpath.materials.cloth_layouts import cloth_items
from quiltpath.materials.cutting_plan import CuttingPlan
from quiltpath.materials.piecing import CutPiece
from quiltpath.materials.shopping import Cloth, ShoppingItem
from quiltpath.materials.strip_packing import ClothLayout, lay_out_on


@dataclass(frozen=True)
class MergedShopping:
    """What several plans take together; ``apart_mm`` is what each cloth takes plan by plan."""

    layouts: tuple[ClothLayout, ...]
    items: tuple[ShoppingItem, ...]
    apart_mm: tuple[tuple[str, float], ...]

    @property
    def saved_mm(self) -> tuple[tuple[str, float], ...]:
        """How much less of each cloth a common layout takes."""
        together: dict[str, float] = {}
        for layout in self.layouts:
            name = layout.cloth.name
            together[name] = together.get(name, 0.0) + layout.length_mm
        return tuple((name, mm - together.get(name, 0.0)) for name, mm in self.apart_mm)


def merged_shopping(
    plans: Sequence[tuple[str, CuttingPlan]], allowance_mm: float
) -> MergedShopping:
    """The plans (whose, plan) as one list. Raises :class:`quiltpath.errors.InputError`.

    Cloths of one name, width and direction are one; what is at hand of it is there once. So is
    what the stock holds of anything else.
    """
    cloths: dict[str, Cloth] = {}
    pieces: dict[str, list[CutPiece]] = {}
    apart: dict[str, float] = {}
    for whose, plan in plans:
        for layout in plan.layouts:
            name = _key(layout.cloth, cloths)
            had = cloths.setdefault(name, replace(layout.cloth, name=name))
            at_hand = max(layout.cloth.length_mm or 0.0, had.length_mm or 0.0)
            cloths[name] = replace(had, length_mm=at_hand or None)
            apart[name] = apart.get(name, 0.0) + layout.length_mm
            pieces.setdefault(name, []).extend(
                replace(placed.piece, name=f"{whose}: {placed.piece.name}")
                for placed in layout.placed
            )
    laid = [one for name, parts in pieces.items() for one in lay_out_on(parts, cloths[name])]
    others = _add_up([plan for _, plan in plans])
    return MergedShopping(
        tuple(laid), (*cloth_items(laid, allowance_mm), *others), tuple(apart.items())
    )


def _key(cloth: Cloth, cloths: dict[str, Cloth]) -> str:
    """The cloth's name; with its width where one of that name is of another width or direction."""
    had = cloths.get(cloth.name, cloth)
    same = (had.usable_mm, had.turns, had.grain) == (cloth.usable_mm, cloth.turns, cloth.grain)
    if same:
        return cloth.name
    way = "no direction" if cloth.turns else "with its direction"
    return f"{cloth.name} {cloth.usable_mm:.0f} mm wide, {way}"


def _add_up(plans: Sequence[CuttingPlan]) -> list[ShoppingItem]:
    """What is no cloth: the need added up, what is there counted once."""
    found: dict[tuple[str, str, float | None], ShoppingItem] = {}
    for plan in plans:
        for item in plan.shopping:
            if item.unit == "mm of cloth":
                continue
            key = (item.name, item.note, item.pack)
            had = found.get(key, replace(item, need=0.0))
            found[key] = replace(had, need=had.need + item.need, have=max(had.have, item.have))
    return list(found.values())
