"""Putting the edited text in the place of the file, whole, in the file's own way of writing."""

from __future__ import annotations

import codecs
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from quiltpath.errors import InputError


def write_whole(path: Path, text: str, check: Callable[[], None]) -> None:
    """Write beside the file, then take its place; the old one stays if anything fails.

    ``check`` is called last before the exchange and raises where it must not be. Line ends, a
    byte order mark and the file's permissions stay as they were; a link stays a link.
    """
    place = path.resolve()
    try:
        old = place.read_bytes()
        handle, name = tempfile.mkstemp(prefix=f".{place.name}.", dir=place.parent)
        fresh = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(_as_before(old, text))
                file.flush()
                os.fsync(file.fileno())
            fresh.chmod(place.stat().st_mode & 0o777)
            check()
            fresh.replace(place)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as error:
        reason = (error.strerror or "cannot be written").lower()
        raise InputError(path.name, "", reason, "check the folder") from None


def _as_before(old: bytes, text: str) -> bytes:
    """``text`` with the line ends and the byte order mark of ``old``."""
    lines = text.replace("\n", "\r\n") if b"\r\n" in old else text
    mark = codecs.BOM_UTF8 if old.startswith(codecs.BOM_UTF8) else b""
    return mark + lines.encode("utf-8")
