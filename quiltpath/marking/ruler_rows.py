"""Ruler and inset lists as rows of text, figures as a person reads them off a ruler."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from quiltpath.marking.choice import InsetList, Marking, Way
from quiltpath.marking.ruler_lists import (
    EDGE_NAMES,
    MEASURED_FROM,
    NEARLY_PARALLEL_DEG,
    RulerList,
)
from quiltpath.marking.sheet import SheetRow, cells, heading, paragraph
from quiltpath.units import MM_PER_INCH, inch_fraction, millimetres

STARTS = (0.0, 14.0, 104.0)


def ruler_rows(ways: Sequence[Marking], room: float) -> list[SheetRow]:
    """Every list of the layers that are marked by ruler."""
    rows: list[SheetRow] = []
    for way in ways:
        if way.way is not Way.RULER:
            continue
        for each in way.lists:
            rows += _list_rows(way.name, each, room)
        for inset in way.insets:
            rows += _inset_rows(way.name, inset, room)
    return rows


def _list_rows(name: str, each: RulerList, room: float) -> list[SheetRow]:
    angle = f"{each.angle:.1f}".removesuffix(".0") + "°"
    where = ", ".join(each.places)
    part = "" if each.whole else ", its straight middle"
    rows = [heading(f"{name}: {len(each)} lines at {angle}, {where}{part}", room)]
    words = ruler_words(each.angle) + " " + _from_where(each)
    rows += [SheetRow(row.height, row.items, keep=True) for row in paragraph(words, room)]
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


def _inset_rows(name: str, inset: InsetList, room: float) -> list[SheetRow]:
    rows = [heading(f"{name}: {', '.join(inset.places)}", room)]
    words = "Measure every distance square in from the edge, and join the marks."
    if inset.places == ("the printed line",):
        words = "Measure from the printed line towards the block, and join the marks."
    rows += [SheetRow(row.height, row.items, keep=True) for row in paragraph(words, room)]
    rows += _distances(inset, room)
    return rows


def _distances(inset: InsetList, room: float) -> Iterator[SheetRow]:
    for number, distance in enumerate(inset.distances, start=1):
        yield cells((str(number), reading(distance)), (0.0, 14.0), room)


def reading(mm: float) -> str:
    """A position in both units: ``"2 3/16 in full (56 mm)"``.

    "Full" and "scant" (the trade's words) say that the true place lies beyond or short of the
    sixteenth by more than half a millimetre.
    """
    sixteenths = round(mm / MM_PER_INCH * 16) * MM_PER_INCH / 16
    off = mm - sixteenths
    shade = " full" if off > 0.5 else " scant" if off < -0.5 else ""
    return f"{inch_fraction(mm, 16)}{shade} ({millimetres(mm)})"


def ruler_words(angle: float) -> str:
    """How to lay the ruler for lines at an angle from the runner's length."""
    square = min(angle, 180 - angle) < NEARLY_PARALLEL_DEG
    if square or abs(angle - 90) < NEARLY_PARALLEL_DEG:
        edge = "left and right edges" if square else "lower and upper edges"
        return f"Mark both {edge} and join the marks with the ruler."
    against = angle if angle < 90 else 180 - angle
    lean = "rising to the right" if angle < 90 else "rising to the left"
    if abs(against - round(against)) < 0.05 and round(against) in (30, 45, 60):
        return (
            f"Lines {lean}. Lay the ruler's {round(against)}° line along the lower edge, or join"
            " the two marks of each line."
        )
    return f"Lines {lean} at {against:.1f}°. Join the two marks of each line."
