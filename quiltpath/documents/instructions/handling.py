"""At a domestic machine: where to begin, how to turn, and how to hold what hangs off the needle."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from quiltpath.geometry.arrays import Floats
from quiltpath.language import say
from quiltpath.result.values import Result
from quiltpath.routing import BreakReason
from quiltpath.units import Measures

MACHINE_POLICIES = ("continuous", "hoop")

MUCH = 0.15
"""A way that takes less of the sewing than this is not worth rolling the piece for."""

ALONG_DEG, ACROSS_DEG = 30.0, 60.0
"""A piece of line nearer to an axis than this runs along the runner, or across it."""


def handling(result: Result, words: Measures) -> Iterator[str]:
    """Tasks for somebody who moves the work by hand; nothing where a machine moves it."""
    project = result.project
    moved = project.machine.profile is not None or project.sewing.policy in MACHINE_POLICIES
    if moved or not len(result.runs):
        return
    yield _begin(result, words)
    yield _bobbin_thread(result)
    if result.stitches.pivots:
        yield (
            say(
                "Turn at corners: stop with the needle down, foot up, turn the whole piece,"
                " foot down, go on."
            )
        )
    yield from _turn_round(result, words)
    yield from _bulk(result, words)


def _begin(result: Result, words: Measures) -> str:
    """The first needle point, from the left end and the lower edge, or beside it in the margin."""
    runner = result.runner
    x, y = (float(v) for v in result.runs.coordinates[0])
    near_x, near_y = min(max(x, 0.0), runner.length_mm), min(max(y, 0.0), runner.width_mm)
    place = (
        say("in the margin, beside the place")
        if (near_x, near_y) != (x, y)
        else say("at the place")
    )
    from_left = say("at the left end")
    if near_x >= 0.5:
        from_left = say("{far} from the left end", far=words.cut(near_x))
    up = say("on the lower edge")
    if near_y >= 0.5:
        up = say("{far} from the lower edge", far=words.cut(near_y))
    return say(
        "Begin with number 1 {place} {from_left}, {up}.", place=place, from_left=from_left, up=up
    )


def _bobbin_thread(result: Result) -> str:
    """Held threads make no nest on the back."""
    inside = bool(result.runs.secured[:, 0].any())
    where = (
        say(" Where a line starts inside the runner, do so right at its start.") if inside else ""
    )
    return say(
        "At each start turn the wheel by hand for one stitch, draw the bobbin thread up"
        " and hold both threads for the first stitches.{where}",
        where=where,
    )


def _turn_round(result: Result, words: Measures) -> Iterator[str]:
    """What is done at the end of a run, by where most of them end."""
    outside = int(np.count_nonzero(~result.runs.secured[:, 1]))
    if outside:
        yield (
            say(
                "A line that ends in the margin is sewn {over} beyond the drawn edge and"
                " cut there. Before a line that goes the other way turn the piece end for"
                " end, keeping it flat.",
                over=words.usual(25.4, 25),
            )
        )
    if np.count_nonzero(result.runs.break_reason == BreakReason.SEPARATE) > 1:
        yield say(
            "To start elsewhere lift the foot and move the piece; do not drag it by its threads."
        )


def _bulk(result: Result, words: Measures) -> Iterator[str]:
    """How the piece is rolled: whichever way lines run, half of it at most goes under the arm."""
    along, across = _shares(result.runs.coordinates, result.runs.piece_start)
    margin = result.project.wadding.extra
    if along >= MUCH:
        half = words.cut(result.runner.width_mm / 2 + margin)
        yield (
            say(
                "Lines along the runner: roll or fold up the side under the machine's arm,"
                " at most {half} of it when you turn the piece at the centre line; let the"
                " end lie on a table or chair behind the machine.",
                half=half,
            )
        )
    if across >= MUCH:
        half = words.cut(result.runner.length_mm / 2 + margin)
        yield (
            say(
                "Lines across the runner: roll the end under the arm, {half} at most, clip"
                " the roll, and lay the other end on a table at your left.",
                half=half,
            )
        )
    yield (
        say(
            "Hold the piece flat with both hands beside the foot. Nothing may hang off the"
            " table: its weight would drag the stitches short. Smooth the layers towards"
            " the unsewn side."
        )
    )


def _shares(points: Floats, piece_start: np.ndarray) -> tuple[float, float]:
    """Parts of the sewing that run along the runner and across it."""
    steps = np.diff(points, axis=0)
    steps = np.delete(steps, piece_start[1:-1] - 1, axis=0)
    length = np.hypot(*steps.T)
    angle = np.degrees(np.arctan2(np.abs(steps[:, 1]), np.abs(steps[:, 0])))
    whole = max(float(length.sum()), 1e-9)
    lying, upright = angle < ALONG_DEG, angle > ACROSS_DEG
    slanting = ~lying & ~upright
    return (
        float(length[lying | slanting].sum()) / whole,
        float(length[upright | slanting].sum()) / whole,
    )
