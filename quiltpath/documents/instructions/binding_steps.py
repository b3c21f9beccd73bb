"""Steps of the binding: cut and join, sew on, mitre, close, fold, top-stitch; and care."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from quiltpath.documents.instructions.cutting_layout import perimeter_picture
from quiltpath.documents.instructions.handling_pictures import (
    closing_picture,
    diagonal_picture,
    fold_picture,
    mitre_picture,
    sewing_on_picture,
    slip_stitch_picture,
    top_stitch_picture,
)
from quiltpath.documents.instructions.runner_pictures import hanging_picture
from quiltpath.documents.instructions.step import CUTTER, HOT_DISHES, IRON, MICROWAVE, NEEDLE, Step
from quiltpath.drawing.sketch import Picture, PictureRoom
from quiltpath.materials.binding import TOP_STITCH_MM
from quiltpath.materials.binding_plan import BindingPlan, MitreRow
from quiltpath.project import Project
from quiltpath.result.values import Result
from quiltpath.units import Measures, count, join_with_and


def binding_steps(result: Result, room: PictureRoom, words: Measures) -> Iterator[Step]:
    """The steps in order."""
    binding, first = result.cutting.binding, result.project.binding.first_to
    yield _strips(binding, room, words)
    yield _sew_on(binding, first, room, words)
    if binding.edge.corners:
        yield _mitre(binding, room, words)
    yield _close(binding, room, words)
    yield _fold(binding, first, room, words)
    yield _finish(binding, result.project, room, words)
    yield _care(result, room, words)


def _strips(binding: BindingPlan, room: PictureRoom, words: Measures) -> Step:
    setting, lengths = binding.setting, binding.strips.lengths_mm
    width = words.fine(setting.width_mm)
    if binding.bias_mm is not None:
        tasks = _bias_strip(binding, binding.bias_mm, words)
    else:
        total = words.cut(binding.needed.total_mm)
        order = join_with_and([words.cut(length) for length in binding.joins.strips_mm])
        tasks = [
            f"Cut {count(len(lengths), 'strip')} {width} wide, from selvedge to selvedge.",
            f"Join them with diagonal seams: at least {total} are needed.",
        ]
        if len(set(lengths)) > 1:
            tasks.append(f"Join them in this order: {order}.")
        tasks.append(
            f"Trim each seam to {words.usual(6.35, 6)} and press it open. Each join takes one strip"
            f" width, {width}."
        )
    if setting.fold == "double":
        tasks.append("Fold the strip in half lengthwise, wrong sides together, and press.")
    if binding.joins.cut_first_mm >= 0.5:
        why = "no join lands in a corner"
        if binding.edge.is_curved:
            why = "the joins lie where the edge is straight or nearly so"
        off = words.cut(binding.joins.cut_first_mm)
        tasks.append(f"Cut {off} off the beginning of the joined strip, so that {why}.")
    picture = diagonal_picture(setting, room, words)
    notes = (_spare(binding, words), *_on_curves(binding, words))
    return Step("Cut and join the binding", tuple(tasks), (picture,), notes, (CUTTER, IRON))


def _bias_strip(binding: BindingPlan, cloth_mm: tuple[float, float], words: Measures) -> list[str]:
    """One long strip from one piece of cloth: a tube that is cut round and round."""
    width, seam = words.fine(binding.setting.width_mm), words.usual(6.35, 6)
    return [
        f"Cut {words.size(*cloth_mm)} of cloth for one continuous bias strip, {width} wide and at"
        f" least {words.cut(binding.needed.total_mm)} long.",
        "Cut it once at 45 degrees, from a corner on. Lay two edges that lie with the grain right"
        f" sides together, sew them with a {seam} seam and press it open: two edges are now on the"
        " bias.",
        f"Draw lines {width} apart along the bias edges. Sew the other two edges to a tube, shifted"
        " by one line so that lines meet lines, and cut along the line, round and round.",
    ]


def _spare(binding: BindingPlan, words: Measures) -> str:
    """How much of the joined strip is over, so that nobody takes the need for a measure."""
    laid, over = words.cut(binding.laid_mm), words.cut(binding.spare_mm)
    return f"The edge takes {laid} with its mitres and the closing join; {over} are over."


def _on_curves(binding: BindingPlan, words: Measures) -> list[str]:
    """What a curved edge asks of the strip."""
    setting, edge = binding.setting, binding.edge
    if not edge.is_curved:
        return []
    tight = words.cut(edge.bends.tightest_mm)
    if binding.needs_bias:
        return [
            f"The edge curves to a radius of {tight} and these strips are cut with the grain: they"
            f" will pucker. Below {words.cut(setting.bias_below)} cut them on the bias"
            ' (cut = "bias" under [binding]).'
        ]
    if setting.cut == "bias":
        return [
            f"The edge curves to a radius of {tight}. A bias strip goes round it: neither pull it"
            " round an outer curve nor push it into an inner one."
        ]
    return [f"The edge curves to a radius of {tight}: strips cut with the grain ease round it."]


def _sew_on(binding: BindingPlan, first: str, room: PictureRoom, words: Measures) -> Step:
    setting, joins = binding.setting, binding.joins
    start = _from_corner(binding, joins.start_mm, words)
    tasks = [
        f"The two ends will be joined at START in the drawing, {start}. The drawing shows the"
        f" {first}: sew round it anticlockwise, the edge on your right.",
        f"Lay the binding on the {first}, raw edges level. Leave"
        f" {words.cut(setting.loose_start)} loose, then sew with a"
        f" {words.fine(setting.seam_mm)} seam.",
        f"Begin and stop {words.cut(setting.loose_start)} from START, so that"
        f" {words.cut(setting.open)} stay open in all.",
    ]
    clear = words.cut(max(0.0, joins.least_mm))
    if joins.joins_mm and binding.keeps_clear:
        note = f"Joins keep at least {clear} from {_obstacles(binding)}."
    elif joins.joins_mm:
        note = (
            f"One join comes within {clear} of a corner or join: the best that these strips give."
        )
    else:
        note = "One strip goes all the way round: there is no join but the closing one."
    notes = (note, *_joins_on_curves(binding, words))
    pictures = (
        perimeter_picture(binding, room, words),
        sewing_on_picture(setting, room, words),
    )
    return Step("Sew the binding on", tuple(tasks), pictures, notes, (NEEDLE,))


def _obstacles(binding: BindingPlan) -> str:
    """What joins of this binding can come near to."""
    there = {"corners": bool(binding.edge.corners), "the panel join": bool(binding.panel_joins_mm)}
    return join_with_and([*(name for name, is_there in there.items() if is_there), "each other"])


def _joins_on_curves(binding: BindingPlan, words: Measures) -> list[str]:
    """Where joins lie on an edge that curves; nothing for straight sides."""
    if not binding.edge.is_curved:
        return []
    closing, joins = binding.closing_radius_mm, binding.join_radius_mm
    told = ["The closing join lies on straight edge."]
    if math.isfinite(closing):
        told = [
            "No straight edge is long enough for the closing join: it lies on the flattest part, a"
            f" radius of {words.cut(closing)}. Lay both ends flat along the curve before you cut."
        ]
    if binding.joins.joins_mm and math.isfinite(joins):
        told.append(f"Of the other joins one lies on a curve with a radius of {words.cut(joins)}.")
    elif binding.joins.joins_mm:
        told.append("The other joins lie on straight edge.")
    return told


def _from_corner(binding: BindingPlan, at: float, words: Measures) -> str:
    """Where a place on the edge lies: from the corner before it, or from the outline's ends."""
    before = [c.along_mm for c in binding.edge.corners]
    if not before:
        x, _ = binding.edge.point_at(at)
        low, high = binding.edge.ring[:, 0].min(), binding.edge.ring[:, 0].max()
        end, far = ("left", x - low) if x - low <= high - x else ("right", high - x)
        return f"{words.cut(float(far))} from the {end} end, as the drawing shows"
    back, corner = min(((at - place) % binding.edge.length_mm, place) for place in before)
    return f"{words.cut(back)} after the {_corner_name(binding, corner)} corner"


def _corner_name(binding: BindingPlan, at: float) -> str:
    """A corner by its side of the drawing: ``"lower left"``."""
    x, y = binding.edge.point_at(at)
    middle_x, middle_y = (binding.edge.ring.min(axis=0) + binding.edge.ring.max(axis=0)) / 2
    return f"{'lower' if y < middle_y else 'upper'} {'left' if x < middle_x else 'right'}"


def _mitre(binding: BindingPlan, room: PictureRoom, words: Measures) -> Step:
    rows = binding.mitres
    outer = [row for row in rows if not row.is_inner]
    tasks = [_mitre_row(row, words) for row in rows]
    tasks += [
        "Keep the needle down, turn, and sew off diagonally into the corner. Cut the thread.",
        "Fold the strip away so that its raw edge makes one straight line with the next edge.",
        "Fold it back down, the fold level with the edge just sewn, and go on from the edge.",
    ]
    pictures: tuple[Picture, ...] = tuple(
        mitre_picture(row, binding.setting, room, words) for row in outer[:2]
    )
    return Step("Mitre the corners", tuple(tasks), pictures, (), (NEEDLE,))


def _mitre_row(row: MitreRow, words: Measures) -> str:
    corners = count(row.corners, "corner")
    if row.is_inner:
        return (
            f"{corners} of {row.angle_deg:.0f} degrees, turned inwards: clip the edge to the seam"
            " line, spread it straight and sew past."
        )
    if round(row.angle_deg, 1) == 90.0:
        return (
            f"At each of the {corners}: stop {words.fine(row.stop_mm)} before the edge; the first"
            " fold lies on the diagonal."
        )
    return (
        f"{corners} of {row.angle_deg:.0f} degrees: stop {words.fine(row.stop_mm)} before the"
        f" corner; the first fold lies at {_degrees(row.fold_deg)} degrees."
    )


def _degrees(angle: float) -> str:
    """To half a degree: nobody folds finer."""
    return f"{round(angle * 2) / 2:g}"


def _close(binding: BindingPlan, room: PictureRoom, words: Measures) -> Step:
    width = words.fine(binding.setting.width_mm)
    tasks = (
        "Lay both ends flat over the open stretch.",
        f"Cut the end so that it overlaps the start by exactly one strip width, {width}.",
        "Join the two ends with a diagonal seam, right sides together; check that nothing is"
        " twisted before you trim it.",
        f"Sew the open {words.cut(binding.setting.open)} down.",
    )
    picture = closing_picture(binding.setting, room, words)
    return Step("Close the binding", tasks, (picture,), (), (NEEDLE,))


def _fold(binding: BindingPlan, first: str, room: PictureRoom, words: Measures) -> Step:
    setting = binding.setting
    other = "back" if first == "front" else "front"
    tasks = [f"Fold the binding round the edge to the {other}."]
    if setting.fold == "single":
        tasks.append(f"Turn its raw edge under by {words.fine(setting.turn_under_mm)}.")
    tasks.append("Let the fold just cover the seam; clip or pin it.")
    if binding.edge.corners:
        tasks.append("Fold the corners into mitres.")
    return Step("Fold the binding", tuple(tasks), (fold_picture(setting, room, words),))


def _finish(binding: BindingPlan, project: Project, room: PictureRoom, words: Measures) -> Step:
    hand_way = "left to right" if project.instructions.left_handed else "right to left"
    first = project.binding.first_to
    inch = words.usual(TOP_STITCH_MM, 1.5)
    by_machine = f"op-stitch by machine {inch} from the folded edge, all the way round."
    mitres = ", the mitres as well" if binding.edge.corners else ""
    by_hand = f"ew the fold down by hand with small slip stitches{mitres}, from {hand_way}."
    tasks = (f"T{by_machine}", f"Or s{by_hand}")
    if first == "front":
        tasks = (f"S{by_hand}", f"Or t{by_machine}")
    pictures = [
        top_stitch_picture(binding.setting, room, words),
        slip_stitch_picture(binding.setting, room),
    ]
    if first == "front":
        pictures.reverse()
    return Step("Top-stitch", tasks, tuple(pictures), (), (NEEDLE,))


def _care(result: Result, room: PictureRoom, words: Measures) -> Step:
    wash = result.cutting.draw_up.washing_share
    tasks = [
        "Rinse marks out with cold water first; no heat before they are gone.",
        "Wash gently, with a dye-catching sheet the first time; dry flat.",
    ]
    if wash > 0:
        length, width = ((1 - wash) * np.ptp(result.cutting.edge.ring, axis=0)).tolist()
        tasks.append(f"After washing expect about {words.size(length, width)}.")
    cautions = [HOT_DISHES]
    if "insulated" in (result.project.wadding.kind or ""):
        cautions.append(MICROWAVE)
    picture = hanging_picture(result, room, words)
    return Step("Use and care", tuple(tasks), (picture,), (), tuple(cautions))
