"""Reading a file that a person or a project names, and putting one in its place whole.

Only plain files are read, and never past a limit: a device, a pipe or a file that grows while it
is read has no size to look at beforehand; reading it whole could fill the memory or never end. A
file that is written is the old one or the new one, never half of one.
"""

from __future__ import annotations

import errno
import os
import stat
import tempfile
from collections.abc import Callable
from pathlib import Path

from quiltpath.errors import InputError


def read_bounded(path: Path, most_bytes: int) -> bytes | None:
    """The contents of a plain file, or None where they are longer than ``most_bytes``.

    Links are followed. Raises ``OSError`` for what is no plain file, and ``ValueError`` for a name
    that no file can have (one with a zero byte in it).
    """
    _check_plain(path.stat())
    # Without blocking, in case a pipe has taken the file's place since the line above.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        _check_plain(os.fstat(file.fileno()))
        content = file.read(most_bytes + 1)
    return content if len(content) <= most_bytes else None


def is_folder(path: Path) -> bool:
    """Whether a folder is there; false for a name that none can have, too long or with a zero."""
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False


def _check_plain(status: os.stat_result) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if not stat.S_ISREG(status.st_mode):
        raise OSError(errno.EINVAL, "is not a plain file")


def put_whole(path: Path, content: bytes, check: Callable[[], None] = lambda: None) -> None:
    """Write beside the file, then take its place; what was there stays if anything fails.

    ``check`` is called last before the exchange and raises where it must not be. A file that is
    there keeps its permissions, and a link stays a link. Raises :class:`InputError`.
    """
    place = path.resolve()
    try:
        mode = _mode(place, path)
        handle, name = tempfile.mkstemp(prefix=f".{place.name}.", dir=place.parent)
        fresh = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            fresh.chmod(mode)
            check()
            fresh.replace(place)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as error:
        reason = (error.strerror or "cannot be written").lower()
        raise InputError(path.name, "", reason, "name a file in a folder that is there") from None


def _mode(place: Path, path: Path) -> int:
    """The permissions that are there, or a new file's."""
    if not place.exists():
        return 0o666 & ~umask()
    if not place.is_file():  # a folder, a device or a pipe must not be replaced
        raise InputError(path.name, "", "is not a plain file", "choose another name")
    return stat.S_IMODE(place.stat().st_mode)


def umask() -> int:
    """The mask that new files get; it can only be read by setting it."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
