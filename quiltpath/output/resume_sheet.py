"""What a person needs to take sewing up again: a sheet of text and a picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from quiltpath.output.cloth import outline_group
from quiltpath.output.drawing import INK, VERMILION, Drawing, Group, Line, Lines, Page, Style, Text
from quiltpath.output.machine_loading import CAUTIONS
from quiltpath.runner.runner import Runner
from quiltpath.stitching.checkpoints import Checkpoints, taken_up_at
from quiltpath.stitching.stitches import PointKind, Stitches
from quiltpath.units import both_units

ROOM_MM = 30.0
EARLIER = Style("#8f8f8f", 0.5, (3, 3))
REST = Style(INK, 0.6)


def checkpoint_list(places: Checkpoints) -> str:
    """One line a checkpoint: where it is, and how much is sewn before it."""
    rows = zip(places.at_mm.tolist(), places.done_mm.tolist(), strict=True)
    return "\n".join(
        f"  c{number:<4} {both_units(x):>22} along, {both_units(y):>22} across,"
        f" {done / 1000:6.1f} m sewn before it"
        for number, ((x, y), done) in enumerate(rows, start=1)
    )


def resume_text(title: str, stitches: Stitches, places: Checkpoints, number: int) -> str:
    """The sheet for taking up sewing from checkpoint ``number``; measures from the lower left
    corner of the finished edge."""
    point = int(places.point[number - 1])
    first = taken_up_at(stitches, point)
    overlap = float(stitches.step_mm[first + 1 : point + 1].sum())
    x, y = stitches.points[first].tolist()
    left = stitches.stitched_mm - float(places.done_mm[number - 1])
    about = f"{overlap:.0f} mm before it, sewn twice" if overlap > 0 else "the run begins there"
    lines = [f"TAKING UP AGAIN: {title}", "", "CAUTIONS"]
    lines += [f"  ! {caution}" for caution in CAUTIONS]
    lines += [
        "",
        f"From checkpoint c{number} of {len(places)} on the marking guide ({about}).",
        f"  First needle point: {both_units(x)} along and {both_units(y)} across,",
        "  from the lower left corner of the finished edge.",
        f"  Left to sew: {left / 1000:.1f} m of {stitches.stitched_mm / 1000:.1f} m.",
        "",
        "1. Cut the old thread ends short and pull them to the back.",
        "2. The file holds less than the whole, so a machine that puts a file's middle in the",
        "   middle of its field will put it elsewhere: bring the needle, by hand and with the",
        "   machine stopped, to the first needle point above, and let the file begin there.",
        "3. Trace with the needle up and compare with lines already sewn.",
        "4. Sew. The first stitches lie in the old ones and lock both threads.",
        "",
        "CHECKPOINTS",
        checkpoint_list(places),
    ]
    return "\n".join(lines) + "\n"


def resume_picture(
    title: str, runner: Runner, stitches: Stitches, places: Checkpoints, number: int
) -> Drawing:
    """The runner with what is sewn in grey dashes, what is left in black, and where to begin."""
    low_x, low_y, high_x, high_y = runner.outline.bounds
    first = taken_up_at(stitches, int(places.point[number - 1]))
    x, y = stitches.points[first].tolist()
    ring = np.linspace(0, 2 * np.pi, 36, endpoint=False)
    circle = 8.0 * np.column_stack([np.cos(ring), np.sin(ring)]) + (x, y)
    begin = Group(
        "begin here",
        (
            Line(circle, Style(VERMILION, 1.5), closed=True),
            Text((x + 11, y + 6), f"c{number}", 12.0, bold=True, colour=VERMILION),
        ),
        title="where sewing is taken up again",
    )
    groups = (
        outline_group(runner),
        Group("sewn before", (_strokes(stitches, 0, first, EARLIER),)),
        Group("left to sew", (_strokes(stitches, first, len(stitches), REST),)),
        begin,
    )
    shifted = Group("runner", groups, shift_mm=(ROOM_MM - low_x, ROOM_MM - low_y))
    size = high_x - low_x + 2 * ROOM_MM, high_y - low_y + 2 * ROOM_MM
    return Drawing(title, (Page(*size, (shifted,), title=title),))


def _strokes(stitches: Stitches, first: int, last: int, style: Style) -> Lines:
    """Needle points ``first`` to ``last`` as one line a run."""
    part = slice(first, last)
    holes = stitches.kind[part] <= PointKind.SECURING
    points: NDArray[np.float64] = stitches.points[part][holes]
    run = stitches.run[part][holes]
    starts = np.flatnonzero(np.diff(run, prepend=-1))
    return Lines(points, np.append(starts, len(points)).astype(np.intp), style)
