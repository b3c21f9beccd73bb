"""Ruler and inset lists as rows of text beside a drawing, figures as they are read off a ruler."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from quiltpath.drawing.page_model import (
    GREY,
    INK,
    Group,
    Item,
    Line,
    Polylines,
    Shape,
    Style,
    Text,
)
from quiltpath.drawing.sketch import box_corners
from quiltpath.drawing.text_width import wrap_words
from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.runner_shapes import RegionKind, Runner
from quiltpath.language import say, say_known, with_a_capital
from quiltpath.marking.sheet import (
    LEADING,
    TEXT_MM,
    SheetRow,
    cells,
    heading,
    paragraph,
)
from quiltpath.result.marking_ways import InsetList, Marking, Way
from quiltpath.result.ruler_lists import (
    EDGE_NAMES,
    LEFT,
    LOWER,
    MEASURED_FROM,
    NEARLY_PARALLEL_DEG,
    RIGHT,
    UPPER,
    RulerList,
)
from quiltpath.runner.layer_names import layer_words
from quiltpath.runner.places import places_in_words, region_words
from quiltpath.runner.runner_picture import many, rings_of
from quiltpath.units import MM_PER_INCH, Measures, Units, inch_fraction, millimetres, say_in_units

DRAWING_MM = (78.0, 74.0)
"""Room for the drawing of a place with its lines, across and up."""

MAP_HIGH_MM = 16.0
SIDE_MM = 3.2
TICK_MM = 1.6
PLACE = Style(INK, 0.5)
RULED = Style(GREY, 0.25)
MARK = Style(INK, 0.5)


def ruler_rows(
    ways: Sequence[Marking], room: float, units: Units = "both", runner: Runner | None = None
) -> list[SheetRow]:
    """Every list of the layers that are marked by ruler; a place that has two is drawn once.

    ``runner`` is for a small map of places that bear no letter.
    """
    rows: list[SheetRow] = []
    for way in ways:
        if way.way is not Way.RULER:
            continue
        for lists in _of_one_place(way.lists):
            rows += _place_rows(way.name, lists, room, units, runner)
        for inset in way.insets:
            rows += _inset_rows(way.name, inset, room, units)
    return rows


def _of_one_place(lists: Sequence[RulerList]) -> list[list[RulerList]]:
    """Lists for the same places together: lines both ways are marked on the same edges."""
    found: dict[tuple[object, ...], list[RulerList]] = {}
    for each in lists:
        found.setdefault((each.places, each.whole), []).append(each)
    return list(found.values())


def _place_rows(
    name: str,
    lists: Sequence[RulerList],
    room: float,
    units: Units,
    runner: Runner | None,
) -> list[SheetRow]:
    """A heading, how the ruler is laid, and the marks beside a drawing that shows them."""
    first = lists[0]
    part = "" if first.whole else say(", its straight middle")
    where = ", ".join(map(region_words, first.places))
    if runner is not None:
        where = places_in_words(runner, first.places)
    rows = [heading(f"{layer_words(name)}: {where}{part}", room)]
    told_first = _from_where(lists)
    if runner is not None and not first.whole and len(first.places) == 1:
        told_first += " " + _where_it_lies(first, runner, units)
    for row in paragraph(told_first, room):
        rows.append(SheetRow(row.height, row.items, keep=True))
    drawing, high = _drawing(lists)
    left = DRAWING_MM[0] + 4.0
    words: list[tuple[str, bool]] = []
    for each in lists:
        words.append(
            (say("{number} lines. {how}", number=len(each), how=ruler_words(each.angle)), True)
        )
        words += [(told, False) for told in marks_in_words(each, units)]
    texts: list[Text] = []
    y = 0.0
    for told, opens in words:
        y -= 0.5 * TEXT_MM if opens and texts else 0.0
        for line in wrap_words(told, TEXT_MM, room - left):
            y -= LEADING * TEXT_MM
            texts.append(Text((left, y), line.replace(TIE, " "), TEXT_MM))
    where_is = _where_map(runner, first.places) if runner is not None else None
    y -= where_is[1] + 3.0 if where_is else 0.0
    tall = max(high, -y + 1.5) + 2.0
    items = [Group("place", drawing, shift_mm=(0.0, tall - high))]
    if where_is is not None:
        items.append(Group("map", (where_is[0],), shift_mm=(left, tall + y)))
    shown = Group("marks", tuple(texts), shift_mm=(0.0, tall))
    return [*rows, SheetRow(tall, (*items, shown))]


def _where_map(runner: Runner, places: Sequence[str]) -> tuple[Group, float] | None:
    """A small map with the strips that are meant dark, for they bear no letters; and its height."""
    strips = [r for r in runner.regions if r.name in places and r.kind is not RegionKind.BLOCK]
    if not strips:
        return None
    x0, y0, x1, y1 = runner.outline.bounds
    scale = min(DRAWING_MM[0] / (x1 - x0), MAP_HIGH_MM / (y1 - y0))
    dark = [Shape(rings_of(strip.shape), Style(None, fill=INK)) for strip in strips]
    blocks = [block.shape.exterior for block in runner.blocks]
    edges = many([runner.outline.exterior, *blocks], Style(GREY, 0.25 / scale))
    shift = (-scale * x0, -scale * y0)
    return Group("where", (*dark, edges), shift_mm=shift, scale=scale), scale * (y1 - y0)


def marks_in_words(each: RulerList, units: Units = "both") -> list[str]:
    """The marks of each edge in one line; where all edges are marked alike, one line for all."""
    by_edge = {
        edge: np.unique(np.round(each.at[each.edge == edge], 3))
        for edge in (LOWER, RIGHT, UPPER, LEFT)
        if (each.edge == edge).any()
    }
    told = {edge: _marks(at, units) for edge, at in by_edge.items()}
    if len(told) == 4 and len(set(told.values())) == 1:
        return [
            say("All four sides, from the left end or the lower edge: {marks}.", marks=told[LOWER])
        ]
    return [
        say(
            "{edge}, {where}: {marks}.",
            edge=with_a_capital(say_known(EDGE_NAMES[edge])),
            where=say_known(MEASURED_FROM[edge]),
            marks=marks,
        )
        for edge, marks in told.items()
    ]


def _marks(at: Floats, units: Units) -> str:
    """Distances from the end, or one step where a ruler shows them all by it."""
    readings = [say_in_units(reading(float(mm)), units) for mm in at]
    if len(at) > 2:
        mark_mm = 0.5 if units == "metric" else SIXTEENTH_MM
        step = round(float(at[0]) / mark_mm) * mark_mm
        even = [say_in_units(reading(step * (n + 1)), units) for n in range(len(at))]
        if even == readings:
            return say("every {step}", step=readings[0])
    if units == "both":
        return say(", ").join(readings)
    unit = f" {say('in')}" if units == "inches" else " mm"
    bare = [one.replace(unit, "").replace(" ", TIE) for one in readings]
    return say(", ").join(bare) + TIE + unit.strip()


TIE = "_"
"""Stands for a space at which no line is broken: a figure stays in one."""

SIXTEENTH_MM = MM_PER_INCH / 16


def _from_where(lists: Sequence[RulerList]) -> str:
    """The ends that are measured from; always the same one, so that no error adds up."""
    edges = [edge for each in lists for edge in each.edge.ravel().tolist()]
    used = {MEASURED_FROM[edge] for edge in edges}
    where = say_known(MEASURED_FROM[min(edges)])
    if len(used) > 1:
        where = say("from the left end or the lower edge")
        if min(edges) % 2:
            where = say("from the lower edge or the left end")
    if lists[0].whole:
        return say("Measure each mark {where}, never from the mark before.", where=where)
    return say(
        "Measure each mark {where} of the straight middle, never from the mark before.",
        where=where,
    )


def _where_it_lies(listed: RulerList, runner: Runner, units: Units) -> str:
    """No seam and no print shows where the straight middle of a shaped piece begins and ends."""
    words, (left, low, _, high) = Measures(units), runner.outline.bounds
    x0, y0, x1, y1 = listed.box
    ends = words.fine(x0 - left), words.fine(x1 - left)
    if y0 - low < SIXTEENTH_MM and high - y1 < SIXTEENTH_MM:
        return say(
            "It lies from {first} to {last} from the runner's left end: draw a line across at both,"
            " and the lines of this list on beyond them to the outline.",
            first=ends[0],
            last=ends[1],
        )
    return say(
        "It lies from {first} to {last} from the runner's left end and from {lower} to {upper}"
        " above its lower edge: draw this rectangle, and the lines of this list on beyond it to"
        " the outline.",
        first=ends[0],
        last=ends[1],
        lower=words.fine(y0 - low),
        upper=words.fine(y1 - low),
    )


def _drawing(lists: Sequence[RulerList]) -> tuple[tuple[Item, ...], float]:
    """The place with its sides named, its lines and their marks; and its height, mm."""
    x0, y0, x1, y1 = lists[0].box
    wide, high = x1 - x0, y1 - y0
    pad = 2.2 * SIDE_MM
    scale = min((DRAWING_MM[0] - 2 * pad) / wide, (DRAWING_MM[1] - 2 * pad) / high)
    wide, high = scale * wide, scale * high
    items: list[Item] = [Line(box_corners(pad, pad, wide, high), PLACE, closed=True)]
    for each in lists:
        ends = (each.ends() - (x0, y0)) * scale + pad
        starts = np.arange(0, 2 * len(ends) + 1, 2)
        items.append(Polylines(ends.reshape(-1, 2), starts, RULED))
        ticks = np.array(
            [
                _tick(p, e)
                for p, e in zip(ends.reshape(-1, 2), each.edge.ravel().tolist(), strict=True)
            ]
        )
        starts = np.arange(0, 2 * len(ticks) + 1, 2)
        items.append(Polylines(ticks.reshape(-1, 2), starts, MARK))
    middle, level, far = pad + wide / 2, pad + high / 2, pad + wide
    below, above = 0.5 * SIDE_MM, pad + high + 0.9 * SIDE_MM
    items += [
        Text((middle, below), say_known(EDGE_NAMES[LOWER]), SIDE_MM, "middle"),
        Text((middle, above), say_known(EDGE_NAMES[UPPER]), SIDE_MM, "middle"),
        Text((0.35 * pad, level), say_known(EDGE_NAMES[LEFT]), SIDE_MM, "middle", angle_deg=90),
        Text(
            (far + 0.7 * pad, level), say_known(EDGE_NAMES[RIGHT]), SIDE_MM, "middle", angle_deg=90
        ),
    ]
    return tuple(items), high + 2 * pad


def _tick(point: Floats, edge: int) -> Floats:
    """A short stroke outwards at a mark."""
    out = {LOWER: (0, -1), RIGHT: (1, 0), UPPER: (0, 1), LEFT: (-1, 0)}[edge]
    return np.array([point, point + np.array(out) * TICK_MM])


def _inset_rows(name: str, inset: InsetList, room: float, units: Units) -> list[SheetRow]:
    places = ", ".join(map(_inset_place, inset.places))
    rows = [heading(f"{layer_words(name)}: {places}", room)]
    words = say("Measure every distance square in from the edge, and join the marks.")
    if inset.places == ("the printed line",):
        words = say("Measure from the printed line towards the block, and join the marks.")
    rows += [SheetRow(row.height, row.items, keep=True) for row in paragraph(words, room)]
    rows += _distances(inset, room, units)
    return rows


def _inset_place(place: str) -> str:
    if place == "inside outline":
        return say("inside the edge")
    inside = place.removeprefix("inside ")
    if inside == place:
        return say_known(place)
    return say("inside {place}", place=region_words(inside))


def _distances(inset: InsetList, room: float, units: Units) -> Iterator[SheetRow]:
    for number, distance in enumerate(inset.distances, start=1):
        yield cells((str(number), say_in_units(reading(distance), units)), (0.0, 14.0), room)


def reading(mm: float) -> str:
    """A position in both units: ``"2 3/16 in full (56 mm)"``.

    "Full" and "scant" (the trade's words) say that the true place lies beyond or short of the
    sixteenth by more than half a millimetre.
    """
    sixteenths = round(mm / MM_PER_INCH * 16) * MM_PER_INCH / 16
    off = mm - sixteenths
    shade = say(" full") if off > 0.5 else say(" scant") if off < -0.5 else ""
    return f"{inch_fraction(mm, 16)}{shade} ({millimetres(mm)})"


def ruler_words(angle: float) -> str:
    """How to lay the ruler for lines at an angle from the runner's length."""
    square = min(angle, 180 - angle) < NEARLY_PARALLEL_DEG
    if square or abs(angle - 90) < NEARLY_PARALLEL_DEG:
        if square:
            return say("Mark both left and right edges and join the marks with the ruler.")
        return say("Mark both lower and upper edges and join the marks with the ruler.")
    against = angle if angle < 90 else 180 - angle
    lean = say("rising to the right") if angle < 90 else say("rising to the left")
    if abs(against - round(against)) < 0.05 and round(against) in (30, 45, 60):
        return say(
            "Lines {lean}: lay the ruler's {angle}° line along the lower edge, or"
            " join their marks as drawn.",
            lean=lean,
            angle=round(against),
        )
    return say("Lines {lean} at {angle:.1f}°: join their marks as drawn.", lean=lean, angle=against)
