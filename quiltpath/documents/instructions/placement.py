"""Pages to print for a machine: where every part lies, and a page for placing each of them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.documents.instructions.loading_sheet import (
    CAUTIONS,
    all_words,
    check_place,
    from_centre,
    screen_size,
    way_round,
    zero_words,
)
from quiltpath.drawing.names_beside import names_beside
from quiltpath.drawing.page_model import (
    BLUE,
    GREY,
    INK,
    ORANGE,
    PALE,
    VERMILION,
    Drawing,
    Group,
    Item,
    Line,
    Page,
    Polylines,
    Shape,
    Style,
    Text,
)
from quiltpath.language import say, say_known
from quiltpath.machine import MachineKind
from quiltpath.machine.loads import Load
from quiltpath.machine.part_facts import PartFacts
from quiltpath.machine.part_plan import SHIFT_MM, TURN_DEG
from quiltpath.machine.parts import Part
from quiltpath.result.machine_parts import MachineParts, SewingTotals
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.stitching.needle_path import NeedlePath
from quiltpath.units import both_units

WIDTH, HEIGHT, EDGE = 297.0, 210.0, 14.0
"""A4 on its side (ISO 216) with a margin that also lies on Letter paper's 279 x 216 mm."""

_CROSS_MM = 2.5
_CROSS_NAME_MM = 3.0

NEAR_A_NAME_MM = 14.0
"""A name as near to another may hide it."""

_RIGHT = 279.0 - EDGE


def machine_pages(
    title: str, machine: MachineParts, sewn: SewingTotals, outline: shapely.Polygon
) -> Drawing:
    """The overview, and a page for each part where there is more than one."""
    pages = [_overview(title, machine, sewn, outline)]
    pages += [_placement(title, machine, number, outline) for number in range(len(machine.parts))]
    return Drawing(say("{title}: machine sheets", title=title), tuple(pages))


def _state_foot() -> Text:
    """The state of the cloth on the page."""
    return Text((EDGE, EDGE / 2), say("Drawn {state}.", state=say_known(FLAT_WORDS)), 3.0)


class _Sheet:
    """Maps millimetres of the work into a box on the page, as large as fits."""

    def __init__(
        self, work: tuple[float, float, float, float], box: tuple[float, float, float, float]
    ) -> None:
        left, low, right, high = work
        self.scale = min((box[2] - box[0]) / (right - left), (box[3] - box[1]) / (high - low))
        middle = np.array([(left + right) / 2, (low + high) / 2])
        self._shift = np.array([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2])
        self._shift = self._shift - middle * self.scale

    def __call__(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(points, dtype=np.float64) * self.scale + self._shift

    def at(self, x: float, y: float) -> tuple[float, float]:
        place = self(np.array([x, y]))
        return float(place[0]), float(place[1])


def _overview(
    title: str, machine: MachineParts, sewn: SewingTotals, outline: shapely.Polygon
) -> Page:
    fields = [part.field for part in machine.parts]
    low_x, low_y, high_x, high_y = outline.bounds
    work = (
        min([low_x, *(f.left for f in fields)]),
        min([low_y, *(f.low for f in fields)]),
        max([high_x, *(f.right for f in fields)]),
        max([high_y, *(f.high for f in fields)]),
    )
    sheet = _Sheet(work, (EDGE, 92.0, _RIGHT, HEIGHT - 30.0))
    groups = (
        Group("outline", (_outline(sheet, outline),)),
        Group(
            "fields", tuple(item for part in machine.parts for item in _field_items(sheet, part))
        ),
        Group("cuts", tuple(_dot(sheet.at(*cut.at_mm), 0.5, VERMILION) for cut in machine.cuts)),
        Group("crosses", tuple(_named_crosses(sheet, machine))),
        Group("words", (*_overview_words(title, machine, sewn), _state_foot())),
    )
    return Page(WIDTH, HEIGHT, groups, title=say("{title}: where the parts lie", title=title))


def _named_crosses(sheet: _Sheet, machine: MachineParts) -> list[Item]:
    """All of them, with the names that can be read."""
    rows = [(row.names, sheet(row.places)) for row in machine.cross_rows]
    marks: list[Item] = [_cross((x, y)) for _, places in rows for x, y in places.tolist()]
    return marks + names_beside(rows, _CROSS_NAME_MM, _CROSS_MM, colour=VERMILION)


def _field_items(sheet: _Sheet, part: Part) -> list[Item]:
    field = part.field
    corners = np.array(
        [
            [field.left, field.low],
            [field.right, field.low],
            [field.right, field.high],
            [field.left, field.high],
        ]
    )
    dash = (2.0, 1.0) if part.number % 2 else (0.8, 0.8)
    size = max(2.2, min(6.0, sheet.scale * (field.right - field.left) / 4))
    x, y = sheet.at(*field.centre)
    items: list[Item] = [
        Line(sheet(corners), Style(BLUE, 0.35, dash), closed=True),
        Text((x, y - size / 3), f"{part.number}", size, "middle", colour=BLUE, bold=True),
    ]
    if field.turned:
        items.append(Text((x, y - size), say("turned"), size / 2, "middle", colour=BLUE))
    return items


def _overview_words(title: str, machine: MachineParts, sewn: SewingTotals) -> list[Item]:
    worst = machine.worst
    lines = [
        say(
            "{machine}. In all {time}",
            machine=say_known(machine.profile.title),
            time=all_words(sewn),
        ),
        *machine.division_words,
    ]
    if worst is not None:
        lines += [
            say(
                "Crosses: mark them on the cloth before quilting; neighbouring parts share"
                " them. Dots: {cuts} places where a line passes from one part to the next.",
                cuts=len(machine.cuts),
            ),
            say(
                "Work that lies {shift:g} mm and {turn:g}° off would show by up to"
                " {offset} between parts {one} and {other}.",
                shift=SHIFT_MM,
                turn=TURN_DEG,
                offset=both_units(worst.offset_mm, 16),
                one=worst.parts[0],
                other=worst.parts[1],
            ),
        ]
    return [
        _heading(say("{title}: where the parts lie", title=title)),
        *_paragraph(lines, 86.0),
        *_cautions(34.0),
    ]


def _placement(title: str, machine: MachineParts, number: int, outline: shapely.Polygon) -> Page:
    part, fact, load = machine.parts[number], machine.facts[number], machine.loads[number]
    along, across = machine.profile.usable
    margin = machine.profile.margin
    full = (-along / 2 - margin, -across / 2 - margin, along / 2 + margin, across / 2 + margin)
    sheet = _Sheet(full, (EDGE, 52.0, 165.0, HEIGHT - 28.0))
    path = fact.path
    usable = (-along / 2, -across / 2, along / 2, across / 2)
    groups = (
        Group(
            "field",
            (
                Line(sheet(_corners(full)), Style(GREY, 0.5), closed=True),
                Line(sheet(_corners(usable)), Style(GREY, 0.25, (2.0, 1.0)), closed=True),
                Polylines(sheet(_middle_lines(usable)), np.array([0, 2, 4]), Style(PALE, 0.25)),
            ),
        ),
        Group("stitches", (_threads(sheet, path),)),
        Group("crosses", tuple(_part_crosses(sheet, load, fact))),
        Group("zero", tuple(_zero(sheet, load, machine.profile.kind))),
        Group("ends", tuple(_ends(sheet, fact))),
        Group("map", tuple(_map(part, outline))),
        Group("words", (*_placement_words(title, machine, part, fact, load), _state_foot())),
    )
    return Page(WIDTH, HEIGHT, groups, title=f"{title}: {part.name}")


def _corners(box: tuple[float, float, float, float]) -> NDArray[np.float64]:
    left, low, right, high = box
    return np.array([[left, low], [right, low], [right, high], [left, high]])


def _middle_lines(box: tuple[float, float, float, float]) -> NDArray[np.float64]:
    left, low, right, high = box
    return np.array([[left, 0.0], [right, 0.0], [0.0, low], [0.0, high]])


def _threads(sheet: _Sheet, path: NeedlePath) -> Polylines:
    starts = np.append(np.flatnonzero(path.moved), len(path)).astype(np.intp)
    return Polylines(sheet(path.holes - path.centre), starts, Style(BLUE, 0.3))


def _part_crosses(sheet: _Sheet, load: Load, fact: PartFacts) -> list[Item]:
    """Its own two with their names, which keep off those of start and end."""
    items: list[Item] = []
    ends = [sheet.at(*point) for point in (fact.start_mm, fact.end_mm)]
    places = (load.crosses - load.middle_mm).tolist()
    for (x, y), name in zip(places, load.cross_names, strict=True):
        place = sheet.at(x, y)
        near = any(math.dist(place, end) < NEAR_A_NAME_MM and end[1] > place[1] - 3 for end in ends)
        up = -4.6 if near else 1.5
        items += [_cross(place), _beside(place, name, up, sheet, colour=VERMILION)]
    return items


def _zero(sheet: _Sheet, load: Load, kind: MachineKind) -> list[Item]:
    """What the trace goes round, and the zero of path files at its lower left corner."""
    if kind is MachineKind.HOOP:
        return []
    wide, high = load.reach_size_mm
    corners = sheet(_corners((-wide / 2, -high / 2, wide / 2, high / 2)))
    items: list[Item] = [Line(corners, Style(VERMILION, 0.3, (1.2, 1.0)), closed=True)]
    items += [
        Line(sheet(ring[:-1] - load.middle_mm), Style(GREY, 0.4), closed=True)
        for ring in load.rings
    ]
    x, y = corners[0].tolist()
    items += [
        _ring((x, y), 1.2),
        Text((x, y - 4.5), say("X0 Y0 of path files"), 3.2, colour=VERMILION, bold=True),
    ]
    if not len(load.crosses):
        x, y = sheet(load.check_mm - load.middle_mm).tolist()
        items += [_cross((x, y)), _beside((x, y), say("check here"), 1.5, sheet, colour=VERMILION)]
    return items


def _beside(
    place: tuple[float, float],
    words: str,
    up: float,
    sheet: _Sheet,
    *,
    colour: str = INK,
    bold: bool = False,
) -> Text:
    """A name beside its place, towards the middle, so that it stays on the drawing."""
    x, y = place
    left = x < sheet.at(0.0, 0.0)[0]
    at = (x + 3.0 if left else x - 3.0, y + up)
    return Text(at, words, 3.4, "start" if left else "end", colour=colour, bold=bold)


def _ends(sheet: _Sheet, fact: PartFacts) -> list[Item]:
    return _marked_ends(sheet, sheet.at(*fact.start_mm), sheet.at(*fact.end_mm))


def _marked_ends(sheet: _Sheet, start: tuple[float, float], end: tuple[float, float]) -> list[Item]:
    return [
        _dot(start, 1.6, ORANGE),
        _beside(start, say("start"), 0.6, sheet, bold=True),
        _ring(end, 1.6),
        _beside(end, say("end"), 0.6 if math.dist(start, end) > 4.0 else -4.6, sheet),
    ]


def _map(part: Part, outline: shapely.Polygon) -> list[Item]:
    """The whole runner, small, with this part's field on it."""
    low_x, low_y, high_x, high_y = outline.bounds
    field = part.field
    work = (
        min(low_x, field.left),
        min(low_y, field.low),
        max(high_x, field.right),
        max(high_y, field.high),
    )
    sheet = _Sheet(work, (EDGE, 16.0, 165.0, 44.0))
    box = _corners((field.left, field.low, field.right, field.high))
    return [
        Shape((sheet(box),), Style(None, 0.0, fill=ORANGE, opacity=0.35)),
        _outline(sheet, outline),
        Line(sheet(box), Style(BLUE, 0.4), closed=True),
        Text((EDGE, 10.5), say("the runner as in the guide, this part marked"), 3.2, colour=GREY),
    ]


def _placement_words(
    title: str, machine: MachineParts, part: Part, fact: PartFacts, load: Load
) -> list[Item]:
    x, y = part.field.centre
    turn = way_round(part.field.turned)
    lines = [
        say(
            "Part {number} of {parts}: files {name}.*",
            number=part.number,
            parts=len(machine.parts),
            name=part.name,
        ),
        say("Runner: {turn}.", turn=turn),
        say(
            "The middle of this part lies {x:.0f} mm from the left end and {y:.0f} mm from"
            " the lower edge.",
            x=x,
            y=y,
        ),
        say(
            "Size on the screen: {size}.",
            size=screen_size(fact),
        ),
        say(
            "Start: {start}. End: {end}.",
            start=from_centre(fact.start_mm),
            end=from_centre(fact.end_mm),
        ),
        say(
            "{stitches} stitches, {starts}, about {sewing:.0f} min of needle time.",
            stitches=fact.stitches,
            starts=fact.starts_words,
            sewing=max(fact.sewing_min, 1.0),
        ),
        say(
            "Needle thread {needle:.1f} m. Bobbin {bobbin:.1f} m, {bobbin_share:.0%} of a"
            " full one.",
            needle=fact.needle_m,
            bobbin=fact.bobbin_m,
            bobbin_share=fact.bobbin_share,
        ),
    ]
    if len(load.crosses):
        marks = (load.crosses - load.middle_mm).tolist()
        lines.append(
            say(
                "Crosses: {first} at {one} and {second} at {other} mm.",
                first=load.cross_names[0],
                one=_signed(marks[0]),
                second=load.cross_names[1],
                other=_signed(marks[1]),
            )
        )
    if machine.profile.kind is not MachineKind.HOOP:
        wide, high = load.reach_size_mm
        lines.append(
            say(
                "The trace goes round {wide:.1f} x {high:.1f} mm, about the same middle.",
                wide=wide,
                high=high,
            )
        )
        check = zero_words(load, load.check_mm, machine.profile.kind)
        lines.append(
            say("With the needle over {place} {reads}.", place=check_place(load), reads=check)
        )
    lines.append(
        say(
            "First run at {first_speed:.0f} stitches a minute at most.",
            first_speed=machine.profile.first_speed,
        )
    )
    words = _paragraph(lines, HEIGHT - 36.0, left=172.0, width=52)
    return [_heading(f"{title}: {part.name}"), *words, *_cautions(64.0, 172.0, 46)]


def _signed(point: Sequence[float]) -> str:
    return say("({x:+.1f}, {y:+.1f})", x=point[0], y=point[1])


def _heading(text: str) -> Text:
    return Text((EDGE, HEIGHT - EDGE - 4.0), text, 6.0, bold=True)


def _cautions(top: float, left: float = EDGE, width: int = 130) -> list[Item]:
    return _paragraph(
        [f"! {say_known(caution)}" for caution in CAUTIONS], top, left=left, width=width, size=3
    )


def _paragraph(
    lines: Sequence[str], top: float, *, left: float = EDGE, width: int = 130, size: float = 3.6
) -> list[Item]:
    """Lines of text from ``top`` downwards, wrapped at ``width`` letters."""
    import textwrap

    wrapped = [part for line in lines for part in textwrap.wrap(line, width)]
    return [
        Text((left, top - 1.5 * size * number), text, size) for number, text in enumerate(wrapped)
    ]


def _outline(sheet: _Sheet, outline: shapely.Polygon) -> Line:
    ring = shapely.get_coordinates(outline.exterior)[:-1]
    return Line(sheet(ring), Style(width_mm=0.5), closed=True)


def _cross(at: tuple[float, float]) -> Polylines:
    x, y = at
    arm = _CROSS_MM
    points = np.array([[x - arm, y], [x + arm, y], [x, y - arm], [x, y + arm]])
    return Polylines(points, np.array([0, 2, 4], dtype=np.intp), Style(VERMILION, 0.35))


def _circle(at: tuple[float, float], radius: float) -> NDArray[np.float64]:
    turn = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    return np.array(at) + radius * np.column_stack([np.cos(turn), np.sin(turn)])


def _dot(at: tuple[float, float], radius: float, colour: str) -> Shape:
    return Shape((_circle(at, radius),), Style(None, 0.0, fill=colour))


def _ring(at: tuple[float, float], radius: float) -> Line:
    return Line(_circle(at, radius), Style(width_mm=0.5), closed=True)
