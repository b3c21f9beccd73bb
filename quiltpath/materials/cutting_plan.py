"""The whole cutting plan for one runner: layers, basting, binding, layouts, shopping."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials.basting import Basting, baste
from quiltpath.materials.binding_plan import BindingPlan, plan_binding
from quiltpath.materials.draw_up import Share, SquaringUp, quilting_share, squaring_up
from quiltpath.materials.edge_corners import Edge, edge_of
from quiltpath.materials.layers import CutCount, Layers, TopPlace, pieced_cuts, plan_layers
from quiltpath.materials.piecing import CutPiece, Piecing
from quiltpath.materials.settings import DrawUpSetting, MaterialsSetting, materials_setting
from quiltpath.materials.shopping import Cloth, ShoppingItem, ThreadNeed, item, thread_items
from quiltpath.materials.strip_packing import ClothLayout, lay_out
from quiltpath.project import Project
from quiltpath.runner.panels import Fit, PanelChoice, Table, cut_size, panel_choices
from quiltpath.runner.skew import Skew, TrueRectangle, largest_rectangle, skew_of
from quiltpath.stitching import Stitches
from quiltpath.stitching.thread_and_time import ThreadUse

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

    ``top``        the top before quilting, and where its join and the folds lie on it
    ``edge``       the edge as it is trimmed, seen from the front
    ``squared``    what measurements after quilting leave; None before they are there
    """

    setting: MaterialsSetting
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


def cutting_plan(
    runner: Runner,
    setting: MaterialsSetting,
    *,
    stitched_m: float = 0.0,
    thread: ThreadNeed | None = None,
) -> CuttingPlan:
    """The plan for ``runner``. ``stitched_m`` of quilting gives the density that draws it up.

    Raises :class:`quiltpath.errors.InputError` where a piece is wider than its cloth.
    """
    share = _quilting_share(runner, setting, stitched_m)
    fit = Fit(setting.table, runner.length_mm, runner.width_mm) if setting.table else None
    top = _top(runner, fit, share, setting.draw_up.washing_share)
    layers = plan_layers(top, setting.backing, setting.wadding)
    basting = baste(top.cut_length_mm, top.cut_width_mm, layers.wadding.join_mm, setting.basting)
    squared = _squared(setting.draw_up)
    binding = _binding(runner, squared, setting)
    cuts = pieced_cuts(runner.regions, setting.top.seam_mm) if _pieced(setting) else ()
    layouts = _layouts(layers, binding, cuts, setting)
    return CuttingPlan(
        setting=setting,
        fit=fit,
        panel_choices=_panel_choices(runner, top, setting),
        off_square=_off_square(setting),
        quilting_share=share,
        cut_range_mm=_cut_range(runner, setting, stitched_m),
        top=top,
        top_cuts=cuts,
        layers=layers,
        basting=basting,
        squared=squared,
        edge=edge_of(_as_it_is(runner.outline, runner, squared, setting.draw_up)),
        binding=binding,
        layouts=layouts,
        shopping=_shopping(layouts, basting, thread, setting),
    )


def _panel_choices(
    runner: Runner, top: TopPlace, setting: MaterialsSetting
) -> tuple[PanelChoice, ...]:
    """Ways to use the panels at hand for the top as it is before quilting."""
    return panel_choices(
        setting.panels,
        setting.table or Table(runner.length_mm, runner.width_mm),
        top.cut_length_mm,
        top.cut_width_mm,
        setting.sashing_mm,
        setting.ruler_step_mm,
        runner.length_mm / top.cut_length_mm,
    )


def _off_square(setting: MaterialsSetting) -> OffSquare | None:
    if setting.print_measured is None:
        return None
    skew = skew_of(setting.print_measured)
    return OffSquare(skew, largest_rectangle(skew))


def _pieced(setting: MaterialsSetting) -> bool:
    return setting.top.made == "pieced"


def _quilting_share(runner: Runner, setting: MaterialsSetting, stitched_m: float) -> float:
    if setting.draw_up.quilting_share is not None:
        return setting.draw_up.quilting_share
    density = stitched_m / (runner.outline.area / 1e6)
    learned = setting.draw_up.learned
    return learned.quilting(density).likely if learned else quilting_share(density)


def _cut_range(
    runner: Runner, setting: MaterialsSetting, stitched_m: float
) -> tuple[Share, Share] | None:
    """Length and width to cut, with their ranges, as the swatches say."""
    learned = setting.draw_up.learned
    if learned is None:
        return None
    density = stitched_m / (runner.outline.area / 1e6)
    return learned.cut_mm(runner.length_mm, density), learned.cut_mm(runner.width_mm, density)


def _top(runner: Runner, fit: Fit | None, quilting: float, washing: float) -> TopPlace:
    """The top before quilting; places on it grow with it."""
    length = cut_size(runner.length_mm, quilting, washing)
    grown = length / runner.length_mm
    joins = [seam.line.coords[0][0] * grown for seam in runner.seams if seam.is_panel_join]
    folds = [at * grown for at in fit.fold_lines_mm] if fit else []
    width = cut_size(runner.width_mm, quilting, washing)
    return TopPlace(length, width, tuple(joins), tuple(folds))


def _squared(draw_up: DrawUpSetting) -> SquaringUp | None:
    if not draw_up.lengths_mm:
        return None
    return squaring_up(draw_up.lengths_mm, draw_up.widths_mm)


def _binding(runner: Runner, squared: SquaringUp | None, setting: MaterialsSetting) -> BindingPlan:
    """Binding of the edge that is there, seen from the face it is sewn to first."""
    seams = [seam.line for seam in runner.seams if seam.is_panel_join]
    outline = runner.outline
    shapes = [_as_it_is(s, runner, squared, setting.draw_up) for s in (outline, *seams)]
    if setting.binding.first_to == "back":
        length = shapes[0].bounds[2]
        shapes = [shapely.transform(s, lambda p: (length, 0) + p * (-1.0, 1.0)) for s in shapes]
    edge = edge_of(shapes[0])
    return plan_binding(edge, shapes[1:], setting.binding, setting.binding_cloths)


def _as_it_is(
    shape: BaseGeometry, runner: Runner, squared: SquaringUp | None, draw_up: DrawUpSetting
) -> BaseGeometry:
    """A shape when it is bound: as measured, or as much larger than finished as washing takes."""
    if squared is None:
        by = 1.0 / (1.0 - draw_up.washing_share)
        scale = by, by
    else:
        scale = squared.scale_from(runner.length_mm, runner.width_mm)
    return shapely.transform(shape, lambda points: points * scale)


def _layouts(
    layers: Layers,
    binding: BindingPlan,
    cuts: Sequence[CutCount],
    setting: MaterialsSetting,
) -> tuple[ClothLayout, ...]:
    """One layout for each cloth; parts that share a cloth by name share its layout."""
    cloths = {cloth.name: cloth for cloth in reversed(setting.binding_cloths)}
    pieces: dict[str, list[CutPiece]] = {}
    for cut in cuts if sum(cut.count for cut in cuts) <= MOST_LAID_OUT else ():
        cloth = setting.top.cloths.get(cut.kind, Cloth(cut.kind.value))
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
    layouts: Sequence[ClothLayout],
    basting: Basting,
    thread: ThreadNeed | None,
    setting: MaterialsSetting,
) -> tuple[ShoppingItem, ...]:
    stock = setting.stock
    items = [_cloth_item(layout, stock) for layout in layouts]
    if basting.tape_mm > 0:
        items.append(item("fusible tape", "mm", basting.tape_mm, stock, note="for wadding joins"))
    if basting.pins is not None:
        items.append(item("basting pins", "pieces", basting.pins.count, stock, note="curved"))
    else:
        items.append(item("basting spray", "pieces", 1.0, stock, note="for cloth"))
    if thread is not None:
        items.extend(thread_items(thread, stock))
    items.append(item("needles", "pieces", 1.0, stock, note=setting.needle))
    items.append(item("foot", "pieces", 1.0, stock, note=setting.foot))
    return tuple(items)


def _cloth_item(layout: ClothLayout, stock: Mapping[str, float]) -> ShoppingItem:
    """Length of a cloth; what is at hand by its own table or by the stock is taken off."""
    cloth = layout.cloth
    at_hand = dict(stock)
    if cloth.length_mm is not None:
        at_hand[cloth.name] = max(cloth.length_mm, stock.get(cloth.name, 0.0))
    return item(cloth.name, "mm of cloth", layout.length_mm, at_hand, width_mm=cloth.usable_mm)


def cutting(project: Project, runner: Runner, stitches: Stitches, thread: ThreadUse) -> CuttingPlan:
    """The cutting plan that the project asks for; raises :class:`InputError` for what cannot be."""
    setting = materials_setting(project)
    need = ThreadNeed(thread.needle_m, thread.bobbin_m, thread.bobbins, project.thread.spool)
    return cutting_plan(runner, setting, stitched_m=stitches.stitched_mm / 1000, thread=need)
