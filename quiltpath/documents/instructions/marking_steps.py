"""Steps of marking: what is marked before layering and after it, line by line and how.

A machine that follows files has its alignment crosses marked, and no line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.documents.instructions.crosses_step import crosses_step
from quiltpath.documents.instructions.runner_pictures import quilting_picture
from quiltpath.documents.instructions.step import MARKER, Step
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.geometry.arrays import distinct
from quiltpath.language import message, say, say_known
from quiltpath.result.marking_ways import Marking, Way
from quiltpath.result.values import Result
from quiltpath.runner.layer_names import layer_words
from quiltpath.runner.places import lean_words
from quiltpath.units import Measures, count

SAME_PLACE_MM = 1.0
EVEN_MM = 0.25
"""Distances that differ by more are told apart: they print as different settings of a guide bar."""
MOST_FAMILIES = 3


HOW_MARKED = {
    Way.RULER: message("mark it by ruler, from its list in marking.pdf"),
    Way.TICKS: message("mark it by its paper strips from marking.pdf"),
    Way.TEMPLATE: message("mark it by its template from marking.pdf"),
    Way.NONE: message("follow the print"),
}


@dataclass(frozen=True)
class ParallelLines:
    """Parallel straight lines of a layer: their angle, number, and distances apart in mm."""

    angle_deg: float
    places: int
    usual_mm: float
    least_mm: float
    most_mm: float


def marking_steps(
    result: Result, sheet: PictureRoom, words: Measures, layered: bool
) -> Iterator[Step]:
    """Marking, where it belongs: on the flat top for ruler, template and pen, which need a firm
    table under the cloth; after basting (``layered``) where nothing but tape or a bar is needed.
    A machine follows its files: what it meets its parts by is marked, and no line."""
    machine = result.machine_parts
    if machine is not None:
        if not layered and not machine.in_one:
            yield crosses_step(machine, result.runner.outline, sheet, words)
        return
    needs_marks = any(
        reason is None and (result.lines.layer == index).any()
        for index, reason in enumerate(result.sewing.unmarked)
    )
    if needs_marks == layered:
        return
    if layered:
        tasks = [say("Nothing is marked on the flat top: these lines are followed as you sew.")]
        tasks += ruler_settings(result, words)
        yield Step(
            say("Mark as you go"),
            tuple(tasks),
            (quilting_picture(result, sheet.across_the_page, "marking"),),
        )
        return
    tasks = [
        say(
            "Mark now, before layering: ruler, template and pen need the top flat on a firm table."
        ),
        _print_first(result),
        _which_lines(result),
    ]
    tasks += ruler_settings(result, words)
    picture = quilting_picture(result, sheet.across_the_page, "marking")
    yield Step(say("Mark the flat top"), tuple(tasks), (picture,), (), (MARKER,))


def _which_lines(result: Result) -> str:
    if not result.sewing.guide_bar:
        return say("Mark the lines.")
    return say(
        "Mark the lines. Of parallel lines that you will follow with a guide bar or"
        " with tape, mark only the first now; tape is laid after basting, one line at a"
        " time."
    )


def _print_first(result: Result) -> str:
    """What is printed, and what is measured before it is believed."""
    if "marking" in result.project.sheets:
        return say("Print marking.pdf at 100 %, and measure the two squares on its first page.")
    return say("Print the marking guide at 100 %, and measure both of its bars: 100 mm and 4 in.")


def ruler_settings(result: Result, words: Measures) -> list[str]:
    """For each layer the angle and distance of its parallel lines."""
    lines, ways = result.lines, _ways(result)
    told = []
    for index, (name, reason) in enumerate(zip(lines.layers, result.sewing.unmarked, strict=True)):
        own = lines.layer == index
        if own.any() and reason:
            told.append(
                say("{name}: no marks, {reason}.", name=layer_words(name), reason=say_known(reason))
            )
            continue
        groups = families(lines.geometry[own], lines.source[own])[:MOST_FAMILIES]
        apart = "; ".join(_settings(groups, words))
        if own.any():
            way = ways[index]
            settings = say("{apart}; {way}", apart=apart, way=way) if apart else way
            told.append(say("{name}: {told}.", name=layer_words(name), told=settings))
    return told


def _ways(result: Result) -> dict[int, str]:
    """For each layer that is drawn how it is marked: by what is printed for it."""
    if "marking" not in result.project.sheets:
        guide = say("mark it from the marking guide")
        return dict.fromkeys(range(len(result.lines.layers)), guide)
    return {marked.index: _way(marked) for marked in result.markings}


def _way(marked: Marking) -> str:
    """The one way, or the two, of a layer."""
    by_template = len(marked.templated)
    if marked.way is Way.TEMPLATE:
        return say_known(HOW_MARKED[Way.TEMPLATE if by_template else Way.NONE])
    told = say_known(HOW_MARKED[marked.way])
    if by_template:
        told += say("; {lines} by template", lines=count(by_template, "more line"))
    return told


def _settings(groups: Sequence[ParallelLines], words: Measures) -> list[str]:
    """Each family in words; two that mirror one another are one."""
    if len(groups) == 2 and groups[0].angle_deg + groups[1].angle_deg == 180:
        one, other = (_setting(group, words, both_ways=True) for group in groups)
        if one == other:
            return [one]
    return [_setting(group, words) for group in groups]


def _setting(group: ParallelLines, words: Measures, *, both_ways: bool = False) -> str:
    angle = lean_words(group.angle_deg, both_ways)
    even = group.most_mm - group.least_mm < EVEN_MM
    apart = say("{usual} apart", usual=words.fine(group.usual_mm))
    if not even:
        between = say(
            "{least} to {most}", least=words.fine(group.least_mm), most=words.fine(group.most_mm)
        )
        apart = (
            say("most {apart}, from {between}", apart=apart, between=between)
            if group.places > 3
            else say("{between} apart", between=between)
        )
    return say("lines {angle}, {apart}", angle=angle, apart=apart)


def families(
    geometry: NDArray[np.object_], source: NDArray[np.object_] | None = None
) -> tuple[ParallelLines, ...]:
    """The parallel families among lines, most places first: what a ruler or guide bar is set to.

    Bent lines are left out, and nothing is told where they are the most. Lines that lie in one
    line count once; lines within half a degree are one family: a print leans a little. Distances
    are taken among lines of one ``source`` (a block): between blocks nobody sets a ruler.
    """
    if source is None:
        source = np.zeros(len(geometry), dtype=object)
    part = np.unique(source.astype(str), return_inverse=True)[1]
    start = shapely.get_coordinates(shapely.get_point(geometry, 0))
    end = shapely.get_coordinates(shapely.get_point(geometry, -1))
    chord = np.hypot(*(end - start).T)
    straight = (chord > 5.0) & (np.abs(shapely.length(geometry) - chord) < 0.01)
    if np.count_nonzero(straight) < len(geometry) / 2:
        return ()
    angle = np.degrees(np.arctan2(*(end - start).T[::-1]))
    bundle = np.round(angle).astype(int) % 180
    found = [
        _family(int(turn), angle[chosen], (start[chosen] + end[chosen]) / 2, part[chosen])
        for turn in distinct(bundle[straight])
        if (chosen := straight & (bundle == turn)).any()
    ]
    return tuple(sorted((f for f in found if f.places), key=lambda f: (-f.places, f.angle_deg)))


def _family(
    near: int,
    angles: NDArray[np.float64],
    middle: NDArray[np.float64],
    part: NDArray[np.intp],
) -> ParallelLines:
    """Lines that lie ``near`` one angle, in whole degrees, by their middles."""
    off = (angles - near + 90.0) % 180.0 - 90.0
    angle = float(np.round(near + np.median(off), 1)) % 180.0
    turn = math.radians(angle)
    place = middle @ np.array([-math.sin(turn), math.cos(turn)])
    order = np.lexsort([place, part])
    gaps = np.diff(place[order])
    gaps = gaps[(np.diff(part[order]) == 0) & (gaps > SAME_PLACE_MM)]
    if not len(gaps):
        return ParallelLines(angle, 0, 0.0, 0.0, 0.0)
    usual = float(np.median(gaps))
    return ParallelLines(angle, len(gaps) + 1, usual, float(gaps.min()), float(gaps.max()))
