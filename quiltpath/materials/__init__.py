"""What to buy and cut: layers, basting, binding, layouts, shopping."""

from __future__ import annotations

from quiltpath.materials.cutting_plan import CuttingPlan, cutting_plan
from quiltpath.materials.draw_up import DrawUpSetting
from quiltpath.materials.layers import LayerSetting
from quiltpath.materials.plan_findings import plan_findings
from quiltpath.materials.shopping import Cloth

__all__ = [
    "Cloth",
    "CuttingPlan",
    "DrawUpSetting",
    "LayerSetting",
    "cutting_plan",
    "plan_findings",
]
