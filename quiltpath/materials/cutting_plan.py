"""The whole cutting plan for one runner: layers, basting, binding, layouts, shopping."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import message
from quiltpath.materials.basting import Basting, baste, is_held_by_rollers
from quiltpath.materials.binding_plan import BindingPlan, plan_binding
from quiltpath.materials.border_strips import BorderJoins
from quiltpath.materials.cloth_layouts import cloth_items, lay_out_all
from quiltpath.materials.draw_up import DrawUpSetting, SquaringUp, draw_up_setting
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
from quiltpath.project.materials_sections import BOTH_FEET
from quiltpath.runner.panel_steps import PanelStep, panel_steps, panels_at_hand
from quiltpath.runner.panels import Fit, PanelChoice, Table
from quiltpath.runner.skew import PanelMeasures, Skew, TrueRectangle, largest_rectangle, skew_of
from quiltpath.runner.states import States, stretch_shape
from quiltpath.stitching.thread_and_time import ThreadUse

ON_THE_EDGE_MM = 1e-6


@dataclass(frozen=True)
class OffSquare:
    """How the measured print lies, and the largest true rectangle in it."""

    skew: Skew
    rectangle: TrueRectangle


@dataclass(frozen=True)
class TrimmedPrint:
    """How far ends and sides are cut into the printed blocks, in mm, and what is left there.

    ``left_mm`` has each trimmed block with what is left of it along the runner; ``cut_motifs``
    the motifs of which a part falls off; ``pitch_mm`` is a whole end block with its sashing.
    """

    ends_mm: float = 0.0
    sides_mm: float = 0.0
    left_mm: tuple[tuple[str, float], ...] = ()
    cut_motifs: tuple[str, ...] = ()
    pitch_mm: float = 0.0


@dataclass(frozen=True)
class CuttingPlan:
    """What to cut, buy and do; lengths in mm.

    ``draw_up``    what quilting and washing take, as the project and its swatches say
    ``quilting_share``  the share of it that this quilting takes
    ``top``        the top before quilting, and where its join and the folds lie on it
    ``edge``       the edge as it is trimmed, seen from the front
    ``squared``    what measurements after quilting leave; None before they are there
    ``top_cuts``   the pieces of a pieced top, ``pieced`` the order in which a grid is sewn
    ``border_joins``    by a border strip's letter, where it is joined from several
    ``has_no_parts``    a top is to be pieced, and nothing says of what
    ``copies``     so many are made; layouts and shopping are for all, the rest is for one
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
    has_no_parts: bool = False

    @cached_property
    def trimming(self) -> Trimming:
        """How the edge is drawn on the quilted piece and checked."""
        return trimming(self.edge)

    @property
    def quilting_share(self) -> float:
        """Share of its length that quilting takes."""
        return self.states.quilting[0].likely


def cutting_plan(
    project: Project,
    runner: Runner,
    thread: ThreadUse,
    states: States,
    foot: str | None = None,
    *,
    rollers: int | None = None,
) -> CuttingPlan:
    """The plan for the flat ``runner``, which ``states`` lead to the finished one; ``foot`` is
    that of a machine, else the project's, and ``rollers`` the axis of the runner along which a
    frame's rollers lie, None where the machine is no frame.

    Raises :class:`quiltpath.errors.InputError` where a piece is wider than its cloth.
    """
    draw_up = draw_up_setting(project.quilted, project.swatch)
    fit = _fit(project, states)
    top = _top(runner, fit, states)
    frame = rollers is not None
    wound = rollers if is_held_by_rollers(project.basting, frame=frame) else None
    layers = _layers(project, top, wound)
    size = top.cut_length_mm, top.cut_width_mm
    basting = baste(*size, layers.wadding.join_mm, project.basting, frame=frame)
    pieced = top_of_the_grid(project, runner, states)
    cuts = pieced.cuts if pieced else _cuts_without_a_grid(project, runner)
    binding = _binding(project, runner, draw_up.squared, states)
    use = lay_out_all(project, layers, binding, cuts)
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
        pieced=pieced,
        border_joins=use.border_joins,
        layers=layers,
        basting=basting,
        squared=draw_up.squared,
        edge=edge_of(_as_it_is(runner.outline, draw_up.squared, states)),
        binding=binding,
        layouts=use.layouts,
        shopping=_shopping(project, use.layouts, basting, thread, foot or project.foot),
        copies=project.materials.copies,
        panels_missing=_panels_missing(project),
        has_no_parts=project.top.made == "pieced" and not cuts and not project.panel,
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
    return TrimmedPrint(ends, sides, tuple(left), tuple(cut), _pitch_mm(boxes, ends))


def _pitch_mm(boxes: Sequence[tuple[str, tuple[float, ...]]], ends: float) -> float:
    """From the start of the left end block, before it was cut, to the start of the next one."""
    starts = sorted({round(box[0], 6) for _, box in boxes})
    return starts[1] - starts[0] + ends if len(starts) > 1 else 0.0


def _cuts_without_a_grid(project: Project, runner: Runner) -> tuple[CutCount, ...]:
    """Parts of a pieced top that no grid orders."""
    if project.top.made != "pieced":
        return ()
    return pieced_cuts(runner.regions, project.top.seam)


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


def _layers(project: Project, top: TopPlace, rollers: int | None) -> Layers:
    backing, wadding = (cloths_for(project.cloth, use)[0] for use in ("backing", "wadding"))
    return plan_layers(
        top,
        layer_setting(project.backing, backing, rollers),
        layer_setting(project.wadding, wadding),
        project.materials.copies,
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
    return stretch_shape(shape, squared.scale_from(*states.flat.pair))


def _shopping(
    project: Project,
    layouts: Sequence[ClothLayout],
    basting: Basting,
    thread: ThreadUse,
    foot: str,
) -> tuple[ShoppingItem, ...]:
    """What all copies take; needles and the foot serve for all of them."""
    stock, kinds, copies = project.stock, project.instructions, project.materials.copies
    return (
        *cloth_items(layouts, project.materials.allowance),
        *_basting_items(project, basting),
        *thread_items(thread, project.thread.spool, stock, copies),
        pieces(message("needles"), 1.0, stock.needles, kinds.needle),
        pieces(message("foot"), 2.0 if foot == BOTH_FEET else 1.0, stock.foot, foot),
    )


def _basting_items(project: Project, basting: Basting) -> list[ShoppingItem]:
    """Pins serve for one copy after the other; tape and spray are used up; a frame needs none."""
    stock, pins = project.stock, basting.pins
    tape = basting.tape_mm * project.materials.copies
    items = []
    if tape > 0:
        items.append(
            ShoppingItem(
                message("fusible tape"), "mm", tape, stock.tape, note=message("for wadding joins")
            )
        )
    if pins is not None:
        items.append(pieces(message("basting pins"), pins.count, stock.pins, message("curved")))
    elif not basting.on_a_frame:
        items.append(pieces(message("basting spray"), 1.0, stock.spray, message("for cloth")))
    return items
