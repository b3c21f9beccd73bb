"""Everything that a cutting plan rests on, as values; the defaults are common practice.

Project to cutting plan: the file's words as the settings of floor 3.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from quiltpath.geometry.runner_shapes import RegionKind
from quiltpath.materials.draw_up import Learned, Share, Swatch, learn
from quiltpath.materials.layers import LayerSetting
from quiltpath.materials.shopping import Cloth
from quiltpath.project import Project
from quiltpath.project.materials_sections import (
    BackingSection,
    BastingSetting,
    BindingSetting,
    SwatchSection,
)
from quiltpath.project.sewing_sections import WaddingSection
from quiltpath.runner.panels import Panel, Table
from quiltpath.runner.skew import PanelMeasures
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
    print_measured: PanelMeasures | None = None
    stock: Mapping[str, float] = field(default_factory=dict)
    needle: str = "quilting needle, size 90/14"
    foot: str = "walking foot"


def materials_setting(project: Project) -> MaterialsSetting:
    """Settings of the plan, from the project's sections."""
    told = project.instructions
    return MaterialsSetting(
        backing=_layer(project.backing, _cloths(project, "backing", BACKING.cloth)[0]),
        wadding=_layer(project.wadding, _cloths(project, "wadding", WADDING.cloth)[0]),
        basting=_basting(project),
        binding=_binding(project),
        binding_cloths=_cloths(project, "binding", Cloth("binding")),
        draw_up=_draw_up(project),
        top=_top(project),
        table=_table(project),
        panels=_panels(project),
        sashing_mm=project.grid.sashing if project.grid else 0.0,
        ruler_step_mm=MM_PER_INCH / 8 if project.units == "in" else 1.0,
        print_measured=_measured(project),
        stock=_stock(project),
        needle=told.needle,
        foot=told.foot,
    )


def _cloths(project: Project, use: str, usual: Cloth) -> tuple[Cloth, ...]:
    """The cloths for a use, or the usual one."""
    grain = use != "wadding"
    named = [
        Cloth(cloth.name, cloth.width, cloth.length, grain)
        for cloth in project.cloth
        if use in cloth.uses
    ]
    return tuple(named) or (usual,)


def _layer(section: BackingSection | WaddingSection, cloth: Cloth) -> LayerSetting:
    ends = section.extra if section.extra_ends is None else section.extra_ends
    seam = section.seam if isinstance(section, BackingSection) else 0.0
    return LayerSetting(section.extra, ends, cloth, seam, section.clear, section.seam_worth)


def _basting(project: Project) -> BastingSetting:
    basting = project.basting
    return BastingSetting(basting.method, basting.pins_apart, basting.at_a_go, basting.wadding_join)


def _binding(project: Project) -> BindingSetting:
    binding = project.binding
    return BindingSetting(
        fold=binding.fold,
        grain=binding.cut,
        seam_mm=binding.seam_mm,
        strip_mm=binding.width,
        bulk_mm=binding.bulk,
        cover_mm=binding.cover,
        loose_start_mm=binding.loose_start,
        open_mm=binding.open,
        mitre_mm=binding.mitre,
        allowance_mm=binding.allowance,
        join_loss_mm=binding.join_loss,
        clear_mm=binding.clear,
        first_to=binding.first_to,
    )


def _draw_up(project: Project) -> DrawUpSetting:
    quilted = project.quilted
    learned = _learned(project)
    wash = learned.washing.likely if learned and learned.washing else quilted.wash
    return DrawUpSetting(quilted.taken_up, wash, quilted.lengths, quilted.widths, learned)


def _learned(project: Project) -> Learned | None:
    """What the swatches say, where the project does not itself give the figure."""
    quilted = project.quilted
    if not project.swatch or quilted.taken_up is not None:
        return None
    learned = learn([_swatch(swatch) for swatch in project.swatch])
    if "wash" in quilted.model_fields_set or learned.washing is None:
        return replace(learned, washing=Share(quilted.wash, quilted.wash, quilted.wash))
    return learned


def _swatch(swatch: SwatchSection) -> Swatch:
    return Swatch(swatch.m_per_m2, swatch.before, swatch.quilted, swatch.washed)


def _top(project: Project) -> TopSetting:
    cloths = {kind: _cloths(project, kind.value, Cloth(kind.value))[0] for kind in RegionKind}
    return TopSetting(project.top.made, project.top.seam, cloths)


def _table(project: Project) -> Table | None:
    table = project.table
    return Table(table.length, table.width, table.place_mats) if table else None


def _measured(project: Project) -> PanelMeasures | None:
    """Four sides and two diagonals, where all of them were measured."""
    sheet = project.print
    if sheet is None or not (sheet.lengths and sheet.widths and sheet.diagonals):
        return None
    (lower, _, upper), (left, _, right) = sheet.lengths, sheet.widths
    return PanelMeasures(lower, right, upper, left, *sheet.diagonals)


def _stock(project: Project) -> dict[str, float]:
    stock = project.stock
    return {
        "quilting thread": stock.thread,
        "bobbins": float(stock.bobbins),
        "basting pins": float(stock.pins),
        "basting spray": float(stock.spray),
        "fusible tape": stock.tape,
        "needles": float(stock.needles),
        "foot": float(stock.foot),
    }


def _panels(project: Project) -> tuple[Panel, ...]:
    return tuple(
        Panel(p.name, *p.size, *p.printed, p.end_strip, p.seam, p.overlap, p.count)
        for p in project.panel
    )
