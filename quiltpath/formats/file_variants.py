"""The same file for a frame that cannot turn it by itself: mirrored, half turned, from a corner.

Simple controls know three commands: load a file, put its zero under the needle, start. So whatever
lies otherwise than it was drawn needs a file of its own. A variant lies about the same middle as
the file that it stands for.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from quiltpath.formats.path_formats import FileOrder
from quiltpath.geometry.arrays import Floats, members
from quiltpath.language import message
from quiltpath.machine.loads import whole_load
from quiltpath.project.sewing_sections import FileVariant
from quiltpath.stitching import Stitches

_FLIPS: dict[FileVariant, tuple[float, float]] = {
    "mirrored": (-1.0, 1.0),
    "half-turned": (-1.0, -1.0),
}
_CORNERS: dict[FileVariant, tuple[int, int]] = {
    "lower-left": (0, 0),
    "lower-right": (1, 0),
    "upper-right": (1, 1),
    "upper-left": (0, 1),
}

VARIANT_WORDS: dict[FileVariant, str] = {
    "mirrored": message("left and right are swapped, for work that lies face down"),
    "half-turned": message("turned by half, for work that was loaded from the other side"),
    "lower-left": message(
        "the zero is the lower left corner of the trace, and the thread that begins nearest to it"
        " is sewn first"
    ),
    "lower-right": message(
        "the zero is the lower right corner of the trace, and the thread that begins nearest to it"
        " is sewn first"
    ),
    "upper-right": message(
        "the zero is the upper right corner of the trace, and the thread that begins nearest to it"
        " is sewn first"
    ),
    "upper-left": message(
        "the zero is the upper left corner of the trace, and the thread that begins nearest to it"
        " is sewn first"
    ),
}
"""What each is for, in words for a sheet."""


def varied(order: FileOrder, variant: FileVariant) -> FileOrder:
    """What the file of that variant is to hold, in place of ``order``."""
    load = order.load or whole_load(order.stitches)
    if variant in _FLIPS:
        flip = np.array(_FLIPS[variant])
        middle = load.middle_mm
        points = middle + (order.stitches.points - middle) * flip
        return replace(
            order, stitches=replace(order.stitches, points=points), load=load.flipped(flip)
        )
    cornered = replace(load, corner=_CORNERS[variant])
    if not order.sews:
        return replace(order, load=cornered)
    return replace(order, stitches=begun_near(order.stitches, cornered.zero_mm), load=cornered)


def begun_near(stitches: Stitches, place: Floats) -> Stitches:
    """The stitches with that start of thread first that has an end nearest to ``place`` (x, y in
    mm), sewn from there; the others follow in their order. No needle point is moved."""
    which, run = np.unique(stitches.run, return_inverse=True)
    runs = members(run, len(which))
    ends = [_ends(stitches, rows) for rows in runs]
    away = np.array([np.hypot(*(each - place).T) for each in ends])
    first = int(away.min(axis=1).argmin())
    rows = [runs[first], *runs[:first], *runs[first + 1 :]]
    chosen = _taken(stitches, np.concatenate(rows))
    if away[first, 1] < away[first, 0]:
        chosen = _begun_at_its_end(chosen, len(runs[first]))
    return replace(
        chosen, run=np.repeat(np.arange(len(rows), dtype=np.int32), [len(r) for r in rows])
    )


def _ends(stitches: Stitches, rows: NDArray[np.intp]) -> Floats:
    """(2, 2) first and last needle hole of one start of thread."""
    holes = rows[stitches.is_hole[rows]]
    return stitches.points[holes[[0, -1]]] if len(holes) else stitches.points[rows[[0, -1]]]


def _taken(stitches: Stitches, rows: NDArray[np.intp]) -> Stitches:
    """The rows in this order; how short some stitches had to be is not told again."""
    return Stitches(
        stitches.points[rows],
        stitches.kind[rows],
        stitches.run[rows],
        stitches.line[rows],
        stitches.stretch[rows],
        np.zeros((0, 3)),
        stitches.pivots,
    )


def _begun_at_its_end(stitches: Stitches, count: int) -> Stitches:
    """The first ``count`` rows sewn backwards: holes and halts between them, not what comes before
    the first hole and after the last."""
    own = np.arange(count)
    holes = own[stitches.is_hole[:count]]
    inner = np.arange(holes[0], holes[-1] + 1)
    back = inner[::-1]
    points, kind = stitches.points.copy(), stitches.kind.copy()
    line, stretch = stitches.line.copy(), stitches.stretch.copy()
    points[inner], kind[inner], line[inner] = points[back], kind[back], line[back]
    # A stretch belongs to the stitch that ends at its hole: sewn backwards, to the hole before.
    stretch[inner[1:]] = stretch[inner[1:]][::-1]
    stretch[inner[0]] = -1
    before, after = own[: holes[0]], own[holes[-1] + 1 :]
    points[before], points[after] = points[inner[0]], points[inner[-1]]
    return replace(stitches, points=points, kind=kind, line=line, stretch=stretch)
