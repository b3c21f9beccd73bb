"""A panel that was measured in a photo, laid into the text of the project that is open.

The files that it names are kept in memory under names of their own, and written when the project
is saved; one that is there already is never written over.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

import tomlkit

from quiltpath.errors import InputError
from quiltpath.files import put_whole, read_bounded
from quiltpath.page.edits import MEASURES, SIZES, Change, fault
from quiltpath.page.page_photo import PhotoProject
from quiltpath.page.sent_values import fine_length, plain

USED = "photo"
"""The key of a change that lays a measured panel into the file; its value is the panel's number."""

OF_THE_PANEL = ("table", "panel", "motif")
"""Sections that give way to those of the panel."""

COUNTED = ("along", "across", "block", "sashing", "outer_sashing", "border")
"""What a grid says that a measured one replaces."""

LENGTHS = frozenset({"length", "width", "size", "printed", "printed_along", "printed_across"})

NOTHING_MM = 0.1

MOST_BYTES = 20_000_000


class UsedPhotos:
    """The panels that were taken from photos since the page was opened, for one project file."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._texts: list[str] = []
        self.files: dict[str, bytes] = {}
        """by the name that the project has for them"""

    def add(self, panel: PhotoProject) -> int:
        """Take in a panel; the number under which a change names it."""
        names = {name: self._own_name(name, content) for name, content in panel.files.items()}
        for name, content in panel.files.items():
            self.files[names[name]] = content
        document = tomlkit.parse(panel.text)
        for table, key in (("panel", "picture"), ("motif", "file")):
            for entry in document.get(table, []):
                if key in entry:
                    entry[key] = names[str(entry[key])]
        self._texts.append(tomlkit.dumps(document))
        return len(self._texts) - 1

    def _own_name(self, name: str, content: bytes) -> str:
        """The name itself, or with a number where it stands for something else."""
        plain, number = Path(name), 1
        while not self._is_free(name, content):
            number += 1
            name = f"{plain.stem}-{number}{plain.suffix}"
        return name

    def _is_free(self, name: str, content: bytes) -> bool:
        if name in self.files:
            return self.files[name] == content
        place = self._folder / name
        with suppress(OSError, ValueError):
            return not place.exists() or read_bounded(place, MOST_BYTES) == content
        return False

    def text(self, number: int) -> str:
        """The panel's own project, its files under the names that they have here."""
        return self._texts[number]

    def lay_in(self, text: str, change: Change, units: str | None) -> str:
        """The project's text with the panel that ``change`` names in the place of what it had."""
        number: Any = change.get("value")
        if isinstance(number, bool) or number not in range(len(self._texts)):
            raise fault(USED, "is not there", "load the page again and measure the photo")
        document, panel = tomlkit.parse(text), tomlkit.parse(self._texts[number])
        _lay_in(document, panel, units)
        return tomlkit.dumps(document)

    def write(self, named: Mapping[str, bytes]) -> None:
        """Write the files that a project names, beside it; one that is there stays as it is."""
        for name, content in named.items():
            if self.files.get(name) == content and not (self._folder / name).exists():
                put_whole(self._folder / name, content, _still_free(self._folder / name))


def _still_free(place: Path) -> Callable[[], None]:
    def check() -> None:
        if place.exists():
            raise InputError(place.name, "", "is there already", "use the photo again")

    return check


def _lay_in(document: Any, panel: Any, units: str | None) -> None:
    """Size, panel, grid and motifs; the quilting stays, and is the panel's where there is none."""
    runner = document.setdefault("runner", tomlkit.table())
    for key in (*SIZES, *MEASURES, "panel_join"):
        runner.pop(key, None)
    for key, value in panel["runner"].items():
        runner[key] = _written(key, value, units)
    runner.add(tomlkit.nl())
    _lay_in_grid(document, panel, units)
    for name in OF_THE_PANEL:
        document.pop(name, None)
    quilting = [] if "quilting" in document else ["quilting"]
    for name in ("panel", "motif", *quilting):
        if name in panel:
            document[name] = _entries(panel[name], units)


def _lay_in_grid(document: Any, panel: Any, units: str | None) -> None:
    """The printed lines in the place of the blocks that there were; none where none were found."""
    if "grid" not in panel:
        document.pop("grid", None)
        return
    grid = document.setdefault("grid", tomlkit.table())
    for key in COUNTED:
        grid.pop(key, None)
    for key, value in panel["grid"].items():
        grid[key] = _written(key, value, units)


def _entries(entries: Any, units: str | None) -> Any:
    """The panel's own tables, with what they say of their errors beside them."""
    for entry in entries:
        for key in list(entry):
            entry[key] = _written(key, entry[key], units)
    return entries


def _written(key: str, value: Any, units: str | None) -> Any:
    """A value in mm as the file writes lengths."""
    said = plain(value)
    if key not in LENGTHS and key != "offset":
        return said
    if isinstance(said, list):
        return [_length(mm, units) for mm in said]
    return _length(said, units)


def _length(mm: float, units: str | None) -> str:
    return fine_length(mm if abs(mm) >= NOTHING_MM else 0, units)
