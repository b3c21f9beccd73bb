"""Everything that a cutting plan rests on, as values; the defaults are common practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from quiltpath.materials.basting import BastingSetting
from quiltpath.materials.binding import BindingSetting
from quiltpath.materials.cloth import Cloth
from quiltpath.materials.layers import LayerSetting
from quiltpath.materials.swatches import Learned
from quiltpath.runner.fit import Table
from quiltpath.runner.fit_panels import Panel
from quiltpath.runner.runner import RegionKind
from quiltpath.runner.skew import Measured
from quiltpath.units import MM_PER_INCH

BACKING = LayerSetting(4 * MM_PER_INCH, 4 * MM_PER_INCH, Cloth("backing"), MM_PER_INCH / 2)
WADDING = LayerSetting(
    3 * MM_PER_INCH, 3 * MM_PER_INCH, Cloth("wadding", 90 * MM_PER_INCH, grain=False)
)


@dataclass(frozen=True)
class TopSetting:
    """How the top comes to be: it is at hand, or it is pieced from the cloths of its parts."""

    made: Literal["at hand", "pieced"] = "at hand"
    seam_mm: float = MM_PER_INCH / 4
    cloths: Mapping[RegionKind, Cloth] = field(default_factory=dict)


@dataclass(frozen=True)
class DrawUpSetting:
    """What quilting and washing take; None lets the density of the quilting say.

    ``learned`` is what the user's own swatches say, which comes before the usual figures.
    ``lengths_mm`` and ``widths_mm`` were measured after quilting.
    """

    quilting_share: float | None = None
    washing_share: float = 0.0
    lengths_mm: tuple[float, ...] = ()
    widths_mm: tuple[float, ...] = ()
    learned: Learned | None = None


@dataclass(frozen=True)
class MaterialsSetting:
    """Everything that the plan rests on; the defaults are common practice."""

    backing: LayerSetting = BACKING
    wadding: LayerSetting = WADDING
    basting: BastingSetting = field(default_factory=BastingSetting)
    binding: BindingSetting = field(default_factory=BindingSetting)
    binding_cloths: tuple[Cloth, ...] = (Cloth("binding"),)
    draw_up: DrawUpSetting = field(default_factory=DrawUpSetting)
    top: TopSetting = field(default_factory=TopSetting)
    table: Table | None = None
    panels: tuple[Panel, ...] = ()
    sashing_mm: float = 0.0
    ruler_step_mm: float = 1.0
    print_measured: Measured | None = None
    stock: Mapping[str, float] = field(default_factory=dict)
    needle: str = "quilting needle, size 90/14"
    foot: str = "walking foot"
