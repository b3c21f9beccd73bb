"""The step at which a machine file is loaded: what the screen must show before anything is sewn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from quiltpath.documents.instructions.loading_sheet import (
    CAUTIONS,
    CHECKS,
    all_words,
    clamping,
    from_centre,
    screen_size,
    way_round,
)
from quiltpath.documents.instructions.step import Step
from quiltpath.drawing.page_model import INK, Item, Shape, Style, Text
from quiltpath.drawing.sketch import CLOTH, DASHED, Picture, PictureRoom, View, rectangle
from quiltpath.language import say, say_known
from quiltpath.machine.parts import Part
from quiltpath.result.machine_parts import MachineParts, SewingTotals
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.units import Units, count, say_in_units

MOST_TOLD = 8
"""Parts told one by one; a longer list is easier to follow on the placement pages."""


def loading_step(
    machine: MachineParts,
    sewn: SewingTotals,
    outline: shapely.Polygon,
    sheet: PictureRoom,
    units: Units,
) -> Step:
    """Size on the screen, start, which way round, what to check first, speed, cautions."""
    profile = machine.profile
    tasks = [
        say(
            "{machine}: the work is sewn in {parts}. LOADING.txt in the folder machine"
            " says the same as this step, placement.pdf shows it.",
            machine=say_known(profile.title),
            parts=machine.parts_words,
        ),
        *clamping(machine),
        *_parts(machine),
        *map(say_known, CHECKS),
        say(
            "Sew no faster than {first_speed:.0f} stitches a minute the first time; after"
            " that {speed:.0f}.",
            first_speed=profile.first_speed,
            speed=profile.speed,
        ),
    ]
    picture = parts_picture(machine.parts, outline, sheet)
    told = (all_words(sewn), *machine.division_words)
    notes = tuple(say_in_units(words, units) for words in told)
    return Step(say("Load the machine"), tuple(tasks), (picture,), notes, CAUTIONS)


def _parts(machine: MachineParts) -> list[str]:
    told = [
        say(
            "{name}: the screen must show {size}; the runner lies {turned}; the first"
            " stitch is {start}, the last {end}.",
            name=part.name,
            size=screen_size(fact),
            turned=way_round(part.field.turned),
            start=from_centre(fact.start_mm),
            end=from_centre(fact.end_mm),
        )
        for part, fact in zip(machine.parts, machine.facts, strict=True)
    ]
    left = len(told) - MOST_TOLD
    if left <= 0:
        return told
    return [
        *told[:MOST_TOLD],
        say(
            "{left}: size, start and end are on the placement pages.", left=count(left, "more part")
        ),
    ]


def parts_picture(parts: Sequence[Part], outline: shapely.Polygon, sheet: PictureRoom) -> Picture:
    """The runner with what the machine reaches in each part, and where each part starts."""
    letter = sheet.letter_mm
    boxes = np.array([(p.field.left, p.field.low, p.field.right, p.field.high) for p in parts])
    own = np.array(outline.bounds)
    low, high = np.minimum(boxes.min(axis=0), own)[:2], np.maximum(boxes.max(axis=0), own)[2:]
    view = sheet.view((*low.tolist(), *high.tolist()), pad_mm=letter, foot_mm=letter)
    ring = shapely.get_coordinates(outline.exterior)[:-1]
    items: list[Item] = [Shape((view.points(ring),), CLOTH)]
    items += [rectangle(view, tuple(box), DASHED) for box in boxes.tolist()]
    for place, numbers in _starts(parts, view, letter):
        items += _tag(place, ", ".join(str(number) for number in numbers), letter)
    shows = say(
        "the runner; dashed what the machine reaches in each part; a part's number stands where it"
        " starts"
    )
    return Picture("loading", sheet.width_mm, view.height_mm, tuple(items), shows, FLAT_WORDS)


def _starts(
    parts: Sequence[Part], view: View, letter: float
) -> list[tuple[tuple[float, float], list[int]]]:
    """Where parts start in the picture, those together whose tags would hide one another."""
    found: list[tuple[tuple[float, float], list[int]]] = []
    for part in parts:
        x, y = view.at(*part.stitches.needle_holes[0].tolist())
        near = (n for at, n in found if max(abs(at[0] - x), abs(at[1] - y)) < 2 * letter)
        numbers = next(near, None)
        if numbers is None:
            found.append(((x, y), [part.number]))
        else:
            numbers.append(part.number)
    return found


def _tag(at: tuple[float, float], words: str, letter: float) -> list[Item]:
    half = letter * (0.55 + 0.3 * len(words))
    tag = np.array([(-half, -0.7), (half, -0.7), (half, 0.7), (-half, 0.7)]) * (1.0, letter)
    return [
        Shape((tag + np.array(at),), Style(INK, 0.35, (), "#ffffff")),
        Text((at[0], at[1] - 0.36 * letter), words, letter, "middle", bold=True),
    ]
