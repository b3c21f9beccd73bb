"""Pictures of handling: a trimmed panel, a diagonal join, a mitre, the closing join, the fold."""

from __future__ import annotations

import math

import numpy as np

from quiltpath.drawing.page_model import INK, WHITE, Item, Line, Shape, Style, Text
from quiltpath.drawing.sketch import (
    CLOTH,
    DARK_CLOTH,
    DASHED,
    DOTTED,
    EDGE,
    THIN,
    Picture,
    PictureRoom,
    View,
    along,
    arrow,
    polyline,
    rectangle,
)
from quiltpath.language import say, say_known
from quiltpath.materials.binding import TOP_STITCH_MM
from quiltpath.materials.binding_plan import MitreRow
from quiltpath.project.materials_sections import BindingSection
from quiltpath.runner.panels import Join, PanelChoice
from quiltpath.runner.states import CLOTH_WORDS, FLAT_WORDS, QUILTED_WORDS
from quiltpath.units import Measures

SEWN = Style(INK, 0.45, (1.2, 0.8))
PAPER = Style(INK, 0.35, (), WHITE)
RULER = Style(INK, 0.35, (), WHITE, 0.7)


def panels_picture(choice: PanelChoice, room: PictureRoom, words: Measures) -> Picture:
    """Each panel with its print, its trimming lines dashed and what falls away shaded."""
    panel, letter = choice.panel, room.letter_mm
    gap = 0.06 * panel.length_mm
    count = choice.panels_used
    whole = count * panel.length_mm + (count - 1) * gap
    view = room.view((0, 0, whole, panel.width_mm), pad_mm=1.8 * letter, foot_mm=2.2 * letter)
    items: list[Item] = []
    for number in range(count):
        x = number * (panel.length_mm + gap)
        items += _panel(choice, number, x, view, letter, words)
    way = say_known(choice.join.value)
    shows = say("{way}: cut on the dashed lines, the shaded ends fall away", way=way)
    return Picture("panels", room.width_mm, view.height_mm, tuple(items), shows, CLOTH_WORDS)


def _panel(
    choice: PanelChoice, number: int, x: float, view: View, letter: float, words: Measures
) -> list[Item]:
    panel = choice.panel
    edge_x = (panel.length_mm - panel.printed_length_mm) / 2
    edge_y = (panel.width_mm - panel.printed_width_mm) / 2
    printed = (
        x + edge_x, edge_y, x + edge_x + panel.printed_length_mm, edge_y + panel.printed_width_mm,
    )  # fmt: skip
    low, high = choice.ends_off_mm(number)
    low_x, high_x = printed[0] + low, printed[2] - high
    side = (panel.printed_width_mm - choice.width_mm) / 2
    items: list[Item] = [
        rectangle(view, (x, 0, x + panel.length_mm, panel.width_mm), DARK_CLOTH),
        rectangle(view, (low_x, printed[1] + side, high_x, printed[3] - side), PAPER),
        rectangle(view, printed, DOTTED),
    ]
    for at in (low_x, high_x):
        items.append(polyline([view.at(at, 0), view.at(at, panel.width_mm)], DASHED))
    foot = view.at(0, 0)[1] - 0.8 * letter
    return items + along(view, low_x, high_x, foot, words.short(high_x - low_x), letter)


def join_picture(choice: PanelChoice | None, room: PictureRoom, words: Measures) -> Picture:
    """Two panels on each other, right sides together, with the seam."""
    letter = room.letter_mm
    seam = choice.panel.seam_mm if choice else 6.35
    view = room.view((0, 0, 120, 34), pad_mm=letter, foot_mm=letter)
    items: list[Item] = [
        rectangle(view, (0, 4, 110, 34), CLOTH),
        rectangle(view, (6, 0, 116, 30), PAPER),
    ]
    items.append(polyline([view.at(108, 0), view.at(108, 30)], SEWN))
    printed = choice is not None and choice.join is Join.PRINT
    told = say("right sides together, sashing on sashing")
    if printed:
        told = say("right sides together, matching the print")
    items.append(Text(view.at(56, 16), told, letter, "middle"))
    items.append(Text(view.at(106, 6), say("seam {seam}", seam=words.fine(seam)), letter, "end"))
    shows = say("the two panels right sides together, sewn on the dashed line")
    return Picture("join", room.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def diagonal_picture(setting: BindingSection, room: PictureRoom, words: Measures) -> Picture:
    """Two strips at right angles, right sides together, sewn corner to corner."""
    width, letter = setting.width_mm, room.letter_mm
    reach = 3.2 * width
    view = room.view((0, -1.6 * width, reach * 1.6, width * 1.3), pad_mm=letter)
    items: list[Item] = [
        rectangle(view, (0, 0, reach, width), CLOTH),
        rectangle(view, (reach - width, -1.6 * width, reach, width), PAPER),
    ]
    start, end = (reach - width, width), (reach, 0.0)
    items.append(polyline([view.at(*start), view.at(*end)], SEWN))
    cut = setting.seam_mm
    shifted = [(reach - width + 1.41 * cut, width), (reach, 1.41 * cut)]
    items.append(polyline(view.points(np.array(shifted)), DOTTED))
    x, y = view.at(reach * 1.04, 0.3 * width)
    items += [
        Text((x, y), say("sew: dashed"), letter),
        Text((x, y - 1.4 * letter), say("trim: dotted"), letter),
    ]
    items.append(Text(view.at(0.1 * width, 0.4 * width), words.fine(width), letter))
    shows = say("two strips right sides together at a right angle")
    return Picture(
        "diagonal join",
        room.width_mm,
        view.height_mm,
        tuple(items),
        shows,
        QUILTED_WORDS,
        True,
    )


def sewing_on_picture(setting: BindingSection, room: PictureRoom, words: Measures) -> Picture:
    """The start: a loose end, then the seam, a seam allowance from the edge."""
    letter = room.letter_mm
    view = room.view((0, 0, 330, 80), pad_mm=0.6 * letter, foot_mm=3 * letter)
    strip = setting.width_mm / (2 if setting.fold == "double" else 1)
    start = 40.0 + setting.loose_start
    items: list[Item] = [
        rectangle(view, (0, 0, 330, 80), CLOTH),
        rectangle(view, (40, 0, 330, strip), PAPER),
    ]
    items.append(polyline([view.at(start, setting.seam_mm), view.at(330, setting.seam_mm)], SEWN))
    items += arrow(view.at(start, strip + 8), view.at(start + 60, strip + 8))
    above = (room.width_mm / 2, view.at(0, 80)[1] - 1.2 * letter)
    seam = say("seam {seam} from the edge", seam=words.fine(setting.seam_mm))
    items.append(Text(above, seam, letter, "middle"))
    loose = say("{loose_start} loose", loose_start=words.short(setting.loose_start))
    items += along(view, 40, start, view.at(0, 0)[1] - 0.9 * letter, loose, letter)
    shows = say("the strip laid level with the edge, its start left loose")
    return Picture("sewing on", room.width_mm, view.height_mm, tuple(items), shows, QUILTED_WORDS)


def mitre_picture(row: MitreRow, setting: BindingSection, room: PictureRoom) -> Picture:
    """A corner in three stages: stop and sew off, fold away, fold back."""
    letter = room.letter_mm
    third = room.width_mm / 3
    strip = setting.width_mm / (2 if setting.fold == "double" else 1)
    reach, lean = 2.6 * strip, -math.cos(math.radians(row.angle_deg))
    left, right = reach * (1 - min(lean, 0.0)), reach * max(lean, 0.0)
    below, above = 1.3 * strip, reach * math.sin(math.radians(min(row.angle_deg, 90.0)))
    high = room.most_high_mm - 2.5 * letter
    scale = min((third - 2 * letter) / (left + right), high / (below + above))
    items: list[Item] = []
    for stage, name in enumerate((say("1 stop, sew off"), say("2 fold away"), say("3 fold back"))):
        at = third * (stage + 0.5) + (left - right) / 2 * scale
        view = View(scale, at, 2.2 * letter + below * scale, 0.0)
        items += _corner(stage, row, setting.seam_mm, strip, reach, view)
        items.append(Text((third * (stage + 0.5), 0.4 * letter), name, letter, "middle"))
    height = 2.5 * letter + (below + above) * scale
    shows = say("the mitre at a corner of {angle:.0f} degrees", angle=row.angle_deg)
    return Picture(
        f"mitre {row.angle_deg:.0f}",
        room.width_mm,
        height,
        tuple(items),
        shows,
        QUILTED_WORDS,
    )


def _corner(
    stage: int, row: MitreRow, seam: float, strip: float, reach: float, view: View
) -> list[Item]:
    """The corner at the origin; the edge comes from the left along y = 0, the cloth above it."""
    turn = math.radians(row.angle_deg)
    back = np.array([-1.0, 0.0])
    onward = np.array([-math.cos(turn), math.sin(turn)])
    ring = reach * np.array([(0.0, 0.0), onward, onward + back, back])
    items: list[Item] = [Shape((view.points(ring),), CLOTH)]
    inner = strip / math.tan(turn / 2)
    first = np.array([(-reach, 0), (0, 0), (-inner, strip), (-reach, strip)])
    items.append(Line(view.points(first), PAPER, closed=True))
    if stage:
        items += _turned(stage, onward, inner, strip, reach, view)
    stop = seam / math.tan(turn / 2)
    sewn = np.array([(-reach, seam), (-stop, seam), (0, 0)])
    return items if stage == 2 else [*items, polyline(view.points(sewn), SEWN)]


def _turned(
    stage: int, onward: np.ndarray, inner: float, strip: float, reach: float, view: View
) -> list[Item]:
    """The strip folded away in line with the next edge, or folded back up along it."""
    fold = np.array([-inner, strip])
    if stage == 1:
        tail = -onward * 1.1 * strip
        level = fold + onward * float(np.dot(-fold, onward))
        far = np.array([(0, 0), tail, level + tail, fold])
        return [
            Line(view.points(far), PAPER, closed=True),
            polyline(view.points(np.array([(0, 0), fold])), EDGE),
        ]
    level = fold + onward * float(np.dot(-fold, onward))
    near = np.array([(0, 0), reach * onward, reach * onward + level, level])
    return [
        Line(view.points(near), PAPER, closed=True),
        polyline(view.points(np.array([(0, 0), fold])), DOTTED),
    ]


def closing_picture(setting: BindingSection, room: PictureRoom, words: Measures) -> Picture:
    """The open stretch with both ends, the overlap of one strip width marked."""
    letter, width = room.letter_mm, setting.width_mm
    open_mm = setting.open
    view = room.view((-70, -50, open_mm + 70, 60), pad_mm=1.6 * letter, foot_mm=2 * letter)
    middle = open_mm / 2
    items: list[Item] = [rectangle(view, (-70, -50, open_mm + 70, 0), CLOTH)]
    items.append(rectangle(view, (middle - width / 2, 6, open_mm + 70, 26), PAPER))
    items.append(rectangle(view, (-70, 30, middle + width / 2, 50), PAPER))
    for x in (middle - width / 2, middle + width / 2):
        items.append(polyline([view.at(x, 2), view.at(x, 54)], DASHED))
    level = view.at(0, 56)[1] + 0.6 * letter
    overlap = say("overlap {width}", width=words.short(width))
    low, high = middle - width / 2, middle + width / 2
    items += along(view, low, high, level, overlap, letter, above=True)
    foot = view.at(0, -50)[1] - 0.8 * letter
    items += along(view, 0, open_mm, foot, say("open {open}", open=words.short(open_mm)), letter)
    for x0, x1 in ((-70.0, 0.0), (open_mm, open_mm + 70)):
        items.append(polyline([view.at(x0, -setting.seam_mm), view.at(x1, -setting.seam_mm)], SEWN))
    shows = say("both ends over the open stretch; cut where they overlap by one strip width")
    return Picture(
        "closing", room.width_mm, view.height_mm + letter, tuple(items), shows, QUILTED_WORDS
    )


def fold_picture(setting: BindingSection, room: PictureRoom, words: Measures) -> Picture:
    """The edge cut through: layers, seam, and the binding folded round."""
    letter, seam = room.letter_mm, setting.seam_mm
    view = room.view((-6 * seam, -1.3 * seam, 3 * seam, 1.3 * seam), foot_mm=0.5 * letter)
    items: list[Item] = []
    for level, style in ((0.3, PAPER), (-0.25, CLOTH), (-0.55, PAPER)):
        high = 0.55 if level == -0.25 else 0.25
        items.append(rectangle(view, (-6 * seam, level * seam, 0, (level + high) * seam), style))
    items.append(polyline(view.points(_fold_line(setting) * seam), Style(INK, 0.7)))
    items.append(polyline([view.at(-seam, 0.85 * seam), view.at(-seam, -0.6 * seam)], SEWN))
    items.append(
        Text(
            view.at(-1.7 * seam, 0.95 * seam),
            say("seam {seam}", seam=words.fine(seam)),
            letter,
            "end",
        )
    )
    if setting.fold == "single":
        words_in = say("turned under {turn_under}", turn_under=words.fine(setting.turn_under_mm))
        items.append(Text(view.at(-1.7 * seam, -1.15 * seam), words_in, letter, "end"))
    shows = say("the edge cut through: the binding goes round it and covers the seam")
    return Picture("fold", room.width_mm, view.height_mm, tuple(items), shows, QUILTED_WORDS, True)


def _fold_line(setting: BindingSection) -> np.ndarray:
    """The path of the binding in units of the seam allowance, from its raw edge to its fold."""
    if setting.fold == "single":
        return np.array([
            (0, 0.7), (-1.0, 0.7), (-1.0, 0.95), (0.2, 0.95), (0.35, 0.15), (0.2, -0.75),
            (-1.15, -0.75), (-1.15, -0.65), (-0.4, -0.65),
        ])  # fmt: skip
    return np.array([
        (0, 0.68), (-1.0, 0.68), (-1.0, 0.95), (0.2, 0.95), (0.35, 0.15), (0.2, -0.85),
        (-1.5, -0.85), (-1.5, -0.72), (0.1, -0.72), (0.22, 0.15), (0.1, 0.82), (-0.9, 0.82),
    ])  # fmt: skip


def slip_stitch_picture(setting: BindingSection, room: PictureRoom) -> Picture:
    """Slip stitches along the fold: those that are sewn, the needle, and which way they go.

    A right hand sews from right to left, a left hand from left to right (common practice).
    """
    letter, seam = room.letter_mm, setting.seam_mm
    view = room.view((0, 0, 20 * seam, 3.6 * seam), pad_mm=0.6 * letter, foot_mm=1.4 * letter)
    fold = 2.6 * seam
    items: list[Item] = [
        rectangle(view, (0, 0, 20 * seam, fold), CLOTH),
        rectangle(view, (0, fold, 20 * seam, 3.6 * seam), PAPER),
    ]
    sewn = np.arange(11.0, 20.0, 1.0) * seam
    items += [
        polyline(
            [view.at(x, fold - 0.12 * seam), view.at(x - 0.25 * seam, fold + 0.12 * seam)], EDGE
        )
        for x in sewn.tolist()
    ]
    eye, point = view.at(9.6 * seam, fold - 0.15 * seam), view.at(7.2 * seam, fold + 0.2 * seam)
    items.append(polyline([eye, point], Style(INK, 0.9)))
    thread = np.array(
        [(11.0, fold / seam - 0.12), (10.6, 1.5), (9.9, 1.6), (9.6, fold / seam - 0.15)]
    )
    items.append(polyline(view.points(thread * seam), THIN))
    items += arrow(view.at(7.0 * seam, 1.1 * seam), view.at(3.0 * seam, 1.1 * seam))
    items.append(
        Text((room.width_mm / 2, 0.3 * letter), say("sew towards the arrow"), letter, "middle")
    )
    shows = say("slip stitches through the fold of the binding, by hand")
    return Picture(
        "slip stitches",
        room.width_mm,
        view.height_mm,
        tuple(items),
        shows,
        QUILTED_WORDS,
        True,
    )


def cutter_picture(room: PictureRoom) -> Picture:
    """A strip cut from the end of the cloth: ruler on the strip, blade along the ruler's edge.

    With the cutter in the right hand the cloth lies to the right; with the left hand it lies to the
    left (common practice).
    """
    letter = room.letter_mm
    view = room.view((-30, -30, 270, 130), pad_mm=0.4 * letter, foot_mm=1.6 * letter)
    items: list[Item] = [
        rectangle(view, (0, 0, 260, 110), CLOTH),
        rectangle(view, (-20, -16, 60, 126), RULER),
    ]
    items.append(polyline([view.at(60, 0), view.at(60, 110)], DASHED))
    items += [polyline([view.at(x, 112), view.at(x, 126)], THIN) for x in range(-10, 60, 10)]
    turn = np.linspace(0.0, 2 * np.pi, 32, endpoint=False)
    blade = np.array([68.0, 20.0]) + 13.0 * np.column_stack([0.55 * np.cos(turn), np.sin(turn)])
    items.append(Shape((view.points(blade),), Style(INK, 0.4, (), WHITE)))
    items += arrow(view.at(84, 20), view.at(84, 80))
    items.append(Text(view.at(94, 44), say("away from you"), letter))
    items.append(Text(view.at(20, 50), say("ruler"), letter, "middle"))
    shows = say("the ruler on the strip, the blade along its edge, the cloth on the cutter's side")
    items.append(
        Text(
            (room.width_mm / 2, 0.3 * letter), say("hold the ruler, cut along it"), letter, "middle"
        )
    )
    return Picture(
        "cutting along a ruler",
        room.width_mm,
        view.height_mm,
        tuple(items),
        shows,
        CLOTH_WORDS,
        True,
    )


def top_stitch_picture(setting: BindingSection, room: PictureRoom, words: Measures) -> Picture:
    """The front of the edge with the line of top-stitching."""
    letter, seam = room.letter_mm, setting.seam_mm
    view = room.view((0, 0, 20 * seam, 5 * seam), pad_mm=0.6 * letter, foot_mm=0.6 * letter)
    items: list[Item] = [
        rectangle(view, (0, 0, 20 * seam, 4 * seam), CLOTH),
        rectangle(view, (0, 4 * seam, 20 * seam, 5 * seam), PAPER),
    ]
    y = 4 * seam + TOP_STITCH_MM
    items.append(polyline([view.at(0, y), view.at(20 * seam, y)], SEWN))
    label = say("{far} from the folded edge", far=words.usual(TOP_STITCH_MM, 1.5))
    items.append(Text(view.at(10 * seam, 2 * seam), label, letter, "middle"))
    items.append(polyline([view.at(10 * seam, 2.6 * seam), view.at(10 * seam, y)], THIN))
    shows = say("top-stitching on the binding, close to its folded edge")
    return Picture(
        "top-stitching", room.width_mm, view.height_mm, tuple(items), shows, QUILTED_WORDS
    )
