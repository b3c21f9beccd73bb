"""What to buy and cut: layers, basting, binding, layouts, shopping."""

from quiltpath.materials.basting import BastingSetting
from quiltpath.materials.binding import BindingSetting
from quiltpath.materials.cloth import Cloth
from quiltpath.materials.layers import LayerSetting
from quiltpath.materials.plan import CuttingPlan, cutting_plan
from quiltpath.materials.plan_findings import plan_findings
from quiltpath.materials.plan_report import as_report
from quiltpath.materials.settings import DrawUpSetting, MaterialsSetting, TopSetting
from quiltpath.materials.shopping import ThreadNeed

__all__ = [
    "BastingSetting",
    "BindingSetting",
    "Cloth",
    "CuttingPlan",
    "DrawUpSetting",
    "LayerSetting",
    "MaterialsSetting",
    "ThreadNeed",
    "TopSetting",
    "as_report",
    "cutting_plan",
    "plan_findings",
]
