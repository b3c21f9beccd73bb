"""Steps up to the flat top: what to buy, cutting, measuring, panels."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from quiltpath.documents.instructions.cutting_layout import (
    cloth_words,
    layout_picture,
)
from quiltpath.documents.instructions.gather_step import gather_step
from quiltpath.documents.instructions.handling_pictures import (
    cutter_picture,
    join_picture,
    panels_picture,
)
from quiltpath.documents.instructions.piecing_step import fine_size, piecing_step
from quiltpath.documents.instructions.runner_pictures import (
    table_picture,
    top_picture,
)
from quiltpath.documents.instructions.square_up import outline_on_the_top
from quiltpath.documents.instructions.step import CUTTER, IRON, PINS, Step
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.geometry.runner_shapes import RegionKind
from quiltpath.language import message, messages, say, say_known
from quiltpath.materials.pieced_top import CutCount
from quiltpath.materials.piecing import Piecing
from quiltpath.result.values import Result
from quiltpath.runner.panel_steps import PanelCut, SeenLine
from quiltpath.runner.panels import Join
from quiltpath.units import Measures, count, join_with_and

ON_THE_LINE_MM = 0.5


def top_steps(result: Result, room: PictureRoom, words: Measures) -> Iterator[Step]:
    """The steps up to the flat top, in order."""
    yield _measure(result, room, words)
    yield gather_step(result, room, words)
    yield _cut(result, room, words)
    if result.cutting.pieced is not None and sum(c.count for c in result.cutting.pieced.cuts) > 1:
        pieced, joins = result.cutting.pieced, result.cutting.border_joins
        yield piecing_step(pieced, joins, room, words)
    yield _prepare(result, room, words)
    if _is_joined(result):
        yield from _join(result, room, words)


def _is_joined(result: Result) -> bool:
    """True where two panels are sewn together: as they are cut, or as the runner says."""
    choices = result.cutting.panel_choices
    if choices:
        return choices[0].join is not Join.NONE
    return any(seam.is_panel_join for seam in result.runner.seams)


def _measure(result: Result, room: PictureRoom, words: Measures) -> Step:
    fit = result.cutting.fit
    size = words.size(*result.states.in_use.pair)
    tasks = [say("Check that you want a finished runner of {size}.", size=size)]
    if result.cutting.copies > 1:
        tasks.append(
            say(
                "{copies} of it are made: cloth is bought and cut for all of them; the"
                " steps after cutting are for one, done as often.",
                copies=result.cutting.copies,
            )
        )
    if fit is not None:
        table = words.size(fit.table.length_mm, fit.table.width_mm)
        tasks.insert(0, say("Measure the table: {table}.", table=table))
        hangs = say(
            "It hangs down {drop} at each end and covers {share:.0%} of the table's width.",
            drop=words.cut(fit.drop_mm),
            share=fit.width_share,
        )
        if fit.drop_mm < 0:
            hangs = say(
                "It ends {short} before the table's edge at each end and covers {share:.0%} of the"
                " table's width.",
                short=words.cut(-fit.drop_mm),
                share=fit.width_share,
            )
        look = say(
            "Lay a tape measure over the table with chairs and place mats where they belong, and"
            " look whether you like it."
        )
        tasks.append(f"{hangs} {look}")
    return Step(say("Measure"), tuple(tasks), (table_picture(result, room, words),))


def _cut(result: Result, room: PictureRoom, words: Measures) -> Step:
    plan = result.cutting
    pictures = (
        *(layout_picture(layout, room, words) for layout in plan.layouts),
        cutter_picture(room),
    )
    later = {piece.name for _, piece in plan.binding.pieces()}
    tasks = [
        say("Trim the selvedges off first. Cut the largest pieces first; label each as you go.")
    ]
    tasks += [
        say(
            "Cut the {name}: {pieces} from {length} of cloth.",
            name=cloth_words(layout),
            pieces=count(now, "piece"),
            length=words.cut(layout.length_mm),
        )
        for layout in plan.layouts
        if (now := sum(p.piece.holds for p in layout.placed if p.piece.name not in later))
    ]
    tasks += [_top_cut(cut, result, words) for cut in plan.top_cuts]
    tasks += _layer_cuts(say("Backing"), plan.layers.backing, plan.copies, words)
    tasks += _layer_cuts(say("Wadding"), plan.layers.wadding, plan.copies, words)
    tasks.append(
        say(
            "Binding: leave the cloth that the drawing has for it whole; it is cut once the runner"
            " is squared up and measured."
        )
    )
    return Step(say("Cut"), tuple(tasks), pictures, (), (CUTTER,))


PART_WORDS = {
    RegionKind.BLOCK: messages("block", "blocks"),
    RegionKind.CORNERSTONE: messages("cornerstone", "cornerstones"),
    RegionKind.SASHING: messages("sashing strip", "sashing strips"),
    RegionKind.OUTER_SASHING: messages("outer sashing strip", "outer sashing strips"),
    RegionKind.BORDER: messages("border strip", "border strips"),
}


def _top_cut(cut: CutCount, result: Result, words: Measures) -> str:
    """One size of the top, for all copies, with its letter; joined borders by their strips."""
    copies, seam = result.cutting.copies, words.fine(result.project.top.seam)
    kind = PART_WORDS[cut.kind]
    name = f"{cut.letter}: " if cut.letter else ""
    joins = result.cutting.border_joins.get(cut.letter)
    if joins is not None:
        size = fine_size((joins.strip_mm, joins.width_mm), words)
        return say(
            "{name}{strips} {size}, to be joined.",
            name=name,
            strips=count(joins.strips, *kind),
            size=size,
        )
    size = fine_size((cut.along_mm, cut.across_mm), words)
    return say(
        "{name}{pieces} {size}, with {seam} for each seam.",
        name=name,
        pieces=count(cut.count * copies, *kind),
        size=size,
        seam=seam,
    )


def _layer_cuts(name: str, layer: Piecing, copies: int, words: Measures) -> Iterator[str]:
    """The pieces of a layer, those of one size together, as they lie on their cloth."""
    alike = Counter(words.size(p.on_length_mm, p.on_width_mm) for p in layer.pieces)
    for size, pieces in alike.items():
        yield say(
            "{name}: {pieces} {size}.",
            name=name,
            pieces=count(pieces * copies, "piece"),
            size=size,
        )


def _prepare(result: Result, room: PictureRoom, words: Measures) -> Step:
    plan = result.cutting
    tasks = [say("Press the top flat from the wrong side; do not push it out of shape.")]
    if plan.off_square is not None:
        tasks += _off_square(result, words)
    if plan.panel_choices:
        best = plan.panel_choices[0]
        tasks.append(
            say("Lay them out as the drawing shows: {way}.", way=say_known(best.join.value))
        )
        tasks += _trims(result, words)
        if best.join is Join.NONE:
            tasks += _top_size(result, words)
        pictures = (panels_picture(best, room, words),)
        return Step(say("Prepare the panels"), tuple(tasks), pictures, (), (IRON, CUTTER))
    if plan.top_cuts and plan.pieced is None:
        tasks.append(
            say(
                "Sew blocks and sashing together with {seam} seams; press after each seam.",
                seam=words.fine(result.project.top.seam),
            )
        )
    if not _is_joined(result):
        tasks += _top_size(result, words)
    return Step(say("Prepare the top"), tuple(tasks), (top_picture(result, room),), (), (IRON,))


def _top_size(result: Result, words: Measures) -> list[str]:
    """What the flat top measures, and that an outline of its own is cut only later."""
    plan = result.cutting
    size = words.size(plan.top.cut_length_mm, plan.top.cut_width_mm)
    finished = words.size(*result.states.in_use.pair)
    text = say(
        "The flat top should measure {size}: quilting draws it up by about"
        " {share:.1%}{washing}, which leaves {finished}. If it is"
        " smaller, so will the finished runner be.",
        size=size,
        share=plan.quilting_share,
        washing=_washing(plan.draw_up.washing_share),
        finished=finished,
    )
    if plan.states.by == "swatches":
        least, most = (words.size(*size.pair) for size in plan.states.flat_between)
        text += say(
            " By your own swatches it is between {least} and {most}.", least=least, most=most
        )
    if plan.trimming.diagonals_mm is not None:
        return [text]
    return [
        text,
        say(
            "Leave it a rectangle of that size: its own outline is cut after quilting, when the"
            " runner is squared up."
        ),
        *outline_on_the_top(result, words),
    ]


def _washing(share: float) -> str:
    return say(", and washing takes {share:.1%}", share=share) if share > 0 else ""


def _off_square(result: Result, words: Measures) -> list[str]:
    off = result.cutting.off_square
    assert off is not None
    skew, rectangle = off.skew, off.rectangle
    size = words.size(rectangle.length_mm, rectangle.width_mm)
    return [
        say(
            "The print is {out_of_square:.1f} degrees out of square: its upper edge lies"
            " {end_shift} along from its lower edge.",
            out_of_square=skew.out_of_square_deg,
            end_shift=words.fine(abs(skew.end_shift_mm)),
        ),
        say(
            "The largest true rectangle in it is {size}. Quilting lines follow the print.",
            size=size,
        ),
    ]


def _cut_words(alike: list[PanelCut], words: Measures) -> str:
    """Cuts that are alike: which pieces, which edges, from which line, what is kept."""
    cut, edges = alike[0], join_with_and([_edge_of(one) for one in alike])
    line, place = say_known(LINE_WORDS[cut.line]), words.fine(abs(cut.beyond_mm))
    if abs(cut.beyond_mm) < ON_THE_LINE_MM:
        return say(
            "Trim {edges}: cut on {line}; {off} falls off.",
            edges=edges,
            line=line,
            off=words.fine(cut.off_mm),
        )
    if cut.beyond_mm > 0:
        return say(
            "Trim {edges}: cut {place} outside {line}; {off} falls off.",
            edges=edges,
            place=place,
            line=line,
            off=words.fine(cut.off_mm),
        )
    return say(
        "Trim {edges}: cut {place} inside {line}; {off} falls off.",
        edges=edges,
        place=place,
        line=line,
        off=words.fine(cut.off_mm),
    )


def _edge_of(cut: PanelCut) -> str:
    piece, edge = say_known(cut.piece), say_known(cut.edge.value)
    return say("the {piece}'s {edge}", piece=piece, edge=edge)


LINE_WORDS = {
    SeenLine.PRINT: message("the outer edge of the print"),
    SeenLine.OUTERMOST: message("the outermost printed line there"),
    SeenLine.CLOTH: message("the edge of the cloth"),
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
            _edge_of(cut)
            for cut in cuts
            if cut.edge.is_end
            and cut.line is SeenLine.OUTERMOST
            and not any((c.piece, c.edge) == (cut.piece, cut.edge) for c in round_print)
        ]
        but = say(", but not at {left_on}", left_on=join_with_and(left_on)) if left_on else ""
        told = say(
            "Cut the panel out along the outer edge of the print{but}: up to {rim} of blank cloth"
            " falls off all round.",
            but=but,
            rim=rim,
        )
        if best.panels_used > 1:
            told = say(
                "Cut each panel out along the outer edge of the print{but}: up to {rim} of blank"
                " cloth falls off all round.",
                but=but,
                rim=rim,
            )
        tasks.append(told)
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
        say(
            "Lay the two panels right sides together, edges level; pin where printed lines"
            " meet first."
        ),
        say("Sew with a seam allowance of {seam}.", seam=words.fine(seam)),
        say("Press the seam open."),
        *_top_size(result, words),
    )
    yield Step(say("Join the panels"), tasks, (join_picture(best, room, words),), (), (PINS, IRON))
