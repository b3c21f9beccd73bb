"""A page for a projector: light lines on a dark ground, with a grid to set its scale by."""

from __future__ import annotations

import numpy as np

from quiltpath.drawing.page_model import (
    LAYER_DASHES,
    WHITE,
    YELLOW,
    Drawing,
    Group,
    Item,
    Page,
    Polylines,
    Shape,
    Style,
    Text,
)
from quiltpath.drawing.sketch import box_corners
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import say, say_known
from quiltpath.patterns import Lines
from quiltpath.runner.runner_picture import many, outline_group
from quiltpath.runner.states import FLAT_WORDS

DARK = "#101010"
FAINT = "#5a5a5a"
GRID_MM = 100.0
LINE_MM = 1.2
"""A projected pixel is about half a mm wide, so lines are drawn wider than on paper."""

EDGE_MM = 20.0


def projector_drawing(runner: Runner, lines: Lines, title: str) -> Drawing:
    """One page, true to size, whole squares of 100 mm: focus until one measures 100 mm on cloth."""
    low_x, low_y, high_x, high_y = runner.outline.bounds
    columns = int(np.ceil((high_x - low_x + 2 * EDGE_MM) / GRID_MM))
    rows = int(np.ceil((high_y - low_y + 2 * EDGE_MM) / GRID_MM))
    width, height = columns * GRID_MM, rows * GRID_MM
    shift = ((width - high_x - low_x) / 2, (height - high_y - low_y) / 2)
    cloth = Group(
        "runner",
        (
            _printed(runner),
            *_layers(lines),
            outline_group(runner, Style(WHITE, 1.5)),
        ),
        shift_mm=shift,
    )
    page = Page(width, height, (_ground(width, height), _grid(columns, rows), cloth), title=title)
    return Drawing(title, (page,))


def _ground(width: float, height: float) -> Group:
    dark = Shape((box_corners(0, 0, width, height),), Style(stroke=None, fill=DARK))
    return Group("dark ground", (dark,))


def _grid(columns: int, rows: int) -> Group:
    """Every line of the grid, its squares numbered along the lower edge in mm."""
    width, height = columns * GRID_MM, rows * GRID_MM
    upright = [[(x * GRID_MM, 0), (x * GRID_MM, height)] for x in range(columns + 1)]
    level = [[(0, y * GRID_MM), (width, y * GRID_MM)] for y in range(rows + 1)]
    points = np.array([*upright, *level], dtype=np.float64).reshape(-1, 2)
    drawn = Polylines(points, np.arange(0, len(points) + 1, 2), Style(FAINT, 0.8))
    words = say("each square is 100 mm: zoom until it measures 100 mm on the cloth, across and up")
    words += f" · {say_known(FLAT_WORDS)}"
    items: list[Item] = [drawn, Text((3.0, 4.0), words, 10.0, colour=YELLOW)]
    return Group("scale grid", tuple(items), title="scale grid of 100 mm")


def _printed(runner: Runner) -> Group:
    drawn = (many(runner.printed, Style(FAINT, 0.8)),) if runner.printed else ()
    return Group("sashing", drawn)


def _layers(lines: Lines) -> tuple[Group, ...]:
    return tuple(
        Group(
            f"layer {index + 1} {name}",
            (
                many(
                    lines.geometry[lines.layer == index],
                    Style(
                        (WHITE, YELLOW)[index % 2],
                        LINE_MM,
                        tuple(3 * dash for dash in LAYER_DASHES[index % len(LAYER_DASHES)]),
                    ),
                ),
            ),
        )
        for index, name in enumerate(lines.layers)
        if (lines.layer == index).any()
    )
