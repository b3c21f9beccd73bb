"""The whole cutting plan for one runner: layers, basting, binding, layouts, shopping."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials.basting import Basting, baste
from quiltpath.materials.binding_plan import BindingPlan, plan_binding
from quiltpath.materials.draw_up import DrawUpSetting, SquaringUp, draw_up_setting
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
from quiltpath.project import Project
from quiltpath.runner.panel_steps import PanelStep, panel_steps, panels_at_hand
from quiltpath.runner.panels import Fit, PanelChoice, Table
from quiltpath.runner.skew import PanelMeasures, Skew, TrueRectangle, largest_rectangle, skew_of
from quiltpath.runner.states import States, stretched
from quiltpath.stitching.thread_and_time import ThreadUse

ON_THE_EDGE_MM = 1e-6

MOST_LAID_OUT = 400
"""A pieced top of more parts is counted but not laid out: cut it in strips."""


@dataclass(frozen=True)
class OffSquare:
    """How the measured print lies, and the largest true rectangle in it."""

    skew: Skew
    rectangle: TrueRectangle


@dataclass(frozen=True)
class TrimmedPrint:
    """How far ends and sides are cut into the printed blocks, in mm, and what is left there.

    ``left_mm`` has each trimmed block with what is left of it along the runner; ``cut_motifs``
    the motifs of which a part falls off.
    """

    ends_mm: float = 0.0
    sides_mm: float = 0.0
    left_mm: tuple[tuple[str, float], ...] = ()
    cut_motifs: tuple[str, ...] = ()


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
    panel_steps: tuple[PanelStep, ...]
    trimmed: TrimmedPrint
    off_square: OffSquare | None
    states: States
    top: TopPlace
    top_cuts: tuple[CutCount, ...]
    layers: Layers
    basting: Basting
    squared: SquaringUp | None
    edge: Edge
    binding: BindingPlan
    layouts: tuple[ClothLayout, ...]
    shopping: tuple[ShoppingItem, ...]

    @property
    def quilting_share(self) -> float:
        """Share of its length that quilting takes."""
        return self.states.quilting[0].likely


def cutting_plan(
    project: Project, runner: Runner, thread: ThreadUse, states: States
) -> CuttingPlan:
    """The plan for the flat ``runner``, which ``states`` lead to the finished one.

    Raises :class:`quiltpath.errors.InputError` where a piece is wider than its cloth.
    """
    draw_up = draw_up_setting(project.quilted, project.swatch)
    fit = _fit(project, states)
    top = _top(runner, fit, states)
    layers = _layers(project, top)
    basting = baste(top.cut_length_mm, top.cut_width_mm, layers.wadding.join_mm, project.basting)
    pieced = project.top.made == "pieced"
    cuts = pieced_cuts(runner.regions, project.top.seam) if pieced else ()
    binding = _binding(project, runner, draw_up.squared, states)
    layouts = _layouts(project, layers, binding, cuts)
    left, _ = states.kept(states.used_state)
    choices = panels_at_hand(project, states.wanted.pair, left)
    return CuttingPlan(
        draw_up=draw_up,
        panel_steps=panel_steps(choices[0]) if choices else (),
        trimmed=_trimmed(runner),
        fit=fit,
        panel_choices=choices,
        off_square=_off_square(project),
        states=states,
        top=top,
        top_cuts=cuts,
        layers=layers,
        basting=basting,
        squared=draw_up.squared,
        edge=edge_of(_as_it_is(runner.outline, draw_up.squared, states)),
        binding=binding,
        layouts=layouts,
        shopping=_shopping(project, layouts, basting, thread),
    )


def _trimmed(runner: Runner) -> TrimmedPrint:
    ends, sides = runner.trimmed_mm
    if not ends and not sides:
        return TrimmedPrint()
    boxes = [(block.name, block.shape.bounds) for block in runner.blocks]
    low_x, _, high_x, _ = runner.outline.bounds
    left = [
        (name, box[2] - box[0])
        for name, box in boxes
        if ends and (box[0] <= low_x + ON_THE_EDGE_MM or box[2] >= high_x - ON_THE_EDGE_MM)
    ]
    cut = [f"{motif.name} in {motif.place}" for motif in runner.motifs if motif.is_cut]
    return TrimmedPrint(ends, sides, tuple(left), tuple(cut))


def _table(project: Project) -> Table | None:
    table = project.table
    return Table(table.length, table.width, table.place_mats) if table else None


def _fit(project: Project, states: States) -> Fit | None:
    """How the finished piece lies on the table."""
    table = _table(project)
    return Fit(table, *states.in_use.pair) if table else None


def _top(runner: Runner, fit: Fit | None, states: States) -> TopPlace:
    """The flat top, with its join and with the folds over the table's ends."""
    grown = states.flat.length_mm / states.in_use.length_mm
    joins = [seam.line.coords[0][0] for seam in runner.seams if seam.is_panel_join]
    folds = [at * grown for at in fit.fold_lines_mm] if fit else []
    return TopPlace(*states.flat.pair, tuple(joins), tuple(folds))


def _layers(project: Project, top: TopPlace) -> Layers:
    backing, wadding = (cloths_for(project.cloth, use)[0] for use in ("backing", "wadding"))
    return plan_layers(
        top, layer_setting(project.backing, backing), layer_setting(project.wadding, wadding)
    )


def _off_square(project: Project) -> OffSquare | None:
    """How the print lies, where four sides and two diagonals of it were measured."""
    sheet = project.print
    if sheet is None or not (sheet.lengths and sheet.widths and sheet.diagonals):
        return None
    (lower, _, upper), (left, _, right) = sheet.lengths, sheet.widths
    skew = skew_of(PanelMeasures(lower, right, upper, left, *sheet.diagonals))
    return OffSquare(skew, largest_rectangle(skew))


def _binding(
    project: Project, runner: Runner, squared: SquaringUp | None, states: States
) -> BindingPlan:
    """Binding of the edge that is there, seen from the face it is sewn to first."""
    seams = [seam.line for seam in runner.seams if seam.is_panel_join]
    shapes = [_as_it_is(shape, squared, states) for shape in (runner.outline, *seams)]
    if project.binding.first_to == "back":
        length = shapes[0].bounds[2]
        shapes = [shapely.transform(s, lambda p: (length, 0) + p * (-1.0, 1.0)) for s in shapes]
    cloths = cloths_for(project.cloth, "binding")
    return plan_binding(edge_of(shapes[0]), shapes[1:], project.binding, cloths)


def _as_it_is(shape: BaseGeometry, squared: SquaringUp | None, states: States) -> BaseGeometry:
    """A shape of the flat top when it is bound: as measured, or as quilting draws it up."""
    if squared is None:
        return states.mapped(shape, "quilted")
    return stretched(shape, squared.scale_from(*states.flat.pair))


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
        pieces("foot", 1.0, stock.foot, project.foot),
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
