"""Changing a folder from one set of files to the next, step by step, each of which can be undone.

One file after another takes its place in one step of the system, what is no longer of the set goes,
and the report comes last. What no report of ours lists is not ours and is never touched: neither
what lies there nor what somebody saves there meanwhile. A run that was killed leaves its hidden
folder with the new report in it, by which the next run knows what had got into place.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import shutil
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path, PurePosixPath

from quiltpath.errors import InputError
from quiltpath.files import read_bounded

try:
    import fcntl
except ImportError:  # not POSIX
    fcntl = None  # type: ignore[assignment]


REPORT_NAME = "report.json"
HIDDEN = ".quiltpath-set-"
NEW, OLD = "new", "old"
"""Folders in a hidden one: what is to take its place, and what has given way."""

_LARGEST_REPORT = 100_000_000
_NO_LINKS = (errno.EPERM, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK)


def put_in_place(names: Sequence[str], hidden: Path, target: Path, undo: ExitStack) -> None:
    """The files of these names from ``hidden / NEW`` into the target, in place of its old set.

    Every step leaves in ``undo`` how it is taken back. Raises :class:`InputError` where something
    of the user's is in the way.
    """
    left = _left_behind(target)
    ours = _ours(left, target)
    going = sorted(ours - set(names))
    first = [name for name in going if any(_nested(name, new) for new in names)]
    for name in names:
        _check_free(name, target, ours, set(first))
    _take_all_away(first, hidden, target, undo)
    last = {REPORT_NAME} & set(names)
    for name in sorted(set(names) - last):
        _take_place(name, hidden, target, name in ours, undo)
    _take_all_away(going, hidden, target, undo)
    for name in last:
        _take_place(name, hidden, target, name in ours, undo)
    for one in left:
        shutil.rmtree(one, ignore_errors=True)


@contextmanager
def hold_folder(folder: Path, wait: bool = True) -> Iterator[bool]:
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


def make_folder(folder: Path, undo: ExitStack) -> None:
    """The folder and those above it that are missing; stepping back removes them while empty."""
    missing = []
    while not os.path.lexists(folder):
        missing.append(folder)
        folder = folder.parent
    for path in reversed(missing):
        path.mkdir(exist_ok=True)
        undo.callback(_remove_if_empty, path)


def _remove_if_empty(folder: Path) -> None:
    with suppress(OSError):
        folder.rmdir()


def _left_behind(target: Path) -> list[Path]:
    """Hidden folders of killed runs: a living run holds its own, and the target to make it."""
    found = []
    for path in sorted(target.glob(f"{HIDDEN}*")):
        if path.is_symlink() or not path.is_dir():
            continue
        # A run that ends in this moment takes its own away.
        with suppress(FileNotFoundError), hold_folder(path, wait=False) as abandoned:
            if abandoned and {inside.name for inside in path.iterdir()} <= {NEW, OLD}:
                found.append(path)
    return found


def _ours(left: Sequence[Path], target: Path) -> set[str]:
    """Names that the target's report lists, and what killed runs had put in place."""
    listed = set(_listed(target / REPORT_NAME))
    listed |= {REPORT_NAME} if listed else set()
    return listed.union(*(_got_in_place(one, target) for one in left))


def _listed(report: Path) -> dict[str, str]:
    """Names of the files that a run delivered, by its own report, with their sums."""
    try:
        content = json.loads(read_bounded(report, _LARGEST_REPORT) or b"")
        # A report of another program lists no sums.
        return {str(entry["path"]): str(entry["sha256"]) for entry in content["files"]}
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return {}


def _got_in_place(left: Path, target: Path) -> set[str]:
    """Which files of its set a killed run had put in place: those with the very bytes it meant."""
    meant = _listed(left / NEW / REPORT_NAME).items()
    return {name for name, summed in meant if _sum(_place(target, name)) == summed}


def _sum(place: Path | None) -> str | None:
    if place is None or place.is_symlink() or not place.is_file():
        return None
    return hashlib.sha256(place.read_bytes()).hexdigest()


def _place(target: Path, name: str) -> Path | None:
    """Where a listed file lies; None for a name that leads out of the folder or through a link."""
    parts = PurePosixPath(name).parts
    if not parts or parts[0] == "/" or ".." in parts or "\0" in name:
        return None
    folders = [target.joinpath(*parts[:count]) for count in range(1, len(parts))]
    return None if any(folder.is_symlink() for folder in folders) else target.joinpath(*parts)


def _nested(one: str, other: str) -> bool:
    """Whether a file of one name would need a folder of the other's."""
    first, second = PurePosixPath(one), PurePosixPath(other)
    return first in second.parents or second in first.parents


def _check_free(name: str, target: Path, ours: set[str], giving_way: set[str]) -> None:
    """Refuse to lay a new file over what the user put there, or through a link of the user's."""
    for parent in [*PurePosixPath(name).parents][:-1]:
        folder = target / parent
        is_folder = folder.is_dir() and not folder.is_symlink()
        if os.path.lexists(folder) and not is_folder and str(parent) not in giving_way:
            raise _in_the_way(folder)
    place = target / name
    if place.is_dir() and not place.is_symlink():
        if not any(PurePosixPath(name) in PurePosixPath(going).parents for going in giving_way):
            raise _in_the_way(place)
    elif os.path.lexists(place) and name not in ours:
        raise _in_the_way(place)


def _in_the_way(place: Path) -> InputError:
    fault = "is there already, and no report of an earlier run lists it"
    return InputError(str(place), "", fault, "move it away or name another folder")


def _take_place(name: str, hidden: Path, target: Path, ours: bool, undo: ExitStack) -> None:
    """The new file in place of ours in one step; where there is none, never over somebody's."""
    new, old, place = hidden / NEW / name, hidden / OLD / name, target / name
    make_folder(place.parent, undo)
    if ours and os.path.lexists(place):
        old.parent.mkdir(parents=True, exist_ok=True)
        _link_or_copy(place, old)
        undo.callback(os.replace, old, place)
        new.replace(place)
        return
    try:
        _put_new(new, place)
    except FileExistsError:
        raise _in_the_way(place) from None
    undo.callback(place.unlink, missing_ok=True)


def _put_new(new: Path, place: Path) -> None:
    """A second name for the file, which the system gives only where there is none."""
    try:
        os.link(new, place)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        if os.path.lexists(place):
            raise FileExistsError from None
        new.rename(place)


def _link_or_copy(path: Path, place: Path) -> None:
    try:
        os.link(path, place, follow_symlinks=False)
    except OSError:
        shutil.copy2(path, place, follow_symlinks=False)


def _take_all_away(names: Sequence[str], hidden: Path, target: Path, undo: ExitStack) -> None:
    for name in names:
        _take_away(name, hidden, target, undo)


def _take_away(name: str, hidden: Path, target: Path, undo: ExitStack) -> None:
    """A file that is no longer of the set, with the folders that are empty without it.

    It may be gone already, by a run that was killed before it came to its folders.
    """
    place, old = _place(target, name), hidden / OLD / name
    if place is None:
        return
    if os.path.lexists(place) and (place.is_symlink() or not place.is_dir()):
        old.parent.mkdir(parents=True, exist_ok=True)
        place.rename(old)
        undo.callback(os.replace, old, place)
    for folder in place.parents:
        if folder == target or (folder.is_dir() and any(folder.iterdir())):
            return
        with suppress(OSError):  # somebody saves a file there in this moment
            folder.rmdir()
            undo.callback(folder.mkdir, exist_ok=True)
