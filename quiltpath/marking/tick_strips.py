"""Tick strips: only the edges are printed; the ticks are joined with a ruler on the cloth."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from quiltpath.drawing.page_model import GREY, INK, Group, Item, Line, Polylines, Shape, Style, Text
from quiltpath.drawing.sketch import box_corners
from quiltpath.drawing.text_width import size_that_fits, text_width
from quiltpath.language import say, say_known
from quiltpath.marking.taping import PaperPiece
from quiltpath.result.ruler_lists import EDGE_NAMES, RulerList
from quiltpath.runner.layer_names import layer_words

HEIGHT_MM = 26.0
FOLD_MM = 17.0
"""Height of the fold line above the strip's lower edge; ticks cross it."""

TICK_MM = 5.0
"""Half a tick. A tick is a piece of its line, so the paper may lie on either side of the edge."""

END_MM = 6.0
"""Paper beyond each end, so that neighbours can be laid over each other."""

TICK = Style(INK, 0.25)
FOLD = Style(INK, 0.5, (5, 1.5))
CUT = Style(GREY, 0.2)
NUMBER_MM = 2.6


@dataclass(frozen=True)
class Strip:
    """The ticks of one edge: positions in mm from its start, labels, and the lines' directions.

    ``direction`` (n, 2) holds unit vectors along and up the strip. A strip for the left or right
    edge is laid turned by a quarter to the left, its start at the lower edge.
    """

    layer: str
    edges: tuple[str, ...]
    places: tuple[str, ...]
    length: float
    at: np.ndarray
    labels: tuple[str, ...]
    direction: np.ndarray

    @property
    def name(self) -> str:
        """What the strip is for."""
        return f"{layer_words(self.layer)}: {say(' and ').join(map(say_known, self.edges))}"


def strips_of(layer: str, lists: Sequence[RulerList]) -> tuple[Strip, ...]:
    """The strips that a layer needs; lists over the same rectangles share theirs.

    Families are lettered, lines numbered from the left or the lower edge: tick ``a5`` of one edge
    joins tick ``a5`` of the other. Edges whose ticks read alike share a strip.
    """
    groups: dict[tuple[object, ...], list[RulerList]] = {}
    for each in lists:
        groups.setdefault((each.box, each.places), []).append(each)
    strips: list[Strip] = []
    for members in groups.values():
        strips += _alike([_edge_strip(layer, members, edge) for edge in range(4)])
    return tuple(strips)


def _edge_strip(layer: str, lists: Sequence[RulerList], edge: int) -> Strip:
    at: list[float] = []
    labels: list[str] = []
    direction: list[tuple[float, float]] = []
    for letter, each in zip("abcdefgh", lists, strict=False):
        hits = np.argwhere(each.edge == edge)
        at += each.at[tuple(hits.T)].tolist()
        labels += [f"{letter if len(lists) > 1 else ''}{line + 1}" for line in hits[:, 0].tolist()]
        direction += [_direction(each.angle, edge)] * len(hits)
    order = np.argsort(at, kind="stable")
    x0, y0, x1, y1 = lists[0].box
    return Strip(
        layer,
        (EDGE_NAMES[edge],),
        lists[0].places,
        x1 - x0 if edge % 2 == 0 else y1 - y0,
        np.array(at)[order],
        tuple(labels[i] for i in order.tolist()),
        np.array(direction).reshape(-1, 2)[order],
    )


def _direction(angle: float, edge: int) -> tuple[float, float]:
    """The line's direction on the strip as it lies on the edge."""
    radians = math.radians(angle)
    across, up = math.cos(radians), math.sin(radians)
    return (across, up) if edge % 2 == 0 else (up, -across)


def _alike(strips: Sequence[Strip]) -> Iterator[Strip]:
    """Strips with ticks, those that read the same as one for both edges."""
    kept: dict[tuple[object, ...], Strip] = {}
    for strip in strips:
        if not len(strip.at):
            continue
        key = (strip.length, strip.labels, (np.round(strip.at, 2) + 0.0).tobytes())
        first = kept.get(key)
        if first is not None:
            strip = Strip(**{**first.__dict__, "edges": first.edges + strip.edges})
        kept[key] = strip
    yield from kept.values()


def strip_pieces(strip: Strip, room: float) -> list[PaperPiece]:
    """The strip in lengths that go on a page ``room`` mm wide."""
    count = max(1, math.ceil(strip.length / (room - 2 * END_MM) - 1e-9))
    cuts = np.linspace(0, strip.length, count + 1)
    return [_length(strip, number, cuts) for number in range(count)]


def _length(strip: Strip, number: int, cuts: np.ndarray) -> PaperPiece:
    start, end, count = float(cuts[number]), float(cuts[number + 1]), len(cuts) - 1
    box = (start - END_MM, 0.0, end + END_MM, HEIGHT_MM)
    items: list[Item] = [
        Line(box_corners(box[0], 0, box[2] - box[0], HEIGHT_MM), CUT, closed=True),
        Line(np.array([(box[0], FOLD_MM), (box[2], FOLD_MM)]), FOLD),
        *_ticks(strip, box[0], box[2]),
        *_words(strip, number, count, start, end),
        _end_mark(start, first=number == 0),
        _end_mark(end, first=number == count - 1),
    ]
    name = (
        say("{name} {number} of {count}", name=strip.name, number=number + 1, count=count)
        if count > 1
        else strip.name
    )
    outline = np.array([shapely.box(*box).exterior], dtype=object)
    return PaperPiece(name, box, Group(name, tuple(items)), outline)


def _ticks(strip: Strip, low: float, high: float) -> list[Item]:
    """Ticks across the fold line, each a piece of its line, numbered where there is room.

    One that would stand out of the paper is whole on the neighbour, which overlaps by more.
    """
    half = np.array([text_width(label, NUMBER_MM) / 2 for label in strip.labels])
    wide = np.maximum(TICK_MM * np.abs(strip.direction[:, 0]), half)
    shown = np.flatnonzero((strip.at - wide >= low) & (strip.at + wide <= high))
    if not len(shown):
        return []
    at = strip.at[shown]
    numbered = _with_room(at, [strip.labels[i] for i in shown.tolist()])
    foot = np.stack([at, np.full(len(at), FOLD_MM)], axis=1)
    reach = TICK_MM * strip.direction[shown]
    points = np.stack([foot - reach, foot + reach], axis=1).reshape(-1, 2)
    items: list[Item] = [Polylines(points, np.arange(0, len(points) + 1, 2), TICK)]
    items += [
        Text((place, FOLD_MM + TICK_MM + 0.6), strip.labels[index], NUMBER_MM, "middle")
        for place, is_numbered, index in zip(at.tolist(), numbered, shown.tolist(), strict=True)
        if is_numbered
    ]
    return items


def _with_room(at: np.ndarray, labels: Sequence[str]) -> list[bool]:
    """Which ticks get their number: from left to right, while it touches no earlier one."""
    free = -math.inf
    chosen = []
    for place, label in zip(at.tolist(), labels, strict=True):
        half = text_width(label, NUMBER_MM) / 2 + 0.4
        chosen.append(place - half >= free)
        free = place + half if chosen[-1] else free
    return chosen


def _words(strip: Strip, number: int, count: int, start: float, end: float) -> list[Item]:
    edge = EDGE_NAMES.index(strip.edges[0])
    part = say(" · part {number} of {count}", number=number + 1, count=count) if count > 1 else ""
    uses = (
        say(" · use for {places}", places=", ".join(strip.places)) if len(strip.places) > 1 else ""
    )
    first = f"{strip.name}{part}{uses}"
    second = say("Fold along the line, lay the fold on the edge; 0 is at the left end.")
    if edge % 2:
        second = say(
            "Fold along the line, lay the fold on the edge; 0 is at the lower edge, the strip"
            " turned to stand upright."
        )
    room = end - start - 6
    return [
        Text((start + 3, 8.5), first, size_that_fits(first, 3.2, room)),
        Text((start + 3, 3.0), second, size_that_fits(second, 2.8, room)),
    ]


def _end_mark(at: float, *, first: bool) -> Shape | Line:
    """A plain line at the ends of the edge; a diamond where two lengths lie over each other."""
    stem = np.array([(at, 0.0), (at, HEIGHT_MM)])
    if first:
        return Line(stem, Style(INK, 0.35))
    reach = 2.5
    diamond = np.array([(at, 7 + reach), (at + reach, 7), (at, 7 - reach), (at - reach, 7)])
    return Shape((diamond, stem), Style(INK, 0.2))
