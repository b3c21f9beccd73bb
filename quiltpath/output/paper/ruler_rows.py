"""Ruler and inset lists as rows of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from quiltpath.output.paper.choice import Marking, Way
from quiltpath.output.paper.flow import Row, cells, heading, paragraph
from quiltpath.output.paper.insets import InsetList
from quiltpath.output.paper.ruler import EDGE_NAMES, MEASURED_FROM, RulerList
from quiltpath.output.paper.ruler_words import reading, ruler_words

STARTS = (0.0, 14.0, 104.0)


def ruler_rows(ways: Sequence[Marking], room: float) -> list[Row]:
    """Every list of the layers that are marked by ruler."""
    rows: list[Row] = []
    for way in ways:
        if way.way is not Way.RULER:
            continue
        for each in way.lists:
            rows += _list_rows(way.name, each, room)
        for inset in way.insets:
            rows += _inset_rows(way.name, inset, room)
    return rows


def _list_rows(name: str, each: RulerList, room: float) -> list[Row]:
    angle = f"{each.angle:.1f}".removesuffix(".0") + "°"
    where = ", ".join(each.places)
    part = "" if each.whole else ", its straight middle"
    rows = [heading(f"{name}: {len(each)} lines at {angle}, {where}{part}", room)]
    words = ruler_words(each.angle) + " " + _from_where(each)
    rows += [Row(row.height, row.items, keep=True) for row in paragraph(words, room)]
    share = room / 182.0
    starts = tuple(start * share for start in STARTS)
    rows.append(cells(("line", "starts", "ends"), starts, room, bold=True))
    for number in range(len(each)):
        marks = [
            f"{EDGE_NAMES[each.edge[number, end]]}: {reading(float(each.at[number, end]))}"
            for end in (0, 1)
        ]
        rows.append(cells((str(number + 1), *marks), starts, room))
    return rows


def _from_where(each: RulerList) -> str:
    """The ends that are measured from; always the same one, so that no error adds up."""
    used = dict.fromkeys(MEASURED_FROM[edge] for edge in each.edge.ravel().tolist())
    middle = "" if each.whole else " of the straight middle"
    return (
        f"Measure every mark from the {' and the '.join(used)}{middle},"
        " not from the mark before it, so that no error adds up."
    )


def _inset_rows(name: str, inset: InsetList, room: float) -> list[Row]:
    rows = [heading(f"{name}: {', '.join(inset.places)}", room)]
    words = "Measure every distance square in from the edge, and join the marks."
    if inset.places == ("the printed line",):
        words = "Measure from the printed line towards the block, and join the marks."
    rows += [Row(row.height, row.items, keep=True) for row in paragraph(words, room)]
    rows += _distances(inset, room)
    return rows


def _distances(inset: InsetList, room: float) -> Iterator[Row]:
    for number, distance in enumerate(inset.distances, start=1):
        yield cells((str(number), reading(distance)), (0.0, 14.0), room)
