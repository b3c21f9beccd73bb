"""Cloth cut on paper: what the layouts give, and whether as much was bought."""

from __future__ import annotations

from collections import Counter

import numpy as np
import shapely

from quiltpath.materials.cutting_plan import CuttingPlan
from quiltpath.materials.strip_packing import ClothLayout

SLIP_MM = 1e-3


def cut_out(plan: CuttingPlan) -> Counter[str]:
    """Pieces by name, of all cloths, once it is seen that each lies on its cloth by itself."""
    found: Counter[str] = Counter()
    for layout in plan.layouts:
        _lies_on_its_cloth(layout)
        for placed in layout.placed:
            holds = placed.piece.holds
            name = placed.piece.name.split(" x ", 1)[-1] if holds > 1 else placed.piece.name
            found[name] += holds
    return found


def _lies_on_its_cloth(layout: ClothLayout) -> None:
    boxes = np.array([placed.box for placed in layout.placed])
    assert boxes[:, :2].min() >= -SLIP_MM
    assert boxes[:, 2].max() <= layout.cloth.usable_mm + SLIP_MM
    assert boxes[:, 3].max() <= layout.length_mm + SLIP_MM
    shapes = shapely.box(*boxes.T)
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    pairs = one < other
    over = shapely.area(shapely.intersection(shapes[one[pairs]], shapes[other[pairs]]))
    assert over.max(initial=0.0) < 1.0, f"pieces lie on each other on {layout.name}"
    if not layout.cloth.turns:
        return
    assert all(p.piece.on_length_mm > 0 for p in layout.placed)


def nothing_is_bought_short(plan: CuttingPlan, allowance_mm: float) -> None:
    """Yards or metres as sold hold each layout and the allowance; what is at hand holds its own."""
    items = {item.name: item for item in plan.shopping if item.unit == "mm of cloth"}
    for layout in plan.layouts:
        item, at_hand = items[layout.cloth.name], layout.cloth.length_mm
        if at_hand is not None:
            assert layout.length_mm <= at_hand + SLIP_MM
            continue
        for bought_mm in (item.buy_yd * 914.4, item.buy_m * 1000):
            assert bought_mm >= layout.length_mm + allowance_mm - SLIP_MM
