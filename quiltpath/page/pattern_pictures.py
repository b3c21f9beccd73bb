"""Every pattern on this very runner, small, with its starts and minutes: to choose from by eye.

Pictures come one after the other in the order of what the patterns are for, each in the place of
the layer that is to be chosen for; a pattern that this runner cannot have is left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import numpy as np
import shapely

from quiltpath.errors import InputError
from quiltpath.page.controls import Needs
from quiltpath.patterns.book import PatternBook
from quiltpath.project import Project
from quiltpath.result.computing import DrawingStep, SewingStep, compute_by_steps
from quiltpath.result.reuse import Reuse

Part = dict[str, Any]

LONGEST_PART = 2.0
"""of the runner's width: as much of it as a small picture shows"""

ACROSS_PX = 200
"""of a picture; a line that leaves it by less than a quarter of that is as good"""

USES: tuple[tuple[str, Callable[[Needs], bool]], ...] = (
    ("All over", lambda needs: not needs.all and not needs.one_path),
    ("In one line", lambda needs: not needs.all and needs.one_path),
    (
        "Round motifs and along the print",
        lambda needs: bool(needs.all) and "border" not in needs.all,
    ),
    ("In a border", lambda needs: "border" in needs.all),
)
"""What patterns are for, in the order in which a person looks for one."""


def by_use(names: list[str], needs: Mapping[str, Needs]) -> Iterator[tuple[str, str]]:
    """What each pattern is for, and its name."""
    for use, fits in USES:
        yield from ((use, name) for name in names if fits(needs[name]))


def pattern_pictures(
    named: Iterator[tuple[str, str]],
    book: PatternBook,
    with_pattern: Callable[[str], Project],
    entry: object,
) -> Iterator[Part]:
    """``box`` and paths of each picture, in mm with y downwards, as SVG has them, and its figures.

    ``with_pattern`` is the project with that pattern in the place of its layer ``entry``.
    """
    reuse = Reuse()
    for use, name in named:
        try:
            pattern = book.find(name)
            steps = compute_by_steps(with_pattern(name), reuse=reuse)
            drawn, sewn = next(steps), next(steps)
        except InputError:
            continue
        assert isinstance(drawn, DrawingStep)
        assert isinstance(sewn, SewingStep)
        yield {
            "use": use,
            "name": name,
            "title": pattern.title,
            "about": pattern.about,
            "starts": len(sewn.runs),
            "minutes": math.ceil(sewn.time.sewing_min),
            **_picture(drawn, entry),
        }


def _picture(drawn: DrawingStep, entry: object) -> Part:
    """The layer's own lines, and pale around them the edge, the print and all other lines."""
    runner, lines = drawn.runner, drawn.lines
    own = np.array(drawn.project.entry_of_layer)[lines.layer] == entry
    low_x, low_y, high_x, high_y = runner.outline.bounds
    wide = min(high_x - low_x, LONGEST_PART * (high_y - low_y))
    stray = wide / ACROSS_PX / 4
    motifs = [line for motif in runner.motifs for line in motif.outlines]
    seen = shapely.box(low_x, low_y, low_x + wide, high_y)
    return {
        "box": [round(n, 1) for n in (low_x, -high_y, wide, high_y - low_y)],
        "pale": _path([runner.outline.exterior, *runner.printed, *motifs], seen, stray)
        + _path(lines.geometry[~own], seen, stray),
        "lines": _path(lines.geometry[own], seen, stray),
    }


def _path(lines: Any, seen: shapely.Geometry, stray: float) -> str:
    """SVG path data of what is seen of the lines."""
    lines = np.asarray(lines, dtype=object)
    near = lines[shapely.intersects(lines, seen)]
    drawn = []
    for line in shapely.simplify(near, stray):
        points = (shapely.get_coordinates(line) * (1, -1)).round(1)
        drawn.append("M" + " ".join(f"{x:g},{y:g}" for x, y in points))
    return "".join(drawn)
