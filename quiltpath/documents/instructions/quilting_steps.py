"""Steps at the machine: mark, quilt (order, ruler settings, stitches, bobbins).

A crosshatch in one line gets sentences of its own: how it is sewn, and what it saves.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from quiltpath.documents.instructions.handling import handling
from quiltpath.documents.instructions.machine_step import loading_step
from quiltpath.documents.instructions.order_pictures import order_pictures
from quiltpath.documents.instructions.runner_pictures import (
    quilting_picture,
    sewing_picture,
)
from quiltpath.documents.instructions.square_up import square_up_step
from quiltpath.documents.instructions.step import MOVING, NEEDLE, Step
from quiltpath.drawing.sketch import Picture, PictureRoom
from quiltpath.geometry.arrays import distinct
from quiltpath.language import say, say_known
from quiltpath.result.sewing_facts import NEAR_THE_TRIM_MM, OneLineFacts
from quiltpath.result.values import Result
from quiltpath.routing import PieceKind
from quiltpath.runner.layer_names import layer_words
from quiltpath.units import MM_PER_INCH, Measures, count, join_with_and

MACHINE_POLICIES = ("continuous", "hoop")


def quilting_steps(result: Result, sheet: PictureRoom, words: Measures) -> Iterator[Step]:
    """The steps in order; a machine is loaded before it quilts."""
    if result.machine_parts is not None:
        yield loading_step(
            result.machine_parts, result.as_sewn, result.runner.outline, sheet, words.units
        )
    yield _quilt(result, sheet, words)
    yield square_up_step(result, sheet, words)


def _quilt(result: Result, sheet: PictureRoom, words: Measures) -> Step:
    stitch, sewn = result.project.stitch, result.as_sewn
    tasks = [
        say(
            "Stitch length {length:g} mm; {foot}; sew a test on a scrap of all three layers.",
            length=stitch.length,
            foot=say_known(sewn.foot),
        ),
        *_by_hand(result, words),
        *_order(result, words),
    ]
    machine = result.machine_parts
    in_parts = machine is not None and not machine.in_one
    wide = sheet.across_the_page
    if in_parts:  # its parts have starts of their own, which the placement pages show
        pictures: tuple[Picture, ...] = (quilting_picture(result, wide, "quilting"),)
    else:
        pictures = order_pictures(result, sheet) or (sewing_picture(result, wide),)
    gap = words.cut(result.gaps.widest_mm)
    notes = [
        say(
            "About {stitches:,} stitches, {stitched:.1f} m of line, {minutes:.0f} minutes"
            " at the machine.",
            stitches=sewn.stitches,
            stitched=result.stitches.stitched_mm / 1000,
            minutes=sewn.minutes,
        ),
        say("The widest unquilted place of the flat top is {gap} across", gap=gap)
        + (
            say("; the wadding allows {gap_limit}.", gap_limit=words.cut(result.gap_limit_mm))
            if result.gap_limit_mm
            else "."
        ),
    ]
    cautions = (NEEDLE, MOVING) if _moves(result) else (NEEDLE,)
    return Step(say("Quilt"), tuple(tasks), pictures, tuple(notes), cautions)


def _by_hand(result: Result, words: Measures) -> list[str]:
    """What is sewn with the feed dogs down, where the hands and not the machine make stitches."""
    free = [layer_words(name) for name in result.layers_by_hand]
    if not free:
        return []
    inch, centimetre = (round(mm / result.project.stitch.length) for mm in (MM_PER_INCH, 10.0))
    many = {
        "inches": say("{inch} stitches to the inch", inch=inch),
        "metric": say("{centimetre} stitches to the centimetre", centimetre=centimetre),
        "both": say(
            "{inch} stitches to the inch, {centimetre} to the centimetre",
            inch=inch,
            centimetre=centimetre,
        ),
    }[words.units]
    return [
        say(
            "At a table sew {layers} with the darning foot, the feed dogs down. Your hands move the"
            " cloth and make the stitches: about {many}, all alike, at an even speed of the"
            " machine.",
            layers=join_with_and(list(dict.fromkeys(free))),
            many=many,
        )
    ]


def _order(result: Result, words: Measures) -> list[str]:
    """What is sewn after what; a machine that sews in parts has an order of its own in each."""
    machine = result.machine_parts
    if machine is not None and not machine.in_one:
        return [
            say(
                "Sew the {parts} in the order of their names, each from the file that"
                " is named like it. The numbers on the marking guide are not for this: they"
                " are for sewing all of it in one go.",
                parts=machine.parts_words,
            ),
            say("Before each part move the work until the needle meets both alignment crosses."),
            _part_ends(result),
        ]
    starts = len(result.runs)
    follow = (
        say("All of it is one path: begin at number 1 in the drawing and follow the arrows.")
        if starts == 1
        else say(
            "Sew in the order of the numbers in the drawings, each in the direction of"
            " its arrows: {starts} starts. The marking guide bears the same numbers.",
            starts=starts,
        )
    )
    return [
        follow,
        *(layer_order(result) if starts > 1 else ()),
        *one_line_tasks(result, words),
        *handling(result, words),
        _ends(result, words),
        _bobbins(result),
    ]


def layer_order(result: Result) -> list[str]:
    """Layers in the order in which they are first sewn, with the numbers of their starts."""
    runs, lines = result.runs, result.lines
    run_of_piece = np.repeat(np.arange(len(runs)), np.diff(runs.run_start))
    sewn = runs.piece_kind == PieceKind.LINE
    layer = lines.layer[runs.piece_line[sewn]]
    stages: list[_Stage] = []
    for index in distinct(layer):
        numbers = run_of_piece[sewn][layer == index] + 1
        lines_here = int(np.count_nonzero(lines.layer == index))
        told = lines.layers[index], lines_here
        stages.append(_Stage(int(numbers.min()), int(numbers.max()), (told,)))
    return [_in_words(stage) for stage in _joined(sorted(stages, key=lambda s: s.first))]


@dataclass(frozen=True)
class _Stage:
    """Numbers of the starts from first to last, and what is sewn with them: names and lines."""

    first: int
    last: int
    told: tuple[tuple[str, int], ...]


def _joined(stages: list[_Stage]) -> list[_Stage]:
    """Stages whose numbers overlap as one: what is sewn in turn is told in one sentence."""
    joined: list[_Stage] = []
    for stage in stages:
        if joined and stage.first <= joined[-1].last:
            before = joined.pop()
            last = max(before.last, stage.last)
            stage = _Stage(before.first, last, before.told + stage.told)
        joined.append(stage)
    return joined


def _in_words(stage: _Stage) -> str:
    which = say("number {first}", first=stage.first)
    if stage.last > stage.first:
        which = say("numbers {first} to {last}", first=stage.first, last=stage.last)
    told = [f"{layer_words(name)} ({count(lines, 'line')})" for name, lines in stage.told]
    turn = say(", in turn") if len(told) > 1 else ""
    return f"{join_with_and(told)}{turn}: {which}."


def one_line_tasks(result: Result, words: Measures) -> list[str]:
    """For each such layer that nothing cuts open: how it goes, and what it saves."""
    by_layer: dict[int, list[OneLineFacts]] = {}
    for one in result.sewing.one_lines:
        by_layer.setdefault(one.index, []).append(one)
    tasks = []
    for ones in by_layer.values():
        inside_mm = ones[0].turns_inside_mm
        if inside_mm is None:
            continue
        lines = sum(one.line.lines_replaced for one in ones)
        if inside_mm > NEAR_THE_TRIM_MM:
            tasks.append(
                say(
                    "{layer}: sew straight on to each turn, stop with the needle down,"
                    " pivot, and go on until you are back at the start. {starts}"
                    " in place of {lines}.",
                    layer=layer_words(ones[0].layer),
                    starts=count(len(ones), "start"),
                    lines=lines,
                )
            )
        else:
            tasks.append(
                say(
                    "{layer}: sew straight on to each turn, stop with the needle down,"
                    " pivot, and go on until you are back at the start. {starts}"
                    " in place of {lines}; the outermost turns lie {inside} inside the"
                    " finished edge, so trim outside them.",
                    layer=layer_words(ones[0].layer),
                    starts=count(len(ones), "start"),
                    lines=lines,
                    inside=words.fine(inside_mm),
                )
            )
    return tasks


def _ends(result: Result, words: Measures) -> str:
    stitch = result.project.stitch
    inside = int(np.count_nonzero(result.runs.secured))
    if not inside:
        return say("Every line starts and ends in the margin: no end needs securing.")
    if stitch.securing == "tails":
        way = say(
            "leave tails of {tail:.0f} mm. Pull the upper one through to the back, knot"
            " the two close to the cloth, thread both into a needle, run it {far}"
            " between the layers, come out, tug the knot in and snip",
            tail=stitch.tail,
            far=words.usual(25.4, 25),
        )
    else:
        tiny = count(stitch.securing_count, "tiny stitch", "tiny stitches")
        way = say(
            "secure each with {stitches} of {length:g} mm",
            stitches=tiny,
            length=stitch.securing_length,
        )
    return say(
        "{ends} inside the runner: {way}. Ends in the margin need nothing.",
        ends=count(inside, "thread end"),
        way=way,
    )


def _bobbins(result: Result) -> str:
    """When the bobbin is changed: after a number, or in one that takes more than a bobbin."""
    changes, run = result.sewing.bobbin_changes, result.stitches.run
    if not len(changes):
        return say("One full bobbin lasts for all of it.")
    told = []
    for at in changes.tolist():
        number = int(run[at]) + 1
        if at + 1 < len(run) and run[at + 1] == run[at]:
            told.append(say("when it runs low in number {number}", number=number))
        else:
            told.append(say("after number {number}", number=number))
    wind = say("wind {bobbins} before you start", bobbins=len(told) + 1)
    return say(
        "Put in a full bobbin {when}; {wind}.",
        when=join_with_and(list(dict.fromkeys(told))),
        wind=wind,
    )


def _part_ends(result: Result) -> str:
    if result.project.stitch.securing == "tails":
        return say(
            "Between starts of thread leave tails, and bury those that end inside the runner."
        )
    return say(
        "Stitch files secure thread ends inside the runner; LOADING.txt says what each"
        " path file does. Snip the ends after each part, the machine stopped."
    )


def _moves(result: Result) -> bool:
    project = result.project
    return project.machine.profile is not None or project.sewing.policy in MACHINE_POLICIES
