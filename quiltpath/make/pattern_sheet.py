"""Every pattern on a project's runner, as a picture to choose from."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from quiltpath.aside import Aside
from quiltpath.errors import InputError
from quiltpath.make.whole_file import put_whole
from quiltpath.output import pdf, png, svg
from quiltpath.output.contact_sheet import Thumbnail, contact_sheet
from quiltpath.output.drawing import Drawing
from quiltpath.project.loading import parse_content, read_text
from quiltpath.project.patterns import PatternBook
from quiltpath.project.toml_text import toml_content
from quiltpath.quilting import draw
from quiltpath.routing import Policy, policy_named, route
from quiltpath.runner import Runner, build
from quiltpath.telling import Tell, silent

PIXELS_PER_MM = 4.0

WRITERS: dict[str, Callable[[Drawing], bytes]] = {
    ".svg": svg.render,
    ".pdf": pdf.render,
    ".png": lambda drawing: png.render(drawing.pages[0], PIXELS_PER_MM),
}


def write_pattern_sheet(file: Path, sheet: Path, tell: Tell = silent) -> int:
    """Draw the sheet for the runner in ``file``; its kind follows the name's ending.

    Returns how many patterns are shown. Raises :class:`InputError`.
    """
    writer = WRITERS.get(sheet.suffix.lower())
    if writer is None:
        endings = ", ".join(WRITERS)
        raise InputError(sheet.name, "", "is no kind of picture", f"end the name in {endings}")
    content = toml_content(read_text(file), file.name)
    runner, thumbnails = pattern_thumbnails(content, file, tell)
    title = f"Patterns on: {content.get('title', file.stem)}"
    put_whole(sheet, writer(contact_sheet(runner, thumbnails, title)))
    return sum(thumbnail.lines is not None for thumbnail in thumbnails)


def pattern_thumbnails(
    content: Mapping[str, Any], file: Path, tell: Tell = silent
) -> tuple[Runner, list[Thumbnail]]:
    """Each named pattern on the runner that the tables of a project file describe."""
    bare = parse_content({**content, "quilting": []}, name=file.name, folder=file.parent)
    runner = build(bare)
    policy = policy_named("continuous", {})
    names = PatternBook.beside(file.parent, bare.patterns_folder, file.name).names()

    def thumbnail(name: str) -> Thumbnail:
        return _thumbnail(name, {**content, "quilting": [{"pattern": name}]}, file, runner, policy)

    return runner, _dealt_out(thumbnail, names, tell)


def _dealt_out(
    thumbnail: Callable[[str], Thumbnail], names: Sequence[str], tell: Tell
) -> list[Thumbnail]:
    """The thumbnails in the order of their names, dealt out like cards to the cores there are."""
    hands = max(1, min(len(names), os.cpu_count() or 1))
    others = [Aside(partial(_each, thumbnail)) for _ in range(1, hands)]
    for hand, other in enumerate(others, 1):
        other.give(names[hand::hands])
    own = _each(thumbnail, names[::hands], tell)
    dealt = [own, *(other.answer() for other in others)]
    tell("done", len(own), len(own))
    return [dealt[number % hands][number // hands] for number in range(len(names))]


def _each(
    thumbnail: Callable[[str], Thumbnail], names: Sequence[str], tell: Tell = silent
) -> list[Thumbnail]:
    drawn = []
    for done, name in enumerate(names):
        tell(name, done, len(names))
        drawn.append(thumbnail(name))
    return drawn


def _thumbnail(
    name: str, content: dict[str, Any], file: Path, runner: Runner, policy: Policy
) -> Thumbnail:
    """The pattern's lines and how they are sewn, or why this runner cannot have it."""
    try:
        project = parse_content(content, name=file.name, folder=file.parent)
        lines = draw(runner, project.quilting)
    except InputError as error:
        return Thumbnail(name, f"{error.fault}; {error.remedy}")
    runs = route(lines, policy, runner.outline, runner.margin_mm)
    return Thumbnail(name, f"{_count(len(lines), 'line')}, {_count(len(runs), 'run')}", lines)


def _count(number: int, word: str) -> str:
    return f"{number:,} {word}" if number == 1 else f"{number:,} {word}s"
