"""``look``: how the lines show near to and from across the room, and the contrast on each cloth."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from quiltpath.checks.contrast import Shown, shown
from quiltpath.errors import InputError
from quiltpath.make.compute import compute
from quiltpath.make.folder import REPORT_NAME, only_own_set, write_set
from quiltpath.make.output_file import OutputFile
from quiltpath.output import png, svg
from quiltpath.output.far_view import cloth_of, far_view, title_of
from quiltpath.project import load
from quiltpath.project.also_section import FARTHEST_MM, NEAREST_MM
from quiltpath.result import Result
from quiltpath.units import parse_length

KIND = "look"
PIXELS_PER_MM = 8.0


def load_and_look(
    file: Path, distance: str, folder: Path
) -> tuple[tuple[Shown, ...], tuple[OutputFile, ...]]:
    """The sheet for the project in ``file`` from ``distance`` away, put into ``folder`` whole."""
    distance_mm = _distance(distance)
    result = compute(load(file))
    only_own_set(folder, KIND)
    shows = shows_of(result)
    files = look_files(result, shows, distance_mm)
    told = {"title": title_of(result), **look_told(result, shows, distance_mm)}
    report = {**told, "files": [file.entry() for file in files]}
    text = json.dumps(report, indent=2, ensure_ascii=False) + "\n"
    files = (*files, OutputFile(REPORT_NAME, text.encode("utf-8"), "report"))
    write_set(files, folder)
    return shows, files


def _distance(text: str) -> float:
    try:
        mm = parse_length(text)
    except ValueError as error:
        raise InputError("look", "--distance", str(error), 'write it as "4 m" or "12 ft"') from None
    if not NEAREST_MM <= mm <= FARTHEST_MM:
        raise InputError("look", "--distance", f"{text} is not across a room", "give 1 to 50 m")
    return mm


def shows_of(result: Result) -> tuple[Shown, ...]:
    """Thread on each cloth that there is, the one on which it shows least first."""
    cloth, width = cloth_of(result), result.project.look.thread_width
    patches = {"the ground": cloth.ground}
    if result.runner.blocks:
        patches["the blocks"] = cloth.block
    if result.runner.motifs:
        patches["the motifs"] = cloth.motif
    gap = typical_gap_mm(result)
    found = [shown(name, cloth.thread, colour, width, gap) for name, colour in patches.items()]
    return tuple(sorted(found, key=lambda show: (show.ratio, show.patch)))


def typical_gap_mm(result: Result) -> float:
    """Mean distance of lines: the finished area over the length of line drawn on it."""
    length = sum(line.length for line in result.lines.geometry)
    return float(result.runner.outline.area) / length if length > 0 else 0.0


def look_files(
    result: Result, shows: tuple[Shown, ...], distance_mm: float
) -> tuple[OutputFile, ...]:
    """The sheet as a picture and as vectors."""
    drawing = far_view(result, shows, distance_mm)
    return (
        OutputFile("look.png", png.render(drawing.pages[0], PIXELS_PER_MM), KIND),
        OutputFile("look.svg", svg.render(drawing, decimals=2), KIND),
    )


def look_told(result: Result, shows: tuple[Shown, ...], distance_mm: float) -> dict[str, Any]:
    """The figures for other programs."""
    return {
        KIND: {"distance_mm": distance_mm, "gap_mm": round(typical_gap_mm(result), 3)},
        "cloths": [
            {
                **{k: round(v, 3) if isinstance(v, float) else v for k, v in asdict(show).items()},
                "words": show.words,
            }
            for show in shows
        ],
    }


def in_words(shows: tuple[Shown, ...]) -> list[tuple[str, str]]:
    """One row a cloth."""
    return [
        (
            show.patch,
            f"contrast {show.ratio:.1f} to 1, {show.words}; seen as lines to about"
            f" {show.as_lines_to_m:.0f} m",
        )
        for show in shows
    ]
