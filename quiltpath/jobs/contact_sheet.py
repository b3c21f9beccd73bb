"""Every pattern on a project's runner, as a picture to choose from.

Contact sheet: one runner in every pattern, small, side by side.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from quiltpath.checks.puff import height_field
from quiltpath.documents.lit_picture import (
    LitCloth,
    light_of,
    line_path,
    lit_part,
    quilted_cloth,
)
from quiltpath.documents.preview import cloth_of
from quiltpath.drawing import pdf, png, svg
from quiltpath.drawing.page_model import (
    BLUE,
    GREY,
    INK,
    PALE,
    Box,
    Drawing,
    Group,
    Item,
    Page,
    Raster,
    Style,
    Text,
)
from quiltpath.drawing.relief_view import LitView, Rgb, Thread
from quiltpath.errors import InputError
from quiltpath.files import put_whole
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines, draw
from quiltpath.patterns.book import PatternBook
from quiltpath.progress import Progress, no_progress
from quiltpath.project import Project
from quiltpath.project.loading import parse_content, read_text
from quiltpath.result.relief_facts import loft_for
from quiltpath.routing import route
from quiltpath.runner import build
from quiltpath.runner.runner_picture import many, outline_group
from quiltpath.schema import toml_content
from quiltpath.worker_pool import map_in_parallel

PIXELS_PER_MM = 3.0

WRITERS: dict[str, Callable[[Drawing], bytes]] = {
    ".svg": svg.render,
    ".pdf": pdf.render,
    ".png": lambda drawing: png.render(drawing.pages[0], PIXELS_PER_MM, colours=256),
}
PLAIN = ".svg"
"""The ending of the sheet with plain lines, to be printed or changed; the others are lit."""


def write_pattern_sheet(file: Path, sheet: Path, progress: Progress = no_progress) -> int:
    """Draw the sheet for the runner in ``file``; its kind follows the name's ending.

    Patterns are lit as they will look quilted; a drawing of vectors has plain lines.

    Returns how many patterns are shown. Raises :class:`InputError`.
    """
    writer = WRITERS.get(sheet.suffix.lower())
    if writer is None:
        endings = ", ".join(WRITERS)
        raise InputError(sheet.name, "", "is no kind of picture", f"end the name in {endings}")
    content = toml_content(read_text(file), file.name)
    lit = sheet.suffix.lower() != PLAIN
    runner, thumbnails = pattern_thumbnails(content, file, progress, lit=lit)
    title = f"Patterns on: {content.get('title', file.stem)}"
    put_whole(sheet, writer(contact_sheet(runner, thumbnails, title)))
    return sum(thumbnail.lines is not None for thumbnail in thumbnails)


def pattern_thumbnails(
    content: Mapping[str, Any], file: Path, progress: Progress = no_progress, lit: bool = False
) -> tuple[Runner, list[Thumbnail]]:
    """Each named pattern on the runner that the tables of a project file describe.

    ``lit`` gives each its picture as well.
    """
    bare = parse_content({**content, "quilting": []}, name=file.name, folder=file.parent)
    runner = build(bare)
    names = PatternBook.beside(file.parent, bare.patterns_folder, file.name).names()
    one = partial(
        _thumbnail, content=content, file=file, runner=runner, dressed=bare if lit else None
    )
    thumbnails: list[Thumbnail] = []
    for thumbnail in map_in_parallel(one, names):
        progress(thumbnail.name, len(thumbnails), len(names))
        thumbnails.append(thumbnail)
    progress("done", len(names), len(names))
    return runner, thumbnails


def _thumbnail(
    name: str, content: Mapping[str, Any], file: Path, runner: Runner, dressed: Project | None
) -> Thumbnail:
    """The pattern's lines and how they are sewn, or why this runner cannot have it.

    It is lit in the colours of ``dressed``, where that is given.
    """
    tables = {**content, "quilting": [{"pattern": name}]}
    try:
        project = parse_content(tables, name=file.name, folder=file.parent)
        lines = draw(runner, project.quilting)
    except InputError as error:
        return Thumbnail(name, f"{error.fault}; {error.remedy}")
    runs = route(lines, "continuous", runner.outline, runner.margin_mm)
    words = f"{_count(len(lines), 'line')}, {_count(len(runs), 'run')}"
    return Thumbnail(name, words, lines, _lit(dressed, runner, lines) if dressed else None)


def _lit(project: Project, runner: Runner, lines: Lines) -> Rgb:
    """The pattern as it will look quilted, from afar: its thread runs where its lines are."""
    colours = cloth_of(project)
    field = height_field(lines.geometry, runner.outline, loft_for(project))
    cloth = quilted_cloth(runner, colours, USUAL_SHARE)
    thread = Thread(line_path(lines.geometry), colours.thread, SMALL_THREAD_MM)
    shown = _end(runner)
    view = LitView(*shown, PIXELS_PER_MM * _scale(shown))
    return lit_part(field, LitCloth(cloth, thread, light_of(project)), view)


def _count(number: int, word: str) -> str:
    return f"{number:,} {word}" if number == 1 else f"{number:,} {word}s"


PAGE_WIDTH_MM = 420.0
MARGIN_MM = 10.0
BETWEEN_MM = 8.0
CAPTION_MM = 11.0
HEADING_MM = 14.0
COLUMNS = 3
CELL_MM = (PAGE_WIDTH_MM - 2 * MARGIN_MM - (COLUMNS - 1) * BETWEEN_MM) / COLUMNS
USUAL_SHARE = 0.02
"""taken up by quilting of a middling density; common practice"""
LONGEST_PART = 2.2
"""of a runner's width, in a lit thumbnail"""
SMALL_THREAD_MM = 0.8
"""In so small a picture true thread would vanish."""
STRAY_MM = 0.03
"""On paper; a thumbnail needs no more points than that."""


@dataclass(frozen=True)
class Thumbnail:
    """One pattern on the runner: its lines, or None with the reason in ``words``.

    ``rgb`` is its lit picture, where it is to have one.
    """

    name: str
    words: str
    lines: Lines | None = None
    rgb: Rgb | None = None


def _bounds(runner: Runner) -> Box:
    """What a thumbnail shows, in mm on the runner."""
    low_x, low_y, high_x, high_y = runner.outline.buffer(runner.margin_mm / 3).bounds
    return low_x, low_y, high_x, high_y


def _end(runner: Runner) -> Box:
    """The left end of a long runner: as much as a lit thumbnail shows large enough to be seen."""
    low_x, low_y, high_x, high_y = _bounds(runner)
    return low_x, low_y, min(high_x, low_x + LONGEST_PART * (high_y - low_y)), high_y


def _scale(shown: Box) -> float:
    """A runner that is as wide as long would fill the page's height: none is above 3 : 2."""
    low_x, low_y, high_x, high_y = shown
    return min(CELL_MM / (high_x - low_x), CELL_MM / 1.5 / (high_y - low_y))


def contact_sheet(runner: Runner, thumbnails: Sequence[Thumbnail], title: str) -> Drawing:
    """One page that is as high as the thumbnails need, three side by side."""
    lit = any(thumbnail.rgb is not None for thumbnail in thumbnails)
    shown = _end(runner) if lit else _bounds(runner)
    low_x, low_y, _, high_y = shown
    scale = _scale(shown)
    high = scale * (high_y - low_y) + CAPTION_MM
    rows = math.ceil(len(thumbnails) / COLUMNS)
    height = 2 * MARGIN_MM + HEADING_MM + rows * high + max(0, rows - 1) * BETWEEN_MM
    groups = [_heading(title, height)]
    for index, thumbnail in enumerate(thumbnails):
        row, column = divmod(index, COLUMNS)
        left = MARGIN_MM + column * (CELL_MM + BETWEEN_MM)
        below = height - MARGIN_MM - HEADING_MM - high * (row + 1) - BETWEEN_MM * row
        corner = (left - scale * low_x, below + CAPTION_MM - scale * low_y)
        groups.append(_caption(thumbnail, left, below))
        if thumbnail.lines is not None or not lit:
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
    if thumbnail.rgb is not None:
        picture = Raster(_end(runner), thumbnail.rgb, f"{thumbnail.name}, as quilted")
        return Group(thumbnail.name, (picture,), shift_mm=corner, scale=scale)
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
