"""The whole cutting plan for one runner: layers, basting, binding, layouts, shopping."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials.basting import Basting, baste
from quiltpath.materials.binding_plan import BindingPlan, plan_binding
from quiltpath.materials.cloth_layouts import BorderJoins, cloth_items, lay_out_all
from quiltpath.materials.draw_up import DrawUpSetting, Share, SquaringUp, draw_up_setting
from quiltpath.materials.edge_corners import Edge, edge_of
from quiltpath.materials.layers import (
    Layers,
    TopPlace,
    layer_setting,
    plan_layers,
)
from quiltpath.materials.pieced_top import CutCount, PiecedTop, pieced_cuts
from quiltpath.materials.shopping import ShoppingItem, cloths_for, pieces, thread_items
from quiltpath.materials.strip_packing import ClothLayout
from quiltpath.materials.top_of_a_grid import top_of_the_grid
from quiltpath.materials.trimming import Trimming, trimming
from quiltpath.project import Project
from quiltpath.runner.panels import Fit, Panel, PanelChoice, Table, cut_size, panel_choices
from quiltpath.runner.skew import PanelMeasures, Skew, TrueRectangle, largest_rectangle, skew_of
from quiltpath.stitching.thread_and_time import ThreadUse
from quiltpath.units import MM_PER_INCH


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
    ``top_cuts``   the pieces of a pieced top, ``pieced`` the order in which a grid is sewn
    ``border_joins``    by a border strip's letter, where it is joined from several
    ``copies``     so many are made; layouts and shopping are for all, the rest is for one
    """

    draw_up: DrawUpSetting
    fit: Fit | None
    panel_choices: tuple[PanelChoice, ...]
    off_square: OffSquare | None
    quilting_share: float
    cut_range_mm: tuple[Share, Share] | None
    top: TopPlace
    top_cuts: tuple[CutCount, ...]
    pieced: PiecedTop | None
    border_joins: Mapping[str, BorderJoins]
    layers: Layers
    basting: Basting
    squared: SquaringUp | None
    edge: Edge
    binding: BindingPlan
    layouts: tuple[ClothLayout, ...]
    shopping: tuple[ShoppingItem, ...]
    copies: int = 1
    panels_missing: int = 0

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
    pieced = top_of_the_grid(project, runner, top)
    cuts = pieced.cuts if pieced else _cuts_without_a_grid(project, runner, top)
    binding = _binding(project, runner, draw_up)
    use = lay_out_all(project, layers, binding, cuts)
    return CuttingPlan(
        draw_up=draw_up,
        fit=fit,
        panel_choices=_panel_choices(project, runner, top),
        off_square=_off_square(project),
        quilting_share=share,
        cut_range_mm=_cut_range(runner, draw_up, density),
        top=top,
        top_cuts=cuts,
        pieced=pieced,
        border_joins=use.border_joins,
        layers=layers,
        basting=basting,
        squared=draw_up.squared,
        edge=edge_of(_as_it_is(runner.outline, runner, draw_up)),
        binding=binding,
        layouts=use.layouts,
        shopping=_shopping(project, use.layouts, basting, thread),
        copies=project.materials.copies,
        panels_missing=_panels_missing(project),
    )


def _cuts_without_a_grid(project: Project, runner: Runner, top: TopPlace) -> tuple[CutCount, ...]:
    """Parts of a pieced top that no grid orders, as large as on the flat top."""
    if project.top.made != "pieced":
        return ()
    scale = top.cut_length_mm / runner.length_mm, top.cut_width_mm / runner.width_mm
    return pieced_cuts(runner.regions, project.top.seam, scale)


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
    copies = project.materials.copies
    panels = [
        Panel(p.name, *p.size, *p.printed, p.end_strip, p.seam, p.overlap, p.count // copies)
        for p in project.panel
        if p.count >= copies
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


def _panels_missing(project: Project) -> int:
    """Panels short of one for each copy; 0 where the top is not made of panels."""
    if not project.panel:
        return 0
    return max(0, project.materials.copies - max(panel.count for panel in project.panel))


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


def _shopping(
    project: Project, layouts: Sequence[ClothLayout], basting: Basting, thread: ThreadUse
) -> tuple[ShoppingItem, ...]:
    """What all copies take; needles and the foot serve for all of them."""
    stock, kinds, copies = project.stock, project.instructions, project.materials.copies
    return (
        *cloth_items(layouts, project.materials.allowance),
        *_basting_items(project, basting),
        *thread_items(thread, project.thread.spool, stock, copies),
        pieces("needles", 1.0, stock.needles, kinds.needle),
        pieces("foot", 1.0, stock.foot, kinds.foot),
    )


def _basting_items(project: Project, basting: Basting) -> list[ShoppingItem]:
    """Pins serve for one copy after the other; tape and spray are used up."""
    stock, pins = project.stock, basting.pins
    tape = basting.tape_mm * project.materials.copies
    items = []
    if tape > 0:
        items.append(ShoppingItem("fusible tape", "mm", tape, stock.tape, note="for wadding joins"))
    if pins is not None:
        items.append(pieces("basting pins", pins.count, stock.pins, "curved"))
    else:
        items.append(pieces("basting spray", 1.0, stock.spray, "for cloth"))
    return items
