"""Putting one file in its place whole: the old one or the new one, never half of one."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Callable
from pathlib import Path

from quiltpath.errors import InputError


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
