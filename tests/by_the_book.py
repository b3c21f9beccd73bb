"""What DEVELOPERS.md says of adding something, carried out from its text in a copy of the project.

Whole files stand in a block below their name; changes stand in ``diff`` blocks:

    --- a file
    @@ words of the line below which the change is to be looked for
     a line that is there
    +a line that is new
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

PROJECT = Path(__file__).parent.parent
BLOCK = re.compile(r"(?:^`([\w./-]+)`:\n\n)?^```(python|toml|diff)\n(.*?)^```$", re.M | re.S)


def added(title: str, copy: Path) -> list[Path]:
    """The worked example under a bold title carried out in ``copy``; the files that it wrote."""
    written = []
    for name, language, text in BLOCK.findall(_example(title)):
        if language == "diff":
            for file, anchor, before, after in _changes(text):
                (copy / file).write_text(_changed(copy / file, anchor, before, after))
        else:
            assert name, f"{title}: a block has no file name above it"
            written.append(copy / name)
            written[-1].write_text(text)
    assert written or BLOCK.search(_example(title)), f"{title}: no example"
    return written


def copied(target: Path) -> Path:
    """The project as somebody has it who works on it: package, patterns, tests, settings, and what
    is compiled of them, which holds for files of the same size and time."""
    for name in ("quiltpath", "patterns", "tests", "samples"):
        shutil.copytree(PROJECT / name, target / name)
    for name in ("pyproject.toml", "DEVELOPERS.md", "README.md"):
        shutil.copy(PROJECT / name, target / name)
    return target


def _example(title: str) -> str:
    text = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")
    start = text.index(f"**{title}.**")
    end = text.find("\n**", start)
    return text[start : end if end > 0 else len(text)]


def _changes(diff: str) -> Iterator[tuple[str, str, list[str], list[str]]]:
    """File, anchor, the lines that are there, and those that are to be there instead."""
    for part in re.split(r"^--- ", diff, flags=re.M)[1:]:
        file, _, rest = part.partition("\n")
        for hunk in re.split(r"^@@ ", rest, flags=re.M)[1:]:
            anchor, *lines = hunk.rstrip("\n").split("\n")
            before = [line[1:] for line in lines if line[:1] != "+"]
            yield file, anchor, before, [line[1:] for line in lines]


def _changed(path: Path, anchor: str, before: list[str], after: list[str]) -> str:
    lines = path.read_text().split("\n")
    start = next(n for n, line in enumerate(lines) if anchor in line)
    place = next(
        (n for n in range(start, len(lines)) if lines[n : n + len(before)] == before), None
    )
    assert place is not None, f"{path.name}: {before} does not stand below {anchor!r}"
    return "\n".join([*lines[:place], *after, *lines[place + len(before) :]])
