"""What a person must know to sew a crosshatch in one line."""

from __future__ import annotations

from quiltpath.checks.pivots import outermost_turn
from quiltpath.output.instructions_words import Measures
from quiltpath.project.repertoire_sections import OneLineCrosshatchLayer
from quiltpath.quilting.region import patches
from quiltpath.quilting.repertoire.one_line import one_lines
from quiltpath.result import Result


def one_line_tasks(result: Result, words: Measures) -> list[str]:
    """For each such layer that nothing cuts open: how it goes, and what it saves."""
    runner = result.runner.even or result.runner
    tasks = []
    for index, layer in enumerate(result.project.quilting):
        if not isinstance(layer, OneLineCrosshatchLayer):
            continue
        turn = outermost_turn(result.runner, result.lines, index)
        chosen = [one for _, one in one_lines(layer, patches(runner, layer.region))]
        if chosen and turn is not None:
            lines = sum(one.lines_replaced for one in chosen)
            tasks.append(
                f"{layer.name or layer.kind}: sew straight on to each turn, stop with the needle"
                f" down, pivot, and go on until you are back at the start. {len(chosen)}"
                f" start{'s' if len(chosen) > 1 else ''} in place of {lines}; the outermost turns"
                f" lie {words.fine(turn.inside_mm)} inside the finished edge, so trim outside them."
            )
    return tasks
