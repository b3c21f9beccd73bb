"""Motifs as the page moves them: where each lies, and the words that say so in the file."""

from __future__ import annotations

from typing import Any

from quiltpath.live.room import rooms
from quiltpath.project import Project
from quiltpath.runner import Runner
from quiltpath.runner.motifs import places_of
from quiltpath.runner.runner import PlacedMotif

Part = dict[str, Any]


def motifs_of(project: Project, runner: Runner) -> list[Part]:
    """Every motif, in the runner's order: ``place`` is its block, or the number of its point.

    ``at`` is its middle, ``offset`` how far that lies from the middle of its block, in mm. Of a
    measured print all is told as if it were even: so it stands in the file.
    """
    even = runner.even or runner
    placed = iter(even.motifs)
    found: list[Part] = []
    for entry, motif in enumerate(project.motif):
        places = places_of(motif, even.blocks)
        in_blocks = len(places) - len(motif.at)
        for number, (name, (x, y)) in enumerate(places):
            at = [round(x, 2), round(y, 2)]
            part = {"entry": entry, "name": motif.name, "size": _size_mm(next(placed)), "at": at}
            where = {"place": name, "offset": list(motif.offset)}
            found.append(
                {**part, **(where if number < in_blocks else {"place": number - in_blocks})}
            )
    return found


def _size_mm(motif: PlacedMotif) -> float:
    low_x, low_y, high_x, high_y = motif.shape.bounds
    return round(max(high_x - low_x, high_y - low_y), 2)


def rooms_of(project: Project, runner: Runner) -> list[Part]:
    """For each of :func:`motifs_of` the lowest and highest place of its middle, in mm."""
    even = runner.even or runner
    found = []
    for motif, (x_room, y_room) in zip(motifs_of(project, runner), rooms(even), strict=True):
        x, y = motif["at"]
        found.append({"x": [x + by for by in x_room], "y": [y + by for by in y_room]})
    return found
