"""Marking for a machine that follows files: no line of the quilting, but its alignment crosses."""

from __future__ import annotations

import numpy as np
import shapely

from quiltpath.documents.instructions.step import MARKER, Step
from quiltpath.drawing.page_model import Item, Shape
from quiltpath.drawing.sketch import CLOTH, DASHED, EDGE, Picture, PictureRoom, polyline, rectangle
from quiltpath.geometry.arrays import distinct
from quiltpath.language import say
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
    crosses = machine.crosses
    left, low = outline.bounds[:2]
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
    rows = _rows(crosses - (left, low), words)
    if len(crosses) <= MOST_TOLD or len(rows) <= MOST_ROWS:
        tasks += rows if len(crosses) > MOST_TOLD else _one_by_one(crosses - (left, low), words)
        if len(crosses) > A_PAIR:
            tasks.append(say("placement.pdf shows on the page of each part which two are its own."))
    else:
        tasks.append(
            say(
                "There are {crosses} crosses: placement.pdf says on the page of each part where"
                " its middle lies on the runner, and how far from there its two crosses are.",
                crosses=len(crosses),
            )
        )
    picture = crosses_picture(crosses, outline, sheet)
    return Step(say("Mark the flat top"), tuple(tasks), (picture,), (), (MARKER,))


def _one_by_one(crosses: np.ndarray, words: Measures) -> list[str]:
    return [
        say(
            "Cross {along} from the left end, {up} from the lower edge.",
            along=words.fine(x),
            up=words.fine(y),
        )
        for x, y in crosses.tolist()
    ]


def _rows(crosses: np.ndarray, words: Measures) -> list[str]:
    """Crosses in rows, those with one distance from an edge told together: along or across,
    whichever makes fewer rows."""
    places = np.round(crosses, 1)
    axis = int(len(distinct(places[:, 0])) >= len(distinct(places[:, 1])))
    told = []
    for at in distinct(places[:, axis]):
        others = np.sort(places[places[:, axis] == at, 1 - axis])
        listed = join_with_and([words.fine(other) for other in others.tolist()])
        one = words.fine(float(at))
        told.append(
            say("{up} from the lower edge: at {alongs} from the left end.", up=one, alongs=listed)
            if axis
            else say(
                "{along} from the left end: at {ups} from the lower edge.", along=one, ups=listed
            )
        )
    return told


def crosses_picture(crosses: np.ndarray, outline: shapely.Polygon, sheet: PictureRoom) -> Picture:
    """The runner, its box dashed, and the crosses on it."""
    wide, letter = sheet.across_the_page, sheet.letter_mm
    left, low, right, high = outline.bounds
    view = wide.view((left, low, right, high), pad_mm=letter, foot_mm=letter)
    ring = shapely.get_coordinates(outline.exterior)[:-1]
    items: list[Item] = [Shape((view.points(ring),), CLOTH)]
    items.append(rectangle(view, (left, low, right, high), DASHED))
    arm = ARM_LETTERS * letter
    for x, y in (view.at(*at) for at in crosses.tolist()):
        items += [polyline([(x - arm, y), (x + arm, y)], EDGE)]
        items += [polyline([(x, y - arm), (x, y + arm)], EDGE)]
    shows = say("the flat top and the alignment crosses on it")
    return Picture("crosses", wide.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)
