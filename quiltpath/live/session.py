"""One project being looked at: its file, what the page has changed, what it is shown."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from quiltpath.errors import InputError
from quiltpath.live import beside
from quiltpath.live.controls import standing
from quiltpath.live.edits import edited
from quiltpath.live.entries import Change
from quiltpath.live.motifs import rooms_of
from quiltpath.live.parts import Part, part
from quiltpath.live.saving import write_whole
from quiltpath.make import load_and_make
from quiltpath.make.compute import Drawn, Sewn, compute_by_steps
from quiltpath.make.reuse import Reuse
from quiltpath.project import Project, parse
from quiltpath.project.loading import read_text
from quiltpath.result import Result


class Session:
    """The file as it was last read, and the work under way. Safe to call from several threads.

    The page sends all its changes since that reading each time, so that undo is leaving one out;
    saving does not move the ground under them.
    """

    def __init__(self, file: Path, folder: Path) -> None:
        self.file = file
        self.folder = folder
        self._lock = threading.Lock()
        self._asked = threading.Lock()
        self._question = 0
        self._progress: dict[str, Any] = {"what": "", "done": 0, "of": 0, "running": False}
        self._reuse = Reuse()
        self.reload()

    def reload(self) -> None:
        """Read the file again; raises :class:`InputError` where it is wrong."""
        text = read_text(self.file)
        self._parsed(text)
        self._text, self._on_disk = text, _mark(text)

    def _parsed(self, text: str) -> Project:
        return parse(text, name=self.file.name, folder=self.file.parent)

    @property
    def base(self) -> str:
        """Names the reading that changes are made to."""
        return _mark(self._text)

    def result(self) -> Result:
        """The whole result for the file as it was last read."""
        beside.get_ready()
        *_, result = compute_by_steps(self._parsed(self._text), reuse=self._reuse)
        assert isinstance(result, Result)
        return result

    def first_state(self, result: Result) -> Part:
        """What the page's controls need before the first question; the picture is in the page."""
        project, runner = result.project, result.runner
        return {
            "base": self.base,
            "file": self.file.name,
            **standing(project, runner, self.file.parent, self._text),
            "rooms": rooms_of(project, runner),
        }

    def changed_on_disk(self) -> bool:
        """True where the file is no longer what was read or saved."""
        try:
            return _mark(read_text(self.file)) != self._on_disk
        except InputError:
            return True

    def drawn(self, changes: list[Change], base: str | None = None) -> Iterator[Part]:
        """Lines, then stitches and figures, then gaps and warnings, with ``changes`` made.

        Ends early when another question is asked meanwhile: its answer would not be shown.
        """
        with self._asked:
            self._question += 1
            mine = self._question
        text = self._edited(changes, base)
        project = self._parsed(text)
        steps = compute_by_steps(project, reuse=self._reuse, checking=beside.begun)
        for number, step in enumerate(steps):
            yield {"part": number, "base": self.base, **self._standing(step, text), **part(step)}
            if not self._goes_on(mine):
                return

    def _standing(self, step: Drawn | Sewn | Result, text: str) -> Part:
        """What the controls stand at, told with the lines."""
        if not isinstance(step, Drawn):
            return {}
        return standing(step.project, step.runner, self.file.parent, text)

    def _goes_on(self, mine: int) -> bool:
        """False as soon as a later question is there."""
        return self._question == mine

    def _edited(self, changes: list[Change], base: str | None) -> str:
        if base is not None and base != self.base:
            raise InputError(
                self.file.name, "", "was loaded again in another page", "load this page again"
            )
        units = self._parsed(self._text).units
        return self._text if changes == [] else edited(self._text, changes, units)

    def load_again(self) -> dict[str, Any]:
        """Take in what changed on disk."""
        with self._lock:
            self.reload()
        return {"base": self.base}

    def save(self, changes: list[Change], base: str | None = None) -> dict[str, Any]:
        """Write the file with ``changes`` made, whole, never over one that changed meanwhile."""
        with self._lock:
            text = self._edited(changes, base)
            next(compute_by_steps(self._parsed(text), reuse=self._reuse))  # raises what is wrong
            write_whole(self.file, text, self._unchanged)
            self._on_disk = _mark(text)
        return {"saved": True}

    def _unchanged(self) -> None:
        if self.changed_on_disk():
            raise InputError(
                self.file.name, "", "has changed on disk meanwhile", "load it again first"
            )

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


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
