"""The whole cutting plan for one runner: layers, basting, binding, layouts, shopping."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials.basting import Basting, baste
from quiltpath.materials.binding_plan import BindingPlan, plan_binding
from quiltpath.materials.draw_up import DrawUpSetting, Share, SquaringUp, draw_up_setting
from quiltpath.materials.edge_corners import Edge, edge_of
from quiltpath.materials.layers import (
    CutCount,
    Layers,
    TopPlace,
    layer_setting,
    pieced_cuts,
    plan_layers,
)
from quiltpath.materials.piecing import CutPiece, Piecing
from quiltpath.materials.shopping import ShoppingItem, cloths_for, pieces, thread_items
from quiltpath.materials.strip_packing import ClothLayout, lay_out
from quiltpath.materials.trimming import Trimming, trimming
from quiltpath.project import Project
from quiltpath.runner.panels import Fit, Panel, PanelChoice, Table, cut_size, panel_choices
from quiltpath.runner.skew import PanelMeasures, Skew, TrueRectangle, largest_rectangle, skew_of
from quiltpath.stitching.thread_and_time import ThreadUse
from quiltpath.units import MM_PER_INCH

MOST_LAID_OUT = 400
"""A pieced top of more parts is counted but not laid out: cut it in strips."""


@dataclass(frozen=True)
class OffSquare:
    """How the measured print lies, and the largest true rectangle in it."""

    skew: Skew
    rectangle: TrueRectangle


@dataclass(frozen=True)
class CuttingPlan:
    """What to cut, buy and do; lengths in mm.

    ``draw_up``    what quilting and washing take, as the project and its swatches say
    ``quilting_share``  the share of it that this quilting takes
    ``cut_range_mm``    length and width to cut with their ranges, where swatches say them
    ``top``        the top before quilting, and where its join and the folds lie on it
    ``edge``       the edge as it is trimmed, seen from the front
    ``squared``    what measurements after quilting leave; None before they are there
    """

    draw_up: DrawUpSetting
    fit: Fit | None
    panel_choices: tuple[PanelChoice, ...]
    off_square: OffSquare | None
    quilting_share: float
    cut_range_mm: tuple[Share, Share] | None
    top: TopPlace
    top_cuts: tuple[CutCount, ...]
    layers: Layers
    basting: Basting
    squared: SquaringUp | None
    edge: Edge
    binding: BindingPlan
    layouts: tuple[ClothLayout, ...]
    shopping: tuple[ShoppingItem, ...]

    @cached_property
    def trimming(self) -> Trimming:
        """How the edge is drawn on the quilted piece and checked."""
        return trimming(self.edge)


def cutting_plan(project: Project, runner: Runner, thread: ThreadUse) -> CuttingPlan:
    """The plan for ``runner``; the seam that ``thread`` sews gives the density that draws it up.

    Raises :class:`quiltpath.errors.InputError` where a piece is wider than its cloth.
    """
    draw_up = draw_up_setting(project.quilted, project.swatch)
    density = thread.seam_m / (runner.outline.area / 1e6)
    share, fit = draw_up.quilting_share_at(density), _fit(project, runner)
    top = _top(runner, fit, share, draw_up.washing_share)
    layers = _layers(project, top)
    basting = baste(top.cut_length_mm, top.cut_width_mm, layers.wadding.join_mm, project.basting)
    pieced = project.top.made == "pieced"
    cuts = pieced_cuts(runner.regions, project.top.seam) if pieced else ()
    binding = _binding(project, runner, draw_up)
    layouts = _layouts(project, layers, binding, cuts)
    return CuttingPlan(
        draw_up=draw_up,
        fit=fit,
        panel_choices=_panel_choices(project, runner, top),
        off_square=_off_square(project),
        quilting_share=share,
        cut_range_mm=_cut_range(runner, draw_up, density),
        top=top,
        top_cuts=cuts,
        layers=layers,
        basting=basting,
        squared=draw_up.squared,
        edge=edge_of(_as_it_is(runner.outline, runner, draw_up)),
        binding=binding,
        layouts=layouts,
        shopping=_shopping(project, layouts, basting, thread),
    )


def _table(project: Project) -> Table | None:
    table = project.table
    return Table(table.length, table.width, table.place_mats) if table else None


def _fit(project: Project, runner: Runner) -> Fit | None:
    table = _table(project)
    return Fit(table, runner.length_mm, runner.width_mm) if table else None


def _top(runner: Runner, fit: Fit | None, quilting: float, washing: float) -> TopPlace:
    """The top before quilting; places on it grow with it."""
    length = cut_size(runner.length_mm, quilting, washing)
    grown = length / runner.length_mm
    joins = [seam.line.coords[0][0] * grown for seam in runner.seams if seam.is_panel_join]
    folds = [at * grown for at in fit.fold_lines_mm] if fit else []
    width = cut_size(runner.width_mm, quilting, washing)
    return TopPlace(length, width, tuple(joins), tuple(folds))


def _cut_range(
    runner: Runner, draw_up: DrawUpSetting, density_m_per_m2: float
) -> tuple[Share, Share] | None:
    """Length and width to cut, with their ranges, as the swatches say."""
    says = draw_up.swatches
    if says is None:
        return None
    length, width = runner.length_mm, runner.width_mm
    return says.cut_mm(length, density_m_per_m2), says.cut_mm(width, density_m_per_m2)


def _layers(project: Project, top: TopPlace) -> Layers:
    backing, wadding = (cloths_for(project.cloth, use)[0] for use in ("backing", "wadding"))
    return plan_layers(
        top, layer_setting(project.backing, backing), layer_setting(project.wadding, wadding)
    )


def _panel_choices(project: Project, runner: Runner, top: TopPlace) -> tuple[PanelChoice, ...]:
    """Ways to use the panels at hand for the top as it is before quilting."""
    panels = [
        Panel(p.name, *p.size, *p.printed, p.end_strip, p.seam, p.overlap, p.count)
        for p in project.panel
    ]
    return panel_choices(
        panels,
        _table(project) or Table(runner.length_mm, runner.width_mm),
        top.cut_length_mm,
        top.cut_width_mm,
        project.grid.sashing if project.grid else 0.0,
        MM_PER_INCH / 8 if project.units == "in" else 1.0,
        runner.length_mm / top.cut_length_mm,
    )


def _off_square(project: Project) -> OffSquare | None:
    """How the print lies, where four sides and two diagonals of it were measured."""
    sheet = project.print
    if sheet is None or not (sheet.lengths and sheet.widths and sheet.diagonals):
        return None
    (lower, _, upper), (left, _, right) = sheet.lengths, sheet.widths
    skew = skew_of(PanelMeasures(lower, right, upper, left, *sheet.diagonals))
    return OffSquare(skew, largest_rectangle(skew))


def _binding(project: Project, runner: Runner, draw_up: DrawUpSetting) -> BindingPlan:
    """Binding of the edge that is there, seen from the face it is sewn to first."""
    seams = [seam.line for seam in runner.seams if seam.is_panel_join]
    shapes = [_as_it_is(shape, runner, draw_up) for shape in (runner.outline, *seams)]
    if project.binding.first_to == "back":
        length = shapes[0].bounds[2]
        shapes = [shapely.transform(s, lambda p: (length, 0) + p * (-1.0, 1.0)) for s in shapes]
    cloths = cloths_for(project.cloth, "binding")
    return plan_binding(edge_of(shapes[0]), shapes[1:], project.binding, cloths)


def _as_it_is(shape: BaseGeometry, runner: Runner, draw_up: DrawUpSetting) -> BaseGeometry:
    """A shape when it is bound: as measured, or as much larger than finished as washing takes."""
    squared = draw_up.squared
    if squared is None:
        by = 1.0 / (1.0 - draw_up.washing_share)
        scale = by, by
    else:
        scale = squared.scale_from(runner.length_mm, runner.width_mm)
    return shapely.transform(shape, lambda points: points * scale)


def _layouts(
    project: Project, layers: Layers, binding: BindingPlan, cuts: Sequence[CutCount]
) -> tuple[ClothLayout, ...]:
    """One layout for each cloth; parts that share a cloth by name share its layout."""
    cloths = {cloth.name: cloth for cloth in reversed(cloths_for(project.cloth, "binding"))}
    pieces: dict[str, list[CutPiece]] = {}
    for cut in cuts if sum(cut.count for cut in cuts) <= MOST_LAID_OUT else ():
        cloth = cloths_for(project.cloth, cut.kind.value)[0]
        cloths[cloth.name] = cloth
        pieces.setdefault(cloth.name, []).extend(cut.pieces())
    for name, layer in (("backing", layers.backing), ("wadding", layers.wadding)):
        cloths[layer.cloth.name] = layer.cloth
        pieces.setdefault(layer.cloth.name, []).extend(_named(name, layer))
    for cloth_name, piece in binding.pieces():
        pieces.setdefault(cloth_name, []).append(piece)
    return tuple(lay_out(parts, cloths[name]) for name, parts in pieces.items())


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


def _shopping(
    project: Project, layouts: Sequence[ClothLayout], basting: Basting, thread: ThreadUse
) -> tuple[ShoppingItem, ...]:
    stock, kinds = project.stock, project.instructions
    return (
        *(_cloth_item(layout) for layout in layouts),
        *_basting_items(project, basting),
        *thread_items(thread, project.thread.spool, stock),
        pieces("needles", 1.0, stock.needles, kinds.needle),
        pieces("foot", 1.0, stock.foot, kinds.foot),
    )


def _cloth_item(layout: ClothLayout) -> ShoppingItem:
    """Length of a cloth; what is at hand of it is taken off."""
    cloth = layout.cloth
    return ShoppingItem(
        cloth.name, "mm of cloth", layout.length_mm, cloth.length_mm or 0.0, cloth.usable_mm
    )


def _basting_items(project: Project, basting: Basting) -> list[ShoppingItem]:
    stock, tape, pins = project.stock, basting.tape_mm, basting.pins
    items = []
    if tape > 0:
        items.append(ShoppingItem("fusible tape", "mm", tape, stock.tape, note="for wadding joins"))
    if pins is not None:
        items.append(pieces("basting pins", pins.count, stock.pins, "curved"))
    else:
        items.append(pieces("basting spray", 1.0, stock.spray, "for cloth"))
    return items
