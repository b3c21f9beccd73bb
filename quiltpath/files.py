"""Reading files that a person or a project names: plain files only, and never past a limit.

A device, a pipe or a file that grows while it is read has no size to look at beforehand; reading
it whole could fill the memory or never end.
"""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path


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
