"""The marking guide: the whole runner on one page, true to size, with lines and sewing order."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from quiltpath.drawing import svg
from quiltpath.drawing.names_beside import names_beside
from quiltpath.drawing.page_model import (
    GREY,
    INK,
    Drawing,
    Group,
    Item,
    Line,
    Page,
    Polylines,
    Shape,
    Style,
    Text,
    reword_drawing,
)
from quiltpath.drawing.sketch import BAR_MM, bars, upright_bar
from quiltpath.drawing.text_width import size_that_fits, text_width
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import say, say_known, speaking
from quiltpath.machine.named_crosses import CrossRow
from quiltpath.patterns import Lines
from quiltpath.result.values import Result
from quiltpath.routing import Runs
from quiltpath.runner.layer_names import layer_words
from quiltpath.runner.order_marks import arrows, number_runs
from quiltpath.runner.runner_picture import (
    blocks_group,
    layer_groups,
    layer_style,
    motifs_group,
    outline_group,
    sashing_group,
    seams_group,
)
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.stitching.checkpoints import Checkpoints
from quiltpath.units import both_units, say_in_units

EDGE_MM = 12.0
TITLE_MM = 20.0
BARS_MM = 34.0
LEGEND_ROW_MM = 9.0
LEGEND_COLUMN_MM = 110.0
"""At least; wider where a name asks for it."""

LEGEND_SAMPLE_MM = 33.0
LEGEND_MM = 5.0
NUMBER_ROOM_MM = 30.0
"""Runs start up to an overrun past the edge; their numbers stand beyond."""

CLEAR_OF_CROSS_MM = 12.0

WADDING = Style(GREY, 0.25, (1, 3))


def guide(
    runner: Runner,
    lines: Lines,
    runs: Runs,
    title: str = "Marking guide",
    cross_rows: Sequence[CrossRow] = (),
    checkpoints: Sequence[tuple[str, Checkpoints]] = (),
) -> Drawing:
    """One page that holds the runner, its wadding margin, every line and the sewing order.

    True to size: 1 mm of the drawing is 1 mm of cloth. Layers differ in their dashes as well as
    their colours, so that a mono print can be read. ``cross_rows`` are those by which a
    machine's parts are aligned; ``checkpoints`` those at which sewing can be taken up again, by
    the name of their part, "" for the whole.
    """
    margin = max(runner.margin_mm, NUMBER_ROOM_MM)
    page_width = max(runner.length_mm + 2 * (margin + EDGE_MM), 300.0)
    legend = _legend(lines, page_width)
    foot = EDGE_MM + BARS_MM + legend.rows * LEGEND_ROW_MM + 8
    page_height = max(runner.width_mm + 2 * margin + foot + TITLE_MM, BAR_MM + foot)
    low_x, low_y, _, _ = runner.outline.bounds
    shift = (EDGE_MM + margin - low_x, foot + margin - low_y)
    numbers = number_runs(runner, runs)
    groups = _runner_groups(runner, lines, runs, numbers.group)
    crosses = np.vstack([np.zeros((0, 2)), *(row.places for row in cross_rows)])
    if len(crosses):
        groups = (*groups, _crosses(crosses, cross_rows))
    marked = [(part, places) for part, places in checkpoints if len(places) > 1]
    if marked:
        groups = (*groups, checkpoints_group(marked, [part for part, _ in checkpoints], crosses))
    cloth = Group("runner", groups, shift_mm=shift)
    page = Page(
        page_width,
        page_height,
        (
            _title(runner, title, page_height),
            cloth,
            bars(EDGE_MM, EDGE_MM),
            upright_bar(3.0, foot),
            _notes(numbers.note, marked),
            legend.group,
        ),
        title=title,
    )
    return Drawing(title, (page,))


def _runner_groups(runner: Runner, lines: Lines, runs: Runs, numbers: Group) -> tuple[Group, ...]:
    return (
        _wadding(runner),
        blocks_group(runner),
        sashing_group(runner),
        motifs_group(runner),
        *layer_groups(lines),
        outline_group(runner),
        seams_group(runner),
        arrows(runs),
        numbers,
    )


def _wadding(runner: Runner) -> Group:
    """Where the wadding ends: a plain rectangle, as it is cut."""
    x0, y0, x1, y1 = runner.outline.bounds
    by = runner.margin_mm
    edge = np.array(
        [(x0 - by, y0 - by), (x1 + by, y0 - by), (x1 + by, y1 + by), (x0 - by, y1 + by)]
    )
    drawn = (Line(edge, WADDING, closed=True),) if by > 0 else ()
    return Group("wadding", drawn, title=say("edge of the wadding"))


def _crosses(places: NDArray[np.float64], rows: Sequence[CrossRow]) -> Group:
    """Alignment crosses of the machine's parts with their names, 10 mm wide, to be marked on the
    cloth."""
    arms = np.array([(-5.0, 0.0), (5.0, 0.0), (0.0, -5.0), (0.0, 5.0)])
    points = (places[:, None, :] + arms).reshape(-1, 2)
    start = np.arange(0, len(points) + 1, 2, dtype=np.intp)
    drawn = Polylines(points, start, Style(INK, 0.35))
    names = names_beside([(row.names, row.places) for row in rows], LEGEND_MM, 5.0)
    return Group("crosses", (drawn, *names), title=say("alignment crosses for the machine"))


def _title(runner: Runner, title: str, page_height: float) -> Group:
    size = say(
        "{length} x {width} flat",
        length=both_units(runner.length_mm),
        width=both_units(runner.width_mm),
    )
    baseline = page_height - TITLE_MM + 4
    return Group("title", (Text((EDGE_MM, baseline), f"{title}: {size}", 7.0, bold=True),))


def _notes(numbering_note: str, marked: Sequence[tuple[str, Checkpoints]]) -> Group:
    x = EDGE_MM + 118
    rows = [
        say("The runner is drawn {state}.", state=say_known(FLAT_WORDS)),
        say("Print at 100 %, never 'fit to page'. Measure both bars before you cut or mark."),
        numbering_note + say("; arrows show the direction."),
        say(
            "Try the marker on a scrap of the same cloth first. Guide bar and what to"
            " count: sewing-notes.txt."
        ),
    ]
    if marked:
        rows.append(_checkpoint_note(marked))
    step = 27.0 / len(rows)
    texts = tuple(
        Text((x, EDGE_MM + 22 - step * row), words, 5.0) for row, words in enumerate(rows)
    )
    return Group("notes", texts)


def _checkpoint_note(marked: Sequence[tuple[str, Checkpoints]]) -> str:
    part, places = marked[-1]
    if not part:
        return say(
            "c1 to c{last}: checkpoints. After a break take up a frame's sewing from"
            " the last one passed: 'quiltpath resume'.",
            last=len(places),
        )
    return say(
        "1-c2: checkpoint c2 of the first part, and so on. After a break take up sewing"
        " from the last one passed: 'quiltpath resume --part {part}'.",
        part=part,
    )


def checkpoints_group(
    marked: Sequence[tuple[str, Checkpoints]],
    parts: Sequence[str],
    crosses: NDArray[np.float64] | None,
) -> Group:
    """A small diamond at each checkpoint with its number: c1, or 2-c1 in the second part.

    ``parts`` are all parts in their order; numbers keep clear of ``crosses``.
    """
    corners = np.array([(-2.0, 0.0), (0.0, 2.0), (2.0, 0.0), (0.0, -2.0)])
    items: list[Item] = []
    for part, places in marked:
        prefix = f"{parts.index(part) + 1}-" if part else ""
        for number, at in enumerate(places.at_mm, start=1):
            items.append(Shape((corners + at,), Style(None, fill=INK)))
            items.append(_number_beside(at, f"{prefix}c{number}", crosses))
    return Group("checkpoints", tuple(items), title=say("checkpoints for sewing after a break"))


def _number_beside(
    at: NDArray[np.float64], words: str, crosses: NDArray[np.float64] | None
) -> Text:
    """To the right of a checkpoint, or to its left where a cross is in the way."""
    x, y = at.tolist()
    ahead = np.array([x + CLEAR_OF_CROSS_MM / 2, y])
    taken = (
        crosses is not None
        and len(crosses) > 0
        and bool((np.hypot(*(crosses - ahead).T) < CLEAR_OF_CROSS_MM).any())
    )
    return Text(
        (x - 2.5, y + 1.5) if taken else (x + 2.5, y + 1.5),
        words,
        4.5,
        "end" if taken else "start",
        bold=True,
    )


class _Legend:
    def __init__(self, group: Group, rows: int) -> None:
        self.group = group
        self.rows = rows


def _legend(lines: Lines, page_width: float) -> _Legend:
    """A sample of each layer's line with its name, in columns above the bars."""
    told = [f"{index} {layer_words(name)}" for index, name in enumerate(lines.layers, start=1)]
    room = page_width - 2 * EDGE_MM
    widest = max((text_width(words, LEGEND_MM) for words in told), default=0.0)
    wide = min(room, max(LEGEND_COLUMN_MM, LEGEND_SAMPLE_MM + widest + LEGEND_MM))
    columns = max(1, int(room // wide))
    items: list[Item] = []
    for index, words in enumerate(told):
        row, column = divmod(index, columns)
        x = EDGE_MM + column * wide
        y = EDGE_MM + BARS_MM + row * LEGEND_ROW_MM
        items.append(Line(np.array([(x, y + 1.6), (x + 30, y + 1.6)]), layer_style(index, 0.5)))
        size = size_that_fits(words, LEGEND_MM, wide - LEGEND_SAMPLE_MM)
        items.append(Text((x + LEGEND_SAMPLE_MM, y), words, size))
    return _Legend(Group("key", tuple(items)), -(-len(told) // columns))


def marking_guide(result: Result) -> bytes:
    """The marking guide as SVG, with a machine's alignment crosses and all checkpoints on it."""
    with speaking(result.project.instructions.language):
        drawn = _guide(result)
    units = result.project.handout_units
    return svg.render(reword_drawing(drawn, lambda text: say_in_units(text, units)))


def _guide(result: Result) -> Drawing:
    machine = result.machine_parts
    return guide(
        result.runner,
        result.lines,
        result.runs,
        result.project.title,
        machine.cross_rows if machine else (),
        result.sewing.checkpoints,
    )
