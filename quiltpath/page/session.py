"""One project being looked at: its file, what the page has changed, what it is shown.

The page is handed the parts of a computing as soon as each is there. Drawn lines are checked by a
worker process while this one finds their sewing order.
"""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from quiltpath.documents import preview_page
from quiltpath.documents.all_previews import relief_of
from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.page.answer_parts import Part, drawn_m, told
from quiltpath.page.controls import (
    Offers,
    control_values,
    named_entries,
    needs_of_patterns,
    taken_over,
)
from quiltpath.page.edits import Change, EditableText, as_in_the_file, make_changes, write_whole
from quiltpath.page.line_checker import start_worker, submit_checks
from quiltpath.page.made_sets import MadeSet
from quiltpath.page.motif_rooms import rooms_of
from quiltpath.page.page_photo import PhotoProject
from quiltpath.page.pattern_pictures import by_use, pattern_pictures
from quiltpath.page.photo_use import USED, UsedPhotos
from quiltpath.page.remedies import remedies
from quiltpath.page.settings import settings_of
from quiltpath.patterns.book import PatternBook
from quiltpath.progress import Progress
from quiltpath.project import Project, parse
from quiltpath.project.loading import read_text
from quiltpath.result.computing import DrawingStep, compute_by_steps
from quiltpath.result.reuse import Reuse
from quiltpath.result.values import Result


@dataclass(frozen=True)
class PageJobs:
    """What the page hands on; both write into a folder and tell what lies there, by its name.

    ``make``     the whole job for a project file
    ``compare``  designs side by side, each under its name
    """

    make: Callable[[Path, Path, Progress], Mapping[str, str]]
    compare: Callable[[Sequence[tuple[str, Project]], Path], Mapping[str, str]]


@dataclass(frozen=True)
class SentCloth:
    """A runner without its lines as the page draws it, with a mark that tells it from others."""

    runner: Runner
    mark: str
    data: Part


class Session:
    """The file as it was last read, and the work under way. Safe to call from several threads.

    The page sends all its changes since that reading each time, so that undo is leaving one out;
    saving does not move the ground under them.
    """

    def __init__(self, file: Path, folder: Path, jobs: PageJobs) -> None:
        self.file = file
        self.folder = folder
        self._jobs = jobs
        self._lock = threading.Lock()
        self._asked = threading.Lock()
        self._question = 0
        self._progress: dict[str, Any] = {"what": "", "done": 0, "of": 0, "running": False}
        self._reuse = Reuse()
        self._shift_mm = 0.0, 0.0
        self._sets: dict[str, MadeSet] = {}
        self._seen: tuple[str, Result] | None = None
        self._cloth: SentCloth | None = None
        self._photos = UsedPhotos(file.parent)
        self.reload()

    def reload(self) -> None:
        """Read the file again; raises :class:`InputError` where it is wrong."""
        text = read_text(self.file)
        self._project = self._parsed(text)
        self._read, self._on_disk = EditableText(text), _mark(text)

    def _parsed(self, text: str) -> Project:
        given = self._photos.files
        return parse(text, name=self.file.name, folder=self.file.parent, given=given)

    @property
    def base(self) -> str:
        """Names the reading that changes are made to."""
        return _mark(self._read.text)

    def result(self) -> Result:
        """The whole result for the file as it was last read."""
        start_worker()
        result = self._whole(self._read.text)
        self._shift_mm = result.runner.shift_mm
        return result

    def shown(self) -> Result:
        """The same; a file that could not be shown is read again, for it may be right by now."""
        try:
            return self.result()
        except InputError:
            if not self.changed_on_disk():
                raise
            self.reload()
            return self.result()

    def _whole(self, text: str) -> Result:
        """The result for a text, the one computed last where that is it."""
        if self._seen is None or self._seen[0] != text:
            *_, result = compute_by_steps(self._parsed(text), reuse=self._reuse)
            assert isinstance(result, Result)
            self._seen = text, result
        return self._seen[1]

    def lit(self, changes: list[Change], base: str | None = None) -> Part:
        """The quilted cloth's shape with ``changes`` made, for the page to light, and how its
        wadding stands up, from which the page guesses the shape while something changes."""
        result = self._whole(self._edited(changes, base))
        loft = result.relief.loft
        return {
            "base": self.base,
            "relief": relief_of(result),
            "loft": {"loft": loft.loft_mm, "width": loft.width_mm},
        }

    def pictures(
        self, changes: list[Change], chosen: Mapping[str, Any], base: str | None = None
    ) -> Iterator[Part]:
        """Small pictures of the patterns that a layer can have; ends early at another question.

        ``chosen`` holds the layer's ``entry`` and what is to be kept of the pattern that it has.
        """
        text, asked = self._edited(changes, base), self._question
        project = self._parsed(text)
        drawn = next(compute_by_steps(project, reuse=self._reuse))
        assert isinstance(drawn, DrawingStep)
        folder, own = self.file.parent, project.patterns_folder
        offered = Offers(project, drawn.runner, folder).patterns(has_region=False)

        def with_pattern(name: str) -> Project:
            change = {**chosen, "key": "pattern", "value": name}
            return self._parsed(make_changes(text, self._fitting([change], project), project.units))

        named = by_use(offered, needs_of_patterns(folder, own))
        book = PatternBook.beside(folder, own, self.file.name)
        yield {"base": self.base}
        for picture in pattern_pictures(named, book, with_pattern, chosen.get("entry")):
            if self._question != asked:
                return
            yield picture

    def settings(self, changes: list[Change], base: str | None = None) -> Part:
        """Every key that the file can have, with what it says ``changes`` made."""
        text = self._edited(changes, base)
        project = self._parsed(text)
        needs = needs_of_patterns(self.file.parent, project.patterns_folder)
        named = named_entries(project, text, {name: each.title for name, each in needs.items()})
        return {"base": self.base, "settings": list(settings_of(text, named))}

    def _fitting(self, changes: list[Change], project: Project) -> list[Change]:
        """Changes of a pattern keep no more than the new one can take over."""
        if not isinstance(changes, list):
            return changes  # refused where the changes are made
        needs = needs_of_patterns(self.file.parent, project.patterns_folder)

        def fitting(change: Change) -> Change:
            keep = change.get("keep") if isinstance(change, Mapping) else None
            named = needs.get(str(change.get("value"))) if isinstance(keep, Mapping) else None
            return {**change, "keep": taken_over(named, keep)} if named and keep else change

        return [fitting(change) for change in changes]

    def first_state(self, result: Result) -> Part:
        """What the page's controls need before the first question; the picture is in the page."""
        project, runner = result.project, result.runner
        return {
            "base": self.base,
            "file": self.file.name,
            **control_values(project, runner, self.file.parent, self._read.text),
            "rooms": rooms_of(project, runner),
            "drawn_m": drawn_m(result.lines),
            "remedies": remedies(result),
        }

    def changed_on_disk(self) -> bool:
        """True where the file is no longer what was read or saved."""
        try:
            return _mark(read_text(self.file)) != self._on_disk
        except InputError:
            return True

    def drawn(
        self, changes: list[Change], base: str | None = None, held: str | None = None
    ) -> Iterator[Part]:
        """Lines, then stitches and figures, then gaps and warnings, with ``changes`` made.

        Ends early when another question is asked meanwhile: its answer would not be shown. The
        cloth below the lines is left out where it is the one that the page names (``held``).
        """
        with self._asked:
            self._question += 1
            mine = self._question
        text = self._edited(changes, base)
        project = self._parsed(text)
        steps = compute_by_steps(project, reuse=self._reuse, checking=submit_checks)
        for number, step in enumerate(steps):
            if isinstance(step, DrawingStep):
                self._shift_mm = step.runner.shift_mm
            if isinstance(step, Result):
                self._seen = text, step
            answer = {"part": number, "base": self.base, **told(step, project)}
            if isinstance(step, DrawingStep):
                cloth = self._cloth_of(step.runner)
                answer |= control_values(project, step.runner, self.file.parent, text)
                answer |= {"cloth": cloth.mark}
                answer["data"] |= {} if cloth.mark == held else cloth.data
            yield answer
            if not self._goes_on(mine):
                return

    def _cloth_of(self, runner: Runner) -> SentCloth:
        """The runner without its lines as it is sent; the same one is put together once."""
        if self._cloth is None or self._cloth.runner is not runner:
            data = preview_page.cloth(runner)
            self._cloth = SentCloth(runner, _mark(json.dumps(data)), data)
        return self._cloth

    def _goes_on(self, mine: int) -> bool:
        """False as soon as a later question is there."""
        return self._question == mine

    def _edited(self, changes: list[Change], base: str | None) -> str:
        if base is not None and base != self.base:
            raise InputError(
                self.file.name, "", "was loaded again in another page", "load this page again"
            )
        if changes == []:
            return self._read.text
        written, project = self._read, self._project
        if not isinstance(changes, list):
            return written.changed(changes, project.units)  # which refuses them
        for is_photo, some in groupby(changes, _takes_a_photo):
            if is_photo:
                text = written.text
                for change in some:
                    text = self._photos.lay_in(text, change, project.units)
                project = self._parsed(text)
            else:
                placed = as_in_the_file(list(some), self._shift_mm)
                text = written.changed(self._fitting(placed, project), project.units)
            written = EditableText(text)
        return written.text

    def use_photo(self, panel: PhotoProject) -> Part:
        """Take in a panel; a change with this key and value lays it into the file."""
        with self._lock:
            return {"key": USED, "value": self._photos.add(panel)}

    def load_again(self) -> dict[str, Any]:
        """Take in what changed on disk."""
        with self._lock:
            self.reload()
        return {"base": self.base}

    def save(self, changes: list[Change], base: str | None = None) -> dict[str, Any]:
        """Write the file with ``changes`` made, whole, never over one that changed meanwhile."""
        with self._lock:
            text = self._edited(changes, base)
            project = self._parsed(text)
            next(compute_by_steps(project, reuse=self._reuse))  # raises what is wrong
            self._photos.write({name: project.drawing(name) for _, name in project.named_drawings})
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
                kinds = self._jobs.make(self.file, self.folder, self._note_progress)
                self._sets["set"] = made = MadeSet(self.folder, kinds)
            finally:
                self._progress = {**self._progress, "running": False}
        return made.told()

    def compare(self, cards: object, base: str | None = None) -> dict[str, Any]:
        """The designs that were kept as cards, side by side in a folder beside that of the set.

        Args:
            cards: for each its ``name`` and its ``changes``.
            base: names the reading that the changes belong to.

        Raises:
            InputError: no two cards, or a design that cannot be sewn; nothing is written then.
        """
        known = isinstance(cards, list) and all(isinstance(card, dict) for card in cards)
        if not isinstance(cards, list) or not known or len(cards) < 2:
            raise InputError("the page", "", "has no two cards to compare", "keep another design")
        beside = self.folder.resolve()  # "." has no name of its own
        folder = beside.with_name(f"{beside.name}-compare")
        named = [
            (str(card.get("name", "")), self._parsed(self._edited(card.get("changes", []), base)))
            for card in cards
        ]
        with self._lock:
            self._sets["compare"] = made = MadeSet(folder, self._jobs.compare(named, folder))
        return made.told()

    def made(self, name: str) -> bytes | None:
        """A file of the set that was made last, as "set/guide.svg"; None for any other name.

        Raises :class:`InputError` where it is no longer there.
        """
        which, _, file = name.partition("/")
        return self._sets[which].content(file) if which in self._sets else None

    def _note_progress(self, what: str, done: int, of: int) -> None:
        self._progress = {"what": what, "done": done, "of": of, "running": True}

    def progress(self) -> dict[str, Any]:
        """How far the work under way has come, and whether the file changed on disk."""
        return {**self._progress, "changed": self.changed_on_disk()}


def _takes_a_photo(change: Any) -> bool:
    return isinstance(change, Mapping) and change.get("key") == USED


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
