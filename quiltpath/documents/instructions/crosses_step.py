"""Marking for a machine that follows files: no line of the quilting, but its alignment crosses."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from quiltpath.documents.instructions.step import MARKER, Step
from quiltpath.drawing.names_beside import names_beside
from quiltpath.drawing.page_model import Item, Shape
from quiltpath.drawing.sketch import CLOTH, DASHED, EDGE, Picture, PictureRoom, polyline, rectangle
from quiltpath.geometry.arrays import Floats
from quiltpath.language import say
from quiltpath.machine.named_crosses import CrossRow
from quiltpath.result.machine_parts import MachineParts
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.units import Measures, join_with_and

MOST_TOLD = 12
"""Crosses told one by one."""

MOST_ROWS = 30
"""Rows of crosses that are told; of more the placement pages tell those of each part."""

A_PAIR = 2
"""Crosses of one part, and of all where there are two."""

ARM_LETTERS = 0.8
"""Half a cross in the picture, in heights of a letter."""


def crosses_step(
    machine: MachineParts, outline: shapely.Polygon, sheet: PictureRoom, words: Measures
) -> Step:
    """Where the crosses are marked, from the left end and the lower edge of the flat top."""
    rows = machine.cross_rows
    crosses = sum(len(row.places) for row in rows)
    corner = np.array(outline.bounds[:2])
    tasks = [
        say(
            "Mark no line of the quilting: the machine follows its files. Mark the alignment"
            " crosses only; before each part the needle is brought to them."
        ),
        say(
            "Measure from the left end and the lower edge of the flat top, and draw each cross"
            " with a ruler, its arms along and across the runner."
        ),
    ]
    if crosses <= MOST_TOLD or len(rows) <= MOST_ROWS:
        told = _in_rows if crosses > MOST_TOLD else _one_by_one
        tasks += told(rows, corner, words)
        if crosses > A_PAIR:
            tasks.append(say("placement.pdf shows on the page of each part which two are its own."))
    else:
        tasks.append(
            say(
                "There are {crosses} crosses: placement.pdf says on the page of each part where"
                " its middle lies on the runner, and how far from there its two crosses are.",
                crosses=crosses,
            )
        )
    picture = crosses_picture(rows, outline, sheet)
    return Step(say("Mark the flat top"), tuple(tasks), (picture,), (), (MARKER,))


def _one_by_one(rows: Sequence[CrossRow], corner: Floats, words: Measures) -> list[str]:
    return [
        say(
            "Cross {name}: {along} from the left end, {up} from the lower edge.",
            name=name,
            along=words.fine(x),
            up=words.fine(y),
        )
        for row in rows
        for name, (x, y) in zip(row.names, (row.places - corner).tolist(), strict=True)
    ]


def _in_rows(rows: Sequence[CrossRow], corner: Floats, words: Measures) -> list[str]:
    """Crosses with one distance from an edge told together, by the first and the last name."""
    told = []
    for row in rows:
        places = row.places - corner
        listed = join_with_and([words.fine(at) for at in places[:, 1 - row.axis].tolist()])
        one, names = words.fine(float(places[0, row.axis])), row.names
        which = join_with_and(names)
        if len(names) > A_PAIR:
            which = say("{first} to {last}", first=names[0], last=names[-1])
        told.append(
            say(
                "{names}, {up} from the lower edge: at {alongs} from the left end.",
                names=which,
                up=one,
                alongs=listed,
            )
            if row.axis
            else say(
                "{names}, {along} from the left end: at {ups} from the lower edge.",
                names=which,
                along=one,
                ups=listed,
            )
        )
    return told


def crosses_picture(
    rows: Sequence[CrossRow], outline: shapely.Polygon, sheet: PictureRoom
) -> Picture:
    """The runner, its box dashed, and the crosses on it with the names that can be read."""
    wide, letter = sheet.across_the_page, sheet.letter_mm
    left, low, right, high = outline.bounds
    view = wide.view((left, low, right, high), pad_mm=letter, foot_mm=letter)
    ring = shapely.get_coordinates(outline.exterior)[:-1]
    items: list[Item] = [Shape((view.points(ring),), CLOTH)]
    items.append(rectangle(view, (left, low, right, high), DASHED))
    arm = ARM_LETTERS * letter
    drawn = [(row.names, view.points(row.places)) for row in rows]
    for x, y in np.vstack([places for _, places in drawn]).tolist():
        items += [polyline([(x - arm, y), (x + arm, y)], EDGE)]
        items += [polyline([(x, y - arm), (x, y + arm)], EDGE)]
    items += names_beside(drawn, letter, arm)
    shows = say("the flat top and the alignment crosses on it")
    return Picture("crosses", wide.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)
