"""Steps up to the basted sandwich: what to buy, cutting, measuring, panels, layers, basting."""

from __future__ import annotations

from collections.abc import Iterator

from quiltpath.documents.instructions.cutting_layout import cloths_picture, layout_picture
from quiltpath.documents.instructions.handling_pictures import (
    cutter_picture,
    join_picture,
    panels_picture,
)
from quiltpath.documents.instructions.piecing_step import fine_size, piecing_step
from quiltpath.documents.instructions.runner_pictures import (
    basting_picture,
    layer_picture,
    table_picture,
    top_picture,
)
from quiltpath.documents.instructions.step import CUTTER, IRON, PINS, SPRAY, TAPE, Step
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.geometry.runner_shapes import RegionKind
from quiltpath.materials.pieced_top import CutCount
from quiltpath.materials.piecing import Piecing
from quiltpath.materials.shopping import ShoppingItem
from quiltpath.result.values import Result
from quiltpath.runner.panel_steps import PanelCut, SeenLine
from quiltpath.runner.panels import Join
from quiltpath.units import Measures, count, join_with_and

ON_THE_LINE_MM = 0.5


def top_steps(result: Result, room: PictureRoom, words: Measures) -> Iterator[Step]:
    """The steps up to the flat top, in order."""
    yield _measure(result, room, words)
    yield _gather(result, room, words)
    yield _cut(result, room, words)
    if result.cutting.pieced is not None:
        pieced, joins = result.cutting.pieced, result.cutting.border_joins
        yield piecing_step(pieced, joins, room, words)
    yield _prepare(result, room, words)
    if _is_joined(result):
        yield from _join(result, room, words)


def layer_steps(result: Result, room: PictureRoom, words: Measures) -> Iterator[Step]:
    """The steps from the flat top to the basted layers, in order."""
    yield _backing(result, room, words)
    yield _wadding(result, room, words)
    yield _baste(result, room, words)


def _is_joined(result: Result) -> bool:
    """True where two panels are sewn together: as they are cut, or as the runner says."""
    choices = result.cutting.panel_choices
    if choices:
        return choices[0].join is not Join.NONE
    return any(seam.is_panel_join for seam in result.runner.seams)


def _measure(result: Result, room: PictureRoom, words: Measures) -> Step:
    fit = result.cutting.fit
    size = words.size(*result.states.in_use.pair)
    tasks = [f"Check that you want a finished runner of {size}."]
    if result.cutting.copies > 1:
        tasks.append(
            f"{result.cutting.copies} of it are made: cloth is bought and cut for all of them; the"
            " steps after cutting are for one, done as often."
        )
    if fit is not None:
        table = words.size(fit.table.length_mm, fit.table.width_mm)
        tasks.insert(0, f"Measure the table: {table}.")
        hangs = f"hangs down {words.cut(fit.drop_mm)}"
        if fit.drop_mm < 0:
            hangs = f"ends {words.cut(-fit.drop_mm)} before the table's edge"
        tasks.append(
            f"It {hangs} at each end and covers {fit.width_share:.0%} of the table's width. Lay a"
            " tape measure over the table with chairs and place mats where they belong, and look"
            " whether you like it."
        )
    return Step("Measure", tuple(tasks), (table_picture(result, room, words),))


def _gather(result: Result, room: PictureRoom, words: Measures) -> Step:
    tasks = tuple(shopping_line(item, words) for item in result.cutting.shopping)
    tasks = (*_panels(result, words), *tasks, _from_the_basket(result))
    thread = result.thread
    note = (
        f"The thread allows {thread.setting.wastage_share:.0%} for ends and breaks; a bobbin holds"
        f" {thread.setting.bobbin_m:g} m."
    )
    bought = "Widths are without selvedges. What you have in stock is taken off."
    picture = cloths_picture(result.cutting, room, words)
    return Step("Gather what you need", tasks, (picture,), (bought, note))


def _panels(result: Result, words: Measures) -> Iterator[str]:
    """The printed panels that are used, with the size that they are sold in."""
    if result.cutting.panel_choices:
        best = result.cutting.panel_choices[0]
        size = words.size(best.panel.length_mm, best.panel.width_mm)
        used = best.panels_used * result.cutting.copies
        yield f"{count(used, 'printed panel')} of {size} ({best.panel.name})."


def _from_the_basket(result: Result) -> str:
    """What the steps use and nobody buys by the yard."""
    tools = ["a rotary cutter with its mat", "a long ruler", "a tape measure", "a hand needle"]
    if any(reason is None for reason in result.sewing.unmarked):
        tools.append("a marker and a scrap to try it on")
    if result.project.paper.sheets:
        tools.append("printer paper")
    return f"From your workbox: {join_with_and([*tools, 'thread for piecing and binding'])}."


def shopping_line(item: ShoppingItem, words: Measures) -> str:
    """One line of the shopping list, with what the stock leaves to buy."""
    note = f" ({item.note})" if item.note else ""
    if item.is_sold_by_length:
        wide = f", {words.cut(item.width_mm)} wide" if item.width_mm else ""
        more = words.cut(item.allowance_mm)
        spare = f", {more} of it for crooked cuts and the first wash" if item.allowance_mm else ""
        amount = f"{words.cut(item.need)}{wide}{spare}"
        buy = words.to_buy(item.short)
    elif item.unit == "m of thread":
        amount = f"{item.need:.0f} m"
        buy = count(item.buy_packs, f"spool of {item.pack:g} m", f"spools of {item.pack:g} m")
    else:
        have = "" if not item.have else "; you have enough"
        if item.have and item.short > 0:
            have = f"; buy {item.buy_packs} more"
        return f"{item.name[:1].upper()}{item.name[1:]}{note}: {item.need:.0f}{have}."
    told = f"buy {buy}" if item.short > 0 else "you have enough"
    return f"{item.name[:1].upper()}{item.name[1:]}: {amount}{note}; {told}."


def _cut(result: Result, room: PictureRoom, words: Measures) -> Step:
    plan = result.cutting
    pictures = (
        *(layout_picture(layout, room, words) for layout in plan.layouts),
        cutter_picture(room),
    )
    tasks = [
        f"Cut the {layout.name}: {count(layout.piece_count, 'piece')} from"
        f" {words.cut(layout.length_mm)} of cloth."
        for layout in plan.layouts
    ]
    tasks += [_top_cut(cut, result, words) for cut in plan.top_cuts]
    notes = ("Trim the selvedges off first. Cut the largest pieces first; label each as you go.",)
    return Step("Cut", tuple(tasks), pictures, notes, (CUTTER,))


PART_WORDS = {
    RegionKind.SASHING: "sashing strip",
    RegionKind.OUTER_SASHING: "outer sashing strip",
    RegionKind.BORDER: "border strip",
}


def _top_cut(cut: CutCount, result: Result, words: Measures) -> str:
    """One size of the top, for all copies, with its letter; joined borders by their strips."""
    copies, seam = result.cutting.copies, words.fine(result.project.top.seam)
    kind = PART_WORDS.get(cut.kind, cut.kind.value)
    name = f"{cut.letter}: " if cut.letter else ""
    joins = result.cutting.border_joins.get(cut.letter)
    if joins is not None:
        size = fine_size((joins.strip_mm, joins.width_mm), words)
        return f"{name}{count(joins.strips, kind)} {size}, to be joined."
    size = fine_size((cut.along_mm, cut.across_mm), words)
    return f"{name}{count(cut.count * copies, kind)} {size}, with {seam} for each seam."


def _prepare(result: Result, room: PictureRoom, words: Measures) -> Step:
    plan = result.cutting
    tasks = ["Press the top flat from the wrong side; do not push it out of shape."]
    if plan.off_square is not None:
        tasks += _off_square(result, words)
    if plan.panel_choices:
        best = plan.panel_choices[0]
        tasks.append(f"Lay them out as the drawing shows: {best.join.value}.")
        tasks += _trims(result, words)
        if best.join is Join.NONE:
            tasks.append(_top_size(result, words))
        pictures = (panels_picture(best, room, words),)
        return Step("Prepare the panels", tuple(tasks), pictures, (), (IRON, CUTTER))
    if plan.top_cuts and plan.pieced is None:
        tasks.append(
            f"Sew blocks and sashing together with {words.fine(result.project.top.seam)} seams;"
            " press after each seam."
        )
    if not _is_joined(result):
        tasks.append(_top_size(result, words))
    return Step("Prepare the top", tuple(tasks), (top_picture(result, room, words),), (), (IRON,))


def _top_size(result: Result, words: Measures) -> str:
    plan = result.cutting
    size = words.size(plan.top.cut_length_mm, plan.top.cut_width_mm)
    finished = words.size(*result.states.in_use.pair)
    text = (
        f"The flat top should measure {size}: quilting draws it up by about"
        f" {plan.quilting_share:.1%}{_washing(plan.draw_up.washing_share)}, which leaves"
        f" {finished}. If it is smaller, so will the finished runner be."
    )
    if plan.states.by == "swatches":
        least, most = (words.size(*size.pair) for size in plan.states.flat_between)
        text += f" By your own swatches it is between {least} and {most}."
    return text


def _washing(share: float) -> str:
    return f", and washing takes {share:.1%}" if share > 0 else ""


def _off_square(result: Result, words: Measures) -> list[str]:
    off = result.cutting.off_square
    assert off is not None
    skew, rectangle = off.skew, off.rectangle
    size = words.size(rectangle.length_mm, rectangle.width_mm)
    return [
        f"The print is {skew.out_of_square_deg:.1f} degrees out of square: its upper edge lies"
        f" {words.fine(abs(skew.end_shift_mm))} along from its lower edge.",
        f"The largest true rectangle in it is {size}. Quilting lines follow the print.",
    ]


def _cut_words(alike: list[PanelCut], words: Measures) -> str:
    """Cuts that are alike: which pieces, which edges, from which line, what is kept."""
    cut, edges = alike[0], join_with_and([f"the {one.piece}'s {one.edge.value}" for one in alike])
    place = f"{words.fine(abs(cut.beyond_mm))} {'outside' if cut.beyond_mm > 0 else 'inside'}"
    line = LINE_WORDS[cut.line]
    if abs(cut.beyond_mm) < ON_THE_LINE_MM:
        return f"Trim {edges}: cut on {line}; {words.fine(cut.off_mm)} falls off."
    return f"Trim {edges}: cut {place} {line}; {words.fine(cut.off_mm)} falls off."


LINE_WORDS = {
    SeenLine.PRINT: "the outer edge of the print",
    SeenLine.OUTERMOST: "the outermost printed line there",
    SeenLine.CLOTH: "the edge of the cloth",
}


def _trims(result: Result, words: Measures) -> list[str]:
    """Cut out along the print first, all edges in one; then every further cut by itself."""
    best = result.cutting.panel_choices[0]
    cuts = [step for step in result.cutting.panel_steps if isinstance(step, PanelCut)]
    round_print = [cut for cut in cuts if cut.line is SeenLine.PRINT]
    tasks = []
    if round_print:
        rim = words.fine(max(cut.off_mm for cut in round_print))
        left_on = [
            f"the {cut.piece}'s {cut.edge.value}"
            for cut in cuts
            if cut.edge.is_end
            and cut.line is SeenLine.OUTERMOST
            and not any((c.piece, c.edge) == (cut.piece, cut.edge) for c in round_print)
        ]
        but = f", but not at {join_with_and(left_on)}" if left_on else ""
        tasks.append(
            f"Cut {'each panel' if best.panels_used > 1 else 'the panel'} out along the outer"
            f" edge of the print{but}: up to {rim} of blank cloth falls off all round."
        )
    rest = [cut for cut in cuts if cut.line is not SeenLine.PRINT]
    return tasks + [_cut_words(alike, words) for alike in _group_alike(rest)]


def _group_alike(cuts: list[PanelCut]) -> list[list[PanelCut]]:
    """Cuts that are alike but for their piece and edge, ends and sides each by themselves."""
    groups: dict[tuple[object, ...], list[PanelCut]] = {}
    for cut in cuts:
        key = cut.edge.is_end, cut.line, round(cut.beyond_mm, 3), round(cut.off_mm, 3)
        groups.setdefault(key, []).append(cut)
    return list(groups.values())


def _join(result: Result, room: PictureRoom, words: Measures) -> Iterator[Step]:
    choices = result.cutting.panel_choices
    best = choices[0] if choices else None
    if best is not None and best.join is Join.NONE:
        return
    seam = best.panel.seam_mm if best else result.project.top.seam
    tasks = (
        "Lay the two panels right sides together, edges level; pin where printed lines meet first.",
        f"Sew with a seam allowance of {words.fine(seam)}.",
        "Press the seam open.",
        _top_size(result, words),
    )
    yield Step("Join the panels", tasks, (join_picture(best, room, words),), (), (PINS, IRON))


def _backing(result: Result, room: PictureRoom, words: Measures) -> Step:
    layer = result.cutting.layers.backing
    tasks = [_layer_size("Backing", layer, words)]
    if layer.seams_mm:
        tasks.append(f"Sew the pieces together with {words.fine(layer.seam_allowance_mm)} seams.")
        tasks.append(_seams("seam", layer, words))
        tasks.append("Press the seams open.")
    tasks.append("Press the whole backing.")
    picture = layer_picture(result, layer, "backing", room, words)
    return Step("Make the backing", tuple(tasks), (picture,), _near("backing", layer), (IRON,))


def _layer_size(name: str, layer: Piecing, words: Measures) -> str:
    size = words.size(layer.size.length_mm, layer.size.width_mm)
    pieces = "in one piece" if layer.widths == 1 else f"from {layer.widths} pieces"
    return f"{name}: {size}, {pieces}."


def _seams(kind: str, layer: Piecing, words: Measures) -> str:
    low, _ = layer.size.span(layer.axis)
    edge = "left end" if layer.axis == 0 else "lower edge"
    places = [words.cut(at - low) for at in layer.seams_mm]
    lie = f"{kind}s lie" if len(places) > 1 else f"{kind} lies"
    return f"The {lie} {join_with_and(places)} from its {edge}."


def _near(name: str, layer: Piecing) -> tuple[str, ...]:
    if not layer.near:
        return ()
    return (
        f"A {name} join cannot be kept clear of {join_with_and(list(layer.near))}: press it well.",
    )


def _wadding(result: Result, room: PictureRoom, words: Measures) -> Step:
    plan = result.cutting
    layer, basting = plan.layers.wadding, plan.basting
    tasks = ["Let the wadding lie open for some hours until its folds are out."]
    tasks.append(_layer_size("Wadding", layer, words))
    cautions: tuple[str, ...] = ()
    if layer.seams_mm:
        tasks.append("Butt the pieces edge to edge; never overlap them.")
        tasks.append(_seams("join", layer, words))
        if basting.stitches is not None:
            tasks.append(
                f"Hold each join with herringbone stitches by hand,"
                f" {count(basting.stitches.stitches, 'stitch', 'stitches')} in all."
            )
        else:
            tasks.append(f"Hold the joins with {words.cut(basting.tape_mm)} of fusible tape.")
            cautions = (TAPE, IRON)
    picture = layer_picture(result, layer, "wadding", room, words)
    return Step("Make the wadding", tuple(tasks), (picture,), _near("wadding", layer), cautions)


def _wadding_on(shows_mm: float, words: Measures) -> str:
    """``shows_mm`` of backing along the sides, less than none where the wadding is the wider."""
    if shows_mm >= 0:
        return f"Lay the wadding on it: {words.cut(shows_mm)} of backing shows along the sides."
    over = words.cut(-shows_mm)
    return f"Lay the wadding on it: {over} stands over along the sides; trim that off."


def _baste(result: Result, room: PictureRoom, words: Measures) -> Step:
    plan = result.cutting
    basting, pins = plan.basting, plan.basting.pins
    inch = result.project.backing.extra - result.project.wadding.extra
    tasks = [
        "Tape the backing to a flat surface, wrong side up, smooth but not stretched.",
        _wadding_on(inch, words),
        "Lay the top on it, right side up, in the middle; smooth it from the centre outwards.",
    ]
    if pins is not None:
        tasks.append(
            f"Pin from the centre outwards: {count(pins.count, 'pin')} in {pins.across} rows of"
            f" {pins.along}, {words.cut(pins.apart_along_mm)} apart along the runner and"
            f" {words.cut(pins.apart_across_mm)} across. Keep pins off the lines to be sewn."
        )
        cautions: tuple[str, ...] = ()
    else:
        tasks += _spray(basting.sections_mm, words)
        cautions = (SPRAY,)
    return Step(
        "Layer and baste", tuple(tasks), (basting_picture(result, room, words),), (), cautions
    )


def _spray(ends_mm: tuple[float, ...], words: Measures) -> list[str]:
    sections = len(ends_mm)
    return [
        "Fold half the top back. Spray the wadding, never the fabric.",
        f"Work from the middle: {sections // 2} sections in each half, each"
        f" {words.cut(ends_mm[0])} long; smooth the top down on each before the next.",
        "Turn round and do the other half; then the backing in the same way.",
    ]
