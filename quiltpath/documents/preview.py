"""The preview: cloth, print and thread as they will look, with the widest gaps marked on wish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from quiltpath.drawing.page_model import (
    VERMILION,
    Drawing,
    Group,
    Item,
    Line,
    Page,
    Polylines,
    Style,
    Text,
)
from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.runner_shapes import RegionKind, Runner
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.runner.runner_picture import filled_shape, many
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.stitching import Stitches

ROOM_MM = 25.0
CIRCLE_POINTS = 72


@dataclass(frozen=True)
class PreviewCloth:
    """Colours of cloth and thread, ``#rrggbb``, the thread's width and the gap at needle holes.

    A gap of 0 draws every run as one line, for pictures so small that no gap would show.
    """

    ground: str = "#efe7d8"
    block: str = "#faf6ec"
    print: str = "#b9a98a"
    motif: str = "#d8c39a"
    wadding: str = "#f7f7f5"
    thread: str = "#3a4a63"
    thread_mm: float = 0.45
    hole_mm: float = 0.5


@dataclass(frozen=True)
class GapMark:
    """A place without quilting: the widest circle that fits there."""

    centre: tuple[float, float]
    diameter_mm: float
    label: str


def preview(
    runner: Runner,
    lines: Lines,
    stitches: Stitches,
    *,
    cloth: PreviewCloth | None = None,
    gaps: Sequence[GapMark] = (),
    title: str = "Preview",
) -> Drawing:
    """One page with the runner as it will look, in mm, a little room round it."""
    cloth = cloth or PreviewCloth()
    low_x, low_y, high_x, high_y = runner.outline.bounds
    room = min(ROOM_MM, max(runner.margin_mm, 5.0))
    groups = (
        *_cloth_groups(runner, cloth),
        *_thread_groups(lines, stitches, cloth),
        gap_group(gaps),
    )
    whole = Group("runner", groups, shift_mm=(room - low_x, room - low_y))
    size = high_x - low_x + 2 * room, high_y - low_y + 2 * room
    foot = Group("foot", (Text((room, 0.2 * room), FLAT_WORDS, 0.36 * room),))
    return Drawing(title, (Page(*size, (whole, foot), title=title),))


def _cloth_groups(runner: Runner, cloth: PreviewCloth) -> tuple[Group, ...]:
    edge = Style("#8a8170", 0.4, fill=cloth.ground)
    blocks = [filled_shape(b.shape, Style(None, fill=cloth.block)) for b in runner.blocks]
    stones = [
        filled_shape(stone.shape, Style(None, fill=cloth.print, opacity=0.35))
        for stone in runner.of_kind(RegionKind.CORNERSTONE)
    ]
    motif = Style(cloth.print, 0.4, fill=cloth.motif)
    printed = (many(runner.printed, Style(cloth.print, 0.35)),) if runner.printed else ()
    seams = tuple(many([seam.line], Style("#8a8170", 0.5)) for seam in runner.seams)
    return (
        Group("cloth", (filled_shape(runner.outline, edge),)),
        Group("blocks", (*blocks, *stones)),
        Group("sashing", printed),
        Group("motifs", tuple(filled_shape(placed.shape, motif) for placed in runner.motifs)),
        Group("seams", seams),
    )


def _thread_groups(lines: Lines, stitches: Stitches, cloth: PreviewCloth) -> tuple[Group, ...]:
    """One flat item a layer; stitches in the margin go with the first group, under its name."""
    ends = np.flatnonzero(stitches.is_sewn)
    layer = np.append(lines.layer, -1)[stitches.line[ends]]
    style = Style(cloth.thread, cloth.thread_mm, round_ends=True)
    named = [
        (-1, "thread in the margin"),
        *((i, f"thread {i + 1} {n}") for i, n in enumerate(lines.layers)),
    ]
    return tuple(
        Group(name, (_strokes(stitches.points, ends[layer == index], style, cloth.hole_mm),))
        for index, name in named
        if (layer == index).any()
    )


def _strokes(points: Floats, ends: NDArray[np.intp], style: Style, hole_mm: float) -> Polylines:
    """Stitches that end at the given points, each short of its needle holes by half a gap."""
    if hole_mm <= 0:
        return _join(points, ends, style)
    start, stop = points[ends - 1], points[ends]
    reach = stop - start
    length = np.hypot(*reach.T)
    # the thread's round ends reach on by half its width; tiny stitches keep most of their length
    inset = np.minimum((hole_mm + style.width_mm) / 2, 0.3 * length)
    move = reach * (inset / np.where(length > 0, length, 1.0))[:, None]
    ends_of_strokes = np.stack([start + move, stop - move], axis=1).reshape(-1, 2)
    return Polylines(ends_of_strokes, np.arange(0, len(ends_of_strokes) + 1, 2), style)


def _join(points: Floats, ends: NDArray[np.intp], style: Style) -> Polylines:
    """Stitches that follow one another as one line each."""
    first = np.concatenate([[True], np.diff(ends) != 1])
    begins = np.flatnonzero(first)
    index = np.insert(ends, begins, ends[begins] - 1)
    start = np.concatenate([begins + np.arange(len(begins)), [len(index)]])
    return Polylines(points[index], start.astype(np.intp), style)


def gap_group(gaps: Sequence[GapMark]) -> Group:
    """Rings round the widest gaps, each with its label."""
    ring = Style(VERMILION, 1.2, (6, 3))
    angle = np.linspace(0, 2 * np.pi, CIRCLE_POINTS, endpoint=False)
    circle = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    items: list[Item] = []
    for gap in gaps:
        items.append(Line(circle * (gap.diameter_mm / 2) + gap.centre, ring, closed=True))
        at = gap.centre[0], gap.centre[1] - 3
        items.append(Text(at, gap.label, 8.0, "middle", colour=VERMILION, bold=True))
    return Group("widest gaps", tuple(items))


def cloth_of(project: Project) -> PreviewCloth:
    """The colours of the project's [look] laid over those of the preview."""
    look, base = project.look, PreviewCloth()
    return replace(
        base,
        thread=look.thread or base.thread,
        ground=look.ground or base.ground,
        block=look.block or base.block,
        motif=look.motif or base.motif,
    )
