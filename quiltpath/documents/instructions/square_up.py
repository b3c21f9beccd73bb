"""The step that trims the quilted piece to its outline, whatever that is, and its picture."""

from __future__ import annotations

from collections.abc import Iterator
from string import ascii_uppercase

import numpy as np

from quiltpath.checks.distortion import TOLD_MM
from quiltpath.documents.instructions.step import CUTTER, Step
from quiltpath.drawing.page_model import INK, WHITE, Item, Shape, Style, Text
from quiltpath.drawing.sketch import (
    CLOTH,
    DOTTED,
    THIN,
    Picture,
    PictureRoom,
    View,
    across,
    along,
    box_corners,
    polyline,
    rectangle,
)
from quiltpath.language import message, say, say_known
from quiltpath.materials.trimming import TrimArc, Trimming
from quiltpath.result.values import Result
from quiltpath.runner.lying_picture import lying_picture
from quiltpath.runner.states import QUILTED_WORDS
from quiltpath.units import Measures, count, join_with_and

PATCH = Style(None, fill=WHITE)
"""Under a letter, so that no line crosses it."""

ON_THE_LINE_MM = 0.5

KEEP = message("Keep to the smallest of what you measure.")

STAY_MM = 3.0
"""A line of stitches so far inside a curved edge holds the layers for the binding (common
practice)."""


def square_up_step(result: Result, sheet: PictureRoom, words: Measures) -> Step:
    """Measure, draw the outline on, trim, check."""
    plan, trim = result.cutting, result.cutting.trimming
    tasks = [say("Measure after quilting, at both edges and in the middle, along and across.")]
    expected = result.distortion.told(words)
    if expected:
        tasks.append(" ".join([expected, *_narrowest(result, words), say_known(KEEP)]))
    if plan.squared is not None:
        off = words.size(plan.squared.length_off_mm, plan.squared.width_off_mm)
        tasks.append(
            say("By your measurements up to {off} comes off beyond the smallest.", off=off)
        )
    tasks += _rectangle(trim, words) if trim.diagonals_mm else _any_outline(trim, words)
    pictures = [_lying(result, sheet)] if expected else []
    pictures.append(squaring_picture(result, sheet, words))
    notes = _notes(result, words)
    return Step(say("Square up"), tuple(tasks), tuple(pictures), notes, (CUTTER,))


def outline_on_the_top(result: Result, words: Measures) -> Iterator[str]:
    """How an outline of its own is drawn on the flat top: what hands mark and sew goes by it. A
    machine goes by its files."""
    if result.machine_parts is not None:
        return
    trim = result.flat_trimming
    yield say(
        "Draw the outline on it with a marker that comes out: the quilting is measured and sewn by"
        " this line. Draw the centre line along the whole top first; places are told from the left"
        " end and from the centre line."
    )
    if trim.wants_template:
        yield _by_a_template(trim)
    elif trim.corners:
        places = [
            f"{letter} {_place(c.along_mm, c.off_mm, words)}"
            for letter, c in zip(ascii_uppercase, trim.corners, strict=False)
        ]
        yield say("Its corners: {places}.", places="; ".join(places))
        yield say("Join them with a ruler where the drawing shows straight sides.")
    yield from _curves(trim, words)


def _narrowest(result: Result, words: Measures) -> Iterator[str]:
    """What is left to trim to where the width of a rectangle differs."""
    widths = result.distortion.lies.widths
    if result.cutting.trimming.diagonals_mm and widths.spread_mm >= TOLD_MM:
        narrowest = result.states.quilted.width_mm + float(widths.more_mm.min())
        yield say(
            "At its narrowest it will be about {narrowest} wide.", narrowest=words.fine(narrowest)
        )


def _lying(result: Result, room: PictureRoom) -> Picture:
    lies = result.distortion.lies
    placed = lies.placed
    return lying_picture(lies.ring_mm, result.lines.geometry, placed.even, placed.off, room)


def _notes(result: Result, words: Measures) -> tuple[str, ...]:
    plan = result.cutting
    if plan.squared is not None:
        return (say("The binding is for the size that you measured."),)
    note = say(
        "If it measures less, the binding comes out shorter: write the lengths and"
        " widths that you measure into the file, under [quilted], and make these pages"
        " again."
    )
    if plan.draw_up.washing_share > 0:
        finished = words.size(*result.states.washed.pair)
        return (
            say("That is more than {finished}: washing takes the rest.", finished=finished),
            note,
        )
    return (note,)


def _rectangle(trim: Trimming, words: Measures) -> list[str]:
    size, diagonal = words.size(trim.length_mm, trim.width_mm), trim.diagonals_mm or 0.0
    return [
        say(
            "Lay the ruler on a printed or sewn line and trim all three layers level to {size}.",
            size=size,
        ),
        say(
            "Measure both diagonals: each should be {diagonal}. Where they differ it leans:"
            " pull it straight while it is damp, or trim it true again.",
            diagonal=words.cut(diagonal),
        ),
    ]


def _any_outline(trim: Trimming, words: Measures) -> Iterator[str]:
    """A box with its centre lines first, then corners, curves, inner corners, the check."""
    size = words.size(trim.length_mm, trim.width_mm)
    yield (
        say(
            "Draw the centre line along the whole piece, on a printed or sewn line or half"
            " way between two, and square to it the two ends, {length} apart. All places"
            " below are measured from the left end and from the centre line. Do not cut a"
            " rectangle of {size}: it is only the outline's box.",
            length=words.cut(trim.length_mm),
            size=size,
        )
    )
    if trim.wants_template:
        yield _by_a_template(trim)
    else:
        yield from _corners(trim, words)
    yield from _curves(trim, words)
    yield from _cutting(trim, words)
    yield from _check(trim, words)


def _by_a_template(trim: Trimming) -> str:
    return say(
        "The outline has {corners} and {arcs}: cut a template of one repeat from"
        " card, lay it along the drawn lines and trace it from the middle outwards.",
        corners=count(len(trim.corners), "corner"),
        arcs=count(sum(arc.count for arc in trim.arcs), "arc"),
    )


def _corners(trim: Trimming, words: Measures) -> Iterator[str]:
    if not trim.corners:
        return
    inwards = say(", turned inwards")
    places = [
        f"{letter}, {_place(c.along_mm, c.off_mm, words)}{inwards if c.is_inner else ''}"
        for letter, c in zip(ascii_uppercase, trim.corners, strict=False)
    ]
    yield say("Mark the corners: {places}.", places="; ".join(places))
    yield say("Join them with a ruler where the drawing shows straight sides.")


def _place(along_mm: float, off_mm: float, words: Measures) -> str:
    """A place by the two drawn lines."""
    end = (
        say("at the left end")
        if along_mm < ON_THE_LINE_MM
        else say("{along} along", along=words.fine(along_mm))
    )
    if abs(off_mm) < ON_THE_LINE_MM:
        return say("{end} on the centre line", end=end)
    off = words.fine(abs(off_mm))
    if off_mm > 0:
        return say("{end}, {off} above the centre line", end=end, off=off)
    return say("{end}, {off} below the centre line", end=end, off=off)


def _curves(trim: Trimming, words: Measures) -> Iterator[str]:
    for arc in trim.arcs:
        yield _arc(arc, words)
    if trim.offsets and not trim.wants_template:
        half = say(" (the right half lies alike)") if trim.mirrored_along else ""
        yield (
            say(
                "Mark the curve by its distance from the centre line{half}: {places}. Join"
                " the marks with a bent ruler or a strip of card, or draw them on folded"
                " paper first and cut a template.",
                half=half,
                places="; ".join(_offsets(trim, words)),
            )
        )


def _arc(arc: TrimArc, words: Measures) -> str:
    """Where the compass stands; equal arcs are drawn from the same distance of their own ends."""
    radius = words.fine(arc.radius_mm)
    if arc.turn_deg > 350:
        return say(
            "Draw the circle with a string or compass of {radius} from the middle.", radius=radius
        )
    if arc.count > 4:
        return say(
            "{count} arcs have a radius of {radius}: draw one on card and trace it.",
            count=arc.count,
            radius=radius,
        )
    place = _place(*arc.centre_mm, words)
    more = ""
    if arc.count > 1:
        more = say("; the others alike") if arc.count > 2 else say("; the other alike")
    return say(
        "Draw {arcs} with a radius of {radius}, the point {place}{more}.",
        arcs=count(arc.count, "arc"),
        radius=radius,
        place=place,
        more=more,
    )


def _offsets(trim: Trimming, words: Measures) -> Iterator[str]:
    for offset in trim.offsets:
        along_mm, above, below = offset.along_mm, offset.above_mm, offset.below_mm
        at = (
            say("at the left end")
            if along_mm < ON_THE_LINE_MM
            else say("at {along}", along=words.fine(along_mm))
        )
        if abs(above - below) >= ON_THE_LINE_MM:
            yield say(
                "{at}, {above} above and {below} below",
                at=at,
                above=words.fine(above),
                below=words.fine(below),
            )
        elif above < ON_THE_LINE_MM:
            yield say("{at}, on the line", at=at)
        else:
            yield say("{at}, {above} either side", at=at, above=words.fine(above))


def _cutting(trim: Trimming, words: Measures) -> Iterator[str]:
    """What holds curves and inner corners together when they are cut."""
    if trim.is_curved:
        yield (
            say(
                "Sew once round on the curves, {stay} inside the drawn line, so that the"
                " layers stay together; cut curves with shears or a small rotary cutter,"
                " turning the piece.",
                stay=words.fine(STAY_MM),
            )
        )
    inner = len(trim.inner_corners)
    if inner:
        yield (
            say(
                "{corners} inwards: sew round each just inside the line first, then cut into it"
                " from both sides and stop in the corner, not beyond.",
                corners=count(inner, "corner turns", "corners turn"),
            )
        )


def _check(trim: Trimming, words: Measures) -> Iterator[str]:
    """Folded on its own lines a symmetrical outline lies on itself."""
    folds = [
        name
        for name, alike in (
            (say("along the centre line"), trim.mirrored_across),
            (say("across the middle"), trim.mirrored_along),
        )
        if alike
    ]
    if folds:
        yield say(
            "Check it: folded {folds} the edges lie on each other.", folds=join_with_and(folds)
        )
    points = _pairs(trim)
    if points:
        long = join_with_and([words.cut(mm) for mm in points])
        yield say("Check the points: both sides of each are {long} long.", long=long)


def _pairs(trim: Trimming) -> list[float]:
    """Length of the two equal straight sides that meet on the centre line, each length once."""
    if trim.is_curved or trim.wants_template:
        return []
    places = np.array([(c.along_mm, c.off_mm) for c in trim.corners])
    sides = np.hypot(*(np.roll(places, -1, axis=0) - places).T)
    on_line = np.abs(places[:, 1]) < ON_THE_LINE_MM
    alike = np.abs(sides - np.roll(sides, 1)) < ON_THE_LINE_MM
    return sorted({round(float(side), 1) for side in sides[on_line & alike]})


def squaring_picture(result: Result, room: PictureRoom, words: Measures) -> Picture:
    """The quilted piece with its margin, the edge it is trimmed to, and what it is measured by."""
    letter, plan, trim = room.letter_mm, result.cutting, result.cutting.trimming
    low, high = plan.edge.ring.min(axis=0), plan.edge.ring.max(axis=0)
    pad = result.project.wadding.extra
    box = (low[0] - pad, low[1] - pad, high[0] + pad, high[1] + pad)
    view = room.view(box, pad_mm=2.2 * letter, foot_mm=2.2 * letter)
    items: list[Item] = [rectangle(view, box, CLOTH)]
    items.append(Shape((view.points(plan.edge.ring[:-1]),), Style(INK, 0.5, (), "#ffffff")))
    if trim.diagonals_mm:
        for y0, y1 in ((low[1], high[1]), (high[1], low[1])):
            items.append(polyline([view.at(low[0], y0), view.at(high[0], y1)], DOTTED))
        shows = say("trim to the solid line; the two diagonals must measure the same")
    else:
        items += measured_by(trim, low, high, view, letter)
        shows = say("trim to the solid line, measured from the dotted centre line and the left end")
    foot = view.at(0, box[1])[1] - 0.8 * letter
    items += along(view, float(low[0]), float(high[0]), foot, words.short(trim.length_mm), letter)
    right = view.at(box[2], 0)[0] + 0.7 * letter
    items += across(view, float(low[1]), float(high[1]), right, words.short(trim.width_mm), letter)
    return Picture("squaring up", room.width_mm, view.height_mm, tuple(items), shows, QUILTED_WORDS)


def measured_by(
    trim: Trimming, low: np.ndarray, high: np.ndarray, view: View, letter: float
) -> list[Item]:
    """The centre line, the left end, the offsets, and the letters of the corners."""
    middle = float(low[1] + high[1]) / 2
    items: list[Item] = [
        polyline([view.at(low[0], middle), view.at(high[0], middle)], DOTTED),
        polyline([view.at(low[0], low[1]), view.at(low[0], high[1])], DOTTED),
    ]
    if trim.wants_template:
        return items
    for offset in trim.offsets:
        x = float(low[0]) + offset.along_mm
        ends = [view.at(x, middle - offset.below_mm), view.at(x, middle + offset.above_mm)]
        items.append(polyline(ends, THIN))
    for name, corner in zip(ascii_uppercase, trim.corners, strict=False):
        x, y = view.at(float(low[0]) + corner.along_mm, middle + corner.off_mm)
        up = 0.5 * letter if corner.off_mm >= 0 else -1.2 * letter
        side = -0.8 * letter if corner.along_mm < trim.length_mm / 2 else 0.8 * letter
        patch = box_corners(x + side - 0.45 * letter, y + up - 0.12 * letter, 0.9 * letter, letter)
        items.append(Shape((patch,), PATCH))
        items.append(Text((x + side, y + up), name, letter, "middle"))
    return items
