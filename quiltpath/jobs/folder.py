"""Putting a set of files into a folder whole: the old set or the new set, never half of one.

The new set is written into a hidden folder beside the target and changes places with it in one
step. Files in the target that are not ours (not listed in its report) are carried over.

A finished output: a name and its bytes, before anything is on disk.
"""

from __future__ import annotations

import ctypes
import errno
import glob
import hashlib
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from quiltpath.errors import InputError
from quiltpath.files import read_bounded, umask

try:
    import fcntl
except ImportError:  # not POSIX
    fcntl = None  # type: ignore[assignment]


REPORT_NAME = "report.json"
LEFT_OUT = "left out"
"""Kind of the file that names the formats that could not be written, a line each."""
_LARGEST_REPORT = 100_000_000
_EXCHANGE = 2  # RENAME_EXCHANGE of renameat2(2)
_AT_FDCWD = -100


def write_set(files: Iterable[OutputFile], folder: Path) -> None:
    """Make ``folder`` hold exactly the new set beside whatever the user keeps there.

    Raises :class:`InputError` where the folder cannot be written; then nothing has changed.
    """
    target = folder.resolve()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if target.exists() and not target.is_dir():
            raise InputError(str(folder), "", "is a file, not a folder", "name another folder")
        _sweep_leftovers(target)
        fresh = Path(tempfile.mkdtemp(prefix=_prefix(target), dir=target.parent))
    except OSError as error:
        raise _cannot_write(folder, error) from None
    try:
        with _held(fresh):
            for file in files:
                place = fresh / file.name
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(file.content)
            fresh.chmod(0o777 & ~umask())
            with _held(target.parent):
                _carry_over(target, fresh)
                _put_in_place(fresh, target)
    except OSError as error:
        raise _cannot_write(folder, error) from None
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


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
def _held(folder: Path, wait: bool = True) -> Iterator[bool]:
    """Hold a folder against other runs; yields False where another holds it and ``wait`` is off.

    The system lets go when the process ends, however it ends. Where there is no such lock
    (not POSIX) nothing is held and runs at the same moment are the user's to avoid.
    """
    if fcntl is None:
        yield True
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield False
        else:
            yield True
    finally:
        os.close(handle)


def _cannot_write(folder: Path, error: OSError) -> InputError:
    reason = (error.strerror or str(error)).lower()
    return InputError(str(folder), "", f"cannot be written: {reason}", "choose another folder")


def _prefix(target: Path) -> str:
    return f".{target.name}.quiltpath-"


def _sweep_leftovers(target: Path) -> None:
    """Remove what a killed run left beside the target; a living run holds its own."""
    for left in target.parent.glob(f"{glob.escape(_prefix(target))}*"):
        if left.is_symlink() or not left.is_dir():
            continue
        # Another run may sweep the same folder away in this moment.
        with suppress(FileNotFoundError), _held(left, wait=False) as abandoned:
            if abandoned:
                shutil.rmtree(left, ignore_errors=True)


def _carry_over(target: Path, fresh: Path) -> None:
    """Take the user's own files and folders from the old folder into the new one.

    Links are taken as links, wherever they point. Raises :class:`InputError` where one of the
    user's own is in the way of a new file.
    """
    if not target.is_dir():
        return
    ours = _listed(target)
    folders_of_ours = {parent for name in ours for parent in PurePosixPath(name).parents}
    kept: list[tuple[Path, Path]] = []
    for path in sorted(target.rglob("*")):
        name = path.relative_to(target)
        is_folder = path.is_dir() and not path.is_symlink()
        if name.as_posix() in ours or (is_folder and PurePosixPath(name) in folders_of_ours):
            continue
        place = fresh / name
        _check_free(place, name, target, is_folder)
        if is_folder:
            place.mkdir(parents=True, exist_ok=True)
            kept.append((path, place))
        else:
            place.parent.mkdir(parents=True, exist_ok=True)
            _link_or_copy(path, place)
    # Last, for a folder that nobody may write to must be filled first; the innermost before it.
    for path, place in reversed(kept):
        shutil.copystat(path, place)


def _check_free(place: Path, name: Path, target: Path, is_folder: bool) -> None:
    """Refuse to lay a new file over one that the user put there."""
    if os.path.lexists(place) and not (is_folder and place.is_dir()):
        fault = "is there already, and no report of an earlier run lists it"
        raise InputError(str(target / name), "", fault, "move it away or name another folder")


def _link_or_copy(path: Path, place: Path) -> None:
    try:
        os.link(path, place, follow_symlinks=False)
    except OSError:
        shutil.copy2(path, place, follow_symlinks=False)


def _listed(target: Path) -> set[str]:
    """Names of the files that an earlier run put into the folder, by its own report."""
    try:
        report = json.loads(read_bounded(target / REPORT_NAME, _LARGEST_REPORT) or b"")
        # A report of another program lists no sums.
        listed = {str(entry["path"]) for entry in report["files"] if entry["sha256"]}
        return listed | {REPORT_NAME}
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return set()


def _put_in_place(fresh: Path, target: Path) -> None:
    if not target.exists():
        fresh.rename(target)
    elif not _exchanged(fresh, target):
        _two_renames(fresh, target)


def _exchanged(fresh: Path, target: Path) -> bool:
    """Swap two folders in one step where the system can (Linux); the old one is then ``fresh``."""
    if not sys.platform.startswith("linux"):
        return False
    renameat2 = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    if renameat2 is None:
        return False
    done = renameat2(_AT_FDCWD, os.fsencode(fresh), _AT_FDCWD, os.fsencode(target), _EXCHANGE)
    if done == 0:
        return True
    if ctypes.get_errno() in (errno.EINVAL, errno.ENOSYS):
        return False
    raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()))


def _two_renames(fresh: Path, target: Path) -> None:
    """The nearest thing elsewhere: aside, then in; put back if the second step fails."""
    aside = Path(tempfile.mkdtemp(prefix=_prefix(target), dir=target.parent)) / "old"
    target.rename(aside)
    try:
        fresh.rename(target)
    except OSError:
        aside.rename(target)
        raise
    shutil.rmtree(aside.parent, ignore_errors=True)


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
