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
from quiltpath.language import message, say, say_known
from quiltpath.materials.binding import TOP_STITCH_MM
from quiltpath.materials.binding_plan import BindingPlan, MitreRow
from quiltpath.project import Project
from quiltpath.result.values import Result
from quiltpath.units import Measures, count, join_with_and

SIDE_WORDS = {"front": message("front"), "back": message("back")}


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
            say(
                "Cut {lengths} {width} wide, each across the whole width of the cloth.",
                lengths=count(len(lengths), "strip"),
                width=width,
            ),
            say("Join them with diagonal seams: at least {total} are needed.", total=total),
        ]
        if len(set(lengths)) > 1:
            tasks.append(say("Join them in this order: {order}.", order=order))
        tasks.append(
            say(
                "Trim each seam to {seam} and press it open. Each join takes one strip"
                " width, {width}.",
                seam=words.usual(6.35, 6),
                width=width,
            )
        )
    if setting.fold == "double":
        tasks.append(say("Fold the strip in half lengthwise, wrong sides together, and press."))
    if binding.joins.cut_first_mm >= 0.5:
        tasks.append(_cut_first(binding, words.cut(binding.joins.cut_first_mm)))
    picture = diagonal_picture(setting, room, words)
    notes = (_spare(binding, words), *_one_less(binding, words), *_on_curves(binding, words))
    return Step(say("Cut and join the binding"), tuple(tasks), (picture,), notes, (CUTTER, IRON))


def _cut_first(binding: BindingPlan, off: str) -> str:
    if binding.edge.is_curved:
        return say(
            "Cut {off} off the beginning of the joined strip, so that the joins lie where the"
            " edge is straight or nearly so; try the seam on it.",
            off=off,
        )
    return say(
        "Cut {off} off the beginning of the joined strip, so that no join lands in a corner;"
        " try the seam on it.",
        off=off,
    )


def _bias_strip(binding: BindingPlan, cloth_mm: tuple[float, float], words: Measures) -> list[str]:
    """One long strip from one piece of cloth: a tube that is cut round and round."""
    width, seam = words.fine(binding.setting.width_mm), words.usual(6.35, 6)
    return [
        say(
            "Cut {cloth} of cloth for one continuous bias strip, {width} wide and at least"
            " {total} long.",
            cloth=words.size(*cloth_mm),
            width=width,
            total=words.cut(binding.needed.total_mm),
        ),
        say(
            "Cut it once at 45 degrees, from a corner on. Lay two edges that lie with the"
            " grain right sides together, sew them with a {seam} seam and press it open:"
            " two edges are now on the bias.",
            seam=seam,
        ),
        say(
            "Draw lines {width} apart along the bias edges. Sew the other two edges to a"
            " tube, shifted by one line so that lines meet lines, and cut along the line,"
            " round and round.",
            width=width,
        ),
    ]


def _spare(binding: BindingPlan, words: Measures) -> str:
    """How much of the joined strip is over, so that nobody takes the need for a measure."""
    laid, over = words.cut(binding.laid_mm), words.cut(binding.spare_mm)
    if not binding.edge.corners:
        return say(
            "The edge takes {laid} with the closing join; {over} are over.", laid=laid, over=over
        )
    return say(
        "The edge takes {laid} with its mitres and the closing join; {over} are over.",
        laid=laid,
        over=over,
    )


def _one_less(binding: BindingPlan, words: Measures) -> tuple[str, ...]:
    """Why so much is over, where it is the better part of a strip: what one less would leave."""
    lengths, left_mm = binding.strips.lengths_mm, binding.one_less_mm
    if left_mm is None or binding.spare_mm < max(lengths) / 2:
        return ()
    fewer = count(len(lengths) - 1, "strip")
    if left_mm < 0:
        short = words.cut(-left_mm)
        return (say("With {fewer} it would be {short} too short.", fewer=fewer, short=short),)
    needs = words.cut(binding.handling_mm)
    return (
        say(
            "With {fewer} only {left} would be over: too little to lay the ends by, for which"
            " {needs} are reckoned.",
            fewer=fewer,
            left=words.cut(left_mm),
            needs=needs,
        ),
    )


def _on_curves(binding: BindingPlan, words: Measures) -> list[str]:
    """What a curved edge asks of the strip."""
    setting, edge = binding.setting, binding.edge
    if not edge.is_curved:
        return []
    tight = words.cut(edge.bends.tightest_mm)
    if binding.needs_bias:
        return [
            say(
                "The edge curves to a radius of {tight} and these strips are cut with the"
                " grain: they will pucker. Below {bias_below} cut them on the bias (cut ="
                ' "bias" under [binding]).',
                tight=tight,
                bias_below=words.cut(setting.bias_below),
            )
        ]
    if setting.cut == "bias":
        return [
            say(
                "The edge curves to a radius of {tight}. A bias strip goes round it:"
                " neither pull it round an outer curve nor push it into an inner one.",
                tight=tight,
            )
        ]
    return [
        say(
            "The edge curves to a radius of {tight}: strips cut with the grain ease round it.",
            tight=tight,
        )
    ]


def _sew_on(binding: BindingPlan, first: str, room: PictureRoom, words: Measures) -> Step:
    setting, joins = binding.setting, binding.joins
    start = _from_corner(binding, joins.start_mm, words)
    tasks = [
        say(
            "The two ends will be joined at START in the drawing, {start}. The drawing"
            " shows the {first}: sew round it anticlockwise, the edge on your right.",
            start=start,
            first=say_known(SIDE_WORDS[first]),
        ),
        say(
            "Lay the binding on the {first}, raw edges level. Leave {loose_start} loose,"
            " then sew with a {seam} seam.",
            first=say_known(SIDE_WORDS[first]),
            loose_start=words.cut(setting.loose_start),
            seam=words.fine(setting.seam_mm),
        ),
        say(
            "Begin and stop {loose_start} from START, so that {open} stay open in all.",
            loose_start=words.cut(setting.loose_start),
            open=words.cut(setting.open),
        ),
    ]
    clear = words.cut(max(0.0, joins.least_mm))
    if joins.joins_mm and binding.keeps_clear:
        note = say(
            "Joins keep at least {clear} from {places}.", clear=clear, places=_obstacles(binding)
        )
    elif joins.joins_mm:
        note = say(
            "One join comes within {clear} of a corner or join: the best that these strips give.",
            clear=clear,
        )
    else:
        note = say("One strip goes all the way round: there is no join but the closing one.")
    notes = (note, *_joins_on_curves(binding, words))
    pictures = (
        perimeter_picture(binding, room, words),
        sewing_on_picture(setting, room, words),
    )
    return Step(say("Sew the binding on"), tuple(tasks), pictures, notes, (NEEDLE,))


def _obstacles(binding: BindingPlan) -> str:
    """What joins of this binding can come near to."""
    told = [say("corners")] if binding.edge.corners else []
    told += [say("the panel join")] if binding.panel_joins_mm else []
    return join_with_and([*told, say("each other")])


def _joins_on_curves(binding: BindingPlan, words: Measures) -> list[str]:
    """Where joins lie on an edge that curves; nothing for straight sides."""
    if not binding.edge.is_curved:
        return []
    closing, joins = binding.closing_radius_mm, binding.join_radius_mm
    told = [say("The closing join lies on straight edge.")]
    if math.isfinite(closing):
        told = [
            say(
                "No straight edge is long enough for the closing join: it lies on the"
                " flattest part, a radius of {closing}. Lay both ends flat along the curve"
                " before you cut.",
                closing=words.cut(closing),
            )
        ]
    if binding.joins.joins_mm and math.isfinite(joins):
        told.append(
            say(
                "Of the other joins one lies on a curve with a radius of {joins}.",
                joins=words.cut(joins),
            )
        )
    elif binding.joins.joins_mm:
        told.append(say("The other joins lie on straight edge."))
    return told


def _from_corner(binding: BindingPlan, at: float, words: Measures) -> str:
    """Where a place on the edge lies: from the corner before it, or from the outline's ends."""
    before = [c.along_mm for c in binding.edge.corners]
    if not before:
        x, _ = binding.edge.point_at(at)
        low, high = binding.edge.ring[:, 0].min(), binding.edge.ring[:, 0].max()
        if x - low <= high - x:
            far = words.cut(float(x - low))
            return say("{far} from the left end, as the drawing shows", far=far)
        far = words.cut(float(high - x))
        return say("{far} from the right end, as the drawing shows", far=far)
    back, corner = min(((at - place) % binding.edge.length_mm, place) for place in before)
    return say(
        "{back} after the {corner} corner",
        back=words.cut(back),
        corner=_corner_name(binding, corner),
    )


def _corner_name(binding: BindingPlan, at: float) -> str:
    """A corner by its side of the drawing: ``"lower left"``."""
    x, y = binding.edge.point_at(at)
    middle_x, middle_y = (binding.edge.ring.min(axis=0) + binding.edge.ring.max(axis=0)) / 2
    if y < middle_y:
        return say("lower left") if x < middle_x else say("lower right")
    return say("upper left") if x < middle_x else say("upper right")


def _mitre(binding: BindingPlan, room: PictureRoom, words: Measures) -> Step:
    rows = binding.mitres
    outer = [row for row in rows if not row.is_inner]
    tasks = [_mitre_row(row, words, alone=len(rows) == 1) for row in rows]
    tasks += [
        say("Keep the needle down, turn, and sew off diagonally into the corner. Cut the thread."),
        say("Fold the strip away so that its raw edge makes one straight line with the next edge."),
        say("Fold it back down, the fold level with the edge just sewn, and go on from the edge."),
    ]
    pictures: tuple[Picture, ...] = tuple(
        mitre_picture(row, binding.setting, room) for row in outer[:2]
    )
    return Step(say("Mitre the corners"), tuple(tasks), pictures, (), (NEEDLE,))


def _mitre_row(row: MitreRow, words: Measures, *, alone: bool) -> str:
    """What is done at these corners; their angle is told, but where all are square."""
    corners = count(row.corners, "corner")
    if row.is_inner:
        return say(
            "{corners} of {angle:.0f} degrees, turned inwards: clip the edge to the"
            " seam line, spread it straight and sew past.",
            corners=corners,
            angle=row.angle_deg,
        )
    if round(row.angle_deg, 1) == 90.0 and not alone:
        return say(
            "{corners} of {angle:.0f} degrees: stop {stop} before the edge; the first fold"
            " lies on the diagonal.",
            corners=corners,
            angle=row.angle_deg,
            stop=words.fine(row.stop_mm),
        )
    if round(row.angle_deg, 1) == 90.0:
        return say(
            "At each of the {corners}: stop {stop} before the edge; the first fold lies"
            " on the diagonal.",
            corners=corners,
            stop=words.fine(row.stop_mm),
        )
    return say(
        "{corners} of {angle:.0f} degrees: stop {stop} before the corner; the first"
        " fold lies at {fold} degrees.",
        corners=corners,
        angle=row.angle_deg,
        stop=words.fine(row.stop_mm),
        fold=_degrees(row.fold_deg),
    )


def _degrees(angle: float) -> str:
    """To half a degree: nobody folds finer."""
    return f"{round(angle * 2) / 2:g}"


def _close(binding: BindingPlan, room: PictureRoom, words: Measures) -> Step:
    width = words.fine(binding.setting.width_mm)
    tasks = (
        say("Lay both ends flat over the open stretch."),
        say(
            "Cut the end so that it overlaps the start by exactly one strip width, {width}.",
            width=width,
        ),
        say(
            "Join the two ends with a diagonal seam, right sides together; check that"
            " nothing is twisted before you trim it."
        ),
        say("Sew the open {open} down.", open=words.cut(binding.setting.open)),
    )
    picture = closing_picture(binding.setting, room, words)
    return Step(say("Close the binding"), tasks, (picture,), (), (NEEDLE,))


def _fold(binding: BindingPlan, first: str, room: PictureRoom, words: Measures) -> Step:
    setting = binding.setting
    other = "back" if first == "front" else "front"
    tasks = [
        say("Fold the binding round the edge to the {other}.", other=say_known(SIDE_WORDS[other]))
    ]
    if setting.fold == "single":
        tasks.append(
            say(
                "Turn its raw edge under by {turn_under}.",
                turn_under=words.fine(setting.turn_under_mm),
            )
        )
    tasks.append(say("Let the fold just cover the seam; clip or pin it."))
    if binding.edge.corners:
        tasks.append(say("Fold the corners into mitres."))
    return Step(say("Fold the binding"), tuple(tasks), (fold_picture(setting, room, words),))


def _finish(binding: BindingPlan, project: Project, room: PictureRoom, words: Measures) -> Step:
    hand_way = say("left to right") if project.instructions.left_handed else say("right to left")
    first = project.binding.first_to
    inch = words.usual(TOP_STITCH_MM, 1.5)
    mitres = say(", the mitres as well") if binding.edge.corners else ""
    tasks: tuple[str, ...] = (
        say("Top-stitch by machine {inch} from the folded edge, all the way round.", inch=inch),
        say(
            "Or sew the fold down by hand with small slip stitches{mitres}, from {way}.",
            mitres=mitres,
            way=hand_way,
        ),
    )
    if first == "front":
        tasks = (
            say(
                "Sew the fold down by hand with small slip stitches{mitres}, from {way}.",
                mitres=mitres,
                way=hand_way,
            ),
            say(
                "Or top-stitch by machine {inch} from the folded edge, all the way round.",
                inch=inch,
            ),
        )
    pictures = [
        top_stitch_picture(binding.setting, room, words),
        slip_stitch_picture(binding.setting, room),
    ]
    if first == "front":
        pictures.reverse()
    return Step(say("Top-stitch"), tasks, tuple(pictures), (), (NEEDLE,))


def _care(result: Result, room: PictureRoom, words: Measures) -> Step:
    wash = result.cutting.draw_up.washing_share
    tasks = [
        say("Rinse marks out with cold water first; no heat before they are gone."),
        say("Wash gently, with a dye-catching sheet the first time; dry flat."),
    ]
    if wash > 0:
        length, width = ((1 - wash) * np.ptp(result.cutting.edge.ring, axis=0)).tolist()
        tasks.append(say("After washing expect about {size}.", size=words.size(length, width)))
    cautions = [HOT_DISHES]
    if "insulated" in (result.project.wadding.kind or ""):
        cautions.append(MICROWAVE)
    picture = hanging_picture(result, room, words)
    return Step(say("Use and care"), tuple(tasks), (picture,), (), tuple(cautions))
