"""What to buy and cut: layers, basting, binding, layouts, shopping."""

from __future__ import annotations

from quiltpath.materials.cutting_plan import CuttingPlan, cutting_plan
from quiltpath.materials.layers import LayerSetting
from quiltpath.materials.plan_findings import plan_findings
from quiltpath.materials.settings import DrawUpSetting, MaterialsSetting, TopSetting
from quiltpath.materials.shopping import Cloth, ThreadNeed

__all__ = [
    "Cloth",
    "CuttingPlan",
    "DrawUpSetting",
    "LayerSetting",
    "MaterialsSetting",
    "ThreadNeed",
    "TopSetting",
    "cutting_plan",
    "plan_findings",
]
