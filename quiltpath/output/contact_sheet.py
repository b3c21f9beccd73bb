"""Contact sheet: one runner in every pattern, small, side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from quiltpath.output.cloth import many, outline_group
from quiltpath.output.drawing import (
    BLUE,
    GREY,
    INK,
    PALE,
    Drawing,
    Group,
    Item,
    Page,
    Style,
    Text,
)
from quiltpath.quilting.lines import Lines
from quiltpath.runner.runner import Runner

PAGE_WIDTH_MM = 420.0
MARGIN_MM = 10.0
BETWEEN_MM = 8.0
CAPTION_MM = 11.0
HEADING_MM = 14.0
COLUMNS = 3
STRAY_MM = 0.03
"""On paper; a thumbnail needs no more points than that."""


@dataclass(frozen=True)
class Thumbnail:
    """One pattern on the runner: its lines, or None with the reason in ``words``."""

    name: str
    words: str
    lines: Lines | None = None


def contact_sheet(runner: Runner, thumbnails: Sequence[Thumbnail], title: str) -> Drawing:
    """One page that is as high as the thumbnails need, three side by side."""
    cell = (PAGE_WIDTH_MM - 2 * MARGIN_MM - (COLUMNS - 1) * BETWEEN_MM) / COLUMNS
    low_x, low_y, high_x, high_y = runner.outline.buffer(runner.margin_mm / 3).bounds
    # A runner that is as wide as long would fill the page's height: no thumbnail is above 3 : 2.
    scale = min(cell / (high_x - low_x), cell / 1.5 / (high_y - low_y))
    high = scale * (high_y - low_y) + CAPTION_MM
    rows = math.ceil(len(thumbnails) / COLUMNS)
    height = 2 * MARGIN_MM + HEADING_MM + rows * high + max(0, rows - 1) * BETWEEN_MM
    groups = [_heading(title, height)]
    for index, thumbnail in enumerate(thumbnails):
        row, column = divmod(index, COLUMNS)
        left = MARGIN_MM + column * (cell + BETWEEN_MM)
        below = height - MARGIN_MM - HEADING_MM - high * (row + 1) - BETWEEN_MM * row
        corner = (left - scale * low_x, below + CAPTION_MM - scale * low_y)
        groups.append(_caption(thumbnail, left, below))
        groups.append(_small(runner, thumbnail, corner, scale))
    return Drawing(title, (Page(PAGE_WIDTH_MM, height, tuple(groups), title),))


def _heading(title: str, height: float) -> Group:
    at = (MARGIN_MM, height - MARGIN_MM - 6.0)
    return Group("heading", (Text(at, title, 7.0, bold=True),))


def _caption(thumbnail: Thumbnail, left: float, below: float) -> Group:
    colour = INK if thumbnail.lines is not None else GREY
    name = Text((left, below + 6.0), thumbnail.name, 4.0, colour=colour, bold=True)
    words = Text((left, below + 1.5), thumbnail.words, 2.8, colour=GREY)
    return Group(f"caption {thumbnail.name}", (name, words))


def _small(
    runner: Runner, thumbnail: Thumbnail, corner: tuple[float, float], scale: float
) -> Group:
    """The runner with the pattern; widths are on paper, so they are undone by the scale."""
    thin = Style(PALE, 0.15 / scale)
    items: list[Item | Group] = [outline_group(runner, Style(INK, 0.3 / scale))]
    if runner.printed:
        items.append(many(runner.printed, thin))
    motifs = [line for motif in runner.motifs for line in motif.outlines]
    if motifs:
        items.append(many(motifs, thin))
    if thumbnail.lines is not None and len(thumbnail.lines):
        plain = shapely.simplify(thumbnail.lines.geometry, STRAY_MM / scale)
        items.append(many(np.asarray(plain), Style(BLUE, 0.25 / scale)))
    return Group(thumbnail.name, tuple(items), shift_mm=corner, scale=scale)
