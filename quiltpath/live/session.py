"""One project being looked at: its file, what the page has changed, what it is shown."""

from __future__ import annotations

import hashlib
import os
import tempfile
import threading
from pathlib import Path
from typing import Any

from quiltpath.errors import InputError
from quiltpath.live.edits import Change, edited
from quiltpath.make import compute, load_and_make
from quiltpath.output.page.page import figures
from quiltpath.output.page.payload import payload
from quiltpath.project import PatternBook, Project, parse
from quiltpath.project.loading import read_text
from quiltpath.result import Result

REGIONS = ("runner", "blocks", "sashing", "outer sashing", "border")


class Session:
    """The file as it was last read, and the work under way. Safe to call from several threads."""

    def __init__(self, file: Path, folder: Path) -> None:
        self.file = file
        self.folder = folder
        self._lock = threading.Lock()
        self._progress: dict[str, Any] = {"what": "", "done": 0, "of": 0, "running": False}
        self.reload()

    def reload(self) -> None:
        """Read the file again; raises :class:`InputError` where it is wrong."""
        text = read_text(self.file)
        self._parsed(text)
        self._text, self._mark = text, _mark(text)

    def _parsed(self, text: str) -> Project:
        return parse(text, name=self.file.name, folder=self.file.parent)

    def project(self) -> Project:
        """The project as it was last read or saved."""
        return self._parsed(self._text)

    def changed_on_disk(self) -> bool:
        """True where the file is no longer what was read."""
        try:
            return _mark(read_text(self.file)) != self._mark
        except InputError:
            return True

    def drawn(self, changes: list[Change]) -> dict[str, Any]:
        """Lines, figures and warnings with ``changes`` made."""
        with self._lock:
            project = self._parsed(self._edited(changes))
            return shown(compute(project))

    def _edited(self, changes: list[Change]) -> str:
        units = self._parsed(self._text).units
        return edited(self._text, changes, units) if changes else self._text

    def load_again(self) -> dict[str, Any]:
        """Take in what changed on disk."""
        with self._lock:
            self.reload()
        return {"loaded": True}

    def save(self, changes: list[Change]) -> dict[str, Any]:
        """Write the file with ``changes`` made, whole, never over one that changed meanwhile."""
        with self._lock:
            text = self._edited(changes)
            self._parsed(text)
            if self.changed_on_disk():
                raise InputError(
                    self.file.name, "", "has changed on disk meanwhile", "load it again first"
                )
            _write_whole(self.file, text)
            self._text, self._mark = text, _mark(text)
        return {"saved": True}

    def make(self) -> dict[str, Any]:
        """The whole job on the file as it is on disk."""
        with self._lock:
            self._progress = {"what": "starting", "done": 0, "of": 1, "running": True}
            try:
                _, files = load_and_make(self.file, self.folder, (), self._tell)
            finally:
                self._progress = {**self._progress, "running": False}
        return {"folder": self.folder.name, "files": [file.name for file in files]}

    def _tell(self, what: str, done: int, of: int) -> None:
        self._progress = {"what": what, "done": done, "of": of, "running": True}

    def progress(self) -> dict[str, Any]:
        """How far the work under way has come, and whether the file changed on disk."""
        return {**self._progress, "changed": self.changed_on_disk()}


def shown(result: Result) -> dict[str, Any]:
    """What the page is handed for a result."""
    return {
        "data": payload(result),
        "figures": figures(result),
        "warnings": [finding.text for finding in result.findings],
        "entries": entries(result.project),
        "motifs": _motifs(result),
        "stitch_mm": result.project.stitch.length,
        "patterns": _pattern_names(),
        "regions": list(REGIONS),
        "units": result.project.units or "mm",
    }


def _pattern_names() -> list[str]:
    return PatternBook.beside(None, None, "").names()


def entries(project: Project) -> list[dict[str, Any]]:
    """Each [[quilting]] entry with what can be changed in it, by its first layer."""
    found: dict[int, dict[str, Any]] = {}
    for layer, number in zip(project.quilting, project.entry_of_layer, strict=True):
        if number not in found:
            found[number] = _entry(layer, number)
    return [found[number] for number in sorted(found)]


def _entry(layer: Any, number: int) -> dict[str, Any]:
    entry: dict[str, Any] = {"entry": number, "name": layer.name or layer.kind, "kind": layer.kind}
    spacing = getattr(layer, "spacing", None)
    if spacing is not None:
        entry["spacing"] = {"mm": spacing.mm, "about": spacing.about}
    if hasattr(layer, "angle"):
        entry["angle"] = layer.angle
    entry["clearance"] = layer.clearance or 0.0
    entry["region"] = layer.region if isinstance(layer.region, str) else ", ".join(layer.region)
    return entry


def _motifs(result: Result) -> list[dict[str, Any]]:
    """Motifs that are placed by a point, which can be dragged."""
    return [
        {"entry": number, "name": motif.name, "at": list(motif.at[0]), "size": motif.size}
        for number, motif in enumerate(result.project.motif)
        if len(motif.at) == 1 and motif.blocks is None
    ]


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _write_whole(path: Path, text: str) -> None:
    """Write beside the file, then take its place; the old one stays if anything fails."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        fresh = Path(name)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
            fresh.chmod(path.stat().st_mode & 0o777)
            fresh.replace(path)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as error:
        reason = (error.strerror or "cannot be written").lower()
        raise InputError(path.name, "", reason, "choose another folder") from None
