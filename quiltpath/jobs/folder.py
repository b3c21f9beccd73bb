"""A set of files put into a folder: each is the old one or the new one, and the report comes last.

The new set is written into a hidden folder inside the target, and changes places with the old one
file by file (``set_placing.py``); where anything fails all is as it was. The target itself never
moves, so that a shell or another program may stand in it. A finished output is a name and its
bytes, before anything is on disk.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from quiltpath.errors import InputError
from quiltpath.jobs.set_placing import (
    HIDDEN,
    NEW,
    REPORT_NAME,
    hold_folder,
    make_folder,
    put_in_place,
)

LEFT_OUT = "left out"
"""Kind of the file that names the formats that could not be written, a line each."""


def write_set(files: Iterable[OutputFile], folder: Path) -> None:
    """Make ``folder`` hold the new set in place of its old one, beside whatever else is in it.

    Args:
        files: names and bytes; the report that lists them comes last.
        folder: made where it is not there yet.

    Returns:
        Nothing; each file is the old one or the new one at every moment.

    Raises:
        InputError: the folder cannot be written or something of the user's is in the way; then
            nothing has changed.

    Example:
        >>> folder = Path(tempfile.mkdtemp()) / "out"
        >>> write_set([OutputFile("note.txt", b"pin first", "note")], folder)
        >>> (folder / "note.txt").read_text()
        'pin first'
    """
    target = folder.resolve()
    try:
        if target.exists() and not target.is_dir():
            raise InputError(str(folder), "", "is a file, not a folder", "name another folder")
        with ExitStack() as undo:
            make_folder(target, undo)
            with _hidden(target) as hidden:
                names = [_written(file, hidden / NEW) for file in files]
                with hold_folder(target), ExitStack() as steps:
                    put_in_place(names, hidden, target, steps)
                    steps.pop_all()
            undo.pop_all()
    except OSError as error:
        raise _cannot_write(folder, error) from None


def with_report(
    files: Sequence[OutputFile], content: Mapping[str, object]
) -> tuple[OutputFile, ...]:
    """The files and, last, a report with ``content`` that lists them."""
    report = {**content, "files": [file.entry() for file in files]}
    text = json.dumps(report, indent=2, ensure_ascii=False) + "\n"
    return (*files, OutputFile(REPORT_NAME, text.encode("utf-8"), "report"))


def only_own_set(folder: Path, *kinds: str) -> None:
    """Refuse a folder whose report has no key of ``kinds``: the set that it lists would go.

    Raises :class:`InputError`.
    """
    try:
        report = json.loads((folder / REPORT_NAME).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return
    if not isinstance(report, dict) or not any(kind in report for kind in kinds):
        raise InputError(str(folder), "--out", "holds another set of files", "name a new folder")


@contextmanager
def _hidden(target: Path) -> Iterator[Path]:
    """A hidden folder in the target, held while this run lives, and gone afterwards."""
    with ExitStack() as last:
        with hold_folder(
            target
        ):  # nobody takes it for one that a killed run left before it is held
            hidden = Path(tempfile.mkdtemp(prefix=HIDDEN, dir=target))
            last.callback(shutil.rmtree, hidden, ignore_errors=True)
            last.enter_context(hold_folder(hidden))
            last.callback(shutil.rmtree, hidden, ignore_errors=True)  # while it is held
        yield hidden


def _written(file: OutputFile, folder: Path) -> str:
    place = folder / file.name
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(file.content)
    return file.name


def _cannot_write(folder: Path, error: OSError) -> InputError:
    reason = (error.strerror or str(error)).lower()
    return InputError(str(folder), "", f"cannot be written: {reason}", "choose another folder")


@dataclass(frozen=True)
class OutputFile:
    """One file of the set that ``make`` delivers.

    ``verified`` is true only for a file that was read back and compared with what was meant;
    None where reading back has no meaning. ``pages`` is what the report says of a printed file.
    ``state`` is that of the cloth whose lengths it shows: flat, quilted, washed, cloth as it is
    bought, or several, where each length says its own.
    """

    name: str
    content: bytes
    kind: str
    verified: bool | None = None
    pages: Mapping[str, object] | None = None
    state: str = "flat"

    def entry(self) -> dict[str, object]:
        """The file's row in report.json."""
        return {
            "path": self.name,
            "kind": self.kind,
            "bytes": len(self.content),
            "sha256": hashlib.sha256(self.content).hexdigest(),
            "verified": self.verified,
            "state": self.state,
        }
